"""A live session made of fakes, on a clock of its own."""

from __future__ import annotations

from collections import deque

from assistant.adapters.journal_memory import MemoryJournal
from assistant.guide import begin
from assistant.language.model import Heard
from assistant.language.signals import Signal
from assistant.language.speech import Sentence
from assistant.session.conversation import Conversation
from assistant.session.live import Ears, LiveLoop
from assistant.session.tones import Tones
from assistant.session.trace import Trace
from tests.session.fakes import (
    Clock,
    KeptScreen,
    ScriptedEar,
    ScriptedKeys,
    ScriptedMicrophone,
    ScriptedRecogniser,
    TimedVoice,
)

TO_THE_CRANK = (
    "eyes are covered", "done", "it is in park", "nothing can roll", "doors are open", "nothing to smell",
    "hands are clear",
)  # fmt: skip
"""What leads the cranking check, begun by itself, up to its "ready"."""


class Shop:
    """A live session made of fakes."""

    def __init__(
        self, library, procedure="no-start", *, ear=False, journal=None, blocks=10_000, attention="", clips=None,
        tones=(Signal.MISSED,), recogniser=ScriptedRecogniser, **more
    ):  # fmt: skip
        """`tones`: those that are wanted."""
        self.clock = Clock()
        self.voice = TimedVoice(self.clock)
        self.microphone = ScriptedMicrophone(self.clock, blocks, self.voice.sounded)
        self.recogniser = recogniser(self.clock)
        self.screen = KeptScreen()
        self.ear = ScriptedEar()
        self.keys = ScriptedKeys()
        self.speaker_losses = deque()
        self.journal = journal or MemoryJournal(lambda: "2031-05-01T09:00:00.000Z")
        self.conversation = Conversation(
            library=library,
            journal=self.journal,
            voice=self.voice,
            screen=self.screen,
            trace=Trace(),
            attention=attention,
            clips=clips,
            tones=Tones(frozenset(Signal) - set(tones)),
        )
        ears = Ears(microphone=self.microphone, recogniser=self.recogniser, starter=self.ear if ear else None)
        self.loop = LiveLoop(
            conversation=self.conversation,
            ears=ears,
            voice=self.voice,
            now_s=self.clock.now_s,
            keys=self.keys,
            speech_wrong=lambda: self.speaker_losses.popleft() if self.speaker_losses else None,
            **more,
        )
        self.conversation.open(begin(library, procedure, "made-up", "job", {"fuel": "petrol"}, ear=ear))

    def pass_blocks(self, count):
        for _ in range(count):
            self.loop.step()

    def fall_silent(self):
        """Let the assistant finish what it says."""
        while self.voice.speaking:
            self.loop.step()

    def hear(self, words, **more):
        """The technician speaks in a silence."""
        self.fall_silent()
        self.recogniser.will_hear.append(Heard(words=words, engine="scripted", **{"confidence": 1.0, **more}))
        self.loop.step()

    def press(self, *controls):
        """The technician presses keys in a silence."""
        self.fall_silent()
        self.keys.will_press.extend(controls)
        self.loop.step()

    def lead_to(self, mode, *words):
        for each in words:
            self.hear(each)
        assert self.conversation.state.mode is mode, self.conversation.state.mode

    @property
    def now_s(self):
        return self.clock.at_s

    def hear_now(self, words, **more):
        """Something said in the last second, that ended just now, whether or not we speak."""
        at_s = self.clock.at_s
        self.recogniser.will_hear.append(
            Heard(words=words, engine="scripted", began_s=at_s - 0.9, ended_s=at_s, **{"confidence": 1.0, **more})
        )
        self.loop.step()

    @property
    def sentences(self):
        return [each.text for each in self.voice.said if isinstance(each, Sentence)]

    def kinds(self):
        return [fact.kind for fact in self.journal.facts("job")]
