"""Fits the small nets that judge a stretch again over its whole time, by made-up sounds alone."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import replace
from pathlib import Path

import numpy as np
from numpy.typing import NDArray
from scipy.optimize import minimize

from assistant.adapters.layers_starter import LAYERS, starter_layers
from assistant.bench.spread import spread
from assistant.cranking.kinds import KINDS, MOST_SPREADS, KindLayers
from assistant.cranking.layers import StarterLayers
from assistant.cranking.model import Kind
from assistant.training.crank_practice_kinds import Example, examples

HIDDEN, TRAININGS, DECAY, TURNS = 32, 6, 1e-3, 200
ROUND = (Kind.CRANK,) * 7 + (Kind.OTHER,) * 5 + (Kind.LIGHT, Kind.WHINE) * 4 + (Kind.CHATTER,) * 3 + (Kind.CLUNK,) * 2
"""Scenes that are made in a round."""

_HEAVIER = {Kind.CRANK: 4.0, Kind.LIGHT: 1.5, Kind.CHATTER: 2.0, Kind.OTHER: 2.0, Kind.CLUNK: 0.05}
"""A starter must not be taken for one that turns nothing, nor a tool for a starter; hardly a click is that long."""
_APART = 0.1  # share of the rounds that is tested with

Floats = NDArray[np.float32]


def write_kinds(rounds: int, seed: int, out: Path, tell: Callable[[str], None], jobs: int = 1) -> None:
    """Learn from `rounds` rounds of scenes and write the nets to `out`; a tenth of them is tested with."""
    lots = list[list[Example]]()
    tasks = [(seed, number) for number in range(rounds)]
    for some in spread(made, tasks, make=_without_kinds, key=LAYERS, jobs=jobs):
        lots.append(some)
        if len(lots) % 20 == 0:
            tell(f"{len(lots)} of {rounds} rounds of scenes made")
    apart = max(1, int(rounds * _APART))
    learnt, tested = [one for some in lots[apart:] for one in some], [one for some in lots[:apart] for one in some]
    nets = fit(learnt, seed)
    np.savez_compressed(out, allow_pickle=False, **{name: getattr(nets, name) for name in KindLayers.__slots__})
    right = right_shares(nets, tested)
    tell(
        f"{len(learnt)} stretches learnt from; told right of those that were not: "
        + ", ".join(f"{kind} {share:.0%}" for kind, share in right.items())
    )


def _without_kinds(path: Path) -> StarterLayers:
    return replace(starter_layers(path), kinds=None)


def made(layers: StarterLayers, task: tuple[int, int]) -> list[Example]:
    """The examples of one round, as small as they are kept. `task`: seed, number of the round."""
    return [
        replace(one, numbers=one.numbers.astype(np.float16))
        for place, kind in enumerate(ROUND)
        for one in examples(np.random.default_rng([*task, place]), kind, layers)
    ]


def fit(learnt: Sequence[Example], seed: int) -> KindLayers:
    """Nets from what is learnt, each kind as weighty as the others, but for `_HEAVIER`."""
    given = np.array([one.numbers for one in learnt], np.float32)
    wanted = np.array([KINDS.index(one.kind) for one in learnt])
    each = np.array([_HEAVIER.get(kind, 1.0) for kind in KINDS])
    weights = (each / np.maximum(np.bincount(wanted, minlength=len(KINDS)), 1))[wanted]
    things, width = len(KINDS), given.shape[1]
    heavy = (weights / weights.sum()).astype(np.float32)
    mean, spread_ = given.mean(axis=0), given.std(axis=0) + 1e-4
    given = np.clip((given - mean) / spread_, -MOST_SPREADS, MOST_SPREADS).astype(np.float32)
    right = np.eye(things, dtype=np.float32)[wanted]
    shapes = ((width, HIDDEN), (HIDDEN,), (HIDDEN, things), (things,))
    ends = np.cumsum([int(np.prod(shape)) for shape in shapes])

    def parts(flat: NDArray[np.float64]) -> list[Floats]:
        pieces = np.split(flat.astype(np.float32), ends[:-1])
        return [one.reshape(shape) for one, shape in zip(pieces, shapes, strict=True)]

    def loss(flat: NDArray[np.float64]) -> tuple[float, NDArray[np.float64]]:
        first, first_bias, second, second_bias = parts(flat)
        within = np.tanh(given @ first + first_bias)
        scores = within @ second + second_bias
        odds = np.exp(scores - scores.max(axis=1, keepdims=True))
        odds /= odds.sum(axis=1, keepdims=True)
        missed = -float(heavy @ np.log((odds * right).sum(axis=1) + 1e-9))
        off = (odds - right) * heavy[:, None]
        back = off @ second.T * (1 - within**2)
        slopes = (given.T @ back + 2 * DECAY * first, back.sum(axis=0), within.T @ off + 2 * DECAY * second)
        size = DECAY * float((first**2).sum() + (second**2).sum())
        return missed + size, np.concatenate([*(one.ravel() for one in slopes), off.sum(axis=0)]).astype(np.float64)

    found = []
    for training in range(TRAININGS):
        rng = np.random.default_rng([seed, training])
        begin = np.concatenate(
            [rng.normal(0, 1 / np.sqrt(width), width * HIDDEN), rng.normal(0, 0.3, ends[-1] - ends[0])]
        )
        found.append(parts(minimize(loss, begin, jac=True, method="L-BFGS-B", options={"maxiter": TURNS}).x))
    first, first_bias, second, second_bias = (np.stack([net[place] for net in found]) for place in range(4))
    return KindLayers(
        mean=mean, spread=spread_, first=first, first_bias=first_bias, second=second, second_bias=second_bias
    )


def right_shares(nets: KindLayers, tested: Sequence[Example]) -> dict[Kind, float]:
    """Share of each kind that the nets tell right."""
    right: dict[Kind, list[bool]] = {kind: [] for kind in KINDS}
    for one in tested:
        right[one.kind].append(KINDS[int(nets(one.numbers.astype(np.float32)).argmax())] is one.kind)
    return {kind: float(np.mean(some)) for kind, some in right.items() if some}
