"""One behaviour suite for every voice: the silent one, and the spoken one on a file and on a device."""

from __future__ import annotations

import threading
from collections.abc import Callable
from pathlib import Path

import numpy as np
import pytest
from numpy.typing import NDArray

from assistant.adapters.microphone_wav import read_sound
from assistant.adapters.speaker_wav import WavSpeaker
from assistant.adapters.synthesiser_pyttsx3 import Pyttsx3Synthesiser
from assistant.adapters.synthesiser_remembering import RememberingSynthesiser
from assistant.adapters.voice_silent import SilentVoice
from assistant.adapters.voice_spoken import SpokenVoice
from assistant.errors import DeviceLost, SetupError, UsageError
from assistant.ports import Pause, Sentence, Tone, Voice
from assistant.wiring.voices import NATURAL, PLAIN, make_synthesiser


class FakeSpeaker:
    """Keeps what it is given; sounds until the test says that it has all gone out."""

    rate_hz = 16_000

    def __init__(self) -> None:
        self.given: list[NDArray[np.int16]] = []
        self.came = threading.Condition()
        self.cuts = 0
        self.lost = False
        self.playing = False

    def play(self, pcm: NDArray[np.int16]) -> None:
        """Keep it, or be lost."""
        with self.came:
            self.came.notify_all()
            if self.lost:
                raise DeviceLost("The speaker went away.")
            if not pcm.size:  # only asks whether the device is still there
                return
            self.given.append(pcm)
            self.playing = True

    def duck(self, softer: bool) -> None:
        """Remember it."""
        self.softer = softer

    def cut(self) -> None:
        """Count, and be silent."""
        self.cuts += 1
        self.playing = False

    def played(self, start_s: float, frames: int) -> NDArray[np.int16]:
        """Nothing is known."""
        return np.zeros(frames, dtype=np.int16)

    def close(self) -> None:
        """Nothing to free."""

    def wait_for(self, pieces: int) -> list[NDArray[np.int16]]:
        """The pieces, once there are so many."""
        with self.came:
            assert self.came.wait_for(lambda: len(self.given) >= pieces, timeout=20)
            return list(self.given)


class SlowSynthesiser:
    """A sentence is ready when the test lets it go; each is a second of the value of its length."""

    def __init__(self) -> None:
        self.go = threading.Semaphore(0)
        self.asked = threading.Event()
        self.rates: list[int] = []

    def render(self, text: str, *, words_per_minute: int, rate_hz: int) -> NDArray[np.int16]:
        """Wait for the test."""
        self.rates.append(words_per_minute)
        self.asked.set()
        assert self.go.acquire(timeout=20)
        return np.full(rate_hz, len(text), dtype=np.int16)

    def close(self) -> None:
        """Nothing to free."""


def _silent(_folder: Path) -> Voice:
    return SilentVoice()


def _on_file(folder: Path, voice: str = NATURAL) -> Voice:
    speaker = WavSpeaker(folder / "said.wav")
    return SpokenVoice(synthesiser=make_synthesiser(voice), speaker=speaker, threaded=False)


def _plain_on_file(folder: Path) -> Voice:
    return _on_file(folder, PLAIN)


def _on_device(_folder: Path) -> Voice:
    return SpokenVoice(synthesiser=make_synthesiser(), speaker=FakeSpeaker())


def _plain_on_device(_folder: Path) -> Voice:
    return SpokenVoice(synthesiser=make_synthesiser(PLAIN), speaker=FakeSpeaker())


@pytest.mark.parametrize("make", [_silent, _on_file, _plain_on_file, _on_device, _plain_on_device])
def test_every_voice_speaks_stops_and_closes(make: Callable[[Path], Voice], tmp_path: Path) -> None:
    """Sentences, tones and pauses are taken; after `stop` nothing sounds; closing twice is harmless."""
    voice = make(tmp_path)
    voice.say([Sentence(text="Stop cranking."), Tone(hz=880, seconds=0.2), Pause(seconds=1.0), Sentence(text="...")])
    voice.say([])
    voice.set_volume(0.5)
    voice.set_rate(200)
    voice.stop()
    assert not voice.speaking
    voice.say([Sentence(text="Key off.")])
    voice.close()
    voice.close()


def test_tones_and_pauses_stand_exactly(tmp_path: Path) -> None:
    """A tone to start, one second, a tone to end, after a sentence: the second tone begins 1.1 s after the first."""
    voice = _on_file(tmp_path)
    voice.say(
        [Sentence(text="Spray."), Tone(hz=1_000, seconds=0.1), Pause(seconds=1.0), Tone(hz=1_000, seconds=0.1)],
    )
    voice.close()
    pcm = read_sound(tmp_path / "said.wav").astype(int)
    end = pcm.size
    assert np.abs(pcm[end - 1_600 :]).max() > 10_000
    assert not pcm[end - 17_600 : end - 1_600].any()
    first = pcm[end - 19_200 : end - 17_600]
    assert np.abs(first).max() > 10_000
    assert np.abs(first[:40]).max() < 10_000 > np.abs(first[-40:]).max()  # no click at its edges


def test_a_soft_tone_is_a_share_of_a_loud_one(tmp_path: Path) -> None:
    """A tone at half its level has half the amplitude, at the same volume."""
    voice = _on_file(tmp_path)
    voice.say([Tone(hz=500, seconds=0.5), Tone(hz=500, seconds=0.5, level=0.5)])
    voice.close()
    pcm = read_sound(tmp_path / "said.wav").astype(float)
    loud, soft = np.abs(pcm[:8_000]).max(), np.abs(pcm[8_000:]).max()
    assert soft / loud == pytest.approx(0.5, abs=0.01)


def test_sentences_in_a_row_have_a_breath_between(tmp_path: Path) -> None:
    """A quarter of a second, since the synthesiser gives none."""
    alone, both = tmp_path / "alone", tmp_path / "both"
    for folder, sentences in ((alone, ["Key off."]), (both, ["Key off.", "Key off."])):
        folder.mkdir()
        voice = _on_file(folder)
        voice.say([Sentence(text=text) for text in sentences])
        voice.close()
    one, two = (read_sound(folder / "said.wav").size for folder in (alone, both))
    assert two == pytest.approx(2 * one + 4_000, abs=100)


@pytest.mark.parametrize(("level", "db"), [(1.0, 0.0), (0.5, -12.04), (0.25, -24.08)])
def test_volume_takes_down_the_level(tmp_path: Path, level: float, db: float) -> None:
    """Half is 12 dB softer, measured over the whole sentence."""
    voice = _on_file(tmp_path)
    voice.set_volume(level)
    voice.say([Tone(hz=500, seconds=1.0)])
    voice.close()
    pcm = read_sound(tmp_path / "said.wav").astype(float)
    full_db = 20 * np.log10(0.5 * 32767 / np.sqrt(2))
    assert 20 * np.log10(np.sqrt(np.mean(pcm[500:-500] ** 2))) == pytest.approx(full_db + db, abs=0.1)


def test_a_lift_makes_louder_without_cutting_peaks_off(tmp_path: Path) -> None:
    """Six decibels more of a soft sound; of a loud one as much as fits under full scale, bent and not clipped."""
    soft = sound_of(tmp_path / "soft.wav", [Tone(hz=500.0, seconds=0.5, level=0.2)], volume=1.0)
    lifted = sound_of(tmp_path / "lifted.wav", [Tone(hz=500.0, seconds=0.5, level=0.2)], volume=1.0, lift_db=6.0)
    loud = sound_of(tmp_path / "loud.wav", [Tone(hz=500.0, seconds=0.5)], volume=1.0, lift_db=9.0)
    assert np.abs(lifted).max() / np.abs(soft).max() == pytest.approx(2.0, rel=0.02)
    assert 30_000 < np.abs(loud).max() < 32_767
    assert (np.abs(loud) == np.abs(loud).max()).mean() < 0.2  # half of it were it cut off


def sound_of(path: Path, said: list[Tone], *, volume: float, lift_db: float = 0.0) -> NDArray[np.int16]:
    """What lies in the file once it was said."""
    voice = SpokenVoice(synthesiser=SlowSynthesiser(), speaker=WavSpeaker(path), threaded=False, volume=volume)
    voice.set_lift(lift_db)
    voice.say(said)
    voice.close()
    return read_sound(path).astype(np.int16)


def test_volume_and_rate_outside_their_range_are_refused(tmp_path: Path) -> None:
    """The message names the range."""
    voice = _on_file(tmp_path)
    with pytest.raises(UsageError, match="between 0 and 1"):
        voice.set_volume(1.2)
    with pytest.raises(UsageError, match="80 and 300"):
        voice.set_rate(20)
    voice.close()


def test_the_first_sentence_sounds_while_the_second_is_made() -> None:
    """`say` returns before anything is made, and the first piece does not wait for the last."""
    synthesiser, speaker = SlowSynthesiser(), FakeSpeaker()
    voice = SpokenVoice(synthesiser=synthesiser, speaker=speaker)
    voice.say([Sentence(text="one"), Sentence(text="three")])
    assert voice.speaking and not speaker.given
    synthesiser.go.release()
    assert (speaker.wait_for(1)[0] == 3).all()
    synthesiser.go.release()
    assert (speaker.wait_for(3)[2] == 5).all()
    voice.close()


def test_a_long_text_sounds_breath_by_breath() -> None:
    """The first sentence of one text does not wait for the others, and each has a breath before it."""
    synthesiser, speaker = SlowSynthesiser(), FakeSpeaker()
    voice = SpokenVoice(synthesiser=synthesiser, speaker=speaker)
    voice.say([Sentence(text="One. Three. Seven.")])
    synthesiser.go.release()
    assert [int(piece[0]) for piece in speaker.wait_for(1)] == [4]
    synthesiser.go.release(2)
    assert [int(piece[0]) for piece in speaker.wait_for(5)] == [4, 0, 6, 0, 6]
    voice.close()


def test_what_stands_before_a_tone_does_not_wait_for_what_is_timed() -> None:
    """A sentence before goes out at once; from the first tone to the last pause all is one piece, what is said inside
    too; a sentence after comes by itself."""
    synthesiser, speaker = SlowSynthesiser(), FakeSpeaker()
    voice = SpokenVoice(synthesiser=synthesiser, speaker=speaker)
    tone = Tone(hz=500, seconds=0.25)
    voice.say([Sentence(text="one"), tone, Sentence(text="three"), tone, Sentence(text="seven")])
    synthesiser.go.release()
    assert [piece.size for piece in speaker.wait_for(1)] == [16_000]
    synthesiser.go.release()
    assert [piece.size for piece in speaker.wait_for(2)] == [16_000, 24_000]
    synthesiser.go.release()
    assert [piece.size for piece in speaker.wait_for(3)] == [16_000, 24_000, 16_000]
    voice.close()


def test_what_was_made_ready_sounds_without_being_made_again() -> None:
    """Its first breath, and silently; one at a time, and none before what is to be said."""
    slow, speaker = SlowSynthesiser(), FakeSpeaker()
    voice = SpokenVoice(synthesiser=RememberingSynthesiser(slow), speaker=speaker)
    assert voice.prepare("One. Three.")
    assert slow.asked.wait(20) and not voice.prepare("Seven.") and not voice.speaking
    slow.go.release()
    voice.say([Sentence(text="One. Three.")])
    assert not voice.prepare("Seven.")
    assert [int(piece[0]) for piece in speaker.wait_for(1)] == [4]
    slow.go.release()
    assert [int(piece[0]) for piece in speaker.wait_for(3)] == [4, 0, 6]
    assert len(slow.rates) == 2
    voice.close()


def test_what_cannot_be_made_ready_is_told_only_where_it_is_said() -> None:
    """A fault of words that nobody needs yet frightens nobody."""
    speaker = FakeSpeaker()
    voice = SpokenVoice(synthesiser=Pyttsx3Synthesiser(voice="none"), speaker=speaker)
    assert voice.prepare("Key off.")
    while not voice.prepare("Key off."):
        threading.Event().wait(0.01)
    voice.say([])
    assert not speaker.given
    voice.say([Sentence(text="Key off.")])
    assert np.abs(speaker.wait_for(1)[0].astype(int)).max() > 10_000
    voice.close()


def test_stop_drops_what_is_being_made_and_what_waits() -> None:
    """A sentence that was half made when `stop` came is never heard; the next one said is."""
    synthesiser, speaker = SlowSynthesiser(), FakeSpeaker()
    voice = SpokenVoice(synthesiser=synthesiser, speaker=speaker)
    voice.say([Sentence(text="one")])
    voice.say([Sentence(text="three")])
    assert synthesiser.asked.wait(20)
    voice.stop()
    assert speaker.cuts == 1
    voice.say([Sentence(text="seven")])
    for _ in range(3):
        synthesiser.go.release()
    assert [int(piece[0]) for piece in speaker.wait_for(1)] == [5]
    voice.close()
    assert len(speaker.given) == 1


def test_rate_holds_from_the_next_sentence_on() -> None:
    """Slower asks the synthesiser for fewer words a minute."""
    synthesiser, speaker = SlowSynthesiser(), FakeSpeaker()
    synthesiser.go.release(2)
    voice = SpokenVoice(synthesiser=synthesiser, speaker=speaker)
    voice.say([Sentence(text="one")])
    speaker.wait_for(1)
    voice.set_rate(120)
    voice.say([Sentence(text="one")])
    speaker.wait_for(2)
    voice.close()
    assert synthesiser.rates == [165, 120]


def test_a_lost_speaker_is_waited_for() -> None:
    """The loss is told once; until the speaker is back the voice counts as speaking; then the same piece goes out."""
    speaker = FakeSpeaker()
    speaker.lost = True
    told: list[DeviceLost] = []
    came = threading.Event()

    def on_lost(lost: DeviceLost) -> None:
        told.append(lost)
        came.set()

    voice = SpokenVoice(synthesiser=Pyttsx3Synthesiser(), speaker=speaker, on_lost=on_lost, retry_s=0.01)
    voice.say([Tone(hz=500, seconds=0.1)])
    assert came.wait(20)
    assert voice.speaking
    speaker.lost = False
    assert speaker.wait_for(1)[0].size == 1_600
    assert len(told) == 1
    voice.close()


def test_stop_gives_up_waiting_for_a_lost_speaker() -> None:
    """What was cut while there was no speaker is not heard when it is back."""
    speaker = FakeSpeaker()
    speaker.lost = True
    came = threading.Event()
    voice = SpokenVoice(
        synthesiser=Pyttsx3Synthesiser(), speaker=speaker, on_lost=lambda _lost: came.set(), retry_s=30.0
    )
    voice.say([Tone(hz=500, seconds=0.1)])
    assert came.wait(20)
    voice.stop()
    assert not voice.speaking
    speaker.lost = False
    voice.say([Tone(hz=500, seconds=0.2)])
    assert [piece.size for piece in speaker.wait_for(1)] == [3_200]
    voice.close()


def test_an_engine_that_fails_is_told_by_the_next_say() -> None:
    """A machine that cannot speak at all does not look as if it had spoken: tones sound where words should."""
    speaker = FakeSpeaker()
    voice = SpokenVoice(synthesiser=Pyttsx3Synthesiser(voice="none"), speaker=speaker, threaded=False)
    voice.say([Sentence(text="Key off.")])
    assert np.abs(speaker.given[0].astype(int)).max() > 10_000
    speaker.playing = False
    assert not voice.speaking
    with pytest.raises(SetupError):
        voice.say([Sentence(text="Key off.")])
    voice.close()
