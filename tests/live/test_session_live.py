"""A job by voice through real streams: words into one device, the caution out of the other, the record right."""

from __future__ import annotations

import json
import subprocess
import sys
import time
from collections.abc import Callable, Iterator
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from assistant.adapters.synthesiser_pyttsx3 import Pyttsx3Synthesiser

PROCEDURE = Path(__file__).parent / "short-spark.yaml"
JOB = "live"
CAUTION = (
    "Danger.",
    "Ignition voltage can stop a heart.",
    "Clamp the tester to engine metal and never hold it.",
    "A shock can kill.",
)
NOT_SAID = ("The fan and belts move when the engine turns.", "Keep hands and sleeves out of there.")
RATE_HZ = 16_000
QUIET_S = 1.5
PATIENCE_S = 60.0
WHOLE_CAUTION_S = 8.0
"""Longer than the caution takes to say."""

TRIES = 5
"""A made-up voice is not always understood at once; a technician would say it again too."""


def _wait(until: Callable[[], bool], what: str, patience_s: float = PATIENCE_S) -> None:
    ends_s = time.monotonic() + patience_s
    while not until():
        assert time.monotonic() < ends_s, f"waited {patience_s:.0f} s for {what}"
        time.sleep(0.05)


@dataclass
class Room:
    """A running session, what is heard in its room, and a technician who answers in silences."""

    sound: Any
    folder: Path
    session: subprocess.Popen[str]
    recorder: subprocess.Popen[bytes]
    said: list[tuple[str, float]] = field(default_factory=list)
    """What the technician said, and where in the recording of the room it began, in seconds."""

    def turns(self) -> list[dict[str, Any]]:
        """The trace so far, whole lines only."""
        file = self.folder / "trace.jsonl"
        lines = file.read_text().split("\n")[:-1] if file.exists() else []
        return [json.loads(line) for line in lines]

    def heard_so_far(self) -> np.ndarray:
        """What the room's recorder has written: int16, mono, 16 000 Hz."""
        raw = (self.folder / "room.raw").read_bytes()
        return np.frombuffer(raw[: len(raw) // 2 * 2], dtype=np.int16)

    def is_quiet(self) -> bool:
        """Whether the program has said something and has been silent for a while."""
        pcm = self.heard_so_far()
        tail = pcm[-round(QUIET_S * RATE_HZ) :]
        return bool(np.abs(pcm).max(initial=0) > 1_000 and np.abs(tail).max(initial=0) < 100)

    def reply_begins(self) -> None:
        """Wait until the program speaks again."""
        before = self.heard_so_far().size
        _wait(lambda: bool(np.abs(self.heard_so_far()[before:]).max(initial=0) > 1_000), "the program's reply")

    def facts(self) -> list[dict[str, Any]]:
        """Every fact of the trace so far, in order."""
        return [fact for turn in self.turns() for fact in turn["facts"]]

    def answer(self, phrase: str, became: str) -> None:
        """Say a phrase in silences until the fact that it stands for is there; fails when anything else came of it."""
        pcm = Pyttsx3Synthesiser(voice="gmw/en-us+m3").render(phrase, words_per_minute=150, rate_hz=RATE_HZ)
        for _ in range(TRIES):
            _wait(self.is_quiet, "the program's silence")
            turns, facts = len(self.turns()), len(self.facts())
            self.said.append((phrase, self.heard_so_far().size / RATE_HZ))
            self.sound.speak(np.rint(pcm * 0.5).astype(np.int16), self.folder)
            deadline_s = time.monotonic() + 5.0
            while len(self.turns()) == turns and time.monotonic() < deadline_s:
                time.sleep(0.05)
            new = [fact["kind"] for fact in self.facts()[facts:]]
            if new:
                assert new[0] == became
                self.reply_begins()
                return
        pytest.fail(f"'{phrase}' was not heard in {TRIES} tries: {[turn['heard'] for turn in self.turns()]}")


@pytest.fixture
def room(sound, tmp_path: Path) -> Iterator[Room]:
    """A live session of the short procedure on the virtual devices, recorded."""
    recorder = sound.listen(tmp_path / "room.raw")
    command = [
        sys.executable,
        "-m",
        "assistant",
        "start",
        str(PROCEDURE),
        "--job",
        JOB,
        "--data",
        str(tmp_path / "data"),
    ]
    session = subprocess.Popen(
        [*command, "--trace", str(tmp_path / "trace.jsonl"), "--engine", "embedded", "--voice", "plain"],
        env=sound.environment,
        stdin=subprocess.DEVNULL,
        stdout=subprocess.PIPE,
        stderr=subprocess.STDOUT,
        text=True,
    )
    yield Room(sound=sound, folder=tmp_path, session=session, recorder=recorder)
    for process in (session, recorder):
        process.terminate()
        process.wait(timeout=20)


def _bands(pcm: np.ndarray) -> np.ndarray:
    """Loudness in 20 bands up to 5 kHz, each 10 ms: what a voice says, whatever its exact samples."""
    frames = np.lib.stride_tricks.sliding_window_view(pcm.astype(float), 400)[::160] * np.hanning(400)
    strength = np.abs(np.fft.rfft(frames, 512))[:, :160]
    return np.asarray(np.log1p(np.add.reduceat(strength, np.arange(0, 160, 8), axis=1) / 1_000))


def _likeness(room: np.ndarray, words: str) -> tuple[float, float]:
    """How well the words, as the program speaks them, are found in the room (at most 1), and from which second."""
    spoken = Pyttsx3Synthesiser().render(words, words_per_minute=165, rate_hz=RATE_HZ)
    pattern, heard = _bands(spoken), _bands(room)
    pattern = pattern - pattern.mean()
    found = []
    for at in range(0, len(heard) - len(pattern), 2):
        window = heard[at : at + len(pattern)] - heard[at : at + len(pattern)].mean()
        found.append(
            (float(np.sum(window * pattern) / np.sqrt(np.sum(window**2) * np.sum(pattern**2) + 1e-9)), at / 100)
        )
    return max(found)


def test_a_job_by_voice_is_led_heard_and_kept(room: Room) -> None:
    """The caution sounds in the room before it is acknowledged; five answers by voice make the record of the job."""
    for phrase, became in (
        ("key is out", "gate-passed"),
        ("tester is clamped", "caution-acknowledged"),
        ("no spark", "result-heard"),
        ("yes", "result-logged"),
        ("end job", "end-asked"),
        ("yes", "end-confirmed"),
    ):
        room.answer(phrase, became)
    assert room.session.wait(timeout=30) == 0
    heard = room.heard_so_far()
    found = [_likeness(heard, words) for words in CAUTION]
    assert min(likeness for likeness, _ in found) > 0.65, found
    places_s = [at_s for _, at_s in found]
    answered_s = next(at_s for phrase, at_s in room.said if phrase == "tester is clamped")
    assert places_s == sorted(places_s) and places_s[-1] < answered_s  # whole, in order, before its answer
    assert max(_likeness(heard, words)[0] for words in NOT_SAID) < 0.55

    out = room.folder / "report.json"
    report = [sys.executable, "-m", "assistant", "report", JOB, "--data", str(room.folder / "data")]
    subprocess.run([*report, "--format", "json", "--out", str(out)], check=True, timeout=60)
    facts = room.facts()
    kinds = [fact["kind"] for fact in facts]
    assert kinds.index("caution-spoken") < kinds.index("caution-acknowledged") < kinds.index("result-logged")
    assert kinds[-1] == "job-ended"
    (logged,) = (fact for fact in facts if fact["kind"] == "result-logged")
    assert logged["data"]["result"] == "none"
    text = out.read_text()
    assert all(fact["id"] in text for fact in facts)


def test_stop_cuts_the_caution_while_it_is_spoken(room: Room) -> None:
    """Said into the caution, the word ends it: what was left of it is never heard, and the job holds.

    How many milliseconds the cut takes is measured by `hoodside bench echo`.
    """
    word = Pyttsx3Synthesiser(voice="gmw/en-us+m3").render("stop", words_per_minute=150, rate_hz=RATE_HZ)
    room.answer("key is out", "gate-passed")
    for _ in range(TRIES):
        room.sound.speak(word, room.folder)
        time.sleep(2.0)
        if "stopped" in [fact["kind"] for fact in room.facts()]:
            break
    assert "stopped" in [fact["kind"] for fact in room.facts()]
    time.sleep(WHOLE_CAUTION_S)
    heard = room.heard_so_far()[round(room.said[-1][1] * RATE_HZ) :]  # from the answer on
    assert _likeness(heard, CAUTION[0])[0] > 0.65
    assert _likeness(heard, CAUTION[-1])[0] < 0.55
