"""Our own voice taken out of the microphone: what the speaker played, sent through a learnt room, off what was heard.

A frequency-domain Kalman filter learns the way from speaker to microphone in parts of 16 ms, and knows how unsure it is
of it; what may be left of the echo is then weakened band by band. It needs no telling when two people talk at once, and
it keeps the technician's word whole over our own. How much echo there can be at all is told from levels (`coupling`):
over a headset there is none, and then nothing may be weakened, nor anything below the noise that is always there.
Source: Enzner and Vary, "Frequency-domain adaptive Kalman filter for acoustic echo control in hands-free telephones",
Signal Processing 86 (2006), and its form in parts by Kuech, Mabande and Enzner, ICASSP 2014; both from memory.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from assistant.hearing.coupling import UNKNOWN, Coupling

Pcm = NDArray[np.int16]
Floats = NDArray[np.float64]
Complexes = NDArray[np.complex128]

HOP = 256
"""Samples taken at a time: 16 ms at 16 000 Hz."""

PARTS = 24
"""Hops of the room that are learnt: 384 ms, of which up to 80 ms is the lead of what is played over its echo."""

STAYS = 0.99
"""How far the room is the same one hop later: people move, hoods close, and two devices never keep quite the same time.
Source of this and of the numbers below: `hoodside bench echo`, in made-up rooms."""

HOLDS = 0.999
"""What is known of the way is believed so far one hop later. Believed less, it fades in every pause of our voice, and
the next word comes back."""

ANY_ROOM = 0.3
"""Power of the way that a room may take on when it changes, beside what is known of it: without it a filter that
learnt nothing in one room would be sure of nothing for ever."""

MOVES = 0.1
"""But no more than this share of the greatest error that there can be: a filter that takes noise and other voices for
changes of the room learns from them, and puts our own voice into what is heard."""

DOUBT = 4.0
"""Times the filter's own doubt that is taken for echo left over."""

LATE = 0.1
"""Share of the echo that comes later than is learnt, or that a small speaker bends: -10 dB."""

FADES = 0.6
"""What is left over of the echo falls no faster than this from hop to hop."""

LEAST_GAIN = 0.03
"""No band is weakened below -30 dB."""

NATURAL = 2.0
"""Times its mean power up to which noise is left alone, since it wavers."""

LINGERS = PARTS + 20
"""Hops after our last sound in which its echo may still be heard: 0.7 s."""

_NOTHING = 1e-7  # power of a band in which there is no sound, full scale 1
_FULL_SCALE = 32_768.0
_EMPTY: Pcm = np.zeros(0, np.int16)


class EchoCanceller:
    """Takes our own voice out, hop by hop; remembers the room from one sentence to the next."""

    def __init__(self) -> None:
        bands = HOP + 1
        self._room: Complexes = np.zeros((PARTS, bands), np.complex128)
        self._unsure: Floats = np.full((PARTS, bands), UNKNOWN / PARTS)
        self._coupling = Coupling()
        self._sent: Complexes = np.zeros((PARTS, bands), np.complex128)  # spectra of what was played, newest first
        self._played: Floats = np.zeros(HOP)
        self._others: Floats = np.full(bands, 1e-4)  # power of all that is no echo
        self._rest: Floats = np.zeros(HOP)
        self._echo: Floats = np.zeros(HOP)
        self._left: Floats = np.zeros(bands)
        self._overlap: Floats = np.zeros(HOP)
        self._doubted: Floats = np.zeros(bands)  # power of the echo that may be left over
        self._silent_hops = LINGERS
        self._waiting: tuple[Pcm, Pcm] = (_EMPTY, _EMPTY)
        self._window: Floats = np.sqrt(np.hanning(2 * HOP + 1)[:-1])
        self._rising: Floats = np.linspace(0.0, 1.0, HOP)

    @property
    def waiting(self) -> int:
        """Samples taken that do not fill a hop yet."""
        return len(self._waiting[0])

    def clean(self, heard: Pcm, played: Pcm | None) -> Pcm:
        """The sound without the echo of what was `played`; both int16, (frames,), 16 000 Hz, None for nothing played.

        `played` leads its echo by up to 80 ms. Whole hops come back, late by one; the rest waits for the next call.
        Where nothing was played for a while everything comes back at once, as it is.
        """
        sent = np.zeros(len(heard), np.int16) if played is None else played
        heard = np.concatenate([self._waiting[0], heard])
        sent = np.concatenate([self._waiting[1], sent])
        whole = len(heard) // HOP * HOP
        if self._silent_hops >= LINGERS and not sent.any():
            whole = len(heard)
            out = heard
            for at in range(0, whole - HOP + 1, HOP):
                self._coupling.silent(_power(heard[at : at + HOP] / _FULL_SCALE))
        else:
            out = np.concatenate(
                [_EMPTY] + [self._hop(heard[at : at + HOP], sent[at : at + HOP]) for at in range(0, whole, HOP)]
            )
        self._waiting = heard[whole:], sent[whole:]
        return out

    def _hop(self, heard: Pcm, played: Pcm) -> Pcm:
        was_silent = self._silent_hops >= LINGERS
        self._silent_hops = 0 if played.any() else self._silent_hops + 1
        if was_silent and self._silent_hops:
            return heard
        if was_silent:
            # Streams begin anew and clocks are set: the way may have moved by some samples, which is another way.
            self._coupling.begin_again()
            self._unsure += np.abs(self._room) ** 2
        rest, echo = self._learn(heard / _FULL_SCALE, played / _FULL_SCALE)
        cleaned = self._weaken(rest, echo)
        if was_silent:  # from the sound as it is to the late one, and back, without a click
            cleaned += (heard / _FULL_SCALE - cleaned) * self._rising[::-1]
        elif self._silent_hops >= LINGERS:
            cleaned += (heard / _FULL_SCALE - cleaned) * self._rising
        return np.clip(cleaned * _FULL_SCALE, -_FULL_SCALE, _FULL_SCALE - 1).astype(np.int16)

    def _learn(self, heard: Floats, played: Floats) -> tuple[Floats, Floats]:
        """What is left after the echo as known so far is taken off, and that echo; the room is known better after."""
        self._sent = np.roll(self._sent, 1, axis=0)
        self._sent[0] = np.fft.rfft(np.concatenate([self._played, played]))
        self._played = played
        expected = (self._room * self._sent).sum(axis=0)
        echo = np.fft.irfft(expected)[HOP:]
        error = np.fft.rfft(np.concatenate([np.zeros(HOP), heard - echo]))
        power = np.abs(self._sent) ** 2
        self._coupling.hop(heard=_power(heard), left=np.abs(error) ** 2, echo=_power(echo), played=power)
        self._unsure *= np.minimum(1.0, self._coupling.most / (self._unsure.sum(axis=0) + _NOTHING))
        self._doubted = (self._unsure * power).sum(axis=0)
        self._others += 0.2 * (np.maximum(np.abs(error) ** 2 - self._doubted, _NOTHING) - self._others)
        if self._silent_hops < PARTS:
            step = self._unsure / (self._doubted + 2.0 * self._others + _NOTHING)
            wished = np.fft.irfft(step * self._sent.conj() * error, axis=1)
            wished[:, HOP:] = 0.0  # each part of the room is no longer than a hop
            self._room = HOLDS * (self._room + np.fft.rfft(wished, axis=1))
            known = np.maximum(1.0 - 0.5 * step * power, 0.0) * self._unsure
            moved = np.abs(self._room) ** 2 + np.minimum(ANY_ROOM, MOVES * self._coupling.most) / PARTS
            self._unsure = STAYS**2 * known + (1.0 - STAYS**2) * moved
        taken = np.fft.irfft(expected * self._coupling.helps)[HOP:]
        return heard - taken, echo

    def _weaken(self, rest: Floats, echo: Floats) -> Floats:
        """The rest of the hop before, band by band as weak as the echo that is still in it demands."""
        spectrum = np.fft.rfft(np.concatenate([self._rest, rest]) * self._window)
        known = np.abs(np.fft.rfft(np.concatenate([self._echo, echo]) * self._window)) ** 2
        self._rest, self._echo = rest, echo
        self._left = np.maximum(DOUBT * self._doubted + LATE * known, FADES * self._left)
        power = np.abs(spectrum) ** 2 + _NOTHING
        # Holes in the noise sound like speech to a detector, and speech with holes like none.
        natural = np.minimum(1.0, np.sqrt(NATURAL * self._coupling.noise / power))
        gain = np.maximum(np.maximum(LEAST_GAIN, natural), 1.0 - self._left / power)
        sound = np.fft.irfft(spectrum * gain) * self._window
        cleaned = self._overlap + sound[:HOP]
        self._overlap = sound[HOP:]
        return cleaned


def _power(hop: Floats) -> Floats:
    """The squared spectrum of a hop, as long as that of two."""
    squared: Floats = np.abs(np.fft.rfft(hop, 2 * HOP)) ** 2
    return squared
