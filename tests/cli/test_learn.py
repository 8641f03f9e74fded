"""`hoodside devices --learn`, with the network, on made-up voices' sound files."""

from __future__ import annotations

import json
from pathlib import Path

import numpy as np
import pytest
import soundfile
from numpy.typing import NDArray

from assistant.__main__ import run
from assistant.adapters.recogniser_embedded import find_network, make_embedded
from assistant.adapters.recogniser_embedded.network import Network
from assistant.adapters.recogniser_embedded.own_voice import TO_READ, Take, learn_voice, read_of
from assistant.bench.voices import Speaker, speak
from assistant.cli._learn import words_of
from assistant.hearing.alignment import alignment_loss
from assistant.hearing.correction import corrected
from assistant.language.commands import COMMAND_PHRASES
from assistant.wiring.profiles import own_voice

VOICE = Speaker("espeak", "en-029", 170)
WORDS = TO_READ[:12]


def quiet(words: str) -> NDArray[np.int16]:
    """The words in a quiet room."""
    pcm = np.pad(speak(VOICE, words), 3_200)
    return (pcm + np.random.default_rng(len(words)).standard_normal(len(pcm)) * 20).astype(np.int16)


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Twelve readings, each named by its words."""
    made = tmp_path_factory.mktemp("read")
    for place, words in enumerate(WORDS):
        soundfile.write(made / f"{place:02} {words.replace(' ', '-')}.wav", quiet(words), 16_000)
    return made


def told(capsys: pytest.CaptureFixture[str]) -> dict[str, object]:
    """The one JSON value on standard output."""
    found = json.loads(capsys.readouterr().out)
    assert isinstance(found, dict)
    return found


def test_a_voice_is_learnt_kept_listed_exported_and_forgotten(
    folder: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """The gain on what was not learnt from is told first; no sound is kept."""
    data = ["--data", str(tmp_path / "data")]
    assert run(["devices", "--learn", "bay two", "--from", str(folder), "--yes", "--json", *data]) == 0
    found = told(capsys)
    assert (found["of"], found["kept"], found["misread"]) == (4, True, [])
    assert run(["devices", "--profiles", *data]) == 0
    assert capsys.readouterr().out == "bay two\n"
    assert run(["devices", "--export-profile", "bay two", "--out", str(tmp_path / "copy.npz"), *data]) == 0
    kept = [path for path in (tmp_path / "data").rglob("*") if path.is_file()]
    assert sorted(path.name for path in kept) == ["bay two.npz", "last.json"]
    assert (tmp_path / "copy.npz").stat().st_size < 200_000
    heard_with = own_voice("bay two", None, tmp_path / "data")
    assert len(heard_with) == len(Network(find_network(), threads=1).phone_ears)
    again = own_voice(None, None, tmp_path / "data")  # the one last used with this microphone
    assert [one.bias.tolist() for one in again] == [one.bias.tolist() for one in heard_with]
    assert own_voice("none", None, tmp_path / "data") == ()
    changed = make_embedded(threads=1, own_voice=heard_with)
    changed.close()
    assert run(["devices", "--forget-profile", "bay two", *data]) == 0
    assert run(["devices", "--profiles", *data]) == 0
    assert capsys.readouterr().out == ""


def test_a_session_refuses_a_voice_that_is_not_there(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """Wrong use, told before a job is opened."""
    soundfile.write(tmp_path / "said.wav", np.zeros(16_000, np.int16), 16_000)
    start = ["start", "no-start", "--job", "j", "--hear", f"wav:{tmp_path / 'said.wav'}", "--engine", "embedded"]
    assert run([*start, "--profile", "nobody", "--data", str(tmp_path / "data")]) == 2
    assert "There is no learnt voice 'nobody'" in capsys.readouterr().err


def test_silence_and_other_words_teach_nothing(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """The machine lacks a sound; or most of what was read were not the words shown."""
    for name, sound in (("silent", np.zeros(16_000, np.int16)), ("other", quiet("the weather is fine"))):
        made = tmp_path / name
        made.mkdir()
        for place, words in enumerate(WORDS):
            soundfile.write(made / f"{place:02} {words.replace(' ', '-')}.wav", sound, 16_000)
        data = ["--data", str(tmp_path / "data")]
        assert run(["devices", "--learn", "x", "--from", str(made), "--yes", *data]) == 3
        assert ("silence" if name == "silent" else "not the words shown") in capsys.readouterr().err
    assert not list((tmp_path / "data").rglob("*.npz"))


def test_a_folder_without_sound_is_wrong_use(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """So is a file that does not tell its words."""
    assert run(["devices", "--learn", "x", "--from", str(tmp_path), "--data", str(tmp_path)]) == 2
    soundfile.write(tmp_path / "07.wav", np.zeros(16_000, np.int16), 16_000)
    assert run(["devices", "--learn", "x", "--from", str(tmp_path), "--data", str(tmp_path)]) == 2
    assert "does not tell what is said" in capsys.readouterr().err
    assert words_of("07 twelve-point-four-volts") == "twelve point four volts"


def test_what_was_read_is_likelier_with_what_was_learnt() -> None:
    """By each ear, over all ways in which its phones can lie along the sound."""
    network = Network(find_network(), threads=1)
    takes = [Take(words=words, pcm=quiet(words)) for words in WORDS]
    found = learn_voice(network, takes)
    read = [read_of(network, each) for each in takes]
    for ear, correction in zip(network.phone_ears, found.corrections, strict=True):
        nats = [
            sum(
                alignment_loss(
                    one.log_probabilities(each.hidden)[None], each.readings[:1], np.array([len(each.hidden)])
                )[0]
                for each in read
            )
            for one in (ear, corrected(ear, correction))
        ]
        assert nats[1] < nats[0]


def test_the_reading_holds_what_is_short_and_each_digit_three_times() -> None:
    """Each third is held out, so each of them is learnt from and measured."""
    said = " ".join(TO_READ).split()
    for digit in ("zero", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine"):
        assert said.count(digit) >= 3, digit
    assert all(TO_READ.count(words) >= 3 for words in ("yes", "no", "stop"))
    assert sum(words in {phrase for each in COMMAND_PHRASES.values() for phrase in each} for words in TO_READ) > 12
