"""Fits the phone layers by torch, on a graphics processor where there is one: minutes instead of hours.

The layers and what they are judged by are those of `phone_training`. Torch is needed to learn, never to hear.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator, Sequence
from typing import Any, TypeVar

import numpy as np
from numpy.typing import NDArray

from assistant.errors import SetupError
from assistant.hearing.phones import REACHES, PhoneEar
from assistant.training.phone_training import CLASSES, DROPPED, DROPPED_LATER, Example

Floats = NDArray[np.float32]
Learnt = TypeVar("Learnt")
Layers = tuple[Sequence[Any], Sequence[Any]]
"""Weights and biases of each layer, as torch has them."""

BATCH = 192
FASTEST, SLOWEST = 2e-3, 2e-5
WARMING = 300
"""Batches over which the pace rises to its fastest."""
DECAY = 1e-2
SMOOTHED = 0.02
"""Weight of being unsure where the phones are: keeps the layers from certainties that noise makes wrong."""


def train(
    examples: Sequence[Example],
    *,
    hidden: int,
    rounds: int,
    seed: int,
    tell: Callable[[str], None],
    begun: PhoneEar | None = None,
) -> PhoneEar:
    """As `phone_training.train`. Raises SetupError where torch is not installed."""
    torch = torch_or_advice()
    torch.manual_seed(seed)
    device = "cuda" if torch.cuda.is_available() else "cpu"
    kept = [each for each in examples if len(each[0]) > len(each[1]) + 2]
    sample = np.concatenate([sound for sound, _ in kept[:2_000]]).astype(np.float32)
    mean, spread = sample.mean(axis=0), sample.std(axis=0) + np.float32(1e-3)
    if begun is not None:
        mean, spread = begun.mean, begun.spread
    values = _values(begun) if begun else _new(len(mean), hidden, seed)
    weights, biases = ([torch.tensor(each, device=device, requires_grad=True) for each in kind] for kind in values)
    dropped = DROPPED if begun is None else DROPPED_LATER
    scale = torch.tensor(mean, device=device), torch.tensor(spread, device=device)
    fastest = FASTEST if begun is None else FASTEST / 4
    mover = torch.optim.AdamW(
        [{"params": weights, "weight_decay": DECAY}, {"params": biases, "weight_decay": 0.0}], lr=fastest
    )
    batches = max(1, rounds * -(-len(kept) // BATCH))
    pace = torch.optim.lr_scheduler.LambdaLR(mover, lambda step: pace_at(step, batches, WARMING, SLOWEST / fastest))
    random = np.random.default_rng(seed)
    for number in range(rounds):
        total = 0.0
        for batch in alike_in_length(kept, [len(sound) for sound, _ in kept], BATCH, random):
            sounds, lengths, readings, counts = _together(batch, torch, device)
            within = (sounds - scale[0]) / scale[1]
            logs = _logs(within, lengths, (weights, biases), dropped, torch)
            losses = torch.nn.functional.ctc_loss(
                logs.transpose(0, 1), readings, lengths, counts, reduction="none", zero_infinity=True
            )
            there = torch.arange(logs.shape[1], device=device)[None] < lengths[:, None]
            unsure = -(logs.mean(dim=2) * there).sum(dim=1)
            loss = (losses + SMOOTHED * unsure).mean()
            mover.zero_grad()
            loss.backward()
            torch.nn.utils.clip_grad_norm_([*weights, *biases], 20.0)
            mover.step()
            pace.step()
            total += float(losses.detach().sum())
        tell(f"round {number + 1} of {rounds}: {total / len(kept):.2f} nats an utterance")
    with torch.no_grad():
        usual = _usual(kept[:6_000], scale, (weights, biases), torch)
    return PhoneEar(
        mean=mean, spread=spread, usual=usual,
        weights=tuple(each.detach().cpu().numpy() for each in weights),
        biases=tuple(each.detach().cpu().numpy() for each in biases),
    )  # fmt: skip


def torch_or_advice() -> Any:
    """The library. Raises SetupError where it is not installed."""
    try:
        import torch  # noqa: PLC0415 - large, and only needed to learn
    except ImportError as error:
        raise SetupError("torch is not installed: python -m pip install torch") from error
    return torch


def _values(ear: PhoneEar) -> tuple[list[Floats], list[Floats]]:
    return [each.astype(np.float32) for each in ear.weights], [each.astype(np.float32) for each in ear.biases]


def _new(inputs: int, hidden: int, seed: int) -> tuple[list[Floats], list[Floats]]:
    random = np.random.default_rng(seed)
    widths = [inputs, *[hidden] * (len(REACHES) - 1), CLASSES]
    seen = [len(reach) * into for reach, into in zip(REACHES, widths, strict=False)]
    weights = [
        (random.normal(size=(rows, out)) * np.sqrt(2 / rows)).astype(np.float32)
        for rows, out in zip(seen, widths[1:], strict=True)
    ]
    return weights, [np.zeros(out, np.float32) for out in widths[1:]]


def pace_at(step: int, batches: int, warming: int, least: float) -> float:
    """Share of the fastest pace: rises over `warming` batches, then falls along a cosine to the `least`."""
    rising = min(1.0, (step + 1) / min(warming, max(1, batches // 4)))
    return rising * (least + (1 - least) * (1 + math.cos(math.pi * min(1.0, step / batches))) / 2)


def alike_in_length(
    examples: Sequence[Learnt], lengths: Sequence[int], batch: int, random: np.random.Generator
) -> Iterator[list[Learnt]]:
    """All examples once, `batch` at a time, those of like length together."""
    order = np.argsort(np.array(lengths) + random.uniform(0, 12, len(examples)))
    starts = np.arange(0, len(order), batch)
    random.shuffle(starts)
    for start in starts:
        yield [examples[index] for index in order[start : start + batch]]


def _together(batch: Sequence[Example], torch: Any, device: Any) -> tuple[Any, Any, Any, Any]:
    """Sounds (rows, steps, inputs) with noughts past their ends, their lengths, all phones in a row, their counts."""
    lengths = [len(sound) for sound, _ in batch]
    sounds = np.zeros((len(batch), max(lengths), batch[0][0].shape[1]), batch[0][0].dtype)
    for row, (sound, _) in enumerate(batch):
        sounds[row, : len(sound)] = sound
    readings = [phone for _, reading in batch for phone in reading]
    counts = [len(reading) for _, reading in batch]
    return (
        torch.from_numpy(sounds).to(device).float(),
        *(torch.tensor(each, dtype=torch.long, device=device) for each in (lengths, readings, counts)),
    )


def _logs(within: Any, lengths: Any, layers: Layers, dropped: float, torch: Any) -> Any:
    """Log-probabilities (rows, steps, 40). Past the end of its own sound a row has noughts, as when heard alone."""
    there = (torch.arange(within.shape[1], device=within.device)[None] < lengths[:, None])[..., None]
    *inner, (reach, weight, bias) = zip(REACHES, *layers, strict=True)
    within = _kept(within * there, dropped, torch)
    for near, each, offset in inner:
        within = _kept(torch.relu(_around(within, near, torch) @ each + offset) * there, dropped, torch)
    return torch.log_softmax(_around(within, reach, torch) @ weight + bias, dim=2)


def _around(steps: Any, reach: Sequence[int], torch: Any) -> Any:
    """As `hearing.phones.around`."""
    most, length = max(map(abs, reach)), steps.shape[1]
    padded = torch.nn.functional.pad(steps, (0, 0, most, most))
    return torch.cat([padded[:, most + shift : most + shift + length] for shift in reach], dim=2)


def _kept(values: Any, dropped: float, torch: Any) -> Any:
    """Whole inputs or units left out at random, the same at each step of a row."""
    if not dropped:
        return values
    mask = torch.rand(values.shape[0], 1, values.shape[2], device=values.device) >= dropped
    return values * mask / (1 - dropped)


def _usual(examples: Sequence[Example], scale: tuple[Any, Any], layers: Layers, torch: Any) -> Floats:
    """Logarithm of how often each phone is judged likely, on the mean over all steps."""
    total, steps = np.zeros(CLASSES), 0
    for start in range(0, len(examples), BATCH):
        sounds, lengths, _, _ = _together(examples[start : start + BATCH], torch, scale[0].device)
        logs = _logs((sounds - scale[0]) / scale[1], lengths, layers, 0.0, torch)
        there = (torch.arange(logs.shape[1], device=logs.device)[None] < lengths[:, None])[..., None]
        total += (logs.exp() * there).sum(dim=(0, 1)).cpu().numpy()
        steps += int(lengths.sum())
    return np.log(total / steps).astype(np.float32)
