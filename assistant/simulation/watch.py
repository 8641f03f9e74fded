"""An onlooker who believes nothing: it reads the facts of each turn, keeps its own books and says what went wrong.

Its rules are those of the job, not of the guide: cautions and gates before the work, the starter's duty, no work in a
state of car and bay that forbids it, no spray too many, nothing left off at the end.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from enum import StrEnum

from assistant import facts
from assistant.facts import Fact, FactKind
from assistant.guide import Library, State, Turn
from assistant.language.speech import Sentence
from assistant.procedure.condition import (
    AT_FIRST,
    ITEMS,
    SPRAYED,
    UNDOES,
    VAPOUR_CLEARS_S,
    C,
    Condition,
    begun,
    finished,
)
from assistant.procedure.model import IGNITES_VAPOUR, Duty, Hazard, Kind, Step
from assistant.procedure.remedies import ASSERTS, CAUTIONS, FORBIDDING

FUEL_ABOUT = frozenset({C.LEAK, C.LINE_OPEN, C.CAN_OUT, C.VAPOUR, C.KNOCKED})
LET_OUT_NEVER = frozenset({C.LEAK, C.TESTER_HUNG, C.PACK_ON, C.ENGINE_HOT, C.ENGINE_RUNS, C.BURNED})
NOT_TURNED = frozenset({C.LEAK, C.WRONG_FUEL, C.LINE_OPEN, C.CLAMP_OFF, C.BATTERY_UNSAFE, C.BURNED, C.CAN_ROLL})
NOT_TURNED |= {C.BINDS, C.SOMEBODY_NEAR}

STOPS: Mapping[Hazard, frozenset[Condition]] = {
    Hazard.EXPOSED_SPARK: FUEL_ABOUT | {C.PACK_ON, C.SOMEBODY_NEAR},
    Hazard.HOT_WORK: FUEL_ABOUT | {C.SOMEBODY_NEAR},
    Hazard.MOVING_PARTS: frozenset({C.SOMEBODY_NEAR}),
    Hazard.BATTERY_CLAMP: FUEL_ABOUT | {C.KEY_ON, C.PACK_ON, C.BATTERY_UNSAFE, C.SOMEBODY_NEAR},
    Hazard.CRANKING: FUEL_ABOUT | NOT_TURNED | {C.DUCT_OPEN, C.PROP_IN, C.ENGINE_RUNS},
    Hazard.RUNNING_ENGINE: FUEL_ABOUT | NOT_TURNED | {C.DUCT_OPEN, C.PROP_IN, C.TESTER_HUNG},
    Hazard.SPRAYING: LET_OUT_NEVER | {C.WRONG_FUEL, C.LINE_OPEN, C.SOMEBODY_NEAR},
    Hazard.OPEN_FUEL_LINE: LET_OUT_NEVER | {C.KEY_ON, C.PRESSURE_UP},
}
"""Written down once more, by hazard, so that a row lost from the guide's own table is found out."""

FUEL_OR_GAS = frozenset({Hazard.FUEL_VAPOUR, Hazard.STORED_PRESSURE, Hazard.EXHAUST_GAS})
"""Whatever comes up, their cautions are told in full again."""

Words = tuple[str, ...]
"""A caution by all that it says."""

MAY_NEED = frozenset({C.VAPOUR, C.CAN_OUT, C.DUCT_OPEN, C.PROP_IN, C.KEY_ON, C.PRESSURE_UP, C.PACK_ON})
"""What a step may say that it is done in."""

ASKED_ANYWAY = frozenset({C.KEY_ON, C.PRESSURE_UP, C.ENGINE_HOT, C.ENGINE_RUNS, C.OVERHEATED, C.CAN_OUT, C.CAN_ROLL})
ASKED_ANYWAY |= {C.KNOCKED, C.SOMEBODY_NEAR}
"""What no step need undo for another: the question before the work is the way. The can goes with its vapour."""

_FINISHED = frozenset({FactKind.INSTRUCTION_DONE, FactKind.RESULT_LOGGED, FactKind.READING_LOGGED})
_FINISHED |= {FactKind.WORDS_KEPT, FactKind.WAIT_ENDED}
FUEL_WAS_OUT = frozenset({"leak-mended", "fuel-flushed", "line-closed"})
"""Gates behind which fuel was in the open, so that its vapour is about."""

_HAIR_S = 0.0015  # times of facts are kept to the millisecond
_WORK_BEGINS = frozenset(
    {FactKind.INSTRUCTION_SPOKEN, FactKind.READY_GIVEN, FactKind.BURST_BEGUN, FactKind.ACTION_BEGUN}
)

_BY_OWN_WORD = frozenset({FactKind.TEST_LEFT_OUT, FactKind.REPAIR_DONE})
"""With these the technician leaves the procedure's own way, so that the guide's questions are the way on."""


class Rule(StrEnum):
    """What a path may not break."""

    ENDS = "ends"  # from everywhere the job can end
    COVERED = "covered"  # every step and result is walked
    CAUTIONS = "cautions"
    GATES = "gates"
    DUTY = "duty"
    VAPOUR = "vapour"
    STATE = "state"  # no work in a state that forbids it
    TRIES = "tries"
    NOTHING_LEFT = "nothing-left"
    BOOKS = "books"  # guide and onlooker count the same


@dataclass(frozen=True, slots=True, kw_only=True)
class Wrong:
    """One rule broken at a step: what was found and what to do."""

    rule: Rule
    procedure: str
    step: str
    message: str


class Watch:
    """The books of one path. `cranked_s`: since the last full rest; `ended_s`: end of the last burst."""

    __slots__ = (
        *("acknowledged", "cranked_s", "ended_s", "items", "library", "passed", "root"),
        *("sprayed_at", "sprayed_s", "sprays", "spoken", "without_last", "so", "foreign", "tainted", "begun"),
        *("fresh", "warned"),
    )

    def __init__(self, library: Library, root: str) -> None:
        self.library = library
        self.root = root
        self.spoken: frozenset[str] = frozenset()
        self.acknowledged: frozenset[str] = frozenset()
        self.passed: frozenset[str] = frozenset()
        self.cranked_s = 0.0
        self.ended_s: float | None = None
        self.without_last: tuple[float, float | None] = (0.0, None)
        self.sprayed_at = ""
        self.sprayed_s: float | None = None
        self.sprays: dict[str, int] = {}
        self.items: tuple[str, ...] = ()
        self.so: frozenset[Condition] = AT_FIRST
        self.foreign: frozenset[Condition] = frozenset()
        self.tainted = False
        self.begun: frozenset[Condition] = frozenset()
        self.fresh: frozenset[Words] = frozenset()
        self.warned: Mapping[Words, frozenset[Condition]] = {}

    def fork(self) -> Watch:
        """The same books, for one of several ways on."""
        other = object.__new__(Watch)
        for name in Watch.__slots__:
            setattr(other, name, getattr(self, name))
        other.sprays = dict(self.sprays)
        return other

    def rested(self, at_s: float) -> bool:
        """Whether the starter has had its full rest, or never turned."""
        return self.ended_s is None or at_s - self.ended_s >= self._duty(self.root).rest_s - _HAIR_S

    def see(self, turn: Turn) -> list[Wrong]:
        """Keep the facts of a turn; every rule that it breaks."""
        wrongs: list[Wrong] = []
        for fact in turn.facts:
            if fact.kind is FactKind.CAUTION_SPOKEN:
                wrongs += self._caution_spoken(fact, turn)
            else:
                wrongs += self._fact(fact)
        return wrongs + list(self._same_as(turn.state))

    def _fact(self, fact: Fact) -> Iterator[Wrong]:
        kind, said = fact.kind, fact.said
        step = self._step(fact)
        yield from self._asked_aside(fact)
        if kind in _BY_OWN_WORD or (isinstance(said, facts.PlanChanged) and said.put_off):
            self.tainted = True
        if kind is FactKind.STEP_ENTERED:
            self.spoken = self.acknowledged = self.passed = frozenset()
            self.begun = frozenset()
        elif kind is FactKind.CAUTION_ACKNOWLEDGED:
            self._acknowledged(fact)
        elif isinstance(said, facts.GatePassed):
            self.passed |= {said.gate}
        elif kind is FactKind.BURST_ENDED:
            yield from self._burst(fact)
        elif isinstance(said, facts.ItemRemoved):
            self.items += (said.item,)
        elif isinstance(said, facts.ItemSettled):
            self.items = tuple(item for item in self.items if item != said.item)
        elif kind is FactKind.JOB_ENDED and self.items:
            yield _wrong(Rule.NOTHING_LEFT, fact, f"found the job ended with {', '.join(self.items)} off the car")
        elif isinstance(said, facts.WaitBegun) and said.clearing and step is not None and not self.tainted:
            yield _wrong(Rule.VAPOUR, fact, self._unled(step))
        if kind in _WORK_BEGINS and step is not None:
            yield from self._work(fact, step)
        before = self.so
        self._change(fact, step)
        self._forget_warned(fact, before)
        if said.vapour_cleared:
            yield from self._cleared(fact)

    def _asked_aside(self, fact: Fact) -> Iterator[Wrong]:
        """A question of the guide's own that the procedure made needful: its steps should have led round it."""
        gate = fact.said.gate if isinstance(fact.said, facts.GateAsked) else ""
        own = self._step(fact)
        if gate not in ASSERTS or own is None or gate in own.gates or self.tainted:
            return
        made = UNDOES[ASSERTS[gate]] & self.so - ASKED_ANYWAY
        if made:
            told = f"found a way to this step with {', '.join(sorted(made))}, so that the guide had to ask by itself"
            yield _wrong(Rule.STATE, fact, f"{told}; do lead through a step that undoes it")

    def _change(self, fact: Fact, step: Step | None) -> None:
        """What is so of car and bay after the fact, by the step and not by what the fact says of itself."""
        kind, said = fact.kind, fact.said
        if kind is FactKind.JOB_STARTED or kind is FactKind.TEST_TOLD:
            left = [each.condition for each in said.inherits.marks] if said.inherits is not None else []
            self._come(fact, frozenset((*left, *map(Condition, said.makes))))
        elif kind is FactKind.INSTRUCTION_SPOKEN and step is not None:
            self.begun = begun(step)
            self.so |= self.begun
        elif kind is FactKind.ACTION_BEGUN:
            self.so |= SPRAYED
        elif kind is FactKind.RESUMED:
            self.so |= {C.KEY_ON}
        elif kind is FactKind.WAIT_ENDED and step is not None and step.kind is not Kind.WAIT:
            pass  # vapour had its time before the step, of which nothing is done yet
        elif kind in _FINISHED and step is not None and not (isinstance(said, facts.ResultLogged) and said.unsaid):
            self._say(finished(step))
            told = {each.id: each.makes for each in step.results} | {each.id: each.makes for each in step.bands}
            if isinstance(said, facts.ResultLogged | facts.ReadingLogged):
                self._say(told.get(said.result if isinstance(said, facts.ResultLogged) else said.band, ()))
        elif isinstance(said, facts.CautionAcknowledged | facts.GatePassed):
            name = said.gate if isinstance(said, facts.GatePassed) else said.caution
            self._say((ASSERTS[name],) if name in ASSERTS else ())
            self._say(("battery-good",) if name == "battery-sound" else ())
            if name in FUEL_WAS_OUT:
                self._come(fact, frozenset({C.VAPOUR}))
        elif isinstance(said, facts.ItemRemoved) and said.item in ITEMS:
            self.so |= {ITEMS[said.item]}
        elif isinstance(said, facts.ItemRefitted) and said.item in ITEMS:
            self._gone(frozenset({ITEMS[said.item]}) - {ITEMS[each] for each in self.items if each in ITEMS})

    def _come(self, fact: Fact, conditions: frozenset[Condition]) -> None:
        """What no step of the procedure made; vapour counts from now, for nobody knows when it was made."""
        if C.VAPOUR in conditions:
            self.sprayed_s, self.sprayed_at = fact.at_s, "what was told"
        self.foreign |= (conditions - self.so) & FORBIDDING
        self.tainted = self.tainted or bool(conditions)
        self.so |= conditions

    def _say(self, words: Iterable[str]) -> None:
        for word in words:
            if word in UNDOES:
                self._gone(UNDOES[word])
            else:
                self.so |= {Condition(word)}

    def _gone(self, conditions: frozenset[Condition]) -> None:
        self.so -= conditions
        self.foreign -= conditions

    def _caution_spoken(self, fact: Fact, turn: Turn) -> Iterator[Wrong]:
        name = fact.says(facts.CautionSpoken).caution
        written = (*self.library[str(fact.procedure)].cautions, *CAUTIONS)
        caution = next(each for each in written if each.id == name)
        said = " ".join(each.text for each in turn.reply if isinstance(each, Sentence)).lower()
        whole = (caution.signal, caution.hazard, caution.avoid, caution.consequence)
        if all(part.lower() in said for part in whole):
            self.spoken |= {name}
            self.fresh |= {whole}
        elif whole not in self.warned:
            yield _wrong(Rule.CAUTIONS, fact, f"found the caution '{name}' noted as spoken but not spoken in full")
        elif missing := [word for word in (caution.signal, *_telling(caution.acknowledge[0])) if word not in said]:
            yield _wrong(Rule.CAUTIONS, fact, f"found '{name}' asked by name without {', '.join(missing)}")
        else:
            self.spoken |= {name}

    def _acknowledged(self, fact: Fact) -> None:
        """A caution told in full and acknowledged is known by name, until what it guards against has come up anew."""
        name = fact.says(facts.CautionAcknowledged).caution
        self.acknowledged |= {name} & self.spoken
        written = (*self.library[str(fact.procedure)].cautions, *CAUTIONS)
        caution = next(each for each in written if each.id == name)
        whole = (caution.signal, caution.hazard, caution.avoid, caution.consequence)
        if whole in self.fresh:
            guards = frozenset().union(*(STOPS.get(hazard, frozenset()) for hazard in caution.covers))
            guards |= FORBIDDING if caution.covers & FUEL_OR_GAS else frozenset()
            self.warned = {**self.warned, whole: guards - {C.KEY_ON, C.PRESSURE_UP}}
            self.fresh -= {whole}

    def _forget_warned(self, fact: Fact, before: frozenset[Condition]) -> None:
        came = self.so - before
        if fact.kind is FactKind.RESUMED:
            self.warned = {}
        elif came:
            self.warned = {whole: guards for whole, guards in self.warned.items() if not guards & came}

    def _work(self, fact: Fact, step: Step) -> Iterator[Wrong]:
        procedure = self.library[str(fact.procedure)]
        heard = (caution.covers for caution in procedure.cautions if caution.id in self.acknowledged)
        bare = step.all_hazards - frozenset[Hazard]().union(*heard)
        if bare:
            told = f"found a way here without an acknowledged caution for {', '.join(sorted(bare))}"
            yield _wrong(Rule.CAUTIONS, fact, f"{told}; do attach one that covers it")
        if set(step.gates) - self.passed:
            missing = ", ".join(sorted(set(step.gates) - self.passed))
            yield _wrong(Rule.GATES, fact, f"found a way here without passing {missing}")
        so = self.so - self.begun
        stands = {
            f"{hazard} with {', '.join(sorted(stop))}"
            for hazard in step.all_hazards & STOPS.keys()
            if (stop := (STOPS[hazard] & so) - {each for each in MAY_NEED if each in step.needs})
        }
        if stands:
            yield _wrong(Rule.STATE, fact, f"found a way to this step's {'; '.join(sorted(stands))}")
        lit = step.all_hazards & IGNITES_VAPOUR
        if lit and self.sprayed_s is not None:
            told = f"found a way from the spray at '{self.sprayed_at}' to this step with {', '.join(sorted(lit))}"
            yield _wrong(Rule.VAPOUR, fact, f"{told} and the vapour not cleared")
        if fact.kind is FactKind.ACTION_BEGUN and step.pace is not None:
            yield from self._sprayed(fact, step.pace.tries)
        elif step.pace is None and Hazard.SPRAYING in step.all_hazards:
            self._note_spray(fact)

    def _sprayed(self, fact: Fact, tries: int) -> Iterator[Wrong]:
        self._note_spray(fact)
        self.sprays[self.sprayed_at] = self.sprays.get(self.sprayed_at, 0) + 1
        if self.sprays[self.sprayed_at] > tries:
            yield _wrong(Rule.TRIES, fact, f"found a way to try {self.sprays[self.sprayed_at]}; {tries} are allowed")

    def _note_spray(self, fact: Fact) -> None:
        self.sprayed_s, self.sprayed_at = fact.at_s, f"{fact.procedure}/{fact.step}"

    def _cleared(self, fact: Fact) -> Iterator[Wrong]:
        waited_s = VAPOUR_CLEARS_S if self.sprayed_s is None else fact.at_s - self.sprayed_s
        if waited_s < VAPOUR_CLEARS_S - _HAIR_S:
            told = f"found the vapour called gone {waited_s:.0f} s after the spray; expected {VAPOUR_CLEARS_S:.0f} s"
            yield _wrong(Rule.VAPOUR, fact, f"{told}; do wait longer")
        self.sprayed_s = None
        self._gone(SPRAYED)

    def _unled(self, step: Step) -> str:
        lit = ", ".join(sorted(step.all_hazards & IGNITES_VAPOUR))
        return (
            f"found a way from the spray at '{self.sprayed_at}' to this step with {lit} on which no step clears the "
            "vapour, so that the guide had to wait by itself; do lead through one that does"
        )

    def _burst(self, fact: Fact) -> Iterator[Wrong]:
        said = fact.says(facts.BurstEnded)
        start_s, end_s = said.start_s, said.end_s
        if said.corrects:
            self.cranked_s, self.ended_s = self.without_last
        self.without_last = (self.cranked_s, self.ended_s)
        duty = self._duty(str(fact.procedure))
        if self.ended_s is None or start_s - self.ended_s >= duty.rest_s - _HAIR_S:
            self.cranked_s = 0.0
        self.cranked_s += end_s - start_s
        self.ended_s = end_s
        if self.cranked_s > duty.burst_s + _HAIR_S:
            yield _wrong(
                Rule.DUTY,
                fact,
                f"found a way on which the starter turns {self.cranked_s:.0f} s without a rest of {duty.rest_s:.0f} s; "
                f"expected at most {duty.burst_s:.0f} s",
            )

    def _same_as(self, state: State) -> Iterator[Wrong]:
        counts = (
            ("car and bay", sorted(self.so), sorted(state.bay.conditions)),
            ("seconds cranked", round(self.cranked_s, 2), round(state.duty.cranked_s, 2)),
            ("open items", sorted(self.items), sorted(state.open_items)),
        )
        for what, mine, told in counts:
            if mine != told:
                message = f"found the guide to count {told} for {what}; by its own facts it is {mine}"
                yield Wrong(rule=Rule.BOOKS, procedure=state.at.procedure, step=state.at.step, message=message)

    def _duty(self, procedure_id: str) -> Duty:
        """The stricter of the job's procedure and the one called."""
        root, called = self.library[self.root].duty, self.library[procedure_id].duty
        return Duty(
            burst_s=min(root.burst_s, called.burst_s),
            stop_s=min(root.stop_s, called.stop_s),
            rest_s=max(root.rest_s, called.rest_s),
        )

    def _step(self, fact: Fact) -> Step | None:
        return self.library[str(fact.procedure)].step(fact.step) if fact.step else None


def _telling(phrase: str) -> list[str]:
    """The words of a phrase that a question about it keeps."""
    return [word for word in phrase.split() if word not in ("is", "are")]


def _wrong(rule: Rule, fact: Fact, message: str) -> Wrong:
    return Wrong(rule=rule, procedure=str(fact.procedure), step=str(fact.step or ""), message=message)
