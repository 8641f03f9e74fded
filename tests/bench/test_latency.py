"""What counts as silence that was waited for, and what as computing behind it."""

from __future__ import annotations

from collections.abc import Callable
from types import SimpleNamespace

import numpy as np
import pytest
from numpy.typing import NDArray

from assistant.bench import latency
from assistant.bench.latency import AFTER_S, Answered, answered
from assistant.bench.sets import Ask
from assistant.language.model import Control, Expected, Heard
from assistant.ports import SAMPLE_RATE_HZ, AudioBlock

NOW = Ask("small/lamp", Expected(controls=frozenset({Control.YES}), results={"lit": ("lamp is lit",)}))
SPEECH_S, BREATH_S = 0.5, 0.05


class Clock:
    """Time that goes on only where somebody waits or works."""

    def __init__(self) -> None:
        self.now_s = 100.0

    def __call__(self) -> float:
        """Seconds."""
        return self.now_s

    def go_on(self, seconds: float) -> None:
        """So much later."""
        self.now_s += seconds


class Recogniser:
    """Works for `works_s` at the block in which `begins_s` of the stream has sounded, and hears the phrase in the first
    one after `hears_s`."""

    def __init__(self, clock: Clock, *, begins_s: float, works_s: float, hears_s: float) -> None:
        self._clock, self._begins_s, self._works_s, self._hears_s = clock, begins_s, works_s, hears_s
        self.on_look: Callable[[object], object] = lambda _: None
        self.waited_s: list[float] = []
        self.would_tell: Heard | None = None

    def expect(self, listening: object) -> None:
        """Nothing to do."""

    def finish(self) -> None:
        """Nothing to do."""

    def accept(self, block: AudioBlock) -> Heard | None:
        """See above."""
        sounded_s = block.start_s + len(block.pcm) / SAMPLE_RATE_HZ
        self.waited_s.append(block.waited_s)
        if block.start_s < self._begins_s <= sounded_s:
            self._clock.go_on(self._works_s)
            self.on_look("look")
        return Heard(words="lamp is lit", confidence=0.99) if sounded_s >= self._hears_s else None


@pytest.fixture
def clock(monkeypatch: pytest.MonkeyPatch) -> Clock:
    """In place of the machine's; a breath of ours takes BREATH_S."""
    found = Clock()
    monkeypatch.setattr(latency, "perf_counter", found)
    monkeypatch.setattr(latency, "process_time", found)
    monkeypatch.setattr(latency, "sleep", found.go_on)
    monkeypatch.setattr(latency, "made", lambda _synthesiser, _text: found.go_on(BREATH_S))
    return found


def heard_by(recogniser: Recogniser, words: str = "lamp is lit") -> Answered | None:
    """The phrase said in half a second after a second of quiet."""
    room: NDArray[np.int16] = np.zeros(int((1.0 + SPEECH_S + AFTER_S) * SAMPLE_RATE_HZ), np.int16)
    return answered(SimpleNamespace(recogniser=recogniser), None, NOW, words, room)


def test_what_is_worked_out_in_time_costs_its_silence_alone(clock: Clock) -> None:
    """Heard 0.2 s after the end, long after the work was done: beside that only our own breath is computing."""
    found = heard_by(Recogniser(clock, begins_s=1.6, works_s=0.05, hears_s=1.7))
    assert found is not None
    assert found.silence_ms == pytest.approx(200, abs=1)
    assert found.computing_ms == pytest.approx(1000 * BREATH_S, abs=1)
    assert found.looks == 1 and found.sound_s == pytest.approx(1.7)


def test_what_waits_for_work_is_computing_and_its_blocks_say_that_they_waited(clock: Clock) -> None:
    """0.5 s of work begun 0.1 s after the end: the block that sounded at 0.2 s waits for 0.4 s."""
    recogniser = Recogniser(clock, begins_s=1.6, works_s=0.5, hears_s=1.7)
    found = heard_by(recogniser)
    assert found is not None
    assert found.silence_ms == pytest.approx(200, abs=1)
    assert found.computing_ms == pytest.approx(400 + 1000 * BREATH_S, abs=1)
    assert recogniser.waited_s[-1] == pytest.approx(0.4) and max(recogniser.waited_s[:60]) == 0.0


def test_another_phrase_is_no_answer(clock: Clock) -> None:
    """It is told as missed."""
    assert heard_by(Recogniser(clock, begins_s=1.6, works_s=0.0, hears_s=1.7), "lamp is dark") is None
