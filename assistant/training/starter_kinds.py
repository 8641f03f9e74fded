"""Fits the small nets that tell a starter which turns an engine from one that cannot, by made-up sounds alone."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

import numpy as np
from numpy.typing import NDArray
from scipy.optimize import minimize

from assistant.adapters.layers_starter import starter_layers
from assistant.cranking.kinds import KINDS, MOST_SPREADS, WIDTH, KindLayers
from assistant.cranking.model import Kind
from assistant.training.crank_practice_kinds import MAKERS, Example, examples

HIDDEN, TRAININGS, DECAY, TURNS = 48, 3, 1.5e-3, 500
_HEAVIER = {Kind.CRANK: 2.0, Kind.OTHER: 2.0}  # a starter must not be taken for one that turns nothing
_OFTEN = (Kind.CRANK, Kind.CRANK, Kind.CRANK, Kind.CHATTER)  # scenes of these come besides: they give few stretches

Floats = NDArray[np.float64]


def write_kinds(rounds: int, seed: int, out: Path, tell: Callable[[str], None]) -> None:
    """Learn from `rounds` scenes of each kind and write the nets to `out`; a tenth of them is tested with."""
    layers = replace(starter_layers(), kinds=None)
    made = list[list[Example]]()
    for number in range(rounds):
        some = list[Example]()
        for place, kind in enumerate((*MAKERS, *_OFTEN)):
            some += examples(np.random.default_rng([seed, number, place]), kind, layers)
        made.append(some)
        if number % 20 == 0:
            tell(f"{number} of {rounds} rounds of scenes made")
    apart = max(1, rounds // 10)
    learnt, tested = [one for some in made[apart:] for one in some], [one for some in made[:apart] for one in some]
    nets = fit(learnt, seed)
    np.savez_compressed(out, allow_pickle=False, **{name: one.astype(np.float32) for name, one in nets.items()})
    right = right_shares(nets, tested)
    tell("told right of those not learnt from: " + ", ".join(f"{kind} {share:.0%}" for kind, share in right.items()))


def fit(learnt: list[Example], seed: int) -> dict[str, Floats]:
    """The arrays of `KindLayers`."""
    given = np.array([numbers for numbers, _ in learnt], dtype=np.float64)
    wanted = np.eye(len(KINDS))[[KINDS.index(kind) for _, kind in learnt]]
    often = wanted.sum(axis=0)
    heavy = wanted @ (np.array([_HEAVIER.get(kind, 1.0) for kind in KINDS]) / np.maximum(often, 1))
    heavy /= heavy.sum()
    mean, spread = given.mean(axis=0), given.std(axis=0) + 1e-4
    given = np.clip((given - mean) / spread, -MOST_SPREADS, MOST_SPREADS)
    shapes = ((WIDTH, HIDDEN), (HIDDEN,), (HIDDEN, len(KINDS)), (len(KINDS),))
    ends = np.cumsum([int(np.prod(shape)) for shape in shapes])

    def parts(flat: Floats) -> list[Floats]:
        return [one.reshape(shape) for one, shape in zip(np.split(flat, ends[:-1]), shapes, strict=True)]

    def loss(flat: Floats) -> tuple[float, Floats]:
        first, first_bias, second, second_bias = parts(flat)
        within = np.tanh(given @ first + first_bias)
        scores = within @ second + second_bias
        odds = np.exp(scores - scores.max(axis=1, keepdims=True))
        odds /= odds.sum(axis=1, keepdims=True)
        missed = -float(heavy @ np.log((odds * wanted).sum(axis=1) + 1e-9))
        off = (odds - wanted) * heavy[:, None]
        back = off @ second.T * (1 - within**2)
        slopes = (given.T @ back + 2 * DECAY * first, back.sum(axis=0), within.T @ off + 2 * DECAY * second)
        size = DECAY * float((first**2).sum() + (second**2).sum())
        return missed + size, np.concatenate([*(one.ravel() for one in slopes), off.sum(axis=0)])

    found = []
    for training in range(TRAININGS):
        rng = np.random.default_rng([seed, training])
        begin = np.concatenate(
            [rng.normal(0, 1 / np.sqrt(WIDTH), WIDTH * HIDDEN), rng.normal(0, 0.3, ends[-1] - ends[0])]
        )
        found.append(parts(minimize(loss, begin, jac=True, method="L-BFGS-B", options={"maxiter": TURNS}).x))
    names = ("first", "first_bias", "second", "second_bias")
    stacked = {name: np.stack([net[place] for net in found]) for place, name in enumerate(names)}
    return {"mean": mean, "spread": spread} | stacked


def right_shares(nets: dict[str, Floats], tested: list[Example]) -> dict[Kind, float]:
    """Share of each kind that the nets tell right."""
    layers = KindLayers(**{name: one.astype(np.float32) for name, one in nets.items()})
    right: dict[Kind, list[bool]] = {kind: [] for kind in KINDS}
    for numbers, kind in tested:
        likely = layers(numbers)
        right[kind].append(max(likely, key=lambda one: likely[one]) is kind)
    return {kind: float(np.mean(some)) for kind, some in right.items() if some}
