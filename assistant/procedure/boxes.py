"""One step as a box of a drawing: its lines of text, its marks, its size. Where it stands is settled elsewhere."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass

from assistant.procedure.flow import OTHERWISE, Way, ways_of
from assistant.procedure.layout import Size
from assistant.procedure.lettering import text_width, wrap
from assistant.procedure.model import Band, Caution, Kind, Limit, Procedure, Signal, Step

PAD = 10.0
SMALL = 11.0
BODY = 12.5
LEADING = 1.35
SLIM = 190.0
WIDE = 250.0
CELL = 78.0
TRIANGLE = 22.0
"""Room for the alert sign at the left of a caution."""
_SHORT = frozenset({Kind.CHOOSE, Kind.CALL, Kind.RETURN})
_MOST_LINES = 6


@dataclass(frozen=True, slots=True, kw_only=True)
class Mark:
    """A caution or the gates of a step, as the strip above its words."""

    signal: Signal | None
    lines: tuple[str, ...]

    @property
    def height(self) -> float:
        """In pixels."""
        return len(self.lines) * SMALL * LEADING + 8


@dataclass(frozen=True, slots=True, kw_only=True)
class Cell:
    """One way out, at the foot of the box. `goes` is the step that it leads to; `left`, `width` within the box."""

    lines: tuple[str, ...]
    goes: str
    left: float
    width: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Box:
    """A step as it is drawn, in pixels."""

    step: Step
    size: Size
    head: str
    aside: str
    marks: tuple[Mark, ...]
    words: tuple[str, ...]
    cells: tuple[Cell, ...]
    foot: float

    @property
    def top_of_words(self) -> float:
        """From the top of the box to its heading."""
        return sum(mark.height for mark in self.marks)


def box_of(procedure: Procedure, step: Step, backward: frozenset[int]) -> Box:
    """The box of a step. `backward`: numbers of its ways that lead back up, told in words instead of a line."""
    ways = ways_of(step)
    texts = [_answer(procedure, step, way) for way in ways]
    spoken = len(ways) > 1 or any(texts)
    aside = _aside(step)
    width = max(
        SLIM if step.kind in _SHORT else WIDE,
        (CELL * len(ways) if spoken else 0.0),
        text_width(step.id, BODY, bold=True) + text_width(aside, SMALL) + 3 * PAD,
    )
    cell_width = width / max(len(ways), 1)
    cells = tuple(
        Cell(
            lines=tuple(_cell_lines(text, way, number in backward, cell_width)),
            goes=way.goes,
            left=number * cell_width,
            width=cell_width,
        )
        for number, (way, text) in enumerate(zip(ways, texts, strict=True))
    )
    foot = max((len(cell.lines) for cell in cells), default=0) * SMALL * LEADING
    foot += 8 if foot else 0
    marks = tuple(_marks(procedure, step, width))
    words = tuple(wrap(_words(step), width - 2 * PAD, BODY, most=_MOST_LINES))
    height = sum(mark.height for mark in marks) + BODY * LEADING * (1 + len(words)) + 2 * PAD + foot
    return Box(
        step=step,
        size=Size(width=width, height=height),
        head=step.id,
        aside=aside,
        marks=marks,
        words=words,
        cells=cells,
        foot=foot,
    )


def _aside(step: Step) -> str:
    timing = {
        Kind.CRANK: f" {step.burst_s:g} s" if step.burst_s else "",
        Kind.WAIT: f" {step.wait_s:g} s" if step.wait_s else "",
        Kind.PACE: f" {step.pace.action} {step.pace.on_s:g} s" if step.pace else "",
    }
    return f"{step.kind}{timing.get(step.kind, '')}"


def _words(step: Step) -> str:
    if step.kind is Kind.CALL:
        return f"{step.say} → {step.calls}".strip()
    if step.kind is Kind.CHOOSE:
        return f"by {step.vehicle}"
    if step.kind is Kind.RETURN:
        return f"gives: {step.outcome}"
    if step.kind is Kind.READING:
        return f"{step.say} [{step.name}, {step.unit}]"
    return step.say


def _marks(procedure: Procedure, step: Step, width: float) -> Iterable[Mark]:
    cautions: Mapping[str, Caution] = {caution.id: caution for caution in procedure.cautions}
    for name in step.cautions:
        caution = cautions.get(name)
        if caution is not None:
            text = f"{caution.signal.upper()}: {caution.hazard}"
            lines = wrap(text, width - 2 * PAD - TRIANGLE, SMALL, most=3, bold=True)
            yield Mark(signal=caution.signal, lines=tuple(lines))
    if step.gates:
        text = f"asks first: {', '.join(step.gates)}"
        yield Mark(signal=None, lines=tuple(wrap(text, width - 2 * PAD, SMALL)))


def _cell_lines(text: str, way: Way, back: bool, width: float) -> Iterable[str]:
    yield from wrap(text, width - 8, SMALL, most=4)
    if back:
        yield from wrap(f"↑ back to {way.goes}", width - 8, SMALL, most=4)


def _answer(procedure: Procedure, step: Step, way: Way) -> str:
    if way.answer is None:
        return ""
    if step.kind is Kind.CHOOSE:
        return "any other" if way.answer == OTHERWISE else way.answer
    band = next((band for band in step.bands if band.id == way.answer), None)
    if band is not None:
        return _range(band, {limit.id: limit for limit in procedure.limits}, step.unit or "")
    result = next((result for result in step.results if result.id == way.answer), None)
    return result.phrases[0] if result is not None and result.phrases else way.answer


def _range(band: Band, limits: Mapping[str, Limit], unit: str) -> str:
    def value(name: str) -> str:
        return f"{limits[name].value:g}" if name in limits else name

    if band.at_least is None and band.below is None:
        return "any"
    if band.at_least is None:
        return f"below {value(band.below or '')} {unit}"
    if band.below is None:
        return f"{value(band.at_least)} {unit} or more"
    return f"{value(band.at_least)} to below {value(band.below)} {unit}"
