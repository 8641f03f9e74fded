"""Words put together: lists and sentences."""

from __future__ import annotations

from collections.abc import Sequence


def say_list(items: Sequence[str], last: str = "and") -> str:
    """Items as spoken: "a", "a and b", "a, b and c"."""
    if len(items) < 2:
        return "".join(items)
    return f"{', '.join(items[:-1])} {last} {items[-1]}"


def sentence(words: str) -> str:
    """The words with a capital and a full stop, unless they end in a mark of their own."""
    text = words.strip()
    if not text:
        return ""
    return text[0].upper() + text[1:] + ("" if text[-1] in ".?!" else ".")
