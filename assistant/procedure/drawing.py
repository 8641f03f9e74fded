"""The flow of a procedure as a picture: SVG text, readable in colour and in black and white, and by a screen reader.

Shapes carry the meaning, colours only help: doubled sides for another procedure, cut corners for a choice, round ends
for an end (as flowcharts have them), a broken frame for what is timed, a heavy one for the starter, the signal word for
each caution above its step with the alert triangle, which NOTICE does not have (ANSI Z535.4-2007).
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from itertools import pairwise
from xml.sax.saxutils import escape, quoteattr

from assistant.procedure.boxes import BODY, LEADING, PAD, SMALL, TRIANGLE, Box, Mark, box_of
from assistant.procedure.flow import ways_of
from assistant.procedure.layout import Line, Placed, Size, lay_out
from assistant.procedure.lettering import text_width, wrap
from assistant.procedure.model import Kind, Procedure, Signal, Step

MARGIN = 36.0
_TITLE = 20.0
_FACE = "'DejaVu Sans', Verdana, Arial, sans-serif"
_INK = "#1f2328"
_FILL: Mapping[Kind, str] = {
    Kind.INSTRUCT: "#f4f1ea",
    Kind.ASK: "#e3eef4",
    Kind.READING: "#dff0ea",
    Kind.CODES: "#e3eef4",
    Kind.TELL: "#e3eef4",
    Kind.CRANK: "#f6e2c8",
    Kind.PACE: "#f6e2c8",
    Kind.WAIT: "#eceaf4",
    Kind.CHOOSE: "#ffffff",
    Kind.CALL: "#ece6da",
    Kind.RETURN: "#ffffff",
    Kind.FINDING: "#dcebd3",
}
_STRIP: Mapping[Signal | None, tuple[str, str]] = {
    Signal.DANGER: ("#8c1d18", "#ffffff"),
    Signal.WARNING: ("#a34a00", "#ffffff"),
    Signal.CAUTION: ("#f2d16b", _INK),
    Signal.NOTICE: ("#33507a", "#ffffff"),
    None: ("#ffffff", _INK),
}


def draw(procedure: Procedure) -> str:
    """The flow as SVG text. The procedure is one that passed its checks."""
    boxes, placed, lines = _arranged(procedure)
    head_width = max(placed.width, 520.0)
    title = wrap(procedure.title, head_width, _TITLE, bold=True)
    applies = wrap(procedure.applies_to, head_width, BODY)
    head = len(title) * _TITLE * LEADING + len(applies) * BODY * LEADING + 24
    width, height = head_width + 2 * MARGIN, placed.height + head + 2 * MARGIN
    parts = [
        f'<svg xmlns="http://www.w3.org/2000/svg" role="img" aria-labelledby="title desc" width="{width:.0f}" '
        f'height="{height:.0f}" viewBox="0 0 {width:.0f} {height:.0f}" font-family="{_FACE}" fill="{_INK}">',
        f'<title id="title">{escape(procedure.title)}</title>',
        f'<desc id="desc">{escape(_description(procedure))}</desc>',
        '<rect width="100%" height="100%" fill="#ffffff"/>',
        *_text(title, MARGIN, MARGIN, _TITLE, bold=True),
        *_text(applies, MARGIN, MARGIN + len(title) * _TITLE * LEADING + 4, BODY),
        f'<g transform="translate({MARGIN + (head_width - placed.width) / 2:.1f} {MARGIN + head:.1f})">',
        *_lines(placed, lines),
    ]
    for box in boxes.values():
        parts += _box(procedure, box, *placed.boxes[box.step.id])
    return "\n".join([*parts, "</g>", "</svg>", ""])


def _arranged(procedure: Procedure) -> tuple[dict[str, Box], Placed, list[Line]]:
    """The boxes, their places, and the lines. Which ways lead back up does not depend on the sizes, so it is asked
    first with boxes of no size."""
    steps = {step.id: step for step in procedure.steps}
    numbered = [(step, number, way) for step in steps.values() for number, way in enumerate(ways_of(step))]
    bare = [Line(start=step.id, end=way.goes) for step, _, way in numbered]
    dots = lay_out(procedure.begin, dict.fromkeys(steps, Size(width=1.0, height=1.0)), bare)
    backward: dict[str, set[int]] = {}
    for (step, number, _), route in zip(numbered, dots.routes, strict=True):
        if not route:
            backward.setdefault(step.id, set()).add(number)
    boxes = {step.id: box_of(procedure, step, frozenset(backward.get(step.id, ()))) for step in steps.values()}
    lines = [Line(start=step.id, end=way.goes, port=_port(boxes[step.id], number)) for step, number, way in numbered]
    return boxes, lay_out(procedure.begin, {name: box.size for name, box in boxes.items()}, lines), lines


def _port(box: Box, number: int) -> float:
    cell = box.cells[number]
    return cell.left + cell.width / 2 - box.size.width / 2


def _description(procedure: Procedure) -> str:
    cautioned = sum(bool(step.cautions) for step in procedure.steps)
    ends = [step.id for step in procedure.steps if step.kind in (Kind.FINDING, Kind.RETURN)]
    return (
        f"Flow chart of {len(procedure.steps)} steps from {procedure.begin}; {cautioned} have cautions before them; "
        f"it ends in {', '.join(ends)}."
    )


def _lines(placed: Placed, lines: Iterable[Line]) -> Iterator[str]:
    yield f'<g fill="none" stroke="{_INK}" stroke-width="1.4">'
    for line, route in zip(lines, placed.routes, strict=True):
        if not route:
            continue
        path = [f"M{route[0][0]:.1f} {route[0][1]:.1f}"]
        for (x, y), (next_x, next_y) in pairwise(route):
            if abs(next_x - x) < 0.05:
                path.append(f"V{next_y:.1f}")
            else:
                half = (y + next_y) / 2
                path.append(f"C{x:.1f} {half:.1f} {next_x:.1f} {half:.1f} {next_x:.1f} {next_y:.1f}")
        yield f"<path d={quoteattr(' '.join(path))} data-from={quoteattr(line.start)} data-to={quoteattr(line.end)}/>"
    yield "</g>"
    yield f'<g fill="{_INK}">'
    for x, y in dict.fromkeys(route[-1] for route in placed.routes if route):
        yield f'<path d="M{x:.1f} {y:.1f} l-4.5 -8.5 h9 z"/>'
    yield "</g>"


def _box(procedure: Procedure, box: Box, left: float, top: float) -> Iterator[str]:
    step = box.step
    yield f'<g transform="translate({left:.1f} {top:.1f})" data-step={quoteattr(step.id)}>'
    yield f"<title>{escape(_spoken(procedure, step))}</title>"
    frame_top = box.top_of_words
    yield _frame(box, frame_top)
    y = 0.0
    for mark in box.marks:
        yield from _mark(mark, box.size.width, y)
        y += mark.height
    yield from _text([box.head], PAD, y + PAD, BODY, bold=True)
    aside_left = box.size.width - PAD - text_width(box.aside, SMALL)
    yield from _text([box.aside], aside_left, y + PAD + (BODY - SMALL), SMALL)
    yield from _text(list(box.words), PAD, y + PAD + BODY * LEADING, BODY)
    yield from _cells(box)
    yield "</g>"


def _spoken(procedure: Procedure, step: Step) -> str:
    cautions = {caution.id: caution for caution in procedure.cautions}
    told = [
        f"{caution.signal.upper()}: {caution.hazard} {caution.avoid} {caution.consequence}"
        for caution in (cautions[name] for name in step.cautions if name in cautions)
    ]
    gates = [f"Asks first: {', '.join(step.gates)}."] if step.gates else []
    alone = [f"Alone: {step.alone}"] if step.alone else []
    return " ".join([f"{step.id} ({step.kind}).", *told, *gates, step.say, *alone]).strip()


def _frame(box: Box, top: float) -> str:
    width, height = box.size.width, box.size.height - top
    kind = box.step.kind
    style = f'fill="{_FILL[kind]}" stroke="{_INK}" stroke-width="{3 if kind is Kind.CRANK else 1.5}"'
    if kind in (Kind.WAIT, Kind.PACE):
        style += ' stroke-dasharray="7 4"'
    if kind is Kind.CHOOSE:
        cut = 12
        shape = (
            f"M{cut} {top:.1f} H{width - cut:.1f} L{width:.1f} {top + cut:.1f} V{top + height - cut:.1f} "
            f"L{width - cut:.1f} {top + height:.1f} H{cut} L0 {top + height - cut:.1f} V{top + cut:.1f} Z"
        )
        return f'<path d="{shape}" {style}/>'
    round_ = 16 if kind in (Kind.FINDING, Kind.RETURN) else 2
    frame = f'<rect y="{top:.1f}" width="{width:.1f}" height="{height:.1f}" rx="{round_}" {style}/>'
    if kind is Kind.FINDING:
        frame += (
            f'<rect x="4" y="{top + 4:.1f}" width="{width - 8:.1f}" height="{height - 8:.1f}" rx="12" fill="none" '
            f'stroke="{_INK}" stroke-width="1"/>'
        )
    if kind is Kind.CALL:
        frame += (
            f'<path d="M5 {top:.1f} v{height:.1f} M{width - 5:.1f} {top:.1f} v{height:.1f}" '
            f'stroke="{_INK}" stroke-width="1.5"/>'
        )
    return frame


def _mark(mark: Mark, width: float, top: float) -> Iterator[str]:
    fill, ink = _STRIP[mark.signal]
    stroke = f'stroke="{_INK}" stroke-width="{1 if mark.signal is None else 2}"'
    yield f'<rect y="{top:.1f}" width="{width:.1f}" height="{mark.height:.1f}" fill="{fill}" {stroke}/>'
    left = PAD
    if mark.signal not in (None, Signal.NOTICE):
        middle = top + mark.height / 2
        yield f'<path d="M{PAD + 7} {middle - 7:.1f} l8 14 h-16 z" fill="none" stroke="{ink}" stroke-width="1.6"/>'
        yield f'<path d="M{PAD + 7} {middle - 2.5:.1f} v4.5 m0 1.6 v1.2" stroke="{ink}" stroke-width="1.6"/>'
        left += TRIANGLE
    yield from _text(list(mark.lines), left, top + 4, SMALL, bold=mark.signal is not None, ink=ink)


def _cells(box: Box) -> Iterator[str]:
    if not box.foot:
        return
    top = box.size.height - box.foot
    yield f'<g stroke="{_INK}" stroke-width="0.8">'
    yield f'<path d="M0 {top:.1f} H{box.size.width:.1f}"/>'
    for cell in box.cells[1:]:
        yield f'<path d="M{cell.left:.1f} {top:.1f} v{box.foot:.1f}"/>'
    yield "</g>"
    for cell in box.cells:
        for number, line in enumerate(cell.lines):
            yield from _text(
                [line], cell.left + cell.width / 2, top + 4 + number * SMALL * LEADING, SMALL, anchor="middle"
            )


def _text(
    lines: list[str], x: float, y: float, size: float, *, bold: bool = False, ink: str = _INK, anchor: str = "start"
) -> Iterator[str]:
    """Lines of text whose first has its top at `y`."""
    weight = ' font-weight="bold"' if bold else ""
    for number, line in enumerate(lines):
        base = y + size + number * size * LEADING
        yield (
            f'<text x="{x:.1f}" y="{base:.1f}" font-size="{size:g}" fill="{ink}" text-anchor="{anchor}"{weight}>'
            f"{escape(line)}</text>"
        )
