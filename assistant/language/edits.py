"""How far words are from those that were said."""

from __future__ import annotations

from assistant.language.plain import plain_words


def words_wrong(said: str, kept: str) -> int:
    """The fewest words to change, add or take out; case and marks do not count."""
    wanted, have = plain_words(said).split(), plain_words(kept).split()
    row = list(range(len(have) + 1))
    for number, word in enumerate(wanted, start=1):
        before, row = row, [number]
        for place, other in enumerate(have, start=1):
            row.append(min(before[place] + 1, row[-1] + 1, before[place - 1] + (word != other)))
    return row[-1]
