"""The voice or its speaker fails: it is told by what is left, tones and the screen, and nothing counts as said."""

from __future__ import annotations

import threading

import numpy as np
import pytest

from assistant.adapters.portaudio import SounddeviceSpeaker
from assistant.adapters.synthesiser_fallback import FallbackSynthesiser
from assistant.adapters.synthesiser_watched import SLOW, SLOW_S, WatchedSynthesiser
from assistant.adapters.voice_spoken import SpokenVoice
from assistant.errors import DeviceLost, SetupError, VoiceLost
from assistant.guide import Mode
from assistant.language.model import BY_MACHINE
from assistant.ports import Sentence, Tone
from tests.ports.test_voice import FakeSpeaker
from tests.session.live_shop import TO_THE_CRANK, Shop

PATIENCE_S = 60.0


class Mouth:
    """A synthesiser that speaks, crashes or hangs; it says what it was asked for in samples of one value."""

    def __init__(self, value=7):
        self.value = value
        self.crashes = self.hangs = False
        self.go_on = threading.Event()

    def render(self, text, *, words_per_minute, rate_hz):
        """As it is told."""
        if self.crashes:
            raise RuntimeError("the library failed")
        if self.hangs:
            self.go_on.wait(PATIENCE_S)
        return np.full(1_600, self.value, dtype=np.int16)

    def close(self):
        """Nothing to free."""


def test_the_speaker_goes_and_comes_back(portaudio, row) -> None:
    """It is told, the sound goes on where it broke off, and until then it still counts as being spoken."""
    speaker = SounddeviceSpeaker(now_s=portaudio.clock)
    told: list[Exception] = []
    came = threading.Event()
    voice = SpokenVoice(
        synthesiser=Mouth(), speaker=speaker, on_lost=lambda lost: (told.append(lost), came.set()), retry_s=0.01
    )
    portaudio.present = False
    portaudio.streams[0].active = False
    voice.say([Tone(hz=500, seconds=0.1)])
    assert came.wait(PATIENCE_S)
    assert isinstance(told[0], DeviceLost) and voice.speaking
    portaudio.present = True
    waited = threading.Event()
    while len(portaudio.streams) < 2 and not waited.wait(0.01):
        pass
    sounded = np.concatenate([portaudio.streams[-1].take(1_600)[:, 0] for _ in range(8)])
    assert np.count_nonzero(sounded) > 4_000
    voice.close()
    row(
        "speaker unplugged and back",
        told="screen: the speaker went away",
        within_s=0.5,
        kept="every fact; a caution cut off does not count as spoken",
        goes_on="speech goes on where it broke off",
    )


def test_a_speaker_that_asks_for_nothing_any_more(portaudio, row) -> None:
    """A stream that calls itself active and asks for no sound counts as gone before three seconds are over."""
    speaker = SounddeviceSpeaker(now_s=portaudio.clock)
    for _ in range(6):
        portaudio.streams[0].take(512)
    speaker.play(np.full(1_000, 5, dtype=np.int16))
    began_s = portaudio.clock.now_s
    with pytest.raises(DeviceLost):
        for _ in range(100):
            portaudio.clock.now_s += 0.5  # as often as the voice looks
            speaker.play(np.zeros(0, dtype=np.int16))
    within_s = portaudio.clock.now_s - began_s
    speaker.play(np.zeros(0, dtype=np.int16))
    sounded = np.concatenate([portaudio.streams[1].take(512)[:, 0] for _ in range(8)])
    assert np.count_nonzero(sounded) == 1_000
    row(
        "speaker hangs (stream runs, takes no sound)",
        told="screen: the speaker went away",
        within_s=within_s,
        kept="every fact; a caution cut off does not count as spoken",
        goes_on="its stream is opened anew; speech goes on where it broke off",
    )


def test_a_speaker_that_comes_back_at_another_rate(portaudio, row, monkeypatch) -> None:
    """What waited is resampled: another device need not have the old rate."""
    speaker = SounddeviceSpeaker(now_s=portaudio.clock)
    speaker.play(np.full(4_800, 5_000, dtype=np.int16))
    portaudio.streams[0].active = False
    portaudio.default_hz = 44_100.0
    opened = portaudio._stream

    def only_its_own(**settings):
        if settings["samplerate"] != 44_100:
            raise portaudio.PortAudioError("Invalid sample rate")
        return opened(**settings)

    monkeypatch.setattr(portaudio, "OutputStream", only_its_own)
    with pytest.raises(DeviceLost):
        speaker.play(np.zeros(0, dtype=np.int16))
    speaker.play(np.zeros(0, dtype=np.int16))
    assert speaker.rate_hz == 44_100
    sounded = np.concatenate([portaudio.streams[-1].take(512)[:, 0] for _ in range(16)])
    assert np.count_nonzero(np.abs(sounded) > 2_500) == pytest.approx(4_410, abs=60)
    row(
        "speaker's sample rate changes",
        told="screen: the speaker went away",
        within_s=0.5,
        kept="every fact",
        goes_on="what waited is resampled and goes on",
    )


def test_a_voice_that_hangs(row) -> None:
    """It is told while it hangs, then given up for the other voice, which says the same words."""
    first, second, speaker = Mouth(), Mouth(9), FakeSpeaker()
    first.hangs = True
    told: list[Exception] = []
    watched = WatchedSynthesiser(first, on_slow=told.append, slow_s=0.05, given_up_s=0.1)
    voice = SpokenVoice(
        synthesiser=FallbackSynthesiser(watched, second, on_change=told.append), speaker=speaker, on_lost=told.append
    )
    voice.say([Sentence(text="Release the key.")])
    assert (speaker.wait_for(1)[0] == 9).all()
    assert told[0] is SLOW and "hangs" in str(told[1])
    first.go_on.set()
    voice.close()
    row(
        "voice hangs",
        told="three falling tones and screen: the voice is slow, read the screen",
        within_s=SLOW_S,
        kept="every fact",
        goes_on="after 12 s the plain voice says the same words",
    )


def test_a_voice_that_crashes(row) -> None:
    """Whatever its library raises, the other voice says the same words."""
    first, second, speaker = Mouth(), Mouth(9), FakeSpeaker()
    first.crashes = True
    told: list[Exception] = []
    voice = SpokenVoice(
        synthesiser=FallbackSynthesiser(WatchedSynthesiser(first), second, on_change=told.append), speaker=speaker
    )
    voice.say([Sentence(text="Release the key.")])
    assert (speaker.wait_for(1)[0] == 9).all()
    assert len(told) == 1 and isinstance(told[0], SetupError)
    voice.close()
    row(
        "voice crashes",
        told="the plain voice; screen: the plain voice speaks instead",
        within_s=0.0,
        kept="every fact",
        goes_on="with the plain voice",
    )


def test_two_voices_that_crash(row, library) -> None:
    """Three falling tones sound, what is timed is stopped, the screen says it, and the session ends in one sentence."""
    mouth, speaker, told = Mouth(), FakeSpeaker(), []
    mouth.crashes = True
    came = threading.Event()
    voice = SpokenVoice(
        synthesiser=WatchedSynthesiser(mouth), speaker=speaker, on_lost=lambda lost: (told.append(lost), came.set())
    )
    voice.say([Sentence(text="Release the key.")])
    assert came.wait(PATIENCE_S)
    assert np.abs(speaker.wait_for(1)[0].astype(int)).max() > 10_000
    voice.close()

    shop = Shop(library, "cranking-check")
    shop.lead_to(Mode.POISED, *TO_THE_CRANK)
    shop.hear("ready")
    shop.speaker_losses.append(told[0])
    at_s = shop.now_s
    with pytest.raises(VoiceLost) as lost:
        shop.pass_blocks(30)
    assert lost.value.exit_code == 3
    assert shop.conversation.state.mode is Mode.HELD
    assert shop.journal.facts("job")[-1].data["hearing"]["engine"] == BY_MACHINE
    assert any(str(told[0]) in view.said for view in shop.screen.views)
    row(
        "no voice can speak any more",
        told="three falling tones; screen: why",
        within_s=shop.now_s - at_s,
        kept="every fact; what was timed is stopped",
        goes_on="the session ends (exit 3), since no caution could be told; `hoodside resume`",
    )


def test_a_voice_that_failed_before_is_not_asked_again() -> None:
    """One that hangs is left alone: the next sentence does not wait for it."""
    mouth = Mouth()
    mouth.hangs = True
    watched = WatchedSynthesiser(mouth, slow_s=0.01, given_up_s=0.02)
    for _ in range(2):
        with pytest.raises(SetupError, match="hangs"):
            watched.render("one", words_per_minute=165, rate_hz=16_000)
    mouth.go_on.set()
    watched.close()
