"""The made-up shop: a steady fan, a rattling wrench and murmuring people, under whatever is said."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from assistant.cranking.shop_noise import hum, impact_wrench, talk
from assistant.ports import SAMPLE_RATE_HZ

LOOP_S = 40.0
SPEECH_RMS = 3_000.0
"""Level of the technician's voice at the microphone: about -21 dBFS (common practice, no source)."""


class Shop:
    """Noise without end, the same for every run of one seed.

    The signal-to-noise ratio is mean power of the speech over mean power of the noise in the same samples, 0 to 8 kHz.
    """

    def __init__(self, *, snr_db: float, seed: int) -> None:
        rng = np.random.default_rng(seed)
        parts = (1.0, hum), (0.5, impact_wrench), (0.5, talk)
        mixed = sum(share * make(LOOP_S, rng) for share, make in parts)
        self._loop = mixed / np.sqrt(np.mean(np.square(mixed))) * SPEECH_RMS * 10 ** (-snr_db / 20)
        self._snr_db = snr_db

    def noise(self, start_s: float, frames: int) -> NDArray[np.int16]:
        """The shop from `start_s` on: int16, mono, (frames,), 16 000 Hz."""
        start = round(start_s * SAMPLE_RATE_HZ)
        wanted = np.arange(start, start + frames) % len(self._loop)
        return _whole(self._loop[wanted])

    def over(self, speech: NDArray[np.int16], start_s: float) -> NDArray[np.int16]:
        """The voice at the microphone, without the noise, at the level that gives the shop's ratio just there."""
        if not len(speech):
            return speech
        noise_power = float(np.mean(np.square(self.noise(start_s, len(speech)).astype(np.float64))))
        power = float(np.mean(np.square(speech.astype(np.float64))))
        gain = np.sqrt(max(noise_power, 1.0) * 10 ** (self._snr_db / 10) / max(power, 1.0))
        return _whole(speech * gain)


def _whole(sound: NDArray[np.float64]) -> NDArray[np.int16]:
    return np.clip(sound, -32_767, 32_767).astype(np.int16, copy=False)
