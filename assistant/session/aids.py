"""What a page does at a word."""

from __future__ import annotations

from dataclasses import replace

from assistant.language.commands import phrase_of
from assistant.language.model import Command, Expected, GiveControl, Unclear
from assistant.ports import Aids


def widened(expected: Expected, aids: Aids | None) -> Expected:
    """What may be said, with what a page obeys; nothing more where no command may be said at all."""
    if aids is None or not expected.controls:
        return expected
    return replace(expected, controls=expected.controls | aids.controls())


def aids_phrases(expected: Expected, aids: Aids | None) -> tuple[str, ...]:
    """The phrases of what a page obeys now."""
    return tuple(sorted(phrase_of(one) for one in aids.controls())) if aids and expected.controls else ()


def aided(aids: Aids, command: Command | Unclear) -> str | None:
    """What to say once a page has begun to do it; None for what is no page's business. No fact comes of it yet."""
    if isinstance(command, GiveControl) and command.control in aids.controls():
        return aids.obey(command.control)
    return None
