"""All that can be said, by kind, so that a knuckle finds it."""

from __future__ import annotations

from functools import lru_cache

from assistant.language.commands import control_of, phrase_of
from assistant.language.model import Control
from assistant.language.questions import WHAT_IF

ANOTHER_WAY, ASK, KEEP, SPEAK, GO_TO, END = "Another way", "Ask", "Keep", "My voice", "Go to a test", "End"
SUPPOSE = "Suppose"

_KINDS = {
    ANOTHER_WAY: (
        Control.CANNOT, Control.ANOTHER, Control.SKIP, Control.STRIKE, Control.YES, Control.NO, Control.LEAD,
        Control.BY_THE_BOOK, Control.SAME_CAR, Control.DIESEL, Control.REPAIR_DONE, Control.REPAIR_CONFIRMED,
    ),
    ASK: (Control.WHERE, Control.OPTIONS, Control.HOW_LONG),
    KEEP: (Control.NOTE, Control.PICTURE),
    END: (Control.END_JOB, Control.PHONE_AWAY),
    SPEAK: (
        Control.LOUDER, Control.SOFTER, Control.SLOWER, Control.FASTER, Control.FULL, Control.BRIEF, Control.TERSE,
        Control.TONES, Control.NO_TONES,
    ),
    GO_TO: (),
    SUPPOSE: (),
}  # fmt: skip
_KIND_OF = {control: name for name, controls in _KINDS.items() for control in controls}


@lru_cache(maxsize=8)
def grouped(phrases: tuple[str, ...]) -> tuple[tuple[str, tuple[str, ...]], ...]:
    """These phrases under their headings, each in the order of its kind; what is no command is a question."""
    found: dict[str, list[str]] = {name: [] for name in _KINDS}
    for words in phrases:
        found[_kind(words)].append(words)
    return tuple((name, tuple(sorted(all_of, key=_place))) for name, all_of in found.items() if all_of)


@lru_cache(maxsize=1024)
def plain(words: str) -> str:
    """The command at the end of the words, without an attention word before it."""
    parts = words.split()
    ends = (" ".join(parts[at:]) for at in range(len(parts)))
    return next((end for end in ends if control_of(end) is not None), words)


def _kind(words: str) -> str:
    if phrase_of(Control.TAKE_TO) in words:
        return GO_TO
    if WHAT_IF in words:
        return SUPPOSE
    control = control_of(plain(words))
    return ASK if control is None else _KIND_OF.get(control, ANOTHER_WAY)


def _place(words: str) -> int:
    order = _KINDS[_kind(words)]
    control = control_of(plain(words))
    return order.index(control) if control in order else len(order)
