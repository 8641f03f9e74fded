"""An onlooker who knows nothing of the guide's code: reads facts in order and complains when someone could be hurt.

Its rules are written from the requirement, not from the transition table, and keep their own books.
"""

from collections.abc import Mapping

from assistant.facts import Fact, FactKind
from assistant.procedure.model import Hazard, Kind, Procedure

IGNITES = {Hazard.EXPOSED_SPARK, Hazard.BATTERY_CLAMP, Hazard.HOT_WORK}
TURNS = {Hazard.CRANKING, Hazard.RUNNING_ENGINE}
LETS_OUT = {Hazard.SPRAYING, Hazard.OPEN_FUEL_LINE}

STOPPED_BY = {"leak": IGNITES | TURNS | LETS_OUT, "wrong-fuel": TURNS | {Hazard.SPRAYING}, "vapour": IGNITES}
"""What was told -> the work that may not begin."""
ENDED_BY = {"leak is mended": "leak", "the leak is mended": "leak"}
ENDED_BY |= {"fuel is flushed": "wrong-fuel", "the fuel is flushed": "wrong-fuel"}


class Onlooker:
    """Feed it every fact of a job through `see`."""

    def __init__(self, library: Mapping[str, Procedure]) -> None:
        self.library = library
        self.spoken: list[str] = []
        self.acknowledged: set[str] = set()
        self.passed: set[str] = set()
        self.instructed = False
        self.sprayed_at_s: float | None = None
        self.cranked_s = 0.0
        self.ended_s: float | None = None
        self.off: list[str] = []
        self.sprays: dict[tuple, int] = {}
        self.told: set[str] = set()
        self.known: set[str] = set()  # cautions acknowledged since nobody looked away

    def see(self, fact: Fact) -> None:
        """Complain by AssertionError."""
        step = self.library[fact.procedure].step(fact.step) if fact.step else None
        handler = getattr(self, "_" + fact.kind.name.lower(), None)
        if handler is not None:
            handler(fact, step)
        if fact.data.get("vapour_cleared"):
            self._cleared(fact)

    def _step_entered(self, fact, step):
        self.spoken, self.acknowledged, self.passed, self.instructed = [], set(), set(), False

    def _paused(self, fact, step):
        self.instructed = False

    _stopped = _paused

    def _resumed(self, fact, step):
        self.known.clear()
        if fact.data.get("reopened"):
            self.acknowledged, self.passed, self.instructed = set(), set(), False

    def _caution_spoken(self, fact, step):
        self.spoken.append(fact.data["caution"])
        if fact.data.get("short"):
            assert fact.data["caution"] in self.known, "asked by its name before it was told in full"

    def _caution_acknowledged(self, fact, step):
        assert fact.data["caution"] in self.spoken, "acknowledged before it was spoken"
        assert len(fact.data["words"].split()) >= 2, "acknowledged by less than two words"
        self.acknowledged.add(fact.data["caution"])
        self.known.add(fact.data["caution"])

    def _gate_passed(self, fact, step):
        self.passed.add(fact.data["gate"])
        self.told -= {ENDED_BY.get(fact.data["words"])}

    def _test_told(self, fact, step):
        told = STOPPED_BY.keys() & set(fact.data.get("makes", ()))
        if "leak" in told - self.told:  # whoever was warned before the leak is to be warned of it anew
            self.known -= {"crank-area", "start-up", "open-spark", "fuel-vapour"}
        self.told |= told

    def _ready_to_work(self, step):
        assert set(step.cautions) <= self.acknowledged, f"{step.id} began before its cautions"
        assert set(step.gates) <= self.passed, f"{step.id} began before its gates"
        for danger in self.told:
            assert not step.all_hazards & STOPPED_BY[danger], f"{step.id} began in spite of {danger}"
        if step.all_hazards & IGNITES:
            assert self.sprayed_at_s is None, f"{step.id} could light the vapour"

    def _instruction_spoken(self, fact, step):
        self._ready_to_work(step)
        self.instructed = True

    def _ready_given(self, fact, step):
        self._ready_to_work(step)
        assert self.instructed
        if step.kind is Kind.CRANK:
            self._may_crank(fact, fact.data["release_s"] - fact.data["begin_s"])

    def _burst_begun(self, fact, step):
        self._ready_to_work(step)
        if fact.data["by"] == "tones":
            self._may_crank(fact, fact.data["release_s"] - fact.data["begin_s"])

    def _may_crank(self, fact, planned_s):
        rested = self.ended_s is None or fact.at_s - self.ended_s >= 120 - 1e-6
        summed = planned_s + (0.0 if rested else self.cranked_s)
        assert summed <= 10 + 1e-6, f"{summed} s of cranking without a rest"

    def _burst_ended(self, fact, step):
        start_s, end_s = fact.data["start_s"], fact.data["end_s"]
        if fact.data.get("corrects"):
            self.cranked_s, self.ended_s = self.before
        self.before = (self.cranked_s, self.ended_s)
        if self.ended_s is not None and start_s - self.ended_s >= 120 - 1e-6:
            self.cranked_s = 0.0
        self.cranked_s += end_s - start_s
        self.ended_s = max(end_s, self.ended_s or end_s)

    def _action_begun(self, fact, step):
        self._ready_to_work(step)
        self.sprayed_at_s = fact.at_s
        place = (fact.procedure, fact.step)
        self.sprays[place] = self.sprays.get(place, 0) + 1
        assert self.sprays[place] <= step.pace.tries, "more sprays than allowed"

    def _cleared(self, fact):
        if self.sprayed_at_s is not None:
            assert fact.at_s - self.sprayed_at_s >= 300 - 1e-6, "vapour called gone in less than five minutes"
        self.sprayed_at_s = None
        self.told -= {"vapour"}

    def _step_skipped(self, fact, step):
        if fact.data["by"] == "technician":
            assert fact.data["reason"], "skipped without a reason"
            assert step.kind is not Kind.WAIT
            assert not (step.clears_vapour and self.sprayed_at_s is not None)

    def _item_removed(self, fact, step):
        self.off.append(fact.data["item"])

    def _item_refitted(self, fact, step):
        self.off.remove(fact.data["item"])

    _item_left_off = _item_refitted

    def _job_ended(self, fact, step):
        assert not self.off or fact.kind is not FactKind.JOB_ENDED, f"the job ended with {self.off} off the car"

    def _struck(self, fact, step):
        self.told.clear()  # which of several tellings fell is not kept here
        if fact.data.get("item"):
            self.off.append(fact.data["item"])
