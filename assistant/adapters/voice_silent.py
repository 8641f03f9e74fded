"""A voice that makes no sound: what is said is only shown and traced."""

from __future__ import annotations

from collections.abc import Sequence

from assistant.ports import Utterance


class SilentVoice:
    """Takes every utterance and is done with it at once."""

    def say(self, utterances: Sequence[Utterance]) -> None:
        """Nothing is heard."""

    def prepare(self, text: str) -> bool:
        """There is nothing to make."""
        return True

    def stop(self) -> None:
        """There is nothing to cut."""

    @property
    def speaking(self) -> bool:
        """Never."""
        return False

    def set_volume(self, level: float) -> None:
        """Has no effect."""

    def set_lift(self, decibels: float) -> None:
        """Has no effect."""

    def duck(self, softer: bool) -> None:
        """There is nothing to make softer."""

    def set_rate(self, words_per_minute: int) -> None:
        """Has no effect."""

    def close(self) -> None:
        """There is nothing to free."""
