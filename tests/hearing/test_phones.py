"""Sentences scored phone by phone."""

from __future__ import annotations

from itertools import groupby, product

import numpy as np
import pytest
from numpy.typing import NDArray

from assistant.hearing.phones import PHONES, fits, nearest, numbered

SPARK = numbered(["S", "P", "AA", "R", "K"])


def sound(steps: int, seed: int = 3) -> NDArray[np.float32]:
    """Log-probabilities of a made-up sound: (steps, 40)."""
    scores = np.random.default_rng(seed).normal(size=(steps, len(PHONES) + 1)).astype(np.float32)
    logs: NDArray[np.float32] = scores - np.log(np.exp(scores).sum(axis=1, keepdims=True))
    return logs


def by_definition(logs: NDArray[np.float32], reading: tuple[int, ...]) -> float:
    """Every path of phones and pauses, repeats merged and pauses left out, that spells the reading; few phones only."""
    used = sorted({0, *reading})
    total = 0.0
    for path in product(used, repeat=len(logs)):
        if tuple(number for number, _ in groupby(path) if number) == reading:
            total += float(np.exp(sum(logs[step, number] for step, number in enumerate(path))))
    return float(np.log(total))


@pytest.mark.parametrize("phones", ["N", "N OW", "N OW N", "OW OW", "N N OW"])
def test_a_score_is_the_sum_over_all_alignments(phones: str) -> None:
    """Outside check: the definition in Graves et al. 2006, "Connectionist temporal classification", eq. 2 and 3."""
    logs, reading = sound(7), numbered(phones.split())
    free = float(logs.max(axis=1).sum())
    assert fits(logs[None], [[reading]])[0] == pytest.approx(by_definition(logs, reading) - free, abs=1e-3)


def test_of_several_readings_the_best_counts_and_the_company_does_not_matter() -> None:
    """Scored together with longer and shorter sentences each gets the same score as alone."""
    logs = sound(12)
    one, other, long = numbered(["N", "OW"]), numbered(["R", "EH1", "D"]), SPARK + SPARK[:3]
    alone = [fits(logs[None], [[each]])[0] for each in (one, other, long)]
    assert fits(logs[None], [[one, other], [long]]) == pytest.approx([max(alone[:2]), alone[2]], abs=1e-3)


def test_more_phones_than_the_sound_has_steps_cannot_be_said() -> None:
    """Such a sentence is out of the question, and so is one without a reading."""
    assert all(fall < -1e6 for fall in fits(sound(3)[None], [[SPARK], []]))


def test_the_nearest_sentences_are_those_whose_phones_are_there() -> None:
    """Of many the few that could fit best, by any of their readings; all where there are few."""
    ears = np.full((1, 4, 40), -9.0, np.float32)
    ears[0, 0, 5] = ears[0, 1, 6] = ears[0, 2, 7] = ears[0, 3, 0] = 0.0
    there, half, apart = ((5, 6, 7),), ((8,), (5, 6)), ((8, 9, 10),)
    assert set(nearest(ears, [apart, half, there], 2)) == {1, 2}
    assert nearest(ears, [apart], 2) == [0]
