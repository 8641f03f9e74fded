"""What a page shows beside the words of the moment, gathered from what the session knows already."""

from __future__ import annotations

from collections.abc import Sequence

from assistant.bay import SAID
from assistant.guide import Library, Mode, State
from assistant.guide.expect import EXAMPLE_CODE, answers, reading_examples
from assistant.guide.occasions import DROPPABLE, may_lead_elsewhere
from assistant.language.attention import to_say
from assistant.language.commands import phrase_of
from assistant.language.model import Control, Expected
from assistant.ports import Gauge, Glance, Turned
from assistant.procedure.condition import CHANGING
from assistant.procedure.model import Band, Quantity
from assistant.procedure.remedies import FORBIDDING

MOST_GAUGES = 3
"""Readings shown, the latest. Judgement: what can be taken in at a glance."""

MOST_PATH = 6
"""Steps of the path shown, the latest. Judgement, as above."""

LONGEST_KEPT = 48
"""Signs of what was kept at a step. Judgement, as above."""

DANGERS = tuple(SAID[each] for each in sorted(FORBIDDING - CHANGING))
"""What forbids work, in words; key and fuel pressure change with every step, and are told as all else is."""

_CLOCKS = {Mode.RESTING: "rest", Mode.WAITING: "wait"}
_PASSING = frozenset({Mode.CAUTIONING, Mode.GATING})


def glance_of(
    library: Library,
    state: State,
    now: Expected,
    *,
    odds: Sequence[tuple[str, float]] = (),
    reason: str = "",
    places: Sequence[str] = (),
    sure: float | None = None,
) -> Glance:
    """The glance at this state. `now`: what may be said; `odds`, `reason` and `places`, the names of tests that may be
    gone to: what the adviser thinks of it."""
    takes = _takes(state, now)
    lead_on, examples = (*answers(library, state), *_ways_out(state, now)), _examples(library, state, takes)
    elsewhere = places if may_lead_elsewhere(library, state) else ()
    burst = state.burst
    return Glance(
        answers=to_say((each for each in lead_on if each not in examples), now),
        examples=to_say(examples, now),
        passes=state.mode in _PASSING,
        takes=takes,
        unit=now.unit or "",
        clock=_clock(state),
        place=(state.at.procedure, state.at.step),
        path=_path(state),
        gauges=_gauges(library, state),
        turned=None
        if burst is None
        else Turned(seconds=max(0.0, burst.end_s - burst.start_s), rpm=burst.rpm, caught=burst.caught),
        odds=tuple(odds),
        reason=reason,
        sure=sure,
        places=to_say((f"{phrase_of(Control.TAKE_TO)} {name}" for name in elsewhere), now),
        dangers=DANGERS,
    )


def _ways_out(state: State, now: Expected) -> tuple[str, ...]:
    """What leads on though nobody is asked for it: the repair of what was found, and out of a question over a step."""
    if state.mode in DROPPABLE:
        return (phrase_of(Control.NO),)
    repair = (Control.REPAIR_DONE, Control.REPAIR_CONFIRMED)
    return tuple(phrase_of(each) for each in repair if state.mode is Mode.CLOSING and each in now.controls)


def _takes(state: State, now: Expected) -> str:
    if now.dictation:
        return "words"
    if state.mode is not Mode.ASKING:
        return ""
    return "reading" if now.quantity else "codes" if now.codes else ""


def _examples(library: Library, state: State, takes: str) -> tuple[str, ...]:
    """Phrases that show how something is said; to tap one would keep what nobody read or meant."""
    if takes == "reading":
        return tuple(reading_examples(library, state))
    if takes == "codes":
        return (EXAMPLE_CODE,)
    return answers(library, state) if takes == "words" else ()


def _clock(state: State) -> str:
    if state.mode is Mode.TIMING and state.timed is not None:
        return state.timed.action if state.timed.begun else "begin"
    return _CLOCKS.get(state.mode, "")


def _path(state: State) -> tuple[str, ...]:
    """What was kept at each step that was left; one that kept nothing tells nothing."""
    kept = [visit for visit in state.history if visit.kept][-MOST_PATH:]
    return tuple(f"{visit.position.at.step.replace('-', ' ')}: {_short(visit.kept[-1].words)}" for visit in kept)


def _short(words: str) -> str:
    """The words, or as much of their beginning as can be taken in at a glance."""
    return words if len(words) <= LONGEST_KEPT else f"{words[:LONGEST_KEPT].rsplit(' ', 1)[0]} …"


def _gauges(library: Library, state: State) -> tuple[Gauge, ...]:
    found = [_gauge(library, state, at, measured.value) for at, measured in state.readings.items()]
    return tuple(one for one in found if one is not None)[-MOST_GAUGES:]


def _gauge(library: Library, state: State, at: str, value: float) -> Gauge | None:
    procedure, _, step_id = at.partition("/")
    if procedure not in library:
        return None
    step = library[procedure].step(step_id)
    limits = {one.id: float(state.vehicle.get(one.id, one.value)) for one in library[procedure].limits}
    ends = sorted({limits[end] for band in step.bands for end in (band.at_least, band.below) if end in limits})
    band = next((one for one in step.bands if _inside(one, value, limits)), None)
    return Gauge(
        name=step.name or step_id.replace("-", " "),
        value=value,
        unit=step.unit or "",
        limits=tuple(ends),
        verdict=band.id.replace("-", " ") if band else "",
        cranking=step.quantity is Quantity.VOLTAGE and "crank" in (step.name or ""),
    )


def _inside(band: Band, value: float, limits: dict[str, float]) -> bool:
    low = limits.get(band.at_least or "", float("-inf"))
    high = limits.get(band.below or "", float("inf"))
    return low <= value < high
