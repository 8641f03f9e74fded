"""Paced actions as pure schedules: which tone sounds when, so that one person can spray, puff or crank by ear alone.

Four signals, no more, since four is what can be told apart by ear, and the first half second of each differs from
every other's. Source: MIL-STD-1472E 5.3.3 to 5.3.6 (at most four alert tones told apart by ear; the first 0.5 s
differs; at least 0.5 s long).

A schedule counts from the first tone, after the spoken count-in; `gapless` turns it into tones and silences that
follow one another, so that whoever renders them sample by sample is exact whatever the speech before took.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from enum import StrEnum

COUNT_IN = ("three", "two", "one")
SIGNAL_S = 0.5
LONGEST_SPRAY_S = 2.0
"""One spray of starting fluid; common practice, no source."""


class Signal(StrEnum):
    """What a tone tells the technician to do."""

    GO = "go"  # begin and hold: spray, or turn the key
    RELEASE = "release"  # let go: end of the spray, key back
    PUFF = "puff"  # one short puff, as long as the high note lasts
    STOP = "stop"  # let go at once: the hard limit


@dataclass(frozen=True, slots=True, kw_only=True)
class Cue:
    """One tone: begins `offset_s` after the first, lasts `seconds` at `hz`. `signal` is what it tells."""

    offset_s: float
    hz: float
    seconds: float
    signal: Signal


_NOTES: dict[Signal, tuple[tuple[float, float], ...]] = {
    Signal.GO: ((880.0, 0.5),),
    Signal.RELEASE: ((587.0, 0.25), (392.0, 0.25)),
    Signal.STOP: ((1175.0, 0.1), (740.0, 0.1)) * 3,
}
_PUFF_HZ, _PUFF_OVER_HZ = 1480.0, 988.0


def sound(signal: Signal, at_s: float) -> tuple[Cue, ...]:
    """The notes of a signal, from `at_s` on."""
    cues, offset = [], at_s
    for hz, seconds in _NOTES[signal]:
        cues.append(Cue(offset_s=offset, hz=hz, seconds=seconds, signal=signal))
        offset += seconds
    return tuple(cues)


def spray(seconds: float) -> tuple[Cue, ...]:
    """One spray: a tone to press, a tone to let go `seconds` later.

    Raises: ValueError for a spray shorter than its first tone or longer than LONGEST_SPRAY_S.
    """
    if not SIGNAL_S <= seconds <= LONGEST_SPRAY_S:
        raise ValueError(f"a spray lasts {SIGNAL_S} to {LONGEST_SPRAY_S} s, got {seconds} s")
    return (*sound(Signal.GO, 0.0), *sound(Signal.RELEASE, seconds))


def puffs(times: int, on_s: float, off_s: float) -> tuple[Cue, ...]:
    """Short puffs at a set cadence: press while the high note lasts, let go at the lower one.

    Raises: ValueError when there is no puff, or a puff and its pause are shorter than a tone that can be told.
    """
    if times < 1 or on_s <= 0 or on_s + off_s < SIGNAL_S or off_s < 0.1:
        raise ValueError(f"puffs need on + off of at least {SIGNAL_S} s, got {times} x {on_s} s on, {off_s} s off")
    over_s = min(max(0.1, SIGNAL_S - on_s), off_s)
    cues = []
    for count in range(times):
        at_s = count * (on_s + off_s)
        cues.append(Cue(offset_s=at_s, hz=_PUFF_HZ, seconds=on_s, signal=Signal.PUFF))
        cues.append(Cue(offset_s=at_s + on_s, hz=_PUFF_OVER_HZ, seconds=over_s, signal=Signal.PUFF))
    return tuple(cues)


def crank(burst_s: float) -> tuple[Cue, ...]:
    """A timed burst for who cannot be heard cranking: a tone to turn the key, a tone to let go.

    Raises: ValueError for a burst shorter than its first tone.
    """
    if burst_s < SIGNAL_S:
        raise ValueError(f"a burst lasts at least {SIGNAL_S} s, got {burst_s} s")
    return (*sound(Signal.GO, 0.0), *sound(Signal.RELEASE, burst_s))


def gapless(cues: Sequence[Cue]) -> tuple[tuple[float, float], ...]:
    """The schedule as (hz, seconds) that follow one another without a gap; hz 0 is silence.

    Each stretch is counted from the first tone, not from the one before, so that rounding never adds up.
    Raises: ValueError when two tones overlap.
    """
    out: list[tuple[float, float]] = []
    at_s = 0.0
    for cue in sorted(cues, key=lambda one: one.offset_s):
        if cue.offset_s < at_s - 1e-9:
            raise ValueError(f"tones overlap at {cue.offset_s} s")
        if cue.offset_s > at_s + 1e-9:
            out.append((0.0, cue.offset_s - at_s))
        out.append((cue.hz, cue.seconds))
        at_s = cue.offset_s + cue.seconds
    return tuple(out)


def lasts_s(cues: Sequence[Cue]) -> float:
    """Seconds from the first tone's start to the last one's end."""
    return max((cue.offset_s + cue.seconds for cue in cues), default=0.0)
