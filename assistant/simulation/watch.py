"""An onlooker who believes nothing: it reads the facts of each turn, keeps its own books and says what went wrong.

Its rules are those of the job, not of the guide: cautions and gates before the work, the starter's duty, vapour gone
before whatever could light it, no spray too many, nothing left off at the end.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from enum import StrEnum

from assistant.facts import Fact, FactKind
from assistant.guide import Library, State, Turn
from assistant.language.speech import Sentence
from assistant.procedure.model import IGNITES_VAPOUR, Duty, Hazard, Step

CLEARS_S = 300.0
"""Source: common practice, no source."""

_HAIR_S = 0.01  # times of facts are kept to the millisecond
_WORK_BEGINS = frozenset(
    {FactKind.INSTRUCTION_SPOKEN, FactKind.READY_GIVEN, FactKind.BURST_BEGUN, FactKind.ACTION_BEGUN}
)


class Rule(StrEnum):
    """What a path may not break."""

    ENDS = "ends"  # from everywhere the job can end
    COVERED = "covered"  # every step and result is walked
    CAUTIONS = "cautions"
    GATES = "gates"
    DUTY = "duty"
    VAPOUR = "vapour"
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
        *("sprayed_at", "sprayed_s", "sprays", "spoken", "without_last"),
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
        kind, data = fact.kind, fact.data
        step = self._step(fact)
        if kind is FactKind.STEP_ENTERED:
            self.spoken = self.acknowledged = self.passed = frozenset()
        elif kind is FactKind.CAUTION_ACKNOWLEDGED:
            self.acknowledged |= {str(data["caution"])} & self.spoken
        elif kind is FactKind.GATE_PASSED:
            self.passed |= {str(data["gate"])}
        elif kind is FactKind.BURST_ENDED:
            yield from self._burst(fact)
        elif kind is FactKind.ITEM_REMOVED:
            self.items += (str(data["item"]),)
        elif kind in (FactKind.ITEM_REFITTED, FactKind.ITEM_LEFT_OFF):
            self.items = tuple(item for item in self.items if item != data["item"])
        elif kind is FactKind.JOB_ENDED and self.items:
            yield _wrong(Rule.NOTHING_LEFT, fact, f"found the job ended with {', '.join(self.items)} off the car")
        elif kind is FactKind.WAIT_BEGUN and data.get("clearing") and step is not None:
            yield _wrong(Rule.VAPOUR, fact, self._unled(step))
        if kind in _WORK_BEGINS and step is not None:
            yield from self._work(fact, step)
        if data.get("vapour_cleared"):
            yield from self._cleared(fact)

    def _caution_spoken(self, fact: Fact, turn: Turn) -> Iterator[Wrong]:
        name = str(fact.data["caution"])
        caution = next(each for each in self.library[str(fact.procedure)].cautions if each.id == name)
        said = " ".join(each.text for each in turn.reply if isinstance(each, Sentence)).lower()
        if all(part.lower() in said for part in (caution.signal, caution.hazard, caution.avoid, caution.consequence)):
            self.spoken |= {name}
        else:
            yield _wrong(Rule.CAUTIONS, fact, f"found the caution '{name}' noted as spoken but not spoken in full")

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
        waited_s = CLEARS_S if self.sprayed_s is None else fact.at_s - self.sprayed_s
        if waited_s < CLEARS_S - _HAIR_S:
            told = f"found the vapour called gone {waited_s:.0f} s after the spray; expected {CLEARS_S:.0f} s"
            yield _wrong(Rule.VAPOUR, fact, f"{told}; do wait longer")
        self.sprayed_s = None

    def _unled(self, step: Step) -> str:
        lit = ", ".join(sorted(step.all_hazards & IGNITES_VAPOUR))
        return (
            f"found a way from the spray at '{self.sprayed_at}' to this step with {lit} on which no step clears the "
            "vapour, so that the guide had to wait by itself; do lead through one that does"
        )

    def _burst(self, fact: Fact) -> Iterator[Wrong]:
        start_s, end_s = float(fact.data["start_s"]), float(fact.data["end_s"])
        if fact.data.get("corrects"):
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
            ("vapour about", self.sprayed_s is not None, state.vapour),
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


def _wrong(rule: Rule, fact: Fact, message: str) -> Wrong:
    return Wrong(rule=rule, procedure=str(fact.procedure), step=str(fact.step or ""), message=message)
