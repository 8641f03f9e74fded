"""What the ear for the starter tells, handed to the conversation where it matters."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from typing import Protocol

from assistant.english import live as texts
from assistant.language.model import BurstHeard, BurstReleased, BurstStarted, Heard, StarterClicked, StarterEvent
from assistant.ports import AudioBlock
from assistant.session.conversation import Conversation


class Starter(Protocol):
    """Hears the starter in the same blocks."""

    @property
    def quiet_s(self) -> float:
        """Since when nobody speaks, seconds of sound."""

    def accept(self, block: AudioBlock) -> Sequence[StarterEvent]:
        """What the block brought to an end or a beginning."""

    def understood(self, heard: Heard) -> None:
        """The recogniser took words from this stretch of the stream."""


def take_event(told: StarterEvent, waited_s: float, conversation: Conversation, now_s: float) -> str:
    """Hand it on, and give what is to be shown; nothing where it needs no word. Raises RecordError.

    What sounds like a starter matters where one was asked for: tools and music sound like it, too. `waited_s`: how long
    its sound lay there.
    """
    event = replace(told, ago_s=told.ago_s + waited_s) if isinstance(told, BurstStarted | BurstHeard) else told
    if isinstance(event, BurstHeard):
        return "" if conversation.hear_burst(event, now_s) else texts.MAYBE_NOT_COUNTED
    if not conversation.awaits_burst:
        return ""
    if isinstance(event, StarterClicked):
        conversation.remark(texts.CLICKED, now_s)
        return texts.CLICKED
    if isinstance(event, BurstReleased):
        return texts.LET_GO
    conversation.sense(event, now_s)
    return ""
