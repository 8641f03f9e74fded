"""What a page shows beside the words of the moment, gathered from what the session knows already."""

from __future__ import annotations

from collections.abc import Sequence

from assistant.guide import Library, Mode, State
from assistant.guide.expect import EXAMPLE_CODE, answers, reading_examples
from assistant.language.attention import to_say
from assistant.language.model import Expected
from assistant.ports import Gauge, Glance, Turned
from assistant.procedure.model import Band, Quantity

MOST_GAUGES = 3
"""Readings shown, the latest. Judgement: what can be taken in at a glance."""

MOST_PATH = 6
"""Steps of the path shown, the latest. Judgement, as above."""

_CLOCKS = {Mode.RESTING: "rest", Mode.WAITING: "wait"}
_PASSING = frozenset({Mode.CAUTIONING, Mode.GATING})


def glance_of(
    library: Library,
    state: State,
    now: Expected,
    *,
    odds: Sequence[tuple[str, float]] = (),
    reason: str = "",
    sure: float | None = None,
) -> Glance:
    """The glance at this state. `now`: what may be said; `odds` and `reason`: what the adviser thinks of it."""
    takes = _takes(state, now)
    lead_on, examples = answers(library, state), _examples(library, state, takes)
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
    )


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
    """Each step that was left, with what was kept there; a step that kept nothing is its name alone."""
    done = []
    for visit in state.history[-MOST_PATH:]:
        kept = visit.kept[-1].words if visit.kept else ""
        name = visit.position.at.step.replace("-", " ")
        done.append(f"{name}: {kept}" if kept else name)
    return tuple(done)


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
