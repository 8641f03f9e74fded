"""From what each moment sounds like to the course of things: the starter turned from here to there, the engine ran.

A part begins and ends where the sound changes in many bands at once, and hardly ever within a sound that goes on: so a
change of part costs little where the levels change and much where they do not, and one loud word cuts no burst in two.
"""

from __future__ import annotations

from dataclasses import dataclass
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from assistant.cranking.layers import ELSE, ENGINE, STARTER, Odds
from assistant.cranking.levels import BANDS, Levels
from assistant.cranking.traits import STEP

_LEAST_COST, _MOST_COST, _CHEAPER = 4.0, 60.0, 40.0
"""Nats that a change of part must be worth: least, most, and how much less for each spread that the levels change."""
_AGAIN_COST = 2.0  # more for an engine that ran and is turned at once again
_SIDE = 6  # steps on either side whose levels are compared: 0.5 s
_RESTLESS_DB2 = 4.0  # variance of a level that means nothing
_SURELY_NOT = -8.0  # log-odds below which a moment is no more than surely not
_NEVER = 1e9
_LEAST_STARTER, _LEAST_ENGINE = 4, 6  # steps: 0.32 s, 0.48 s

Costs = NDArray[np.float64]


@dataclass(frozen=True, slots=True, kw_only=True)
class Span:
    """One part, from step `start` to step `stop`. `sure`: mean log-odds of it against nothing of the kind."""

    part: int
    start: int
    stop: int
    sure: float


def follow(odds: Odds, levels: Levels) -> list[Span]:
    """The likeliest course of starter and engine, in order; spans too short to be what they seem count as nothing.

    `odds`: of each step. `levels`: (steps x STEP or more, BANDS).
    """
    kept: list[Span] = []
    if _nothing(odds):
        return kept
    for span in _spans(odds, _path(odds, _costs(levels, len(odds)))):
        short = span.stop - span.start < (_LEAST_STARTER if span.part == STARTER else _LEAST_ENGINE)
        orphan = span.part == ENGINE and not (kept and kept[-1].part == STARTER and kept[-1].stop == span.start)
        if span.part != ELSE and not (short and span.stop < len(odds)) and not orphan:
            kept.append(span)
    return kept


def _nothing(odds: Odds) -> bool:
    """Whether all that speaks for anything is not worth a single change of part, so that no course need be sought."""
    gain = odds[:, STARTER:].max(axis=1) - np.maximum(odds[:, ELSE], _SURELY_NOT)
    return float(np.maximum(gain, 0.0).sum()) < _LEAST_COST


def changes(levels: Levels, steps: int) -> Costs:
    """How much the levels change at the beginning of each step, in their own spread, (steps,); most of the bands."""
    means = levels[: steps * STEP].reshape(steps, STEP, BANDS).mean(axis=1, dtype=np.float64)
    padded = np.pad(means, ((_SIDE, _SIDE), (0, 0)), mode="edge")
    first = np.concatenate([np.zeros((1, BANDS)), np.cumsum(padded, axis=0)])
    second = np.concatenate([np.zeros((1, BANDS)), np.cumsum(padded**2, axis=0)])
    at = np.arange(steps) + _SIDE
    before, after = (first[at] - first[at - _SIDE]) / _SIDE, (first[at + _SIDE] - first[at]) / _SIDE
    spread = (second[at + _SIDE] - second[at - _SIDE]) / _SIDE - before**2 - after**2
    jump = np.abs(after - before) / np.sqrt(np.maximum(spread, 0) / 2 + _RESTLESS_DB2)
    return np.asarray(np.sqrt(np.mean(np.sort(jump, axis=1)[:, BANDS // 2 :] ** 2, axis=1)), dtype=np.float64)


def _costs(levels: Levels, steps: int) -> Costs:
    """What a change of part costs before each step, nats, (steps,)."""
    return np.clip(_MOST_COST - _CHEAPER * changes(levels, steps), _LEAST_COST, _MOST_COST)


def _path(odds: Odds, costs: Costs) -> list[int]:
    """The cheapest part for each step (Viterbi)."""
    dear = np.minimum(-odds, -_SURELY_NOT).tolist()
    # A sound may begin while the starter turns; an engine that runs without a starter before it is another's.
    nothing, turns, runs = dear[0][ELSE], _LEAST_COST + dear[0][STARTER], _NEVER
    came: list[tuple[int, int, int]] = []
    for step, change in zip(dear[1:], costs[1:].tolist(), strict=True):
        # Written out, of equal ways the first: this runs for each step of half a minute at each look.
        begins, let_go, died = nothing + change, turns + change, runs + change
        again = died + _AGAIN_COST
        to_nothing = ELSE if nothing <= let_go and nothing <= died else STARTER if let_go <= died else ENGINE
        to_turns = ELSE if begins <= turns and begins <= again else STARTER if turns <= again else ENGINE
        to_runs = STARTER if let_go <= runs else ENGINE
        nothing, turns, runs = (
            (nothing, let_go, died)[to_nothing] + step[ELSE],
            (begins, turns, again)[to_turns] + step[STARTER],
            (_NEVER, let_go, runs)[to_runs] + step[ENGINE],
        )
        came.append((to_nothing, to_turns, to_runs))
    cost = [nothing, turns, runs]
    path = [cost.index(min(cost))]
    for best in reversed(came):
        path.append(best[path[-1]])
    return path[::-1]


def _spans(odds: Odds, path: list[int]) -> list[Span]:
    edges = [0, *(at for at in range(1, len(path)) if path[at] != path[at - 1]), len(path)]
    return [
        Span(part=path[a], start=a, stop=b, sure=float(np.mean(odds[a:b, path[a]] - odds[a:b, ELSE])))
        for a, b in pairwise(edges)
        if b > a
    ]
