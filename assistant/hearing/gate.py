"""How likely somebody speaks to us, frame by frame: what a speech detector says, and what rises over the shop's noise.

A detector alone is made for quiet rooms: short words of people in noise it gives no chance, in talk it never sees an
end, and a soft microphone it hears worse than a loud one. So it gets its sound at a steady level, and small layers
weigh what it says, and what it has said of late, with how far each part of the spectrum rises over what is usual here.
Pure; takes one frame at a time and remembers three seconds.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from statistics import median

import numpy as np
from numpy.typing import NDArray

from assistant.hearing.level import FULL_SCALE

Pcm = NDArray[np.int16]
Floats = NDArray[np.float64]

FRAME = 512
"""Samples of a frame: 32 ms at 16 000 Hz, as the detector takes them."""

USUAL_FRAMES = 94
"""What is usual here is taken from so many frames: 3 s."""

LOW, HIGH = 0.2, 0.7
"""Shares of those frames below what counts as the low and the high end of the usual. Tools hammer above the one,
colleagues talk around the other."""

BAND_EDGES_HZ = (100, 200, 300, 420, 560, 750, 1000, 1300, 1700, 2250, 3000, 4000, 5500, 7500)
BAND_GROUPS = ((0, 3), (3, 6), (6, 9), (9, 11), (11, 13))
"""Bands whose rise over the usual is averaged: voice, first and second formant, hiss."""

RISE_DB = (-10.0, 25.0)
"""A rise counts within these."""

NEW_FRAMES = 16
"""Till so many frames are known, half a second, nothing is usual here, and what begins with the stream would rise over
itself: so long the detector alone may tell of speech, too. Source: `hoodside bench cut`: of 50 phrases that began with
their stream in a quiet room, by made-up voices, 12 were lost without a sign, and none with it."""

AGO = (0, 1, 2)
"""Frames whose traits are looked at together: now, and so many before."""

TRAITS = len(AGO) * (2 + 2 * len(BAND_GROUPS))

NOISE_DBFS, LOUDEST_DBFS = -38.0, -20.0
"""Level that the usual sound is brought to for the detector, and the level that it may not pass.
Source: people's words at -46 dBFS in noise 9 dB below: 53 % pass at 0.5 as they are, all when brought there."""

GAIN_DB = (-20.0, 40.0)

LOUD_FRAMES = 16
"""Frames for which what was loud holds the gain down: half a second. With two frames the room behind a word in quiet
was raised so much that its end was seen 73 ms later (20 words)."""

LEAST = 1e-3
"""The detector's probability counts from here on, and as far below 1."""

_NOTHING = 1e-13
_HZ = np.fft.rfftfreq(2 * FRAME, 1 / 16_000)
_BANDS = np.diff([np.greater_equal(_HZ, edge).astype(np.float64) for edge in BAND_EDGES_HZ], axis=0).T * -1.0
_BANDS /= _BANDS.sum(axis=0) * 2 * FRAME
_WINDOW = np.hanning(2 * FRAME)


@dataclass(frozen=True, slots=True, kw_only=True)
class GateLayers:
    """Two small layers: traits (TRAITS,) are moved by `middle` and divided by `spread`, then `inner` (TRAITS, units)
    and `inner_bias`, a tangent, `outer` (units,) and `outer_bias` to the log-odds of speech."""

    middle: Floats
    spread: Floats
    inner: Floats
    inner_bias: Floats
    outer: Floats
    outer_bias: float

    def __call__(self, traits: Floats) -> float:
        """Probability of speech."""
        units = np.tanh((traits - self.middle) / self.spread @ self.inner + self.inner_bias)
        odds = float(units @ self.outer) + self.outer_bias
        return 1.0 / (1.0 + math.exp(-max(-30.0, min(30.0, odds))))


class Gate:
    """Give it each frame: first `levelled`, for the detector, then `traits` or `speaks` with what the detector said."""

    def __init__(self, layers: GateLayers | None = None) -> None:
        """`layers`: None where only traits are wanted, to train layers on."""
        self._layers = layers
        self.reset()

    def reset(self) -> None:
        """Forget the shop."""
        self._levels: list[float] = []
        self.level_dbfs = 0.0  # of the frame last levelled, as it came
        self._odds: list[float] = []
        self._bands: Floats = np.zeros((0, _BANDS.shape[1]))
        self._before: Floats = np.zeros(FRAME)
        self._lately: list[Floats] = []

    def levelled(self, frame: Pcm) -> Pcm:
        """The frame as loud as the detector hears best; int16, (512,), 16 000 Hz."""
        sound = frame.astype(np.float64)
        level = 10 * math.log10(float((sound**2).mean()) / FULL_SCALE**2 + 1e-12)
        self.level_dbfs = level
        self._levels = [*self._levels[-USUAL_FRAMES + 1 :], level]
        gain_db = min(NOISE_DBFS - median(self._levels), LOUDEST_DBFS - max(self._levels[-LOUD_FRAMES:]))
        gain = 10 ** (max(GAIN_DB[0], min(GAIN_DB[1], gain_db)) / 20)
        louder: Floats = np.minimum(np.maximum(sound * gain, -FULL_SCALE), FULL_SCALE - 1)
        return louder.astype(np.int16)

    def speaks(self, frame: Pcm, probability: float) -> float:
        """Probability that somebody speaks to us in this frame. `probability`: what the detector said of it."""
        if self._layers is None:
            raise RuntimeError("this gate has no layers")
        speaks = self._layers(self.traits(frame, probability))
        return max(speaks, probability) if len(self._odds) <= NEW_FRAMES else speaks

    def traits(self, frame: Pcm, probability: float) -> Floats:
        """What the layers look at: (TRAITS,)."""
        sound = frame.astype(np.float64)
        spectrum = np.fft.rfft(np.concatenate([self._before, sound]) * _WINDOW)
        self._before = sound
        bands = 10 * np.log10((np.abs(spectrum) ** 2) @ _BANDS / FULL_SCALE**2 + _NOTHING)
        chance = min(max(probability, LEAST), 1 - LEAST)
        odds = math.log(chance / (1 - chance))
        self._bands = np.concatenate([self._bands[-USUAL_FRAMES + 1 :], bands[None]])
        self._odds = [*self._odds[-USUAL_FRAMES + 1 :], odds]
        usual = np.sort(self._bands, axis=0)
        rises = [np.clip(bands - _quantile(usual, share), *RISE_DB) / 10 for share in (LOW, HIGH)]
        grouped = [rise[first:last].mean() for rise in rises for first, last in BAND_GROUPS]
        now = np.array([odds, median(self._odds), *grouped])
        self._lately = [now, *(self._lately or [now] * len(AGO))[: max(AGO)]]
        return np.concatenate([self._lately[ago] for ago in AGO])


def _quantile(ordered: Floats, share: float) -> Floats:
    place = share * (len(ordered) - 1)
    low = int(place)
    found: Floats = ordered[low] + (place - low) * (ordered[min(low + 1, len(ordered) - 1)] - ordered[low])
    return found
