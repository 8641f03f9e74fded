"""How much of what we play can come back at all, told from levels alone: nothing over a headset.

Echo is never louder than what is heard. So the least that was ever heard while we were loud bounds the way from speaker
to microphone, whatever else sounds, and the least that the canceller left over bounds how wrong it is about that way.
Noise that never stops is no echo and is taken off both. Pure; counts hops.
Source: least levels as a measure of noise, R. Martin, IEEE Transactions on Speech and Audio Processing 9 (2001), from
memory; the rest and all numbers by `hoodside bench echo`, in made-up rooms.
"""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]

EDGES = (*range(0, 64, 4), *range(64, 128, 8), *range(128, 256, 16))
"""First bands of the groups that are judged together: 125, 250, then 500 Hz wide, the last with the band above it."""

UNKNOWN = 5.0
"""Power of the way while nothing is known. No real room has so much: it takes the first of our first sentence out."""

LEAST = 1e-4
"""Nor is the way ever taken for less than -40 dB: a headset may be pulled out at any time."""

MARGIN = 4.0
"""How many times the least seen the way may be: the least of a wavering level lies below its mean."""

RISES = 2.0 ** (0.016 / 0.3)
"""A bound rises so much in a hop unless it is seen again: twofold in 0.3 s, so that another room is believed soon."""

FLOOR_RISES = 2.0 ** (0.016 / 1.0)
"""The floor of the noise: twofold in a second."""

FLOOR_FOLLOWS = 0.1
"""Share of each new hop in the level that the floor is the least of."""

OVER_FLOOR = 1.4
"""The mean of a noise over its least level."""

KEEPS = 0.02
"""However much of it seems noise, so much of what is left counts as echo."""

FOLLOWS = 0.4
"""Share of each new hop in a level."""

ANEW = 10.0
"""So many times more may come back after a silence."""

LEADS = 8
"""What we play counts as no louder than the least of so many hops: its echo comes up to 80 ms later, and lasts."""

LOUD = 0.003
"""Hops are looked at whose sound is at least so much of our usual one: -25 dB."""

HELPS = 0.8
"""Echo is taken off only in groups that it makes so much quieter: where there is none, what was learnt is chance, and
taking it off would put our own voice into what is heard."""

HELPS_FOLLOWS = 0.02
"""Share of each new hop in the mean that tells it: 0.8 s, so that a word over our voice does not undo it."""

CLAIMS = 0.5
"""Where the canceller says that so much of what is heard is echo, taking it off must make it quieter."""

_BANDS = 257
_WIDTHS = np.diff((*EDGES, _BANDS))
_NOTHING = 1e-9


def grouped(power: Floats) -> Floats:
    """The mean power in each group, of (..., 257) bands."""
    means: Floats = np.add.reduceat(power, EDGES, axis=-1) / _WIDTHS
    return means


def spread(groups: Floats) -> Floats:
    """The same value for all bands of a group: (257,)."""
    return np.repeat(groups, _WIDTHS)


class Coupling:
    """Follows the bounds, hop by hop; all powers as the squares of spectra of 256 samples, (257,)."""

    def __init__(self) -> None:
        groups = len(EDGES)
        self._heard: Floats = np.zeros(groups)
        self._left: Floats = np.zeros(groups)
        self._echo: Floats = np.zeros(groups)
        self._steady: Floats = np.zeros(groups)
        self._change: Floats = np.zeros(groups)
        self._usual: Floats = np.zeros(groups)
        self._floor: Floats = np.full(groups, np.inf)
        self._noise: Floats = np.zeros(groups)
        self._way: Floats = np.full(groups, UNKNOWN)
        self._error: Floats = np.full(groups, UNKNOWN)
        self._worse = 0.0
        self._silent_hops = 0

    @property
    def noise(self) -> Floats:
        """Power of the noise that never stops, by band: (257,). Nothing before a hop without our voice was heard."""
        return spread(self._noise)

    @property
    def helps(self) -> Floats:
        """1 in bands that taking the echo off makes quieter, else 0: (257,)."""
        return spread((self._change < math.log(HELPS)).astype(np.float64))

    @property
    def most(self) -> Floats:
        """The greatest power that the error about the way can have, by band: (257,)."""
        return spread(MARGIN * np.minimum(self._way, self._error))

    def silent(self, heard: Floats) -> None:
        """A hop in which nothing of ours can sound: what is heard is the shop."""
        if not heard.any():
            return  # muted: nothing is told of the shop
        self._silent_hops += 1
        self._steady += max(FLOOR_FOLLOWS, 1 / self._silent_hops) * (grouped(heard) - self._steady)
        if self._silent_hops * FLOOR_FOLLOWS < 1:
            return  # too few hops for a mean
        self._floor = np.minimum(self._floor * FLOOR_RISES + _NOTHING, self._steady)
        self._noise = OVER_FLOOR * self._floor

    def begin_again(self) -> None:
        """After a silence of ours the room may be another one, but hardly one in which far more comes back."""
        self._way = np.minimum(ANEW * self._way, UNKNOWN)
        self._error = self._way.copy()

    def hop(self, *, heard: Floats, left: Floats, echo: Floats, played: Floats) -> None:
        """What was heard, what was `left` of it once the `echo` that was expected was taken off, and what was `played`,
        newest hop first: (hops, 257), spectra of the hop and the one before it."""
        if not heard.any():
            return  # a microphone that is muted tells nothing of the room
        self._heard += FOLLOWS * (grouped(heard) - self._heard)
        self._left += FOLLOWS * (grouped(left) - self._left)
        self._echo += FOLLOWS * (grouped(echo) - self._echo)
        self._steady += FLOOR_FOLLOWS * (grouped(left) - self._steady)
        self._floor = np.minimum(self._floor, self._steady)  # it never rises here: our own echo has no pauses
        self._noise = np.minimum(self._noise, OVER_FLOOR * self._floor)
        least = grouped(played[:LEADS]).min(axis=0) / 2.0  # of two hops, where what is heard is one
        self._usual = np.maximum(0.999 * self._usual, least)
        loud = least > np.maximum(LOUD * self._usual, _NOTHING)
        self._way = np.where(loud, self._lowered(self._way, self._heard, least), self._way)
        self._error = np.where(loud, self._lowered(self._error, self._left, least), self._error)
        if not played[0].any():
            return
        change = np.log((self._left + _NOTHING) / (self._heard + _NOTHING))
        self._change += HELPS_FOLLOWS * (np.where(loud, change, self._change) - self._change)
        if self._grows_worse():
            self._error = np.maximum(self._error, self._way)

    def _lowered(self, bound: Floats, level: Floats, played: Floats) -> Floats:
        beyond = np.maximum(level - self._noise, KEEPS * level)
        seen = np.minimum(bound * RISES, beyond / (played + _NOTHING))
        lowered: Floats = np.clip(seen, LEAST, UNKNOWN)
        return lowered

    def _grows_worse(self) -> bool:
        """Whether taking the echo off makes it louder: the room is another one, and nothing known of it holds."""
        claimed = self._echo > CLAIMS * self._heard
        if claimed.any():
            change = np.log((self._left[claimed] + _NOTHING) / (self._heard[claimed] + _NOTHING)).mean()
            self._worse += 0.2 * (float(change) - self._worse)
        return self._worse > 0.0
