"""`hoodside hear`: the recogniser alone, on recordings in any state."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import numpy as np
import pytest
import soundfile

from assistant.__main__ import run
from assistant.adapters.synthesiser_pyttsx3 import Pyttsx3Synthesiser

GRAMMAR = """#JSGF V1.0 UTF-8 en;
grammar shop; // made up for this test
public <order> = /2/ no spark {none} | spark present {some} | <switch> the (fan | fuel pump) (on | off);
<switch> = turn | "switch over"; /* the end */"""
FIELDS = ["file", "text", "accepted", "confidence", "took_ms", "audio_ms"]


def spoken(words: str, rate_hz: int = 16_000) -> np.ndarray:
    return Pyttsx3Synthesiser(voice="gmw/en-us").render(words, words_per_minute=150, rate_hz=rate_hz)


@pytest.fixture(scope="module")
def shop(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A folder with a grammar and recordings, good and bad."""
    folder = tmp_path_factory.mktemp("hear")
    (folder / "shop.jsgf").write_text(GRAMMAR, encoding="utf-8")
    pcm = spoken("turn the fuel pump off", 48_000)
    stereo = np.stack([pcm, pcm], axis=1)
    soundfile.write(folder / "stereo-48k-24bit.wav", stereo, 48_000, subtype="PCM_24")
    soundfile.write(folder / "8k-float.wav", spoken("spark present", 8_000) / 32768, 8_000, subtype="FLOAT")
    whole = folder / "whole.wav"
    soundfile.write(whole, spoken("no spark"), 16_000)
    (folder / "truncated.wav").write_bytes(whole.read_bytes()[:30])
    (folder / "no-wav.wav").write_text("this is a letter, not a recording")
    (folder / "empty.wav").touch()
    soundfile.write(folder / "one-sample.wav", np.zeros(1, np.int16), 16_000)
    soundfile.write(folder / "silence.wav", np.zeros(16_000, np.int16), 16_000)
    soundfile.write(folder / "no-number.wav", np.full(16_000, np.nan), 16_000, subtype="FLOAT")
    return folder


def answers(capsys: pytest.CaptureFixture[str], *arguments: str) -> list[dict[str, Any]]:
    assert run(["hear", "--engine", "embedded", *arguments]) == 0
    return [json.loads(line) for line in capsys.readouterr().out.splitlines()]


def test_any_rate_depth_and_number_of_channels_is_heard(shop: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """One line a file in the order given, every field there, the words of the grammar in lower case."""
    files = [str(shop / name) for name in ("stereo-48k-24bit.wav", "whole.wav", "8k-float.wav")]
    found = answers(capsys, "--grammar", str(shop / "shop.jsgf"), *files)
    assert [each["file"] for each in found] == files
    assert [each["text"] for each in found[:2]] == ["turn the fuel pump off", "no spark"]
    assert all(list(each) == FIELDS and each["accepted"] for each in found[:2])
    assert all(0 < each["confidence"] <= 1 and each["took_ms"] > 0 and each["audio_ms"] > 500 for each in found)


def test_what_cannot_be_read_says_so_and_the_others_go_on(shop: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """Truncated, no WAV, empty, missing, a folder: an error each; the good one after them is heard."""
    bad = [str(shop / name) for name in ("truncated.wav", "no-wav.wav", "empty.wav", "missing.wav")]
    found = answers(capsys, "--grammar", str(shop / "shop.jsgf"), *bad, str(shop), str(shop / "whole.wav"))
    for each in found[:-1]:
        assert each["error"], each
        assert (each["text"], each["accepted"], each["took_ms"], each["audio_ms"]) == ("", False, 0, 0)
    assert found[-1]["text"] == "no spark"


def test_silence_a_single_sample_and_no_numbers_are_nothing_said(
    shop: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """They are no error, and nothing is accepted."""
    files = [str(shop / name) for name in ("one-sample.wav", "silence.wav", "no-number.wav")]
    found = answers(capsys, "--grammar", str(shop / "shop.jsgf"), *files)
    assert [(each["text"], each["accepted"]) for each in found] == [("", False)] * 3


def test_speech_outside_the_grammar_is_not_accepted(
    shop: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """A sentence about the weather is no order."""
    soundfile.write(tmp_path / "talk.wav", spoken("it will rain again tomorrow morning"), 16_000)
    (found,) = answers(capsys, "--grammar", str(shop / "shop.jsgf"), str(tmp_path / "talk.wav"))
    assert found["accepted"] is False


def test_every_phrase_of_a_procedure_in_place_of_a_grammar(shop: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """`--commands no-start` hears its results and its commands."""
    (found,) = answers(capsys, "--commands", "no-start", str(shop / "whole.wav"))
    assert found["text"] == "no spark"


@pytest.mark.parametrize(
    ("arguments", "code", "message"),
    [
        ((), 2, "Give either --grammar FILE.jsgf or --commands PROCEDURE."),
        (("--grammar", "{shop}/none.jsgf"), 2, "cannot be read: No such file"),
        (("--grammar", "{shop}/bad.jsgf"), 1, "bad.jsgf:1:14 rule <b> is not defined"),
        (("--commands", "no-such-thing"), 2, "There is no procedure 'no-such-thing'"),
    ],
)
def test_a_wrong_command_is_one_sentence(
    shop: Path, capsys: pytest.CaptureFixture[str], arguments: tuple[str, ...], code: int, message: str
) -> None:
    """No grammar, a missing one, a broken one, an unknown procedure: the right exit code and what is wrong."""
    (shop / "bad.jsgf").write_text("public <a> = <b>;")
    given = [each.format(shop=shop) for each in arguments]
    assert run(["hear", "--engine", "embedded", *given, str(shop / "whole.wav")]) == code
    out, err = capsys.readouterr()
    assert out == "" and message in err and err.count("\n") == 1
