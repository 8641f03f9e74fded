"""The natural voice: a wheel that is missing or damaged, faults while it speaks, and what it would read oddly."""

from __future__ import annotations

import importlib.metadata
import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path, PurePosixPath

import numpy as np
import pytest

from assistant.adapters.synthesiser_fallback import FallbackSynthesiser
from assistant.adapters.synthesiser_hibari import HibariSynthesiser, files, synthesiser
from assistant.adapters.synthesiser_hibari.readings import spelt
from assistant.errors import SetupError


class Listed:
    """A file as a wheel's list has it, with another content where a test wants it."""

    def __init__(self, entry: importlib.metadata.PackagePath, instead: Path | None) -> None:
        self.name, self.parent, self.hash = entry.name, PurePosixPath(entry.parent), entry.hash
        self._place = instead or Path(str(entry.locate()))

    def locate(self) -> Path:
        """Where it lies."""
        return self._place


@pytest.fixture
def anew() -> Iterator[None]:
    """The voice is loaded in this test, and again after it."""
    synthesiser._engine.cache_clear()
    yield
    synthesiser._engine.cache_clear()


def said(voice: HibariSynthesiser | FallbackSynthesiser, text: str = "No spark.") -> np.ndarray:
    """The text's samples at 16 kHz."""
    return voice.render(text, words_per_minute=165, rate_hz=16_000)


@pytest.mark.usefixtures("anew")
def test_a_missing_wheel_is_one_sentence(monkeypatch: pytest.MonkeyPatch) -> None:
    """It says what to install."""

    def missing(name: str) -> None:
        raise importlib.metadata.PackageNotFoundError(name)

    monkeypatch.setattr(files, "files", missing)
    with pytest.raises(SetupError, match=r"natural voice is missing; install it anew with: .*hibari-tts==0\.2\.1"):
        said(HibariSynthesiser())


@pytest.mark.usefixtures("anew")
@pytest.mark.parametrize("name", files.WANTED)
@pytest.mark.parametrize("how", ["changed", "gone", "not listed"])
def test_each_file_that_is_damaged_or_gone_is_named(
    monkeypatch: pytest.MonkeyPatch, tmp_path: Path, name: str, how: str
) -> None:
    """One bit is enough; the network is not even loaded then."""
    entries = importlib.metadata.files("hibari-tts") or []
    instead = tmp_path / name
    if how == "changed":
        (entry,) = (one for one in entries if one.name == name)
        whole = bytearray(Path(str(entry.locate())).read_bytes())
        whole[len(whole) // 2] ^= 1
        instead.write_bytes(whole)
    kept = [Listed(one, instead if one.name == name else None) for one in entries]
    listed = [one for one in kept if how != "not listed" or one.name != name]
    monkeypatch.setattr(files, "files", lambda _package: listed)
    with pytest.raises(SetupError, match=f"file {name} is damaged|lacks {name}"):
        said(HibariSynthesiser())


@pytest.mark.usefixtures("anew")
def test_what_the_library_raises_is_told_as_ours(monkeypatch: pytest.MonkeyPatch) -> None:
    """Whatever it is: the wheel has no family of errors, and its runtime one of its own."""
    voice = HibariSynthesiser()
    said(voice)

    def fail(*_: object) -> None:
        raise KeyError("a phone that the network lacks")

    monkeypatch.setattr(synthesiser._engine()._voice, "phonemize", fail)
    with pytest.raises(SetupError, match=r"The natural voice fails .*phone that the network lacks"):
        said(voice, "Weak spark.")


class Fails:
    """A synthesiser that cannot, each time."""

    def __init__(self) -> None:
        self.asked = 0

    def render(self, text: str, *, words_per_minute: int, rate_hz: int) -> np.ndarray:
        """It cannot."""
        self.asked += 1
        raise SetupError(f"cannot say {text}")

    def close(self) -> None:
        """Nothing to free."""


class Beeps:
    """A synthesiser that can."""

    closed = 0

    def render(self, text: str, *, words_per_minute: int, rate_hz: int) -> np.ndarray:
        """One sample for each character."""
        return np.ones(len(text), np.int16)

    def close(self) -> None:
        """Count."""
        self.closed += 1


def test_the_plain_voice_takes_over_for_good_and_it_is_told_once() -> None:
    """The very sentence that failed is spoken; the first voice is asked no more."""
    first, told = Fails(), []
    voice = FallbackSynthesiser(first, Beeps(), on_change=told.append)
    assert [said(voice, text).size for text in ("No.", "Weak spark.")] == [3, 11]
    assert first.asked == 1 and [str(why) for why in told] == ["cannot say No."]


def test_where_neither_can_speak_the_second_ones_reason_is_raised() -> None:
    """Each time anew, so that nothing is silently silent."""
    voice = FallbackSynthesiser(Fails(), Fails())
    for text in ("No.", "Yes."):
        with pytest.raises(SetupError, match=f"cannot say {text}"):
            said(voice, text)


def test_both_voices_are_freed() -> None:
    """Twice is harmless."""
    first, second = Beeps(), Beeps()
    voice = FallbackSynthesiser(first, second)
    voice.close()
    voice.close()
    assert first.closed == second.closed == 2


WATCHED = """
import sys, os
asked = []
sys.addaudithook(lambda event, args: asked.append((event, str(args)[:200])) if event.startswith("socket.") else None)
sys.addaudithook(lambda event, args: asked.append((event, args[:2])) if event == "open" and isinstance(args[1], str)
                 and set(args[1]) & set("wax+") else None)
from assistant.adapters.synthesiser_hibari import HibariSynthesiser
pcm = HibariSynthesiser().render("Unheardofword, no spark.", words_per_minute=165, rate_hz=16000)
assert pcm.size > 8000 and "onnxruntime" in sys.modules and os.environ["ORT_DISABLE_TELEMETRY"] == "1"
print(asked)
"""


def test_it_opens_no_socket_and_writes_no_file(tmp_path: Path) -> None:
    """In a process of its own with an empty home: neither Python nor anybody else left anything."""
    done = subprocess.run(
        [sys.executable, "-B", "-c", WATCHED],
        env={"HOME": str(tmp_path), "PATH": "", "PYTHONPATH": str(Path(__file__).parents[2])},
        capture_output=True, text=True, check=False, timeout=120,
    )  # fmt: skip
    assert (done.returncode, done.stdout.strip()) == (0, "[]"), done.stderr
    assert list(tmp_path.rglob("*")) == []


SHUT = """
import onnxruntime
from assistant.adapters.synthesiser_hibari import HibariSynthesiser
HibariSynthesiser().render("Yes.", words_per_minute=165, rate_hz=16000)
"""


def test_it_does_not_speak_where_the_runtime_could_send() -> None:
    """Somebody loaded the runtime before the door was shut: refused in words."""
    done = subprocess.run([sys.executable, "-c", SHUT], capture_output=True, text=True, check=False, timeout=120)
    assert done.returncode == 1 and "before its uploader could be switched off" in done.stderr


@pytest.mark.parametrize(
    ("text", "written"),
    [
        ("about ninety r p m", "about ninety [r p m](/ˈɑɹ pˈi ˈɛm/)"),
        ("Plug in the O B D reader.", "Plug in the [o b d](/ˈO bˈi dˈi/) reader."),
        ("Turn the A C off", "Turn the [a c](/ˈA sˈi/) off"),
        ("the a/c is on", "the [a c](/ˈA sˈi/) is on"),
        ("OBD and VIN", "[o b d](/ˈO bˈi dˈi/) and [v i n](/vˈi ˈI ˈɛn/)"),
        ("What can I say?", "What can I say?"),
        ("a spark", "a spark"),
        ("it's a", "it's a"),
        ("close to the rail", "[close](/klˈOs/) to the rail"),
        ("[x](/y/)", " x (/y/)"),
    ],
)
def test_letters_are_said_one_by_one(text: str, written: str) -> None:
    """A row of them, or a name in capitals; an article or a pronoun alone stays."""
    assert spelt(text) == written


@pytest.mark.parametrize("throat", [0.9, 1.18])
def test_another_throat_lasts_as_long_and_sounds_elsewhere(throat: float) -> None:
    """A larger one lies lower: the middle of its spectrum moves by about that factor."""
    text = "Keep hands and sleeves out of the belt area."
    own, other = said(HibariSynthesiser(), text), said(HibariSynthesiser(throat=throat), text)
    assert other.size == pytest.approx(own.size, rel=0.25)
    assert _middle_hz(own) / _middle_hz(other) == pytest.approx(throat, rel=0.12)


def _middle_hz(pcm: np.ndarray) -> float:
    power = np.abs(np.fft.rfft(pcm.astype(float))) ** 2
    below = np.cumsum(power) / power.sum()
    return float(np.searchsorted(below, 0.5) * 16_000 / len(pcm))
