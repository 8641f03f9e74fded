"""The rehearsal itself: the made-up technician speaks in the made-up shop, and only the noisy samples are heard.

Sound and job keep two clocks: while a rest or a wait counts down the job's clock runs on and the sound does not.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from assistant.guide import Mode
from assistant.language.model import Expected, Heard
from assistant.ports import SAMPLE_RATE_HZ, AudioBlock, Recogniser, Synthesiser
from assistant.rehearsal.shop import Shop
from assistant.rehearsal.technician import Technician
from assistant.rehearsal.timeline import Timeline
from assistant.session.conversation import Conversation
from assistant.session.listening import listening_for

BLOCK_FRAMES = 512
BEFORE_S, AFTER_S = 0.5, 1.5
"""Shop noise before the technician speaks and after, while the recogniser waits for the end of speech."""

OURS_S = 2.0
"""So much of the end of what we say is sound that the recogniser gets, as in a session, so that it knows that we spoke:
what is said then goes on with no talk before."""

TECHNICIAN_WPM = 170
PATIENCE = 14
"""After so many tries at one phrase the rehearsal gives up: a technician would."""

LONGEST = 600
"""More exchanges than any job needs."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Exchange:
    """One thing said: the words meant, the words heard (None: asked again), and how sure. `taken`: something came of
    it, right or wrong."""

    at_s: float
    procedure: str
    step: str
    mode: str
    meant: str
    heard: str | None
    confidence: float
    took_ms: float
    taken: bool


class Stage:
    """The sound of the rehearsal: who spoke when, and what the microphone got."""

    def __init__(self, *, shop: Shop, voice: Synthesiser, recogniser: Recogniser) -> None:
        self.timeline = Timeline()
        self.now_s = 0.0
        self._shop = shop
        self._voice = voice
        self._recogniser = recogniser
        self._ours = np.zeros(0, np.int16)

    def assistant_spoke(self, pcm: NDArray[np.int16]) -> None:
        """Lay the assistant's sound from now on; the technician waits until it is over."""
        self.timeline.place(self.now_s, pcm)
        self.now_s += len(pcm) / SAMPLE_RATE_HZ
        self._ours = np.concatenate([self._ours, pcm])[-round(OURS_S * SAMPLE_RATE_HZ) :]

    def pass_sound(self, seconds: float) -> None:
        """Let sound time pass."""
        self.now_s += seconds

    def say(self, words: str, expected: Expected) -> Heard | None:
        """The technician says the words; what the recogniser made of the noisy samples, None when nothing was heard."""
        self._recogniser.expect(listening_for(expected))
        self._hear_us()
        speech = self._voice.render(words, words_per_minute=TECHNICIAN_WPM, rate_hz=SAMPLE_RATE_HZ)
        start_s = self.now_s + BEFORE_S
        speech = self._shop.over(speech, start_s)
        self.timeline.place(start_s, speech)
        frames = round((BEFORE_S + AFTER_S) * SAMPLE_RATE_HZ) + len(speech)
        mixed = self._shop.noise(self.now_s, frames).astype(np.int32)
        first = round(BEFORE_S * SAMPLE_RATE_HZ)
        mixed[first : first + len(speech)] += speech
        samples = np.clip(mixed, -32_767, 32_767).astype(np.int16)
        for at in range(0, frames, BLOCK_FRAMES):
            block = samples[at : at + BLOCK_FRAMES]
            heard = self._recogniser.accept(AudioBlock(pcm=block, start_s=self.now_s))
            self.now_s += len(block) / SAMPLE_RATE_HZ
            if heard is not None:
                return heard
        return self._recogniser.finish()

    def _hear_us(self) -> None:
        """The shop while we speak, in a headset that our voice does not get out of."""
        start_s = self.now_s - len(self._ours) / SAMPLE_RATE_HZ
        shop = self._shop.noise(start_s, len(self._ours))
        for at in range(0, len(shop), BLOCK_FRAMES):
            part = slice(at, at + BLOCK_FRAMES)
            sound = AudioBlock(pcm=shop[part], start_s=start_s + at / SAMPLE_RATE_HZ, played=self._ours[part])
            self._recogniser.accept(sound)
        self._ours = self._ours[:0]

    def finish(self, path: Path) -> None:
        """Write both voices over the noise of the shop. Raises OSError."""
        self.timeline.place(0.0, self._shop.noise(0.0, round(self.now_s * SAMPLE_RATE_HZ)))
        self.timeline.write(path)


def play(stage: Stage, technician: Technician, conversation: Conversation) -> Iterator[Exchange]:
    """Lead the job to its end, one exchange after the other. Stops early when a phrase is not heard in many tries."""
    ahead_s = 0.0  # how far the job's clock runs ahead of the sound
    tries = 0
    for _ in range(LONGEST):
        state = conversation.state
        if state.mode is Mode.ENDED or tries >= PATIENCE:
            return
        words = technician.answer(state, tries)
        if words is None:
            due_s = conversation.deadline_s
            if due_s is None:
                return
            wait_s = max(0.0, due_s - stage.now_s - ahead_s)
            if state.mode is Mode.TIMING:
                stage.pass_sound(wait_s)
            else:
                ahead_s += wait_s
            conversation.pass_time(due_s)
            continue
        heard = stage.say(words, conversation.expected) or Heard(words=None, confidence=0.0)
        at_s = stage.now_s + ahead_s
        taken = bool(conversation.hear(heard, at_s).facts)
        tries = 0 if taken else tries + 1
        yield Exchange(
            at_s=at_s,
            procedure=state.at.procedure,
            step=state.at.step,
            mode=state.mode.value,
            meant=words,
            heard=heard.words,
            confidence=heard.confidence,
            took_ms=heard.took_ms,
            taken=taken,
        )
