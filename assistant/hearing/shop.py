"""How well a technician can be heard in a shop: the noise, the voice over it, what that means and what to do. Pure.

The ratio is the mean power of the speech over the mean power of the noise, as in `hoodside bench hear`, so that what
is said here about a ratio is what was measured there.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

import numpy as np
from numpy.typing import NDArray

from assistant.english.shop_check import (
    ATTENTION,
    CLOSER,
    HEADSET,
    MEANS,
    NOT_HEARD,
    ONLY_SILENCE,
    SPEAK,
    TURN_DOWN,
    TURN_UP,
    UNMUTE,
    noise,
    voice,
)
from assistant.hearing.level import FULL_SCALE, SILENCE_DBFS, peak_dbfs, rms_dbfs

Pcm = NDArray[np.int16]

FRAME = 320
"""20 ms at 16 000 Hz."""

OVER_NOISE_DB = 6.0
"""A frame speaks when it is so much above what the noise seldom passes."""

SELDOM = 0.95
"""Share of the noise's frames that lie below its seldom-passed level."""

LEAST_SPEECH_S = 0.3
"""Less of it is a knock or a cough, not a word."""

GOOD_DB, FAIR_DB, POOR_DB = 15.0, 9.0, 6.0
"""Ratios at which hearing is measured: `hoodside bench hear`."""

LOUDEST_DBFS = -1.0
"""Peaks above are cut off by the microphone."""

SOFTEST_DBFS = -50.0
"""Speech below is lost in the steps of many microphones (judgement)."""

RESTLESS_DB = 12.0
"""So far a shop's loud and soft frames lie apart where tools or talk come and go (judgement)."""

DEAD_DBFS = -90.0
"""Below this a microphone is muted: even a quiet one hisses louder (judgement)."""


class Verdict(StrEnum):
    """How well speech can be heard."""

    GOOD = "good"
    FAIR = "fair"
    POOR = "poor"
    TOO_LOUD = "too loud"
    NO_SPEECH = "no speech"
    DEAD = "dead"


@dataclass(frozen=True, slots=True, kw_only=True)
class ShopCheck:
    """Levels in dBFS (mean, peak), `ratio_db` of speech over noise; None where nobody spoke. `advice`: sentences."""

    verdict: Verdict
    noise_dbfs: float
    speech_dbfs: float | None
    ratio_db: float | None
    peak_dbfs: float
    restless: bool
    advice: tuple[str, ...]

    @property
    def usable(self) -> bool:
        """Whether a job can be led by voice here."""
        return self.verdict in (Verdict.GOOD, Verdict.FAIR)

    def sentences(self) -> tuple[str, ...]:
        """What was found, in plain words, and what to do."""
        if self.verdict is Verdict.DEAD:
            return (ONLY_SILENCE, *self.advice)
        found = [noise(round(self.noise_dbfs))]
        if self.speech_dbfs is None or self.ratio_db is None:
            return (*found, NOT_HEARD, *self.advice)
        found.append(voice(round(self.speech_dbfs), round(self.ratio_db)))
        return (*found, MEANS[self.verdict], *self.advice)


def check_shop(noise: Pcm, speech: Pcm) -> ShopCheck:
    """What the shop sounds like. `noise`: nobody speaks; `speech`: the technician does; int16, (frames,), 16 000 Hz."""
    quiet, spoken = _frame_powers(noise), _frame_powers(speech)
    peak = max(peak_dbfs(noise), peak_dbfs(speech))
    noise_power = float(quiet.mean()) if quiet.size else 0.0
    restless = _restless(quiet)
    said = spoken[spoken > _seldom(quiet) * 10 ** (OVER_NOISE_DB / 10)]
    speech_dbfs = ratio_db = None
    if said.size * FRAME >= LEAST_SPEECH_S * 16_000:
        power = max(float(said.mean()) - noise_power, 1e-3)
        speech_dbfs = _dbfs(power)
        ratio_db = round(speech_dbfs - max(_dbfs(noise_power), SILENCE_DBFS), 1)
    verdict = Verdict.DEAD if peak < DEAD_DBFS else _verdict(ratio_db)
    return ShopCheck(
        verdict=verdict,
        noise_dbfs=round(rms_dbfs(noise), 1),
        speech_dbfs=None if speech_dbfs is None else round(speech_dbfs, 1),
        ratio_db=ratio_db,
        peak_dbfs=round(peak, 1),
        restless=restless,
        advice=_advice(verdict, peak, speech_dbfs, restless=restless),
    )


def _verdict(ratio_db: float | None) -> Verdict:
    if ratio_db is None:
        return Verdict.NO_SPEECH
    if ratio_db >= GOOD_DB:
        return Verdict.GOOD
    if ratio_db >= FAIR_DB:
        return Verdict.FAIR
    return Verdict.POOR if ratio_db >= POOR_DB else Verdict.TOO_LOUD


def _advice(verdict: Verdict, peak: float, speech_dbfs: float | None, *, restless: bool) -> tuple[str, ...]:
    if verdict is Verdict.DEAD:
        return (UNMUTE,)
    if verdict is Verdict.NO_SPEECH:
        return (SPEAK, HEADSET)
    advice = [CLOSER] if verdict in (Verdict.FAIR, Verdict.POOR) else []
    advice += [HEADSET] if verdict in (Verdict.POOR, Verdict.TOO_LOUD) else []
    advice += [ATTENTION] if restless else []
    advice += [TURN_DOWN] if peak > LOUDEST_DBFS else []
    advice += [TURN_UP] if speech_dbfs is not None and speech_dbfs < SOFTEST_DBFS else []
    return tuple(advice)


def _frame_powers(pcm: Pcm) -> NDArray[np.float64]:
    whole = pcm[: len(pcm) // FRAME * FRAME].reshape(-1, FRAME).astype(np.float64)
    return np.asarray((whole**2).mean(axis=1), np.float64)


def _seldom(quiet: NDArray[np.float64]) -> float:
    return float(np.quantile(quiet, SELDOM)) + 1.0 if quiet.size else 1.0


def _restless(quiet: NDArray[np.float64]) -> bool:
    """Whether the noise swells and falls: tenth and ninety-fifth of its frames far apart, and loud enough to matter."""
    if not quiet.size:
        return False
    low, high = np.quantile(quiet, [0.1, SELDOM]) + 1.0
    return bool(10 * np.log10(high / low) > RESTLESS_DB and _dbfs(float(high)) > SOFTEST_DBFS)


def _dbfs(power: float) -> float:
    return max(SILENCE_DBFS, 10.0 * float(np.log10(power / FULL_SCALE**2))) if power > 0.0 else SILENCE_DBFS
