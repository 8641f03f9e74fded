"""Which voice speaks, and what is told where the natural one cannot."""

from __future__ import annotations

import io
import sys
from collections.abc import Iterator
from pathlib import Path

import pytest

from assistant.__main__ import run
from assistant.adapters.microphone_wav import read_sound
from assistant.adapters.synthesiser_fallback import FallbackSynthesiser
from assistant.adapters.synthesiser_hibari import synthesiser
from assistant.adapters.synthesiser_pyttsx3 import Pyttsx3Synthesiser
from assistant.adapters.synthesiser_remembering import RememberingSynthesiser
from assistant.errors import SetupError
from assistant.wiring import sessions
from assistant.wiring.voices import NATURAL, PLAIN, make_synthesiser


@pytest.fixture
def broken(monkeypatch: pytest.MonkeyPatch) -> Iterator[None]:
    """The natural voice's file is damaged."""

    def damaged() -> Path:
        raise SetupError("The natural voice's file hibari.onnx is damaged")

    synthesiser._engine.cache_clear()
    monkeypatch.setattr(synthesiser, "find_voice", damaged)
    yield
    synthesiser._engine.cache_clear()


def test_the_natural_voice_speaks_unless_the_plain_one_is_wished_for() -> None:
    """And the plain one stands behind it; each remembers what it said."""
    natural, plain = make_synthesiser(), make_synthesiser(PLAIN)
    assert isinstance(natural, RememberingSynthesiser) and isinstance(natural.made_by, FallbackSynthesiser)
    assert isinstance(plain, RememberingSynthesiser) and isinstance(plain.made_by, Pyttsx3Synthesiser)


@pytest.mark.usefixtures("broken")
def test_a_session_goes_on_with_the_plain_voice_and_says_so_once(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str], tmp_path: Path
) -> None:
    """Every sentence is spoken all the same; the reason stands on standard error, one line of it."""
    monkeypatch.setattr(sys, "stdin", io.StringIO("done\nwhere am i\n"))
    said = tmp_path / "said.wav"
    options = ["--hear", "typed", "--say", f"wav:{said}", "--data", str(tmp_path / "data"), "--job", "car"]
    assert run(["start", "no-start", *options]) == 0
    told = [line for line in capsys.readouterr().err.splitlines() if "voice" in line]
    assert told == ["hoodside: The natural voice's file hibari.onnx is damaged. The plain voice speaks instead."]
    assert read_sound(said).size > 10 * 16_000


def test_the_voice_is_loaded_when_the_ears_are_there(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    """Not beside them, which would hold them up; and not where nothing is spoken."""
    order: list[str] = []
    monkeypatch.setattr(sessions, "open_ears", lambda *_, **__: order.append("ears"))
    monkeypatch.setattr(sessions, "begin_to_load_voice", order.append)
    for say in (f"wav:{tmp_path / 'said.wav'}", "silent"):
        with sessions.open_session(sessions.Wishes(hear="typed", say=say), tmp_path, io.StringIO(), io.StringIO()):
            order.append("open")
    assert order == ["ears", NATURAL, "open", "ears", "open"]
