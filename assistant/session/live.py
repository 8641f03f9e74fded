"""A live session: blocks of sound in, turns out. While we speak only stop and pause are listened for."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from typing import Protocol

from assistant.errors import DeviceLost
from assistant.hearing.level import rms_dbfs
from assistant.language.attention import addressed
from assistant.language.commands import CUTS_SPEECH, control_of
from assistant.language.grammars import grammar_of
from assistant.language.model import BurstHeard, Expected, Heard, StarterEvent
from assistant.language.understand import plain_words
from assistant.ports import SAMPLE_RATE_HZ, AudioBlock, Listening, Microphone, Recogniser, Voice
from assistant.session.conversation import Conversation
from assistant.session.recent_sound import RecentSound

BLOCK_WAIT_S = 0.1
REDRAW_S = 0.2
LOST_SOUND_S = 0.25
"""Lost sound shorter than this cannot hide a command. Source: judgement."""

STOP_ONLY = Expected(controls=CUTS_SPEECH)


class Starter(Protocol):
    """Hears the starter in the same blocks."""

    def accept(self, block: AudioBlock) -> Sequence[StarterEvent]:
        """What the block brought to an end or a beginning."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Ears:
    """Everything that listens. `starter`: None where nothing listens for the starter."""

    microphone: Microphone
    recogniser: Recogniser
    starter: Starter | None = None


class LiveLoop:
    """Leads a conversation by sound until the job ends or the microphone's file does."""

    def __init__(
        self,
        *,
        conversation: Conversation,
        ears: Ears,
        voice: Voice,
        now_s: Callable[[], float],
        on_block: Callable[[AudioBlock], None] | None = None,
    ) -> None:
        """`now_s`: seconds since the job started. `on_block`: told of each block first, e.g. a clock made of sound."""
        self._conversation = conversation
        self._ears = ears
        self._voice = voice
        self._now_s = now_s
        self._on_block = on_block
        self._while_speaking = replace(STOP_ONLY, attention=conversation.attention)
        self._recent = RecentSound() if conversation.keeps_sound else None
        self._told: Expected | None = None
        self._asked_again = False
        self._microphone_gone = False
        self._lost_s = 0.0
        self._drawn_s = -REDRAW_S

    def run(self) -> None:
        """Until the job has ended, or the sound has. Raises RecordError when a fact could not be kept."""
        while not self._conversation.ended:
            try:
                self.step()
            except EOFError:
                self._obey(self._ears.recogniser.finish())
                return

    def step(self) -> None:
        """One block: what fell due, what was heard, what the starter did. Raises EOFError at the end of a file."""
        self._let_time_pass()
        self._tell_recogniser()
        block = self._read()
        if block is None:
            return
        if self._on_block is not None:
            self._on_block(block)
        if self._recent is not None:
            self._recent.add(block)
        self._count_lost(block)
        self._listen_for_the_starter(block)
        self._obey(self._ears.recogniser.accept(block))
        self._redraw(block)

    def _let_time_pass(self) -> None:
        """Deadlines wait until we are silent, so that no tone is late by a sentence; a release call does not wait."""
        if not self._voice.speaking or self._conversation.urgent:
            self._conversation.pass_time(self._now_s())

    def _tell_recogniser(self) -> None:
        expected = self._while_speaking if self._voice.speaking else self._conversation.expected
        if expected == self._told:
            return
        self._told = expected
        self._ears.recogniser.expect(
            Listening(
                grammar=grammar_of(expected),
                hazardous=expected.hazardous,
                read_back=expected.read_back,
                dictation=expected.dictation,
            )
        )

    def _read(self) -> AudioBlock | None:
        try:
            block = self._ears.microphone.read(BLOCK_WAIT_S)
        except DeviceLost as lost:
            if not self._microphone_gone:
                self._microphone_gone = True
                self._conversation.remark(lost.spoken or "The microphone is gone. I wait for it.", self._now_s())
            return None
        if block is not None and self._microphone_gone:
            self._microphone_gone = False
            self._conversation.remark("The microphone is back.", self._now_s())
        return block

    def _count_lost(self, block: AudioBlock) -> None:
        self._lost_s += block.lost_frames / SAMPLE_RATE_HZ
        if self._lost_s >= LOST_SOUND_S and not self._voice.speaking:
            self._lost_s = 0.0
            self._conversation.remark("I missed some sound. Say it again.", self._now_s())

    def _obey(self, heard: Heard | None) -> None:
        if heard is None:
            return
        speaking = self._voice.speaking
        if speaking and not self._cuts_in(heard):
            return
        if heard.words is None and not self._conversation.expected.dictation:
            # A shop is never silent: speech that is none of our business is asked about once, then let pass; not even
            # once where an attention word says what is our business.
            if self._asked_again or speaking or self._conversation.attention:
                return
            self._asked_again = True
        else:
            self._asked_again = False
        sound = self._recent.between(heard.began_s, heard.ended_s) if self._recent is not None else None
        self._conversation.hear(heard, self._now_s(), sound)

    def _cuts_in(self, heard: Heard) -> bool:
        said = addressed(heard, self._while_speaking)
        return said is not None and control_of(plain_words(said.words or "")) in CUTS_SPEECH

    def _listen_for_the_starter(self, block: AudioBlock) -> None:
        """Whole bursts always count; that one seems to begin matters only where one is waited for: tools begin too."""
        for event in self._ears.starter.accept(block) if self._ears.starter else ():
            if isinstance(event, BurstHeard) or self._conversation.awaits_burst:
                self._conversation.sense(event, self._now_s())

    def _redraw(self, block: AudioBlock) -> None:
        now_s = self._now_s()
        if now_s - self._drawn_s >= REDRAW_S:
            self._drawn_s = now_s
            self._conversation.show(now_s, level_db=rms_dbfs(block.pcm))


class SoundClock:
    """A clock that goes by the sound heard so far: for sound files, where no wall clock fits."""

    def __init__(self, begins_s: float) -> None:
        self._begins_s = begins_s
        self._now_s = begins_s

    def now_s(self) -> float:
        """Seconds since the job started."""
        return self._now_s

    def on_block(self, block: AudioBlock) -> None:
        """The block has been heard to its end."""
        end_s = self._begins_s + block.start_s + len(block.pcm) / SAMPLE_RATE_HZ
        self._now_s = max(self._now_s, end_s)
