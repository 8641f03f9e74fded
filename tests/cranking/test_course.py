"""The course of things: which part goes on when, from the odds of each moment."""

from __future__ import annotations

from itertools import pairwise, product

import numpy as np
import pytest

from assistant.cranking.course import changes, follow
from assistant.cranking.layers import ELSE, ENGINE, STARTER
from assistant.cranking.levels import BANDS
from assistant.cranking.traits import STEP


def odds(*parts: tuple[int, int], doubt: float = 0.1) -> np.ndarray:
    """So many steps of each part, all but `doubt` sure."""
    rows = []
    for part, steps in parts:
        row = np.full(3, doubt / 2)
        row[part] = 1 - doubt
        rows += [row] * steps
    return np.log(np.asarray(rows, dtype=np.float32))


def levels(*parts: tuple[float, int]) -> np.ndarray:
    """So many steps at each level, dB, in all bands, with a little unrest."""
    rows = np.repeat([db for db, _ in parts], [steps * STEP for _, steps in parts])
    return (rows[:, None] + np.random.default_rng(0).normal(0, 1, (len(rows), BANDS))).astype(np.float32)


def told(found) -> list[tuple[int, int, int]]:
    """The parts and their edges."""
    return [(span.part, span.start, span.stop) for span in found]


def test_a_burst_and_the_engine_after_it():
    """Each part is found with its own edges."""
    sound = levels((-60, 20), (-40, 40), (-30, 30), (-60, 20))
    course = follow(odds((ELSE, 20), (STARTER, 40), (ENGINE, 30), (ELSE, 20)), sound)
    assert told(course) == [(STARTER, 20, 60), (ENGINE, 60, 90)]


def test_doubt_within_a_sound_that_goes_on_cuts_no_burst_in_two():
    """Eight steps that seem something else, where no level changes, are part of the burst."""
    doubtful = odds((ELSE, 20), (STARTER, 30), (ELSE, 8), (STARTER, 30), (ELSE, 20))
    assert told(follow(doubtful, levels((-60, 20), (-40, 68), (-60, 20)))) == [(STARTER, 20, 88)]


def test_two_bursts_with_a_pause_are_two():
    """The same eight steps are a pause where the sound falls away."""
    sound = levels((-60, 20), (-40, 30), (-60, 8), (-40, 30), (-60, 20))
    course = follow(odds((ELSE, 20), (STARTER, 30), (ELSE, 8), (STARTER, 30), (ELSE, 20)), sound)
    assert told(course) == [(STARTER, 20, 50), (STARTER, 58, 88)]


def test_an_engine_that_no_starter_turned_is_anothers():
    """Another car that runs is nothing of ours."""
    sound = levels((-60, 20), (-40, 40), (-60, 20))
    assert follow(odds((ELSE, 20), (ENGINE, 40), (ELSE, 20), doubt=0.6), sound) == []


def test_a_sound_may_begin_and_end_while_the_starter_turns():
    """A recording that is cut on both sides is one burst."""
    assert told(follow(odds((STARTER, 30)), levels((-40, 30)))) == [(STARTER, 0, 30)]


def test_a_moment_is_no_burst_and_nothing_holds_nothing():
    """Three steps are too short to be a starter; no steps are no error."""
    moment = odds((ELSE, 30), (STARTER, 3), (ELSE, 30), doubt=0.001)
    assert follow(moment, levels((-60, 30), (-40, 3), (-60, 30))) == []
    assert follow(np.zeros((0, 3), dtype=np.float32), levels((-60, 1))) == []


def cheapest(odds_: np.ndarray, sound: np.ndarray) -> list[int]:
    """The cheapest of all courses of parts, tried one by one."""
    costs = np.clip(60.0 - 40.0 * changes(sound, len(odds_)), 4.0, 60.0)
    dear = np.minimum(-odds_, 8.0)
    best, chosen = np.inf, []
    for course in product((ELSE, STARTER, ENGINE), repeat=len(odds_)):
        cost = dear[0][course[0]] + (4.0 if course[0] == STARTER else 1e9 if course[0] == ENGINE else 0.0)
        for at, (one, other) in enumerate(pairwise(course), 1):
            cost += dear[at][other] + (
                0.0 if one == other else costs[at] + (2.0 if one == ENGINE > other > ELSE else 0.0)
            )
            cost += 1e9 if (one, other) == (ELSE, ENGINE) else 0.0
        if cost < best:
            best, chosen = cost, list(course)
    return chosen


def test_the_course_is_the_cheapest_of_all():
    """Of all courses through a few steps none costs less, whatever the odds; a change costs as the levels tell."""
    for seed in range(6):
        rng = np.random.default_rng(seed)
        drawn = np.log(rng.dirichlet((0.3, 0.3, 0.3), 8).astype(np.float32) + 1e-6)
        sound = levels((-60, 3), (-30, 5))
        spans = follow(drawn, sound)
        told_parts = [ELSE] * 8
        for span in spans:
            told_parts[span.start : span.stop] = [span.part] * (span.stop - span.start)
        wanted = cheapest(drawn, sound)
        kept = [part for part, told in zip(wanted, told_parts, strict=True) if told != ELSE]
        assert kept == [told for told in told_parts if told != ELSE]


@pytest.mark.parametrize(("nats", "again"), [(5.5, False), (6.5, True)])
def test_an_engine_that_ran_is_turned_again_only_where_much_speaks_for_it(nats: float, *, again: bool) -> None:
    """Two nats more than any other change, which costs four where the levels change much."""
    parts = odds((STARTER, 20), (ENGINE, 20), (ENGINE, 10), doubt=1e-3)
    parts[-10:, STARTER] = parts[-10:, ENGINE] + nats / 10
    found = told(follow(parts, levels((-60, 20), (-40, 20), (-20, 10))))
    assert found == [(STARTER, 0, 20), *([(ENGINE, 20, 40), (STARTER, 40, 50)] if again else [(ENGINE, 20, 50)])]


@pytest.mark.parametrize(
    ("part", "steps", "kept"), [(STARTER, 4, True), (STARTER, 3, False), (ENGINE, 6, True), (ENGINE, 5, False)]
)
def test_what_is_too_short_counts_as_nothing_but_at_the_end(part: int, steps: int, *, kept: bool) -> None:
    """A third of a second of a starter, half a second of an engine; at the end it may go on."""
    before = 20 if part == ENGINE else 0
    lead = [(ELSE, 20), (STARTER, before)] if before else [(ELSE, 20)]
    sound = levels((-60, 20), (-40, before), (-20, steps), (-60, 20))
    for after, told_of in ((20, kept), (0, True)):
        found = told(follow(odds(*lead, (part, steps), (ELSE, after), doubt=1e-4), sound))
        assert ((part, 20 + before, 20 + before + steps) in found) is told_of
