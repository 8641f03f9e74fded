"""What facts say of a step before its answer: how it was entered, its cautions and gates, its work, what it left."""

from __future__ import annotations

from dataclasses import dataclass

from assistant.facts.kinds import FactKind
from assistant.facts.said import HowHeard, Said, Weighed


@dataclass(frozen=True, slots=True, kw_only=True)
class StepEntered(Said):
    """`how`: next, call, return, back, skip, again, resume, plan, check or put-back. `stack`: the calls that wait
    there, each a procedure and its step, outermost first, where the plan comes back. `outcome`: of a call that
    returned."""

    KIND = FactKind.STEP_ENTERED
    how: str
    stack: tuple[tuple[str, str], ...] = ()
    outcome: str | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class CautionSpoken(Said):
    """`signal`: its signal word. `short`: by name, to who knows it. `spoken`: the words, as no later text may be."""

    KIND = FactKind.CAUTION_SPOKEN
    caution: str
    signal: str
    short: bool = False
    spoken: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class CautionAcknowledged(Said):
    """With its own phrase."""

    KIND = FactKind.CAUTION_ACKNOWLEDGED
    caution: str
    words: str
    makes: tuple[str, ...] = ()
    hearing: HowHeard | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class GateAsked(Said):
    """`spoken`: the words."""

    KIND = FactKind.GATE_ASKED
    gate: str
    spoken: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class GatePassed(Said):
    """With its own phrase."""

    KIND = FactKind.GATE_PASSED
    gate: str
    words: str
    makes: tuple[str, ...] = ()
    hearing: HowHeard | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class InstructionSpoken(Said):
    """`spoken`: the words."""

    KIND = FactKind.INSTRUCTION_SPOKEN
    makes: tuple[str, ...] = ()
    spoken: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class InstructionDone(Weighed):
    """`joined`: the step was told in one breath with the next, so nobody said so."""

    KIND = FactKind.INSTRUCTION_DONE
    joined: bool = False
    makes: tuple[str, ...] = ()
    vapour_cleared: bool = False
    hearing: HowHeard | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class ItemRemoved(Said):
    """`unsure`: the step was left, so it may or may not be off."""

    KIND = FactKind.ITEM_REMOVED
    item: str
    unsure: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class ItemSettled(Said):
    """`said`: by which words; None where the step put it back."""

    item: str
    said: str | None = None
    hearing: HowHeard | None = None


class ItemRefitted(ItemSettled):
    """It is back where it belongs."""

    __slots__ = ()
    KIND = FactKind.ITEM_REFITTED


class ItemLeftOff(ItemSettled):
    """It stays off, and is noted."""

    __slots__ = ()
    KIND = FactKind.ITEM_LEFT_OFF


class SkipAsked(Said):
    """Waits for the reason."""

    __slots__ = ()
    KIND = FactKind.SKIP_ASKED


class SkipDeclined(Said):
    """It is not skipped."""

    __slots__ = ()
    KIND = FactKind.SKIP_DECLINED


@dataclass(frozen=True, slots=True, kw_only=True)
class StepSkipped(Weighed):
    """`by`: technician or guide. `cut`: only the beginning of the words was kept. `proofed`: somebody read them."""

    KIND = FactKind.STEP_SKIPPED
    reason: str
    by: str
    cut: bool = False
    hearing: HowHeard | None = None
    proofed: bool | None = None


class CannotAsked(Said):
    """Waits for the reason."""

    __slots__ = ()
    KIND = FactKind.CANNOT_ASKED


class CannotDeclined(Said):
    """It can be done after all."""

    __slots__ = ()
    KIND = FactKind.CANNOT_DECLINED


@dataclass(frozen=True, slots=True, kw_only=True)
class PutBackAsked(Said):
    """Waits until what is off the car is put right. `to`: the block to be entered then, `name` what it was called;
    empty for what the plan would rather test."""

    KIND = FactKind.PUT_BACK_ASKED
    to: str = ""
    name: str = ""


class PutBackDeclined(Said):
    """It stays as it is, and the step goes on."""

    __slots__ = ()
    KIND = FactKind.PUT_BACK_DECLINED


@dataclass(frozen=True, slots=True, kw_only=True)
class TestLeftOut(Weighed):
    """`why`: no-tool, no-reach, too-loud or not-on-car, said in `words`."""

    __test__ = False  # what its name begins with is no test of ours
    KIND = FactKind.TEST_LEFT_OUT
    why: str
    words: str
    hearing: HowHeard | None = None
