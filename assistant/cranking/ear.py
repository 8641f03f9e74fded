"""The ear for the starter: a whole sound, or a stream of it, to bursts."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from assistant.cranking.judge import MAY_HAVE_RUN, SURE_RAN, Case, weigh
from assistant.cranking.knocks import find_knocks
from assistant.cranking.levels import HOP, LEVEL_RATE_HZ, LevelMeter, Levels, levels_of
from assistant.cranking.model import Burst, Hearing, Kind, Sound
from assistant.cranking.rate import rpm_of
from assistant.cranking.stretches import Stretch, StretchFinder

_BLOCK = 16_000 * 60
_HELD_S = 0.12  # the starter stays engaged a moment after the engine takes over; common practice, no source
_LEAST_SCORE = 0.3
_KNOCK = 50  # levels: shorter than 0.4 s is one knock
_WHINE = 75  # levels: 0.6 s
_WHINE_PULSES = 0.08
_TONE_FRAMES = 2048
_TONE_BINS = slice(38, 384)  # 300 to 3000 Hz, where starters whine
_TONE_CLEAR = 60.0
_CLEAR_RISE_DB = 6.0
_AROUND = 625  # levels before and after a stretch that its judging may look at: 5 s


def listen(pcm: NDArray[np.int16], cylinders: int | None = None) -> Hearing:
    """All bursts in a whole sound. `pcm`: int16, mono, (frames,), 16 000 Hz."""
    meter, finder = LevelMeter(), StretchFinder()
    parts, stretches = [], []
    for first in range(0, len(pcm), _BLOCK):
        levels = meter.feed(pcm[first : first + _BLOCK])
        parts.append(levels)
        stretches += finder.feed(levels)[1]
    stretches += finder.finish()
    levels = np.concatenate(parts) if parts else np.zeros((0, 14), dtype=np.float32)
    weighed = [(one, _weigh_near(levels, pcm, one, cylinders)) for one in stretches if one.stop]
    chosen = choose([case for _, case in weighed if case is not None and is_crank(case)])
    return Hearing(
        bursts=tuple(to_burst(case, cylinders) for case in chosen),
        others=_others(levels, pcm, weighed, chosen),
        seconds=len(pcm) / 16_000,
    )


def _others(
    levels: Levels, pcm: NDArray[np.int16], weighed: list[tuple[Stretch, Case | None]], chosen: list[Case]
) -> tuple[Sound, ...]:
    """Whines apart from the bursts; single knocks where nothing else was heard."""
    found: list[Sound] = []
    for one, case in sorted(weighed, key=lambda pair: pair[0].start):
        stop = one.stop or one.start
        near = any(one.start < (each.rest_stop or each.stop) + _KNOCK and each.start < stop + _KNOCK for each in chosen)
        if one.rise_db < _CLEAR_RISE_DB or near or (found and one.start / LEVEL_RATE_HZ < found[-1].end_s):
            continue
        kind = to_sound(pcm[one.start * HOP : stop * HOP], case)
        if kind is Kind.WHINE:
            found.append(Sound(kind=kind, start_s=one.start / LEVEL_RATE_HZ, end_s=stop / LEVEL_RATE_HZ))
    if not chosen and not found:
        found += [
            Sound(kind=Kind.CLUNK, start_s=first / LEVEL_RATE_HZ, end_s=last / LEVEL_RATE_HZ)
            for first, last in find_knocks(levels)
        ]
    return tuple(found)


def _weigh_near(levels: Levels, pcm: NDArray[np.int16], one: Stretch, cylinders: int | None) -> Case | None:
    stop = one.stop or len(levels)
    first, last = max(0, one.start - _AROUND), min(len(levels), stop + _AROUND)
    case = weigh(
        levels[first:last], pcm[first * HOP : last * HOP], one.start - first, stop - first, cylinders=cylinders
    )
    return None if case is None else case.moved(first)


def is_crank(case: Case) -> bool:
    """Whether a reading is sure enough to be told of."""
    return case.score > _LEAST_SCORE


def to_sound(pcm: NDArray[np.int16], case: Case | None) -> Kind:
    """What a stretch was that is not cranking: one knock, a whine without pulses, or something else.

    `pcm`: the stretch alone, int16, mono, (frames,), 16 000 Hz.
    """
    levels = levels_of(pcm)
    if len(levels) < _KNOCK:
        return Kind.CLUNK if case is None else Kind.OTHER
    if case is None or len(levels) < _WHINE or not is_whine(pcm, case):
        return Kind.OTHER
    return Kind.WHINE


def is_whine(pcm: NDArray[np.int16], case: Case) -> bool:
    """Whether a stretch is the steady tone of a motor that turns nothing: it does not pulse and holds one pitch."""
    if case.pulses.clear > _WHINE_PULSES or any(case.votes[name] <= 0 for name in ("rise", "fall", "floor", "colour")):
        return False
    sound = pcm[len(pcm) // 4 : len(pcm) // 4 * 3].astype(np.float64)
    count = len(sound) // _TONE_FRAMES
    spectra = np.abs(np.fft.rfft(sound[: count * _TONE_FRAMES].reshape(count, -1) * np.hanning(_TONE_FRAMES))) ** 2
    tones = spectra[:, _TONE_BINS]
    mean = tones.mean(axis=0)
    return bool(mean.max() > _TONE_CLEAR * np.median(mean))


def choose(cases: list[Case]) -> list[Case]:
    """Of readings that overlap, the best; in order of time."""
    chosen: list[Case] = []
    for case in sorted(cases, key=lambda one: -one.score):
        stop = case.rest_stop or case.stop
        if all(stop <= other.start or (other.rest_stop or other.stop) <= case.start for other in chosen):
            chosen.append(case)
    return sorted(chosen, key=lambda one: one.start)


def to_burst(case: Case, cylinders: int | None) -> Burst:
    """The case in seconds and turns a minute."""
    hz = case.pulses.hz
    caught = _caught(case)
    run_s = None if case.rest_stop is None or not caught else (case.rest_stop - case.stop) / LEVEL_RATE_HZ
    return Burst(
        start_s=case.start / LEVEL_RATE_HZ,
        end_s=case.stop / LEVEL_RATE_HZ + (0.0 if case.rest_stop is None else _HELD_S),
        pulse_hz=hz,
        rpm=None if cylinders is None else rpm_of(hz, cylinders),
        caught=caught,
        run_s=run_s,
        confidence=float(1 / (1 + np.exp(-4 * (case.score - _LEAST_SCORE)))),
    )


def _caught(case: Case) -> bool | None:
    if case.cut:
        return None
    if case.rest_stop is None or case.ran < MAY_HAVE_RUN:
        return False
    return True if case.ran >= SURE_RAN else None
