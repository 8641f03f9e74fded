"""What our voice does beside words: tones that are due, softer over a hum, as loud as the shop asks."""

from __future__ import annotations

from collections.abc import Callable
from typing import Protocol, runtime_checkable

from assistant.language.signals import Signal
from assistant.ports import AudioBlock, Recogniser, Voice
from assistant.session.conversation import Conversation
from assistant.session.loudness import Loudness


@runtime_checkable
class TellsVoice(Protocol):
    """A recogniser that calls `on_pause` once in an utterance, when a silence may be its end, before it works out what
    was said. `hears_voice`: whether somebody makes a sound with his voice just now, words or not."""

    on_pause: Callable[[], None]

    @property
    def hears_voice(self) -> bool:
        """Words or a hum."""


class OurVoice:
    """Asked before and after each block."""

    def __init__(
        self, conversation: Conversation, voice: Voice, recogniser: Recogniser, loudness: Loudness | None, now_s: float
    ) -> None:
        """`loudness`: follows the shop's noise; None for a voice that stays as loud as it is."""
        self._conversation = conversation
        self._voice = voice
        self._loudness = loudness
        self._tells = recogniser if isinstance(recogniser, TellsVoice) else None
        if self._tells is not None:
            self._tells.on_pause = self.bridge
        self._ducked = False
        self._was_speaking = False
        self._counted_to_s = now_s

    @property
    def hears_voice(self) -> bool:
        """Whether somebody surely makes a sound with his voice, as far as the recogniser tells."""
        return self._tells is not None and self._tells.hears_voice

    def sound_tones(self, now_s: float) -> None:
        """What is due in a silence of ours: that we have finished, and the last seconds of a count."""
        state, speaking = self._conversation.state, self._voice.speaking
        if not speaking:
            if self._was_speaking:
                self._conversation.mouth.fell_silent(state)
            self._conversation.mouth.count_down(state, self._counted_to_s, now_s)
        self._was_speaking, self._counted_to_s = speaking, now_s

    def bridge(self) -> None:
        """Somebody fell silent: until his words are worked out, a tone says that they were heard."""
        if not self._voice.speaking and not self._conversation.awaits_tone:
            self._conversation.mouth.signal(Signal.HEARD)

    def mind(self, block: AudioBlock, *, over_words: bool) -> None:
        """Be softer while somebody hums into what we say, and follow the noise in our silences. `over_words`: whether
        words of ours sounded in the block."""
        hears = self.hears_voice
        duck = hears and over_words and self._voice.speaking
        if duck is not self._ducked:
            self._ducked = duck
            self._voice.duck(duck)
        if self._loudness is not None and self._loudness.hear(block, speaking=self._voice.speaking or hears):
            self._voice.set_lift(self._loudness.lift_db)
