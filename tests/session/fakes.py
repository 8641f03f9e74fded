"""Stand-ins for what a live session is made of: each does its port's work in memory, on a clock of its own."""

from __future__ import annotations

from collections import deque
from dataclasses import replace

import numpy as np

from assistant.errors import DeviceLost
from assistant.language.model import Heard
from assistant.language.speech import Sentence
from assistant.ports import SAMPLE_RATE_HZ, AudioBlock

BLOCK_S = 0.1
SAID_S = 0.9
"""What is said takes so long, where a test does not tell when it was said."""


class Clock:
    """Seconds since the job started, moved by the microphone."""

    def __init__(self):
        self.at_s = 0.0

    def now_s(self):
        """The time now."""
        return self.at_s


class ScriptedMicrophone:
    """Gives a block each 0.1 s of its clock, at once those that wait because the clock ran on meanwhile; `lost_reads`
    makes the next reads fail, `EOFError` comes after `blocks`. `level`: of every sample."""

    def __init__(self, clock, blocks=10_000, played=None):
        """`played`: whether our voice sounded between two times; None where that is not known."""
        self.clock = clock
        self.left = blocks
        self.lost_reads = 0
        self.lost_frames = 0
        self.level = 100
        self.closed = False
        self.played = played
        self.heard_to_s = 0.0

    def read(self, timeout_s):
        """The next block of faint hum."""
        end_s = round(self.heard_to_s + BLOCK_S, 6)
        self.clock.at_s = max(self.clock.at_s, end_s)
        self.heard_to_s = end_s
        if self.lost_reads:
            self.lost_reads -= 1
            raise DeviceLost("The microphone went away.", spoken="The microphone is gone.")
        if not self.left:
            raise EOFError
        self.left -= 1
        lost, self.lost_frames = self.lost_frames, 0
        pcm = np.full(round(BLOCK_S * SAMPLE_RATE_HZ), self.level, dtype=np.int16)
        start_s = end_s - BLOCK_S
        played = None if self.played is None else np.full(pcm.size, self.played(start_s, end_s), dtype=np.int16)
        waited_s = self.clock.at_s - end_s
        return AudioBlock(pcm=pcm, start_s=start_s, lost_frames=lost, waited_s=waited_s, played=played)

    def close(self):
        """Note it."""
        self.closed = True


class ScriptedRecogniser:
    """Hears what `will_hear` holds, one thing a block, once it may be heard; None where the queue says None."""

    name = "scripted"
    always_confirm = False

    def __init__(self, clock=None):
        """`clock`: moved by `takes_s` for whatever is heard."""
        self.will_hear = deque()
        self.told = []
        self.clock = clock
        self.takes_s = 0.0
        self.said = deque()
        self.heard_to_s = 0.0

    def will_hear_at(self, ended_s, words):
        """Something that is said so that it ends then, in the stream."""
        self.said.append(Heard(words=words, confidence=1.0, engine="scripted", began_s=ended_s - 0.5, ended_s=ended_s))

    def expect(self, listening):
        """Remember what may be heard."""
        self.told.append(listening)

    def accept(self, block):
        """The next thing in the queue, or the next one said by now."""
        if block is not None:
            self.heard_to_s = block.start_s + BLOCK_S
        if block is not None and self.said and block.start_s + BLOCK_S >= self.said[0].ended_s:
            self.will_hear.append(self.said.popleft())
        if not self.will_hear:
            return None
        if self.takes_s:
            self.clock.at_s = round(self.clock.at_s + self.takes_s, 6)
        heard = self.will_hear.popleft()
        if heard is None or heard.ended_s:
            return heard
        return replace(heard, began_s=self.heard_to_s - SAID_S, ended_s=self.heard_to_s)

    def finish(self):
        """The rest."""
        return self.accept(None)

    def close(self):
        """Nothing to free."""


class TellingRecogniser(ScriptedRecogniser):
    """Tells of voices, words or not."""

    hears_voice = False

    def __init__(self, clock=None):
        super().__init__(clock)
        self.on_pause = lambda: None


class TimedVoice:
    """Speaks for a second a sentence on the clock, or for as long as a tone or pause lasts."""

    def __init__(self, clock):
        self.clock = clock
        self.said = []
        self.until_s = 0.0
        self.spans = []
        self.prepared = []
        self.busy = False
        self.cuts = 0
        self.volume = None
        self.rate = None
        self.lost = False
        self.lift_db = 0.0
        self.ducks = []

    def say(self, utterances):
        """Takes its time."""
        if self.lost:
            raise DeviceLost("The speaker went away.")
        self.said += utterances
        seconds = sum(1.0 if isinstance(each, Sentence) else each.seconds for each in utterances)
        begins_s = max(self.until_s, self.clock.at_s)
        self.until_s = begins_s + seconds
        self.spans.append((begins_s, self.until_s))

    def prepare(self, text):
        """Keeps it; one at a time, where it is asked to be busy."""
        if self.busy:
            return False
        self.prepared.append((self.clock.at_s, text))
        return True

    def stop(self):
        """Silent at once."""
        self.cuts += 1
        self.until_s = self.clock.at_s

    def sounded(self, begin_s, end_s):
        """Whether anything sounded then."""
        return any(begin_s < until_s and from_s < end_s for from_s, until_s in self.spans)

    @property
    def speaking(self):
        """Whether its time is not over."""
        return self.clock.at_s < self.until_s

    def set_volume(self, level):
        """Remember it."""
        self.volume = level

    def set_lift(self, decibels):
        """Remember it."""
        self.lift_db = decibels

    def duck(self, softer):
        """Remember it."""
        self.ducks.append(softer)

    def set_rate(self, words_per_minute):
        """Remember it."""
        self.rate = words_per_minute

    def close(self):
        """Nothing to free."""


class ScriptedKeys:
    """Gives the keys that `will_press` holds, all at once."""

    def __init__(self):
        self.will_press = deque()

    def pressed(self):
        """Everything pressed."""
        taken = tuple(self.will_press)
        self.will_press.clear()
        return taken

    def close(self):
        """Nothing to give back."""


class KeptScreen:
    """Keeps every view."""

    def __init__(self):
        self.views = []

    def show(self, view):
        """Keep it."""
        self.views.append(view)

    def close(self):
        """Nothing to give back."""


class ScriptedEar:
    """Tells of the starter what `will_tell` holds, one thing a block."""

    def __init__(self):
        self.will_tell = deque()
        self.blocks = 0
        self.quiet_s = 60.0
        self.owned = []

    def accept(self, block):
        """The next event, if any."""
        self.blocks += 1
        event = self.will_tell.popleft() if self.will_tell else None
        return () if event is None else (event,)

    def understood(self, heard):
        """Keep it."""
        self.owned.append(heard)
