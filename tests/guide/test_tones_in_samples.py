"""Tones of timed actions, measured where the technician hears them: in the samples that are rendered."""

from pathlib import Path

import numpy as np
import pytest

from assistant.adapters.microphone_wav import read_sound
from assistant.adapters.speaker_wav import WavSpeaker
from assistant.adapters.synthesiser_pyttsx3 import Pyttsx3Synthesiser
from assistant.adapters.voice_spoken import SpokenVoice
from assistant.facts import BurstBegun
from assistant.guide.timing import BEGIN_TONE, RELEASE_TONE, tones
from assistant.language.speech import Utterance
from assistant.procedure.model import Action, Kind, Pace, Place, Step

RATE_HZ = 16_000
WITHIN_S = 0.020
"""What a tone may be off by. Source: the requirement on paced actions."""

WINDOW_S, HOP_S = 0.010, 0.001


def rendered(said: list[Utterance], folder: Path) -> np.ndarray:
    """The samples that a real voice makes of it: float, mono, (frames,), 16 000 Hz."""
    voice = SpokenVoice(synthesiser=Pyttsx3Synthesiser(), speaker=WavSpeaker(folder / "said.wav"), threaded=False)
    voice.say(said)
    voice.close()
    return read_sound(folder / "said.wav").astype(float)


def heard_tones(pcm: np.ndarray, *pitches_hz: float) -> list[tuple[float, float, float]]:
    """Each tone in the samples as (pitch in hertz, start, end in seconds), by level and pitch alone."""
    window, hop = round(WINDOW_S * RATE_HZ), round(HOP_S * RATE_HZ)
    level = np.abs(pcm) > 0.25 * np.abs(pcm).max()
    loud = [bool(level[at : at + hop].any()) for at in range(0, len(pcm), hop)]
    found, begun = [], None
    for index, sounds in enumerate([*loud, False]):
        # A cycle of the low tone has quiet moments: a tone is over after a whole window of silence only.
        if sounds and begun is None:
            begun = index
        if begun is not None and not any(loud[index : index + window // hop]):
            start, end = begun * hop, index * hop
            found.append((_pitch(pcm[start:end], pitches_hz), start / RATE_HZ, end / RATE_HZ))
            begun = None
    return found


def _pitch(pcm: np.ndarray, pitches_hz: tuple[float, ...]) -> float:
    """Which of the pitches it is: the one with the most power."""
    turns = 2j * np.pi * np.arange(len(pcm)) / RATE_HZ
    return max(pitches_hz, key=lambda hz: abs(np.sum(pcm * np.exp(-turns * hz))))


def timed_step(kind: Kind, pace: Pace | None = None) -> Step:
    """A made-up step that only times."""
    return Step(id="timed", kind=kind, say="", hazards=frozenset(), minutes=1, place=Place.HOOD, pace=pace)


@pytest.mark.parametrize(
    ("step", "seconds", "starts_s"),
    [
        (timed_step(Kind.PACE, Pace(action=Action.SPRAY, on_s=1.0)), 1.0, [0.0]),
        (
            timed_step(Kind.PACE, Pace(action=Action.PUFF, on_s=0.5, off_s=3.0, times=8)),
            0.5,
            [3.5 * count for count in range(8)],
        ),
        (timed_step(Kind.CRANK), 5.0, [0.0]),
    ],
    ids=["spray", "puffs", "crank"],
)
def test_each_tone_sounds_when_it_should(step: Step, seconds: float, starts_s: list[float], tmp_path: Path) -> None:
    """A high tone begins each spray, puff or burst and a low one ends it, each within 20 ms of its time."""
    plan = BurstBegun(action="crank", by="tones", begin_s=10.0, release_s=10.0 + seconds, stop_s=10.0 + seconds)
    found = heard_tones(rendered(tones(step, plan), tmp_path), BEGIN_TONE.hz, RELEASE_TONE.hz)
    begins = [start for hz, start, _ in found if hz == BEGIN_TONE.hz]
    releases = [start for hz, start, _ in found if hz == RELEASE_TONE.hz]
    assert begins == pytest.approx(starts_s, abs=WITHIN_S)
    assert releases == pytest.approx([start + seconds for start in starts_s], abs=WITHIN_S)
    lengths = {BEGIN_TONE.hz: BEGIN_TONE.seconds, RELEASE_TONE.hz: RELEASE_TONE.seconds}
    assert [end - start for _, start, end in found] == pytest.approx([lengths[hz] for hz, *_ in found], abs=WITHIN_S)
