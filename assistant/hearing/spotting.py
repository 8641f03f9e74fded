"""Where in a stretch of sound a word lies, whatever stands before and after it: heard phone by phone."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from assistant.hearing.phones import Reading

Floats = NDArray[np.float32]

_NEVER = np.float32(-1e9)


@dataclass(frozen=True, slots=True, kw_only=True)
class Spot:
    """A word in the sound. `fall`: nats by which it falls short of the best phones of the same steps, 0 or less;
    `begins`, `ends`: its first and last step, as the first ear has it."""

    fall: float
    begins: int
    ends: int


def spotted(ears: Floats, words: Sequence[Sequence[Reading]], *, latest: int) -> list[Spot]:
    """For each of the words, of its readings the best, where it lies best among the places that end within the last
    `latest` steps.

    `ears`: what each ear makes of the sound, (ears, steps, 40). Each ear looks for its own place, for they hear the
    same phone at different moments; the mean of what they find counts.
    """
    short = ears - ears.max(axis=2, keepdims=True)
    owners = [number for number, readings in enumerate(words) for _ in readings]
    reached, began = _last_states(short, [reading for readings in words for reading in readings])
    steps = short.shape[1]
    first = max(0, steps - latest)
    falls = reached[:, first:].max(axis=1).mean(axis=0)
    found = []
    for number in range(len(words)):
        row = max((place for place, owner in enumerate(owners) if owner == number), key=lambda place: falls[place])
        end = first + int(reached[0, first:, row].argmax())
        found.append(Spot(fall=float(falls[row]), begins=int(began[0, end, row]), ends=end))
    return found


def _last_states(short: Floats, readings: Sequence[Reading]) -> tuple[Floats, NDArray[np.int64]]:
    """At each step the best score of each reading that ends there, from wherever it began, and where that was:
    (ears, steps, readings) both."""
    most = max(map(len, readings))
    places = np.zeros((len(readings), 2 * most - 1), np.int64)
    for row, reading in enumerate(readings):
        places[row, : 2 * len(reading) - 1 : 2] = reading
    may_skip = np.zeros(places.shape, bool)
    may_skip[:, 2::2] = places[:, 2::2] != places[:, :-2:2]
    rows, last = np.arange(len(readings)), np.array([2 * len(reading) - 2 for reading in readings])
    shape = (len(short), *places.shape)
    reached, began = np.full(shape, _NEVER, np.float32), np.zeros(shape, np.int64)
    found = np.full((*short.shape[:2], len(readings)), _NEVER, np.float32)
    from_step = np.zeros(found.shape, np.int64)
    for step in range(short.shape[1]):
        moved, moved_from = np.full(shape, _NEVER, np.float32), np.full(shape, step)
        moved[..., 1:], moved_from[..., 1:] = reached[..., :-1], began[..., :-1]
        moved[..., 0] = 0.0
        better = moved > reached
        before, before_from = np.where(better, moved, reached), np.where(better, moved_from, began)
        skipped = np.where(may_skip[:, 2:], reached[..., :-2], _NEVER)
        better = skipped > before[..., 2:]
        before[..., 2:] = np.where(better, skipped, before[..., 2:])
        before_from[..., 2:] = np.where(better, began[..., :-2], before_from[..., 2:])
        reached, began = before + short[:, step][:, places], before_from
        found[:, step], from_step[:, step] = reached[:, rows, last], began[:, rows, last]
    return found, from_step
