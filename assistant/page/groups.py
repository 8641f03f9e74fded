"""All that can be said, under headings, so that a knuckle finds it."""

from __future__ import annotations

from functools import lru_cache

from assistant.language.commands import Control, Heading, control_of, phrase_of
from assistant.language.questions import WHAT_IF

_FOLLOWED = tuple(each for each in Control if each.row.followed)


@lru_cache(maxsize=8)
def grouped(phrases: tuple[str, ...]) -> tuple[tuple[str, tuple[str, ...]], ...]:
    """These phrases under their headings, in the order in which they came; what is no command is a question."""
    found: dict[Heading, list[str]] = {heading: [] for heading in Heading}
    for words in phrases:
        found[_heading(words)].append(words)
    return tuple((heading.value, tuple(all_of)) for heading, all_of in found.items() if all_of)


@lru_cache(maxsize=1024)
def plain(words: str) -> str:
    """The command at the end of the words, without an attention word before it."""
    parts = words.split()
    ends = (" ".join(parts[at:]) for at in range(len(parts)))
    return next((end for end in ends if control_of(end) is not None), words)


def _heading(words: str) -> Heading:
    if WHAT_IF in words:
        return Heading.SUPPOSE
    followed = next((each for each in _FOLLOWED if phrase_of(each) in words), None)
    control = followed or control_of(plain(words))
    return Heading.ASK if control is None else control.row.heading
