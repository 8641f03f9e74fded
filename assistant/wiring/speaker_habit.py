"""How loud a speaker was wished last, and keeping what is wished of it now."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path
from typing import Any

from assistant.adapters.speech_habits import SpeechHabit, keep_habit, read_habit
from assistant.adapters.voice_profiles import PREFERRED
from assistant.guide import State
from assistant.session.loudness import Loudness


class SpeakerHabit:
    """Of one speaker. `loudness`: what follows the shop's noise, from the noise for which the volume was chosen."""

    def __init__(self, data: Path, device: int | str | None) -> None:
        """`device`: its number or name; None for the one preferred."""
        self._data = data
        self._device = PREFERRED if device is None else str(device)
        self._kept = read_habit(data, self._device)
        self.loudness = Loudness(self._kept.noise_dbfs if self._kept else None)

    @property
    def wished(self) -> Mapping[str, Any] | None:
        """What was wished last, as the fact of a voice that was set has it; None where nothing was."""
        return {"volume": self._kept.volume, "tones": self._kept.tones} if self._kept else None

    def keep(self, state: State) -> None:
        """Keep what is wished now."""
        louder = self._kept is None or self._kept.volume != state.volume
        noise = self.loudness.choose() if louder else self._kept.noise_dbfs if self._kept else None
        self._kept = SpeechHabit(volume=state.volume, tones=state.tones, noise_dbfs=noise)
        keep_habit(self._data, self._device, self._kept)
