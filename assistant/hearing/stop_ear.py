"""An ear of its own for the words that stop us: small layers over the last 0.8 s, at all times, whatever else is heard.

It sees the sound as how far each of its bands rises over the low end of the last three seconds, as the gate does, and
tells in each frame how likely one of its words has just ended. It only proposes: it is tuned to miss little, and what
it proposes is judged phone by phone (`assistant.hearing.spotting`). Pure; takes one frame at a time.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from assistant.hearing.gate import FRAME, LOW, USUAL_FRAMES
from assistant.hearing.level import FULL_SCALE

Pcm = NDArray[np.int16]
Floats = NDArray[np.float32]

HALF = FRAME // 2
"""Each frame is looked at in two halves."""

BANDS = 20
LOW_HZ, HIGH_HZ = 100.0, 7_500.0
FLOOR_DBFS = -90.0
"""Of a band; below this a microphone tells nothing."""

RISE_DB = (-5.0, 45.0)
INPUTS = 2 * BANDS

REACHES = ((-1, 0), (-2, -1, 0), (-4, -2, 0), (-9, -6, -3, 0), (-8, -4, 0))
"""For each layer the frames, counted from the present one, that it sees: together 24 before, 0.8 s."""

WORDS = ("stop", "pause", "hold on", "hold it", "whoa")
"""What the ear is for. Its layers tell them apart from all else, and, so that they learn better, from each other."""

OUTPUTS = 1 + len(WORDS)
_NOTHING = 1e-13


def _bands() -> NDArray[np.float64]:
    """Shares of each bin of a spectrum in each band, evenly spaced on the mel scale: (bins, BANDS)."""
    hz = np.fft.rfftfreq(FRAME, 1 / 16_000)
    mel = 2595 * np.log10(1 + np.array([LOW_HZ, HIGH_HZ]) / 700)
    edges = 700 * (10 ** (np.linspace(mel[0], mel[1], BANDS + 2) / 2595) - 1)
    rising = (hz[:, None] - edges[:-2]) / (edges[1:-1] - edges[:-2])
    falling = (edges[2:] - hz[:, None]) / (edges[2:] - edges[1:-1])
    shares = np.clip(np.minimum(rising, falling), 0.0, None)
    return np.asarray(shares / shares.sum(axis=0) / FRAME)


_SHARES = _bands()
_WINDOW = np.hanning(FRAME)


@dataclass(frozen=True, slots=True, kw_only=True)
class StopLayers:
    """`weights`, `biases`: of each layer of REACHES, (frames seen x inputs, outputs) and (outputs,); the last gives
    OUTPUTS log-odds, the first of them for "none of the words"."""

    weights: tuple[Floats, ...]
    biases: tuple[Floats, ...]


class StopEar:
    """Give it each frame; it tells how likely one of its words has just ended."""

    def __init__(self, layers: StopLayers) -> None:
        self._layers = layers
        self.reset()

    def reset(self) -> None:
        """Forget the shop."""
        self._before: Pcm = np.zeros(HALF, np.int16)
        self._levels: Floats = np.zeros((0, BANDS), np.float32)
        widths = [INPUTS, *(len(bias) for bias in self._layers.biases[:-1])]
        self._seen = [np.zeros((1 - reach[0], width), np.float32) for reach, width in zip(REACHES, widths, strict=True)]

    def frame(self, frame: Pcm) -> float:
        """Probability that one of the words has just ended. `frame`: int16, (512,), 16 000 Hz."""
        levels = levels_of(np.concatenate([self._before, frame]))
        self._before = frame[HALF:]
        self._levels = np.concatenate([self._levels[2 - 2 * USUAL_FRAMES :], levels])
        within = rises(levels, low_end(self._levels)).reshape(-1)
        last = len(REACHES) - 1
        for place, (reach, weight, bias) in enumerate(
            zip(REACHES, self._layers.weights, self._layers.biases, strict=True)
        ):
            seen = self._seen[place]
            seen[:-1] = seen[1:]
            seen[-1] = within
            within = seen[np.array(reach) - 1].reshape(-1) @ weight + bias
            if place < last:
                np.maximum(within, 0, out=within)
        return float(1.0 - shares_of(within[None])[0, 0])


def levels_of(pcm: Pcm) -> Floats:
    """Level of each band in each window of 512 samples, 256 apart, in dBFS: (windows, BANDS)."""
    windows = np.lib.stride_tricks.sliding_window_view(pcm, FRAME)[::HALF] * (_WINDOW / FULL_SCALE)
    power = np.abs(np.fft.rfft(windows, axis=1)) ** 2 @ _SHARES
    return np.asarray(np.maximum(10 * np.log10(power + _NOTHING), FLOOR_DBFS), np.float32)


def low_end(levels: Floats) -> Floats:
    """Of each band, the level that LOW of the windows do not reach: (..., windows, BANDS) -> (..., BANDS)."""
    place = int(LOW * (levels.shape[-2] - 1))
    return np.asarray(np.partition(levels, place, axis=-2)[..., place, :])


def rises(levels: Floats, low: Floats) -> Floats:
    """How far levels rise over the low end, in tens of decibels."""
    return np.asarray(np.clip(levels - low, *RISE_DB) / 10, np.float32)


def traits_of(pcm: Pcm) -> Floats:
    """What the ear sees of a whole stream, frame by frame as it does: (frames, INPUTS)."""
    count = len(pcm) // FRAME
    levels = levels_of(np.concatenate([np.zeros(HALF, np.int16), pcm[: count * FRAME]]))
    most = 2 * USUAL_FRAMES
    lows = [low_end(levels[max(0, 2 * at + 2 - most) : 2 * at + 2]) for at in range(count)]
    return rises(levels.reshape(count, 2, BANDS), np.stack(lows)[:, None]).reshape(count, INPUTS)


def shares_of(scores: Floats) -> Floats:
    """Log-odds as probabilities that add up to one."""
    powers = np.exp(scores - scores.max(axis=-1, keepdims=True))
    return np.asarray(powers / powers.sum(axis=-1, keepdims=True))


def outputs(layers: StopLayers, traits: Floats) -> Sequence[Floats]:
    """What each layer gives for whole streams: (streams, frames, ...), the last without its bound at nought."""
    found, within = [], traits
    for place, (reach, weight, bias) in enumerate(zip(REACHES, layers.weights, layers.biases, strict=True)):
        within = seen_by(within, reach) @ weight + bias
        if place < len(REACHES) - 1:
            within = np.maximum(within, 0)
        found.append(within)
    return found


def seen_by(steps: Floats, reach: Sequence[int]) -> Floats:
    """Each frame together with those of its reach, noughts before the first: (streams, frames, n x reach)."""
    most, length = -reach[0], steps.shape[1]
    padded = np.pad(steps, [(0, 0), (most, 0), (0, 0)])
    return np.concatenate([padded[:, most + back : most + back + length] for back in reach], axis=2)
