"""What a moment of sound is like, apart from its loudness and colour: how it changes, pulses and beats around it.

A starter is known by what does not depend on the car, the room or the microphone: many bands rise at once and stay up,
they swell and fade evenly a few times a second, and when the engine takes over, a quicker beat begins. So the traits
hold only differences of level from what is around, and how alike the sound is to itself after each lag; the spectrum
itself is left out.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache

import numpy as np
from numpy.typing import NDArray

from assistant.cranking.levels import BANDS, HOP, LEVEL_RATE_HZ, SAMPLE_RATE_HZ, Levels

STEP = 10
"""Levels in a step: 80 ms."""

Traits = NDArray[np.float32]
Curves = NDArray[np.float32]
Lags = NDArray[np.float64]

_SPANS = (
    (-50, -30), (-30, -18), (-18, -10), (-10, -6), (-6, -4), (-4, -2), (-2, -1), (-1, 0), (0, 1),
    (1, 2), (2, 3), (3, 5), (5, 7), (7, 11), (11, 19), (19, 31), (31, 51),
)  # fmt: skip
"""Spans of steps around a step over which levels are averaged: fine near it, coarse far from it."""
_PULSE_SPANS = ((-51, 52), (-22, -13), (-12, -5), (-4, 5), (6, 13), (14, 23))
_BEAT_SPANS = ((-12, -5), (-4, 0), (0, 5), (6, 13), (14, 25))

LONG, LONG_HOP = 150, 5
"""Steps before and after, 12 s each, whose low, middle and high levels are compared with now's; every fifth is."""
_RANKS = (0.1, 0.5, 0.9)
_NOW = (-2, 3)

_PULSE_WINDOW, _PULSE_FFT = 192, 288  # levels: 1.5 s
_PULSE_LAGS = np.geomspace(LEVEL_RATE_HZ / 25.0, 0.75 * LEVEL_RATE_HZ, 32)
_CLIP_DB = 10.0  # one slam must not outweigh a burst
_BEST_BANDS = 4
_ENVELOPE_HZ = 1000
_BEAT_WINDOW, _BEAT_FFT = 512, 600
_BEAT_LAGS = np.geomspace(_ENVELOPE_HZ / 130.0, _ENVELOPE_HZ / 12.0, 24)
_CHUNK = 256
_LEVEL_SCALE_DB = 10.0

TRAITS = (
    len(_SPANS) * (BANDS + 1)
    + len(_RANKS) * BANDS
    + len(_PULSE_SPANS) * 2 * len(_PULSE_LAGS)
    + len(_BEAT_SPANS) * len(_BEAT_LAGS)
    + 2
)


@dataclass(frozen=True, slots=True, kw_only=True)
class Moments:
    """What each step sounds like by itself, a row a step.

    `means`: level of each band, (steps, BANDS). `dips`: how deep the step's dips are, (steps, 1). `pulses`, `beats`:
    how alike it is to itself after each lag.
    """

    means: NDArray[np.float32]
    dips: NDArray[np.float32]
    pulses: Curves
    beats: Curves

    def __len__(self) -> int:
        return len(self.means)

    def part(self, first: int, last: int | None = None) -> Moments:
        """The rows from `first` up to `last`."""
        rows = slice(first, last)
        return Moments(means=self.means[rows], dips=self.dips[rows], pulses=self.pulses[rows], beats=self.beats[rows])

    def then(self, more: Moments) -> Moments:
        """These rows, and more after them."""
        return Moments(
            means=np.concatenate([self.means, more.means]),
            dips=np.concatenate([self.dips, more.dips]),
            pulses=np.concatenate([self.pulses, more.pulses]),
            beats=np.concatenate([self.beats, more.beats]),
        )


def moments_of(levels: Levels, pcm: NDArray[np.int16], first: int = 0) -> Moments:
    """What each whole step from `first` on sounds like. `pcm`: the sound of `levels`, int16, mono, 16 000 Hz."""
    steps = len(levels) // STEP
    pieces = levels[first * STEP : steps * STEP].reshape(-1, STEP, BANDS)
    means = pieces.mean(axis=1)
    some = steps > first
    return Moments(
        means=means,
        dips=(means - np.partition(pieces, 2, axis=1)[:, 2]).mean(axis=1, keepdims=True),
        pulses=pulse_curves(levels, steps, first) if some else np.zeros((0, 2 * len(_PULSE_LAGS)), np.float32),
        beats=beat_curves(pcm, steps, first) if some else np.zeros((0, len(_BEAT_LAGS)), np.float32),
    )


def traits_of(levels: Levels, pcm: NDArray[np.int16]) -> Traits:
    """The traits of each whole step, (steps, TRAITS). `pcm`: the sound of `levels`, int16, mono, 16 000 Hz."""
    return traits_around(moments_of(levels, pcm))


def traits_around(moments: Moments, first: int = 0, *, heard: int = 0) -> Traits:
    """The traits of each step from `first` on, by all steps around it. `heard`: steps that went before these."""
    steps = len(moments)
    if steps <= first:
        return np.zeros((0, TRAITS), dtype=np.float32)
    parts = [
        _changes(moments, first),
        _spread(moments.pulses, _PULSE_SPANS, first),
        _spread(moments.beats, _BEAT_SPANS, first),
    ]
    at = np.arange(first, steps)
    ends = np.column_stack([np.minimum(heard + at, 25), np.minimum(steps - 1 - at, 25)]) / 25.0
    return np.concatenate([*parts, ends.astype(np.float32)], axis=1)


def _changes(moments: Moments, first: int) -> Traits:
    """Mean level of each band in each span, less that band's mean over all spans; and how deep the step's dips are."""
    means = moments.means
    long = _averages(means, (_NOW,), first).astype(np.float32) - _ranks(means, first)
    spans = _averages(np.concatenate([means, moments.dips], axis=1), _SPANS, first).astype(np.float32)
    spans[:, :, :BANDS] -= spans[:, :, :BANDS].mean(axis=1, keepdims=True)
    whole = np.concatenate([spans.reshape(len(spans), -1), long.reshape(len(long), -1)], axis=1)
    return np.clip(whole / _LEVEL_SCALE_DB, -3, 3)


def _ranks(means: NDArray[np.float32], first: int) -> NDArray[np.float32]:
    """Low, middle and high level of each band in the many seconds around each step from `first` on, (n, 3, BANDS)."""
    few = means[::LONG_HOP]
    reach, low = LONG // LONG_HOP, first // LONG_HOP
    at = np.arange(low, len(few))
    heard = np.minimum(at, reach) + np.minimum(len(few) - 1 - at, reach)  # beside the step itself
    nothing = np.full((reach, means.shape[1]), np.inf, dtype=np.float32)  # beyond the ends: after all that was heard
    padded = np.concatenate([nothing, few, nothing])[low:]
    near = np.lib.stride_tricks.sliding_window_view(padded, 2 * reach + 1, axis=0)  # (steps, BANDS, around)
    ordered = np.sort(near, axis=2)
    places = (np.array(_RANKS) * heard[:, None] + 0.5).astype(int)
    found = np.take_along_axis(ordered, places[:, None, :], axis=2).swapaxes(1, 2)
    return np.repeat(found, LONG_HOP, axis=0)[first - low * LONG_HOP : len(means) - low * LONG_HOP]


def _spread(curves: NDArray[np.float32], spans: tuple[tuple[int, int], ...], first: int) -> Traits:
    return _averages(curves, spans, first).reshape(len(curves) - first, -1).astype(np.float32)


def _averages(values: NDArray[np.float32], spans: tuple[tuple[int, int], ...], first: int) -> NDArray[np.float64]:
    """Means over each span around each step from `first` on, (steps, spans, columns); what lies beyond an end is like
    that end."""
    before, after = -min(start for start, _ in spans), max(stop for _, stop in spans)
    low = max(0, first - before)
    values, first = values[low:], first - low
    padded = np.concatenate([np.repeat(values[:1], before, 0), values, np.repeat(values[-1:], after, 0)])
    total = np.concatenate([np.zeros((1, values.shape[1])), np.cumsum(padded, axis=0, dtype=np.float64)])
    at = np.arange(first, len(values))[:, None] + before
    starts, stops = np.array(spans).T
    means: NDArray[np.float64] = total[at + stops] - total[at + starts]
    means /= (stops - starts)[:, None]
    return means


def pulse_curves(levels: Levels, steps: int, begin: int = 0) -> NDArray[np.float32]:
    """How alike the swells of the bands are after each lag: mean of all bands, and of the few that do most.

    A row for each step from `begin` up to `steps`.
    """
    half = _PULSE_WINDOW // 2
    padded = _ends_held(levels, half - STEP // 2, half + STEP, half)
    windows = np.lib.stride_tricks.sliding_window_view(padded, _PULSE_WINDOW, axis=0)[::STEP][begin:steps]
    taper = _taper(_PULSE_WINDOW)
    found = np.empty((steps - begin, 2 * len(_PULSE_LAGS)), dtype=np.float32)
    for first in range(0, len(found), _CHUNK):
        bands = windows[first : first + _CHUNK]
        part = np.empty((len(bands), bands.shape[1] + 1, _PULSE_WINDOW), dtype=np.float32)
        part[:, :-1], part[:, -1] = bands, bands.mean(axis=1)
        part -= part.mean(axis=2, keepdims=True)
        np.clip(part, -_CLIP_DB, _CLIP_DB, out=part)
        part -= part.mean(axis=2, keepdims=True)
        part *= taper
        alike = _likeness(part, _PULSE_FFT, _PULSE_WINDOW, _PULSE_LAGS, 0.5)
        best = np.partition(alike, -_BEST_BANDS, axis=1)[:, -_BEST_BANDS:]
        found[first : first + _CHUNK] = np.concatenate([alike.mean(axis=1), best.mean(axis=1)], axis=1)
    return found


def beat_curves(pcm: NDArray[np.int16], steps: int, begin: int = 0) -> NDArray[np.float32]:
    """How alike the fine envelope of the sound is after each lag of a quick beat, from step `begin` on, (n, 24)."""
    width = SAMPLE_RATE_HZ // _ENVELOPE_HZ
    sound = pcm[: steps * STEP * HOP].astype(np.float32)
    sound = np.diff(sound, prepend=sound[:1]) + 0.05 * sound  # hum must not drown the beat
    envelope = np.sqrt(np.abs(sound).reshape(-1, width).mean(axis=1))
    hop = STEP * HOP // width
    half = _BEAT_WINDOW // 2
    padded = _ends_held(envelope, half - hop // 2, half + hop, half)
    windows = np.lib.stride_tricks.sliding_window_view(padded, _BEAT_WINDOW)[::hop][begin:steps]
    taper = _taper(_BEAT_WINDOW)
    found = np.empty((steps - begin, len(_BEAT_LAGS)), dtype=np.float32)
    for first in range(0, len(found), _CHUNK):
        part = windows[first : first + _CHUNK]
        part = (part - part.mean(axis=1, keepdims=True)) * taper
        found[first : first + _CHUNK] = _likeness(part, _BEAT_FFT, _BEAT_WINDOW, _BEAT_LAGS, 1e-3)
    return found


def _ends_held(values: NDArray[np.float32], before: int, after: int, least: int) -> NDArray[np.float32]:
    """The course with so many rows more at its ends, mirrored there, or from the other end where it is too short."""
    count = len(values)
    if count <= 2 * least:
        return np.pad(values, [(before, after), *((0, 0) for _ in values.shape[1:])], mode="wrap")
    return np.concatenate([values[before:0:-1], values, values[count - 2 : count - 2 - after : -1]])


def _likeness(part: NDArray[np.float32], size: int, window: int, lags: Lags, least: float) -> Curves:
    """Autocorrelation of pieces under the taper of `window` at `lags`, relative to that at none, with the taper's own
    taken out."""
    from scipy import fft  # noqa: PLC0415 - as in `evenness`

    waves, own = _waves(size, window, tuple(lags.tolist()))
    spectrum = fft.rfft(part, size, axis=-1)
    curve = (spectrum.real**2 + spectrum.imag**2) @ waves
    return np.asarray(curve[..., 1:] / (curve[..., :1] + least * own[0]) * (own[0] / own[1:]), dtype=np.float32)


@cache
def _taper(window: int) -> NDArray[np.float32]:
    return np.asarray(np.hanning(window + 2)[1:-1], dtype=np.float32)


@cache
def _waves(size: int, window: int, lags: tuple[float, ...]) -> tuple[NDArray[np.float32], NDArray[np.float32]]:
    """What turns a power spectrum into the autocorrelation at no lag and at each of `lags`; that of the taper."""
    from scipy import fft  # noqa: PLC0415 - as in `evenness`

    turns = np.outer(np.arange(size // 2 + 1) * (2 * np.pi / size), np.append(0.0, lags))
    twice = np.where(np.isin(np.arange(size // 2 + 1), (0, size // 2)), 1.0, 2.0)[:, None] / size
    waves = np.asarray(np.cos(turns) * twice, dtype=np.float32)
    return waves, np.abs(fft.rfft(_taper(window), size)) ** 2 @ waves
