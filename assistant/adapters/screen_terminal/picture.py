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
from assistant.page.build import said_besides
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

_METER_CELLS = 12
_CLOCK_ROWS = 2
"""What a count-down takes at least: an empty row and its own."""

_FEET = ((6, 3, True), (3, 2, True), (2, 1, True), (2, 1, False), (6, 3, True))
"""Rows for what was said and for what can be said, and whether there is room for the rest, tried until the instruction
fits in large letters; last, as first, what is taken where it never does."""


class ViewPicture:
    """A view as something that rich draws, exactly as large as the screen."""

    def __init__(self, view: View) -> None:
        self._view = view

    def __rich_console__(self, console: Console, options: ConsoleOptions) -> RenderResult:
        """Header and caution above, what was and can be said below, the instruction as large as the rest allows.

        Where it would not be larger than the rest, the rest gives way.
        """
        width, height = options.max_width, options.height or options.max_height
        free = options.update(height=None)
        above = console.render_lines(Group(_header(self._view), *_caution(self._view)), free)
        least = len(console.render_lines(Text(self._view.instruction), free)) + 1
        least += 0 if self._view.countdown_s is None else _CLOCK_ROWS
        below: list[list[Segment]] = []
        room = 1
        for said_rows, option_rows, rest in _FEET:
            parts = _foot(self._view, said_rows, option_rows, rest=rest)
            below = console.render_lines(Group(*parts), free)[: max(0, height - len(above) - least)]
            room = max(1, height - len(above) - len(below))
            if _letters(self._view, width, room):
                break
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
    """The band, and of its words those that do not stand in the instruction already, which is larger."""
    if view.caution_signal is None:
        return []
    label, style = _band(view.caution_signal)
    parts: list[RenderableType] = [Padding(Text(label, justify="center"), style=style)]
    words = (view.caution or "").removeprefix(view.instruction).strip()
    if words:
        parts.append(Padding(Text(words, justify="center"), (0, 2), style=style))
    return parts


def _band(signal: str) -> tuple[str, str]:
    return _BANDS.get(signal, (signal.upper(), "bold reverse"))


def _letters(view: View, width: int, room: int) -> tuple[str, ...]:
    clock = _clock(view, width, room)
    return large(view.instruction, width - 2, room - len(clock) - bool(clock))


def _middle(view: View, width: int, room: int) -> RenderableType:
    """The instruction, and beneath it the seconds that still run."""
    clock, letters = _clock(view, width, room), _letters(view, width, room)
    parts: list[RenderableType] = [_block(letters) if letters else Text(view.instruction, "bold", justify="center")]
    if clock:
        parts += [Text(), _block(clock, "bold cyan")]
    return Align.center(Group(*parts), vertical="middle", height=room)


def _block(rows: tuple[str, ...], style: str = "bold") -> RenderableType:
    return Align.center(Text("\n".join(rows), style=style, no_wrap=True))


def _clock(view: View, width: int, room: int) -> tuple[str, ...]:
    if view.countdown_s is None:
        return ()
    left_s = max(0.0, view.countdown_s)
    text = f"{left_s:.1f} s" if left_s < 60 else f"{int(left_s // 60)}:{int(left_s % 60):02d}"
    return large(text, width, room // 2) or (text,)


def _foot(view: View, said_rows: int, option_rows: int, *, rest: bool) -> list[RenderableType]:
    parts: list[RenderableType] = [Rule(style="dim")]
    if said := said_besides(view):
        parts.append(_Said(said, said_rows))
    if rest and view.heard is not None:
        parts.append(Text.assemble(("Heard  ", "dim"), (f"“{view.heard}”", "bold green")))
    if view.can_say:
        parts.append(_Rows(Text("Say  ", "dim").append("  ·  ".join(view.can_say), "bold not dim"), option_rows))
    if rest and view.open_items:
        parts.append(Text.assemble(("Still off  ", "dim"), (", ".join(view.open_items), "yellow")))
    if rest and view.bay:
        parts.append(_Rows(Text.assemble(("Car and bay  ", "dim"), ("  ·  ".join(view.bay), "yellow")), 1))
    parts += [_Rows(Text("   ").join(each), 1) for each in [_hands(view)] if rest and each]
    return parts


class _Said:
    """So many rows of what was said: the beginning, and always the last sentence, which is what is asked."""

    def __init__(self, said: tuple[str, ...], rows: int) -> None:
        self._said = said
        self._rows = rows

    def __rich_console__(self, console: Console, options: ConsoleOptions) -> RenderResult:
        """At most so many rows."""
        whole = Text(" ".join(self._said), "bold").wrap(console, options.max_width)
        if len(whole) <= self._rows or len(self._said) == 1:
            yield from _cut(list(whole), self._rows, options.max_width)
            return
        asked = _cut(list(Text(self._said[-1], "bold").wrap(console, options.max_width)), self._rows, options.max_width)
        before = Text(" ".join(self._said[:-1]), "bold").wrap(console, options.max_width)
        yield from _cut(list(before), self._rows - len(asked), options.max_width)
        yield from asked


def _hands(view: View) -> list[Text]:
    """How loud it is, and which keys there are."""
    parts = [] if view.level_db is None else [_meter(view.level_db)]
    if view.keys:
        named = "  ·  ".join(f"{key} {phrase}" for key, phrase in view.keys)
        parts.append(Text.assemble(("Keys  ", "dim"), named))
    return parts


def _meter(level_db: float) -> Text:
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
        yield from _cut(list(self._text.wrap(console, options.max_width)), self._rows, options.max_width)


def _cut(lines: list[Text], rows: int, width: int) -> list[Text]:
    kept = lines[: max(0, rows)]
    if kept and len(lines) > len(kept):
        kept[-1].truncate(width - 2)
        kept[-1].append(" …")
    return kept
