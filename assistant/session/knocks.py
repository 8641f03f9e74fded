"""Two knocks on the microphone stop what goes on, as any key does."""

from __future__ import annotations

from collections.abc import Callable

from assistant.guide import Mode
from assistant.hearing.knock import KnockEar
from assistant.language.model import BY_KNOCK
from assistant.ports import AudioBlock
from assistant.session.conversation import Conversation
from assistant.session.keys import meant_by


class Knocks:
    """Told of each block of sound before the session is. `first`: who else is told of it, before."""

    def __init__(
        self, conversation: Conversation, now_s: Callable[[], float], first: Callable[[AudioBlock], None] | None = None
    ) -> None:
        self._conversation = conversation
        self._now_s = now_s
        self._first = first
        self._ear = KnockEar()

    def __call__(self, block: AudioBlock) -> None:
        """Where nothing goes on a knock means nothing. Raises RecordError when a fact could not be kept."""
        if self._first is not None:
            self._first(block)
        if not self._ear.feed(block.pcm) or self._conversation.ended:
            return
        counting = self._conversation.state.mode is Mode.TIMING
        control = meant_by(None, speaking=self._conversation.mouth.speaking, counting=counting)
        if control is not None:
            self._conversation.press(control, self._now_s(), by=BY_KNOCK)
