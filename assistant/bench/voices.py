"""Made-up speakers for the benches: several synthesis engines, each only if the machine has it.

hibari comes with every installation, eSpeak NG with the extra `espeak`. flite and festival are Debian packages; without
them their voices are absent and the bench says so. Variants of one eSpeak language count as one voice.
"""

from __future__ import annotations

import shutil
import subprocess
import tempfile
from dataclasses import dataclass
from functools import lru_cache
from pathlib import Path

import numpy as np
import soundfile
import soxr
from numpy.typing import NDArray

from assistant.adapters.synthesiser_hibari import OWN_WPM, HibariSynthesiser
from assistant.adapters.synthesiser_pyttsx3 import Pyttsx3Synthesiser
from assistant.ports import SAMPLE_RATE_HZ

Pcm = NDArray[np.int16]


@dataclass(frozen=True, slots=True)
class Speaker:
    """`engine`: espeak, flite, festival or hibari. `voice`: its name there. `rate`: words a minute."""

    engine: str
    voice: str
    rate: int = 165

    @property
    def name(self) -> str:
        """Short name for tables."""
        return f"{self.engine}:{self.voice}"


TUNING = (
    Speaker("espeak", "en-us"),
    Speaker("espeak", "en-gb-x-rp", 150),
    Speaker("espeak", "en-gb-scotland", 160),
    Speaker("flite", "rms"),
    Speaker("flite", "awb"),
    Speaker("flite", "kal16"),
)
"""Voices that thresholds were chosen on."""

LEARNT = (
    *TUNING,
    Speaker("espeak", "en"),
    Speaker("espeak", "en-gb-x-gbclan"),
    Speaker("espeak", "en-gb-x-gbcwmd"),
    Speaker("espeak", "en-us-nyc"),
    Speaker("flite", "kal"),
)
"""Voices that the phone layers learn from."""

HELD_OUT = (
    Speaker("festival", "kal_diphone"),
    Speaker("festival", "ked_diphone"),
    Speaker("festival", "cmu_us_slt_arctic_hts"),
    Speaker("flite", "slt"),
    Speaker("espeak", "en-029", 170),
    Speaker("hibari", "own"),
)
"""Voices never used for tuning; festival and hibari are engines never used for tuning, the second sounds natural and is
the voice that we speak with."""


ESPEAK_TRIES = 3
"""On a machine at load 15 eSpeak NG once came back with nothing."""


def available(speakers: tuple[Speaker, ...]) -> tuple[Speaker, ...]:
    """Those of the speakers that this machine can make speak."""
    there = {
        "espeak": True,
        "flite": shutil.which("flite") is not None,
        "festival": shutil.which("festival") is not None,
        "hibari": True,
    }
    return tuple(speaker for speaker in speakers if there[speaker.engine] and _has(speaker))


def speak(speaker: Speaker, text: str) -> Pcm:
    """The text spoken: int16, mono, (frames,), 16 000 Hz, trimmed to where it speaks."""
    if speaker.engine == "espeak":
        synthesiser = Pyttsx3Synthesiser(voice=f"gmw/{speaker.voice}")
        tries = (
            synthesiser.render(text, words_per_minute=speaker.rate, rate_hz=SAMPLE_RATE_HZ) for _ in range(ESPEAK_TRIES)
        )
        return trimmed(next((pcm for pcm in tries if len(pcm)), np.zeros(0, np.int16)))
    if speaker.engine == "flite":
        sound, rate = spoken_by_flite(speaker.voice, text)
    elif speaker.engine == "hibari":
        return trimmed(HibariSynthesiser().render(text, words_per_minute=round(OWN_WPM), rate_hz=SAMPLE_RATE_HZ))
    else:
        sound, rate = _festival(speaker.voice, text)
    return at_our_rate(sound, rate)


def at_our_rate(sound: NDArray[np.float64], rate_hz: int) -> Pcm:
    """Sound of any rate, of which full scale is 32,768, at 16 000 Hz and trimmed to where it speaks."""
    resampled = soxr.resample(sound.astype(np.float32), rate_hz, SAMPLE_RATE_HZ)
    return trimmed(np.clip(resampled, -32768, 32767).astype(np.int16))


def spoken_by_flite(voice: str, text: str, *, stretch: float = 1.0) -> tuple[NDArray[np.float64], int]:
    """The text by a flite voice, and its rate in hertz. `stretch`: how much longer each sound lasts."""
    return _by_command(["flite", "-voice", voice, "--setf", f"duration_stretch={stretch:.2f}", "-t", text, "-o"])


def trimmed(pcm: Pcm, below_peak_db: float = 40.0) -> Pcm:
    """The sound without what is quieter than `below_peak_db` under its peak at either end (10 ms frames)."""
    frames = len(pcm) // 160
    if frames == 0:
        return pcm
    level = np.sqrt((pcm[: frames * 160].reshape(frames, 160).astype(np.float64) ** 2).mean(axis=1))
    loud = np.flatnonzero(level > level.max() * 10 ** (-below_peak_db / 20))
    return pcm[loud[0] * 160 : (loud[-1] + 1) * 160] if level.max() > 0 else pcm


@lru_cache(maxsize=64)
def _has(speaker: Speaker) -> bool:
    if speaker.engine != "festival":
        return True
    return any((Path("/usr/share/festival/voices") / folder / speaker.voice).is_dir() for folder in ("english", "us"))


def _by_command(command: list[str]) -> tuple[NDArray[np.float64], int]:
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "said.wav"
        subprocess.run([*command, str(path)], check=True, capture_output=True, timeout=60)
        sound, rate = soundfile.read(path, dtype="int16")
    return sound.astype(np.float64), rate


def _festival(voice: str, text: str) -> tuple[NDArray[np.float64], int]:
    with tempfile.TemporaryDirectory() as folder:
        words, path = Path(folder) / "words.txt", Path(folder) / "said.wav"
        words.write_text(text, encoding="ascii", errors="ignore")
        command = ["text2wave", "-eval", f"(voice_{voice})", "-o", str(path), str(words)]
        subprocess.run(command, check=True, capture_output=True, timeout=60)
        sound, rate = soundfile.read(path, dtype="int16")
    return sound.astype(np.float64), rate
