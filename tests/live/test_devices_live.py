"""Real streams through PortAudio on a virtual microphone and speaker: when sound begins and ends, what is heard."""

from __future__ import annotations

import time
from pathlib import Path

import numpy as np
import pytest

from assistant.adapters.portaudio import SounddeviceMicrophone, SounddeviceSpeaker
from assistant.adapters.recogniser_embedded import make_embedded
from assistant.adapters.synthesiser_pyttsx3 import Pyttsx3Synthesiser
from assistant.adapters.voice_spoken import SpokenVoice
from assistant.hearing.level import rms_dbfs
from assistant.ports import AudioBlock, Pause, Sentence, Tone
from tests.ports.recogniser_suite import listening_for


def _listen(microphone: SounddeviceMicrophone, seconds: float) -> list[AudioBlock]:
    """The blocks of so many seconds of sound."""
    blocks: list[AudioBlock] = []
    ends_s = time.monotonic() + seconds + 10.0
    while sum(block.pcm.size for block in blocks) < seconds * 16_000 and time.monotonic() < ends_s:
        block = microphone.read(0.5)
        if block is not None:
            blocks.append(block)
    return blocks


def _edges(pcm: np.ndarray, gap: int = 1_600) -> list[tuple[int, int]]:
    """First and last frame of each stretch of sound, apart by at least `gap` frames of silence."""
    loud = np.flatnonzero(np.abs(pcm.astype(int)) > 300)
    cuts = np.flatnonzero(np.diff(loud) > gap)
    return list(zip(loud[np.r_[0, cuts + 1]].tolist(), loud[np.r_[cuts, loud.size - 1]].tolist(), strict=True))


@pytest.fixture
def own_ears(sound, monkeypatch: pytest.MonkeyPatch):
    """A microphone that hears our own speaker."""
    monkeypatch.setenv("PULSE_SOURCE", f"{sound.room}.monitor")
    speaker = SounddeviceSpeaker()
    microphone = SounddeviceMicrophone(played=speaker.played)
    _listen(microphone, 1.2)  # virtual devices need a moment to keep time
    yield microphone, speaker
    speaker.close()
    microphone.close()


def test_tones_keep_their_distance_on_the_air(own_ears) -> None:
    """Three tones one and two seconds apart arrive one and two seconds apart, within 20 ms."""
    microphone, speaker = own_ears
    voice = SpokenVoice(synthesiser=Pyttsx3Synthesiser(), speaker=speaker)
    tone = Tone(hz=880, seconds=0.2)
    voice.say([tone, Pause(seconds=0.8), tone, Pause(seconds=1.8), tone])
    blocks = _listen(microphone, 4.5)
    edges = _edges(np.concatenate([block.pcm for block in blocks]))
    voice.close()
    assert len(edges) == 3
    starts = [begin / 16_000 for begin, _ in edges]
    assert starts[1] - starts[0] == pytest.approx(1.0, abs=0.02)
    assert starts[2] - starts[1] == pytest.approx(2.0, abs=0.02)
    assert all((end - begin) / 16_000 == pytest.approx(0.2, abs=0.02) for begin, end in edges)


def test_a_cut_is_silence_within_200_ms(own_ears) -> None:
    """In the middle of a sound `stop` is called; what is heard after it is under 200 ms, in the best of three."""
    microphone, speaker = own_ears
    voice = SpokenVoice(synthesiser=Pyttsx3Synthesiser(), speaker=speaker)
    left_s = []
    for _ in range(3):  # a busy machine may hold back the microphone; the cut itself is not slower for it
        voice.say([Tone(hz=880, seconds=10.0)])
        _listen(microphone, 1.5)
        voice.stop()
        begin, end = _edges(np.concatenate([block.pcm for block in _listen(microphone, 1.5)]))[-1]
        assert begin < 1_600  # it did sound when it was cut
        left_s.append(end / 16_000)
    voice.close()
    assert min(left_s) < 0.2


def test_the_account_of_what_was_played_matches_what_is_heard(own_ears) -> None:
    """A sentence in the microphone and the speaker's account of it are the same sound, the account a little ahead."""
    microphone, speaker = own_ears
    voice = SpokenVoice(synthesiser=Pyttsx3Synthesiser(), speaker=speaker)
    voice.say([Sentence(text="Keep hands and sleeves out of the belt area.")])
    blocks = _listen(microphone, 5.0)
    voice.close()
    heard = np.concatenate([block.pcm for block in blocks]).astype(float)
    played = np.concatenate([block.played for block in blocks if block.played is not None]).astype(float)
    size = 1 << 18
    match = np.fft.irfft(np.fft.rfft(heard, size) * np.conj(np.fft.rfft(played, size)))
    lag = int(np.argmax(match))
    lag -= size if lag > size // 2 else 0
    likeness = match.max() / np.sqrt(np.sum(heard**2) * np.sum(played**2))
    assert likeness > 0.7
    assert 0 <= lag / 16 < 250  # milliseconds


def test_what_is_said_into_the_microphone_arrives_at_its_level(sound, tmp_path: Path) -> None:
    """A tone at -20 dBFS peak is heard as -23 dBFS on average, without a frame lost."""
    microphone = SounddeviceMicrophone()
    _listen(microphone, 0.5)
    tone = np.rint(3_276.8 * np.sin(2 * np.pi * 440 * np.arange(48_000) / 16_000)).astype(np.int16)
    sound.speak(tone, tmp_path)
    blocks = _listen(microphone, 3.0)
    microphone.close()
    heard = np.concatenate([block.pcm for block in blocks])
    begin, end = max(_edges(heard), key=lambda edge: edge[1] - edge[0])
    assert rms_dbfs(heard[begin:end]) == pytest.approx(-23.0, abs=0.5)
    assert sum(block.lost_frames for block in blocks) == 0


def test_our_own_voice_through_real_devices_obeys_nothing(own_ears) -> None:
    """What the speaker plays comes back through the microphone; of it no command is heard, though it names them all."""
    microphone, speaker = own_ears
    recogniser = make_embedded(threads=1)
    recogniser.expect(listening_for("stop", "no spark", "ready"))
    voice = SpokenVoice(synthesiser=Pyttsx3Synthesiser(), speaker=speaker)
    voice.say(
        [Sentence(text="Say stop at any time."), Sentence(text="Say no spark, or ready."), Sentence(text="Stop.")]
    )
    blocks = _listen(microphone, 7.0)
    voice.close()
    assert max(rms_dbfs(block.pcm) for block in blocks) > -40.0  # it was heard in the room
    heard = [recogniser.accept(block) for block in blocks] + [recogniser.finish()]
    recogniser.close()
    assert [each.words for each in heard if each is not None and each.words is not None] == []
