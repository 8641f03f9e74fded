"""The live microphone: blocks in order, losses told, a lost device found again."""

from __future__ import annotations

import numpy as np
import pytest

from assistant.adapters.portaudio import SounddeviceMicrophone
from assistant.errors import DeviceLost, SetupError


def _buffer(level: int, frames: int = 512) -> np.ndarray:
    return np.full((frames, 2), level, dtype=np.int16)


def test_blocks_come_in_order_mono_and_complete(portaudio) -> None:
    """What the device hands over comes out as 16 kHz mono, block by block."""
    microphone = SounddeviceMicrophone(now_s=portaudio.clock)
    stream = portaudio.streams[0]
    assert (stream.samplerate, stream.blocksize) == (16_000, 512)
    stream.hear(np.column_stack([np.full(512, 100), np.full(512, 300)]).astype(np.int16))
    stream.hear(_buffer(7))
    first, second = microphone.read(0), microphone.read(0)
    assert first is not None and second is not None
    assert (first.pcm == 200).all() and first.pcm.shape == (512,)
    assert (second.pcm == 7).all()
    assert second.start_s - first.start_s == pytest.approx(0.032)
    assert microphone.read(0) is None


def test_a_device_without_the_rate_is_resampled(portaudio) -> None:
    """A 44.1 kHz device still gives 16 000 frames a second, within one resampler delay."""
    portaudio.rates_hz, portaudio.default_hz = (44_100,), 44_100.0
    microphone = SounddeviceMicrophone(now_s=portaudio.clock)
    stream = portaudio.streams[0]
    got = 0
    for _ in range(100):
        stream.hear(_buffer(50, stream.blocksize))
        block = microphone.read(0)
        got += block.pcm.size if block else 0
    assert got == pytest.approx(100 * stream.blocksize * 16_000 / 44_100, abs=600)


def test_a_full_queue_drops_and_the_next_block_tells_how_much(portaudio) -> None:
    """Three buffers into a queue of two: the third is lost, and the next one after it says 512 frames."""
    microphone = SounddeviceMicrophone(now_s=portaudio.clock, queue_blocks=2)
    stream = portaudio.streams[0]
    for level in (1, 2, 3):
        stream.hear(_buffer(level))
    kept = [microphone.read(0), microphone.read(0)]
    stream.hear(_buffer(4))
    after = microphone.read(0)
    assert [block.lost_frames for block in kept if block] == [0, 0]
    assert after is not None and after.lost_frames == 512 and after.pcm[0] == 4


def test_half_a_minute_waits_and_nothing_is_lost(portaudio) -> None:
    """A busy machine comes late: every block is there, in order, and says how long it waited."""
    microphone = SounddeviceMicrophone(now_s=portaudio.clock)
    for level in range(900):
        portaudio.streams[0].hear(_buffer(level))
    blocks = [microphone.read(0) for _ in range(900)]
    assert [block.pcm[0] for block in blocks if block] == list(range(900))
    assert not any(block.lost_frames for block in blocks if block)
    first, last = blocks[0], blocks[-1]
    assert first is not None and first.waited_s == pytest.approx(899 * 0.032, abs=0.01)
    assert last is not None and last.waited_s == pytest.approx(0.0, abs=0.01)


def test_an_overflow_of_the_driver_is_told(portaudio) -> None:
    """The driver's own overflow mark counts at least one buffer."""
    microphone = SounddeviceMicrophone(now_s=portaudio.clock)
    portaudio.streams[0].hear(_buffer(1), overflow=True)
    block = microphone.read(0)
    assert block is not None and block.lost_frames == 512


def test_what_was_played_stands_beside_each_block(portaudio) -> None:
    """The speaker's account covers the same stretch and shape."""
    asked = []

    def played(start_s: float, frames: int) -> np.ndarray:
        asked.append(start_s)
        return np.full(frames, 5, dtype=np.int16)

    microphone = SounddeviceMicrophone(now_s=portaudio.clock, played=played)
    portaudio.streams[0].hear(_buffer(1))
    portaudio.streams[0].hear(_buffer(1))
    block = microphone.read(0)
    microphone.read(0)
    assert block is not None and block.played is not None
    assert block.played.shape == block.pcm.shape
    assert asked[1] - asked[0] == pytest.approx(0.032)


def test_a_lost_device_is_told_and_found_again(portaudio) -> None:
    """After DeviceLost, `read` fails while the device is away and gives blocks once it is back."""
    microphone = SounddeviceMicrophone(now_s=portaudio.clock)
    portaudio.streams[0].active = False
    portaudio.present = False
    with pytest.raises(DeviceLost) as lost:
        microphone.read(0)
    assert lost.value.spoken == "The microphone was lost."
    assert portaudio.streams[0].closed
    with pytest.raises(DeviceLost):
        microphone.read(0)
    portaudio.present = True
    assert microphone.read(0) is None
    portaudio.streams[1].hear(_buffer(9))
    block = microphone.read(0)
    assert block is not None and block.pcm[0] == 9
    microphone.close()
    microphone.close()
    assert portaudio.streams[1].closed


def test_a_device_that_goes_dumb_counts_as_lost(portaudio) -> None:
    """A stream that calls itself active but gives no block any more is given up."""
    microphone = SounddeviceMicrophone(now_s=portaudio.clock)
    portaudio.clock.now_s += 5.5
    with pytest.raises(DeviceLost):
        microphone.read(0)


def test_no_microphone_says_what_to_do(portaudio) -> None:
    """A machine without one gets the exit code of a lacking machine and the way on."""
    portaudio.present = False
    with pytest.raises(SetupError, match="--hear typed") as refused:
        SounddeviceMicrophone(now_s=portaudio.clock)
    assert refused.value.exit_code == 3


def test_no_portaudio_names_the_package(no_portaudio) -> None:
    """A machine without the library is told which package brings it."""
    with pytest.raises(SetupError, match="libportaudio2"):
        SounddeviceMicrophone()
