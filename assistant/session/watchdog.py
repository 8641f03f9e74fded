"""Sees to it that a job never falls silent: where hearing, the voice or time is lost, it says so by what is left."""

from __future__ import annotations

import math
from collections.abc import Callable
from typing import Protocol

from assistant.english import live as texts
from assistant.errors import DeviceLost, HoodsideError, VoiceLost
from assistant.guide import Mode
from assistant.language.model import BY_MACHINE, Control, Heard
from assistant.ports import AudioBlock, Recogniser, Voice
from assistant.session.conversation import Conversation

HEARING_SLOW_S = 2.4
"""Work on what was said that takes longer is told of, and keys go on."""

SLEPT_S = 2.0
"""Less is no sleep, but the two clocks read one after the other. Source: judgement."""

ABOUT = "hearing"


class Notice(Protocol):
    """Puts a notice on the screen at once."""

    def __call__(self, about: str, text: str, seconds: float) -> None:
        """About what, which one, and for how long; none for 0 seconds."""


class Watchdog:
    """Asked in every step of a live session."""

    def __init__(
        self,
        conversation: Conversation,
        voice: Voice,
        now_s: Callable[[], float],
        notice: Notice,
        *,
        speech_wrong: Callable[[], HoodsideError | None],
        asleep_s: Callable[[], float],
    ) -> None:
        """`speech_wrong`: what is wrong with our speech and was not told of yet. `asleep_s`: how long the machine has
        slept so far."""
        self._conversation = conversation
        self._voice = voice
        self._now_s = now_s
        self._notice = notice
        self._speech_wrong = speech_wrong
        self._asleep_s = asleep_s
        self._slept_s = asleep_s()
        self._deaf = ""  # what was told of hearing that failed, until it is back
        self._slow = False

    @property
    def deaf(self) -> bool:
        """Whether nobody listened to the latest block."""
        return bool(self._deaf)

    def mind(self) -> None:
        """Sleep and speech. Raises VoiceLost, after whatever was timed has been stopped."""
        self._mind_sleep()
        wrong = self._speech_wrong()
        if wrong is None:
            return
        lost = isinstance(wrong, VoiceLost)
        if lost and self._conversation.state.mode is Mode.TIMING:
            self._conversation.press(Control.STOP, self._now_s(), by=BY_MACHINE)
        self._conversation.show_also(str(wrong), self._now_s())
        if lost:
            raise wrong

    def hear(self, recogniser: Recogniser, block: AudioBlock) -> Heard | None:
        """What was heard; nothing where hearing failed, which is told by voice and screen."""
        try:
            heard = recogniser.accept(block)
        except DeviceLost as lost:
            if self._deaf != str(lost):
                self._deaf = str(lost)
                self._notice(ABOUT, self._deaf, math.inf)
                self._conversation.remark(lost.spoken or self._deaf, self._now_s())
            return None
        if self._deaf:
            self._conversation.remark(texts.HEARS_AGAIN, self._now_s())
        if self._deaf or self._slow:
            self._notice(ABOUT, "", 0.0)
            self._deaf, self._slow = "", False
        return heard

    def hearing_works_since(self, waited_s: float) -> None:
        """The recogniser has worked on one block for so long."""
        if waited_s <= HEARING_SLOW_S or self._slow:
            return
        self._slow = True
        self._notice(ABOUT, texts.HEARING_SLOW, math.inf)
        if not self._voice.speaking and self._conversation.state.mode is not Mode.TIMING:
            self._conversation.remark(texts.HEARING_SLOW, self._now_s())

    def _mind_sleep(self) -> None:
        """A job does not go on by itself where hours may lie between two words: it is held, and cautions come anew."""
        slept_s = self._asleep_s()
        if slept_s - self._slept_s < SLEPT_S:
            return
        self._slept_s = slept_s
        self._conversation.remark(texts.SLEPT, self._now_s())
        if self._conversation.state.mode is not Mode.HELD:
            self._conversation.press(Control.STOP, self._now_s(), by=BY_MACHINE)
