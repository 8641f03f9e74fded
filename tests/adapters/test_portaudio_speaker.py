"""The live speaker: no gap between pieces, cut at once, and an account of what went out."""

from __future__ import annotations

import numpy as np
import pytest

from assistant.adapters.portaudio import SounddeviceSpeaker
from assistant.errors import DeviceLost, SetupError


def _ramp(first: int, frames: int) -> np.ndarray:
    return np.arange(first, first + frames, dtype=np.int16)


def opened(portaudio) -> SounddeviceSpeaker:
    """A speaker whose stream runs smoothly."""
    speaker = SounddeviceSpeaker(now_s=portaudio.clock)
    settle(portaudio)
    return speaker


def settle(portaudio) -> None:
    """Let the newest stream ask for a few buffers in time; sound flows from the next one on."""
    for _ in range(3):
        assert not portaudio.streams[-1].take(512).any()


def test_pieces_follow_each_other_without_a_gap(portaudio) -> None:
    """Two pieces come out as one row of samples on every channel, then silence."""
    speaker = opened(portaudio)
    speaker.play(_ramp(1, 700))
    speaker.play(_ramp(701, 300))
    assert speaker.playing
    out = np.concatenate([portaudio.streams[0].take(512) for _ in range(3)])
    for channel in out.T:
        assert (channel[:1000] == _ramp(1, 1000)).all()
        assert not channel[1000:].any()


def test_cut_leaves_silence_from_the_next_buffer_on(portaudio) -> None:
    """After `cut` the very next buffer is silent, and new sound begins at its own first sample."""
    speaker = opened(portaudio)
    speaker.play(_ramp(1, 5_000))
    portaudio.streams[0].take(512)
    speaker.cut()
    assert not portaudio.streams[0].take(512).any()
    speaker.play(_ramp(1, 100))
    assert portaudio.streams[0].take(100)[0, 0] == 1


def test_the_account_gives_what_went_out_at_its_time(portaudio) -> None:
    """A tone sent out now is found in the account at now plus the device's latency, in the house's rate."""
    speaker = opened(portaudio)
    tone = (8_000 * np.sin(2 * np.pi * 440 * np.arange(48_000) / 48_000)).astype(np.int16)
    speaker.play(tone)
    sent_s = portaudio.clock()
    for _ in range(10):
        portaudio.streams[0].take(4_800)
    account = speaker.played(sent_s + 0.05, 8_000)
    assert account.shape == (8_000,)
    assert np.sqrt(np.mean(account[400:4000].astype(float) ** 2)) == pytest.approx(8_000 / np.sqrt(2), rel=0.05)
    assert not speaker.played(sent_s - 2.0, 1_600).any()


def test_a_lost_speaker_is_told_and_opened_again(portaudio) -> None:
    """DeviceLost while it is away, sound again once it is back."""
    speaker = SounddeviceSpeaker(now_s=portaudio.clock)
    portaudio.streams[0].active = False
    portaudio.present = False
    for _ in range(2):
        with pytest.raises(DeviceLost):
            speaker.play(_ramp(1, 10))
        assert not speaker.playing
    portaudio.present = True
    speaker.play(_ramp(1, 10))
    settle(portaudio)
    assert portaudio.streams[1].take(10)[9, 0] == 10
    speaker.close()
    speaker.close()


def test_sound_that_a_lost_device_did_not_play_is_played_when_it_is_back(portaudio) -> None:
    """A caution breaks off in the middle and goes on in the middle."""
    speaker = opened(portaudio)
    speaker.play(_ramp(1, 1_000))
    portaudio.streams[0].take(400)
    portaudio.streams[0].active = False
    with pytest.raises(DeviceLost):
        speaker.play(_ramp(1, 0))
    assert speaker.playing
    speaker.play(_ramp(1, 0))
    settle(portaudio)
    out = portaudio.streams[1].take(700)[:, 0]
    assert (out[:600] == _ramp(401, 600)).all() and not out[600:].any()


def test_a_late_buffer_holds_the_sound_back_and_loses_none(portaudio) -> None:
    """What is handed over while buffers come late may be thrown away, so nothing is: it goes on where it was."""
    speaker = opened(portaudio)
    speaker.play(_ramp(1, 2_000))
    portaudio.streams[0].take(512)
    assert not portaudio.streams[0].take(512, late=True).any()
    settle(portaudio)
    assert portaudio.streams[0].take(512)[0, 0] == 513
    assert speaker.underflows == 1


def test_a_stream_that_only_stumbles_is_opened_anew(portaudio) -> None:
    """Half a second of late buffers ends the stream; the next call opens another, and the sound goes on untold."""
    speaker = opened(portaudio)
    speaker.play(_ramp(1, 2_000))
    portaudio.streams[0].take(512)
    for _ in range(60):
        if portaudio.streams[0].active:
            portaudio.streams[0].take(512, late=True)
    assert not portaudio.streams[0].active and speaker.playing
    speaker.play(_ramp(1, 0))
    settle(portaudio)
    assert portaudio.streams[1].take(512)[0, 0] == 513


def test_it_knows_half_a_minute_back_what_it_played(portaudio) -> None:
    """Sound that is heard so late on a busy machine is still told from our own."""
    speaker = opened(portaudio)
    began_s = portaudio.clock.now_s
    speaker.play(np.full(48_000, 1_000, dtype=np.int16))
    for _ in range(60):
        portaudio.streams[0].take(24_000)
    assert portaudio.clock.now_s - began_s == pytest.approx(30.0)
    assert speaker.played(began_s + 0.3, 1_600).max() == pytest.approx(1_000, abs=20)
    assert not speaker.played(began_s + 3.0, 1_600).any()


def test_no_speaker_and_no_portaudio_say_what_to_do(portaudio) -> None:
    """A machine without a speaker is told of --say silent."""
    portaudio.present = False
    with pytest.raises(SetupError, match="--say silent"):
        SounddeviceSpeaker(now_s=portaudio.clock)


def test_no_portaudio_names_the_package(no_portaudio) -> None:
    """A machine without the library is told which package brings it."""
    with pytest.raises(SetupError, match="libportaudio2"):
        SounddeviceSpeaker()


def test_while_somebody_hums_what_sounds_is_softer_and_comes_back_without_a_click(portaudio) -> None:
    """From the next buffer on, over that buffer; the account has what really went out."""
    speaker = opened(portaudio)
    speaker.play(np.full(20_000, 10_000, dtype=np.int16))
    assert portaudio.streams[0].take(512)[-1, 0] == 10_000
    speaker.duck(True)
    falling = portaudio.streams[0].take(512)[:, 0].astype(int)
    assert falling[0] == 10_000 and falling[-1] == 3_500 and np.abs(np.diff(falling)).max() < 20
    assert (portaudio.streams[0].take(512) == 3_500).all()
    speaker.duck(False)
    rising = portaudio.streams[0].take(512)[:, 0]
    assert rising[0] == 3_500 and rising[-1] == 10_000
    assert portaudio.streams[0].take(512)[0, 0] == 10_000
