"""A sound file in place of a microphone: every common kind is converted, every broken one is one sentence."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest
import soundfile

from assistant.adapters.microphone_wav import WavMicrophone, read_sound
from assistant.errors import UsageError


def _tone(rate_hz: int, channels: int = 1, seconds: float = 1.0) -> np.ndarray:
    one = 0.5 * np.sin(2 * np.pi * 440 * np.arange(round(rate_hz * seconds)) / rate_hz)
    return np.repeat(one[:, np.newaxis], channels, axis=1)


@pytest.mark.parametrize("subtype", ["PCM_U8", "PCM_16", "PCM_24", "PCM_32", "FLOAT", "DOUBLE", "ULAW"])
@pytest.mark.parametrize(("rate_hz", "channels"), [(8_000, 1), (16_000, 2), (44_100, 1), (96_000, 4)])
def test_every_kind_becomes_16_khz_mono(tmp_path: Path, subtype: str, rate_hz: int, channels: int) -> None:
    """A second of 440 Hz stays a second of 440 Hz at half of full scale, whatever the file's kind."""
    file = tmp_path / "tone.wav"
    soundfile.write(file, _tone(rate_hz, channels), rate_hz, subtype=subtype)
    pcm = read_sound(file)
    assert pcm.dtype == np.int16 and pcm.size == pytest.approx(16_000, abs=2)
    inside = pcm[1_000:-1_000].astype(float)
    assert np.sqrt(np.mean(inside**2)) == pytest.approx(32768 * 0.5 / np.sqrt(2), rel=0.03)
    spectrum = np.abs(np.fft.rfft(inside * np.hanning(inside.size)))
    assert np.argmax(spectrum) * 16_000 / inside.size == pytest.approx(440, abs=2)


def test_blocks_join_to_the_whole_file(tmp_path: Path) -> None:
    """The microphone's blocks, 512 frames each, are the file; then it ends."""
    file = tmp_path / "tone.wav"
    soundfile.write(file, _tone(22_050, seconds=2.3), 22_050)
    microphone = WavMicrophone(file)
    blocks = []
    with pytest.raises(EOFError):
        while (block := microphone.read(0.0)) is not None:
            blocks.append(block)
    microphone.close()
    microphone.close()
    assert (np.concatenate([block.pcm for block in blocks]) == read_sound(file)).all()
    assert {block.pcm.size for block in blocks[:-1]} == {512}
    assert blocks[10].start_s == pytest.approx(10 * 0.032)


def test_values_that_are_no_numbers_become_silence(tmp_path: Path) -> None:
    """A float file with NaN and infinity in it is still heard."""
    sound = _tone(16_000)[:, 0]
    sound[100], sound[200] = np.nan, np.inf
    soundfile.write(tmp_path / "odd.wav", sound, 16_000, subtype="FLOAT")
    pcm = read_sound(tmp_path / "odd.wav")
    assert (pcm[100], pcm[200]) == (0, 32_767)


def test_a_truncated_wav_says_how_much_is_missing(tmp_path: Path) -> None:
    """Bytes that the header promises and the file lacks are counted."""
    file = tmp_path / "short.wav"
    soundfile.write(file, _tone(16_000), 16_000)
    file.write_bytes(file.read_bytes()[:-1_000])
    for use in (read_sound, WavMicrophone):
        with pytest.raises(UsageError, match="cut short: 1000 of 32000 bytes"):
            use(file)


def test_a_header_alone_is_cut_short(tmp_path: Path) -> None:
    """A file that ends before its sound begins says so."""
    file = tmp_path / "short.wav"
    soundfile.write(file, _tone(16_000), 16_000)
    file.write_bytes(file.read_bytes()[:30])
    with pytest.raises(UsageError, match="ends before its sound begins"):
        read_sound(file)


def test_a_recorder_that_never_knew_its_length_is_read(tmp_path: Path) -> None:
    """A length of all ones, as written into a pipe, means up to the end."""
    file = tmp_path / "open.wav"
    soundfile.write(file, _tone(16_000), 16_000)
    raw = bytearray(file.read_bytes())
    at = raw.index(b"data") + 4
    raw[at : at + 4] = b"\xff\xff\xff\xff"
    file.write_bytes(raw)
    assert read_sound(file).size == pytest.approx(16_000, abs=2)


@pytest.mark.parametrize(
    ("content", "words"),
    [(b"", "not a sound file"), (b"id: no-start\n", "not a sound file"), (b"\x00" * 5_000, "not a sound file")],
)
def test_what_is_no_sound_is_one_sentence(tmp_path: Path, content: bytes, words: str) -> None:
    """Text, zeros and an empty file are no sound files."""
    file = tmp_path / "no.wav"
    file.write_bytes(content)
    with pytest.raises(UsageError, match=words):
        read_sound(file)


def test_a_missing_file_and_a_folder_are_one_sentence(tmp_path: Path) -> None:
    """Both name the path."""
    for path in (tmp_path / "none.wav", tmp_path):
        with pytest.raises(UsageError, match="Cannot read the sound file"):
            read_sound(path)


def test_an_empty_sound_holds_no_sound(tmp_path: Path) -> None:
    """A well-formed file of no samples is refused, not taken for silence."""
    soundfile.write(tmp_path / "none.wav", np.zeros(0), 16_000)
    with pytest.raises(UsageError, match="holds no sound"):
        read_sound(tmp_path / "none.wav")


def test_an_impossible_rate_is_called_damaged(tmp_path: Path) -> None:
    """Three samples a second is no recording."""
    soundfile.write(tmp_path / "slow.wav", np.zeros(100), 3)
    with pytest.raises(UsageError, match="3 samples a second"):
        read_sound(tmp_path / "slow.wav")


def test_a_gigabyte_is_refused_whole_but_heard_in_blocks(tmp_path: Path) -> None:
    """More than half an hour is not read into memory; the microphone takes it a second at a time."""
    file = tmp_path / "huge.wav"
    soundfile.write(file, _tone(16_000), 16_000)
    frames = 500_000_000
    raw = bytearray(file.read_bytes())
    at = raw.index(b"data") + 4
    raw[at : at + 4] = (2 * frames).to_bytes(4, "little")
    raw[4:8] = (at + 2 * frames - 4).to_bytes(4, "little")
    with file.open("wb") as out:  # a sparse file: a gigabyte that takes no room
        out.write(raw)
        out.truncate(at + 4 + 2 * frames)
    with pytest.raises(UsageError, match="longer than 30 minutes"):
        read_sound(file)
    microphone = WavMicrophone(file)
    block = microphone.read(0.0)
    microphone.close()
    assert block is not None and block.pcm.size == 512
