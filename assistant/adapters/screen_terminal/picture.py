"""One view laid out for whatever width and height there is: what matters most keeps its place longest."""

from __future__ import annotations

from collections.abc import Iterable

from rich.align import Align
from rich.console import Console, ConsoleOptions, Group, RenderableType, RenderResult
from rich.padding import Padding
from rich.rule import Rule
from rich.segment import Segment
from rich.table import Table
from rich.text import Text

from assistant.adapters.screen_terminal.letters import large
from assistant.ports import View

_BANDS = {
    "danger": ("▲▲▲  DANGER  ▲▲▲", "bold #ffffff on #b3001b"),
    "warning": ("▲▲  WARNING  ▲▲", "bold #000000 on #ff8200"),
    "caution": ("▲  CAUTION  ▲", "bold #000000 on #ffd100"),
    "notice": ("NOTICE", "bold italic #ffffff on #00539b"),
}
"""Signal words differ in word, count of marks and letter style, not in colour alone; a notice, which is about damage
and not about people, has no mark. Source: ANSI Z535.4 for the words (colours from memory, nearest in RGB)."""

_QUIETEST_DB = -60.0
_TOO_SOFT_DB, _TOO_LOUD_DB = -45.0, -6.0
"""Levels between which speech is heard well. Judgement."""

_METER_CELLS = 24
_OPTION_ROWS = 3


class ViewPicture:
    """A view as something that rich draws, exactly as large as the screen."""

    def __init__(self, view: View) -> None:
        self._view = view

    def __rich_console__(self, console: Console, options: ConsoleOptions) -> RenderResult:
        """Header and caution above, what was and can be said below, the instruction as large as the rest allows."""
        width, height = options.max_width, options.height or options.max_height
        free = options.update(height=None)
        above = console.render_lines(Group(_header(self._view), *_caution(self._view)), free)
        below = console.render_lines(Group(*_foot(self._view)), free)
        least = len(console.render_lines(Text(self._view.instruction), free)) + 1
        below = below[: max(0, height - len(above) - least)]
        room = max(1, height - len(above) - len(below))
        middle = console.render_lines(_middle(self._view, width, room), options.update(height=room))
        yield from _stacked([*above, *middle[:room], *below][:height])


def _stacked(lines: Iterable[list[Segment]]) -> Iterable[Segment]:
    for place, line in enumerate(lines):
        if place:
            yield Segment.line()
        yield from line


def _header(view: View) -> RenderableType:
    table = Table.grid(expand=True, padding=(0, 1))
    table.add_column(ratio=1, no_wrap=True, overflow="ellipsis")
    table.add_column(justify="right", no_wrap=True)
    table.add_row(Text(view.title, style="bold"), Text(f"{view.job} / {view.step} / {view.mode.upper()}"))
    return table


def _caution(view: View) -> list[RenderableType]:
    if view.caution_signal is None:
        return []
    label, style = _BANDS.get(view.caution_signal, (view.caution_signal.upper(), "bold reverse"))
    return [
        Padding(Text(label, justify="center"), style=style),
        Padding(Text(view.caution or "", justify="center"), (0, 2), style=style),
    ]


def _middle(view: View, width: int, room: int) -> RenderableType:
    """The instruction, and beneath it the seconds that still run."""
    clock = () if view.countdown_s is None else _clock(max(0.0, view.countdown_s), width, room)
    letters = large(view.instruction, width - 2, room - len(clock) - 1)
    parts: list[RenderableType] = [_block(letters) if letters else Text(view.instruction, "bold", justify="center")]
    if clock:
        parts += [Text(), _block(clock, "bold cyan")]
    return Align.center(Group(*parts), vertical="middle", height=room)


def _block(rows: tuple[str, ...], style: str = "bold") -> RenderableType:
    return Align.center(Text("\n".join(rows), style=style, no_wrap=True))


def _clock(left_s: float, width: int, room: int) -> tuple[str, ...]:
    text = f"{left_s:.1f} s" if left_s < 60 else f"{int(left_s // 60)}:{int(left_s % 60):02d}"
    return large(text, width, room // 2) or (text,)


def _foot(view: View) -> list[RenderableType]:
    parts: list[RenderableType] = [Rule(style="dim")]
    if view.heard is not None:
        parts.append(Text.assemble(("Heard  ", "dim"), (f"“{view.heard}”", "bold green")))
    if view.can_say:
        parts.append(_options(view.can_say))
    if view.open_items:
        parts.append(Text.assemble(("Still off  ", "dim"), (", ".join(view.open_items), "yellow")))
    if view.level_db is not None:
        parts.append(_meter(view.level_db))
    return parts


def _options(can_say: tuple[str, ...]) -> RenderableType:
    """As many phrases as three rows hold, in the order given: what is asked now comes first."""
    return _Rows(Text("Say  ", "dim").append("  ·  ".join(can_say), "bold not dim"), _OPTION_ROWS)


def _meter(level_db: float) -> RenderableType:
    filled = round(_METER_CELLS * min(1.0, max(0.0, 1.0 - level_db / _QUIETEST_DB)))
    word, style = "good", "green"
    if level_db < _TOO_SOFT_DB:
        word, style = "quiet", "dim"
    elif level_db > _TOO_LOUD_DB:
        word, style = "too loud", "red"
    bar = "█" * filled + "·" * (_METER_CELLS - filled)
    return Text.assemble(("Mic  ", "dim"), (bar, style), f"  {level_db:.0f} dBFS  {word}")


class _Rows:
    """The first rows of a text, with an ellipsis where more would follow."""

    def __init__(self, text: Text, rows: int) -> None:
        self._text = text
        self._rows = rows

    def __rich_console__(self, console: Console, options: ConsoleOptions) -> RenderResult:
        """At most so many rows."""
        lines = self._text.wrap(console, options.max_width)
        if len(lines) > self._rows:
            last = lines[self._rows - 1]
            last.truncate(options.max_width - 2)
            last.append(" …")
        yield from lines[: self._rows]
