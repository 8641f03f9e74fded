"""Facts of weight are answers where they are asked for, in the words that a mechanic has for them."""

from __future__ import annotations

from functools import cache

import pytest

from assistant.session.understood import StepWords
from assistant.wiring import load_libraries, shipped_procedures


@cache
def asked_at(procedure: str, step: str) -> StepWords:
    """What the shipped step understands."""
    _, library = load_libraries(tuple(shipped_procedures()))
    return StepWords(library, procedure, step)


TAKEN = (
    ("no-start/security", "unlit", ("lamp never comes on", "it doesn't light up at all", "never lights")),
    ("no-start/security", "dash-dead", ("no lights at all on the dash", "dash is dead", "all the lamps stay dark")),
    ("no-start/security", "none", ("there's no such lamp", "no security lamp on this")),
    ("no-start/security", "out", ("lamp goes out", "came on then went out")),
    ("no-start/changed", "reversed", ("jump leads the wrong way round", "reversed polarity")),
    (
        "no-start/changed",
        "reversed",
        ("jump start with the cables the wrong way round", "he crossed the jumper cables"),
    ),
    ("no-start/changed", "crash", ("the airbags went off", "airbag went off")),
    ("no-start/changed", "stood", ("two weeks standing",)),
    ("no-start/how-stopped", "bang", ("loud bang then nothing", "bang and it died", "it went bang and stopped")),
    ("no-start/how-stopped", "overnight", ("it did not stop, I stopped it", "it never stopped, it was off")),
    ("no-start/fuel-level", "empty", ("low", "two litres", "just above E")),
    ("no-start/fuel-level", "some", ("an eighth", "eighth", "a bit low but not empty")),
    ("no-start/prime", "silent", ("no hum but the relay clicks", "relay clicks but no hum")),
    ("battery-state/posts", "loose", ("green fur on the minus clamp but it's tight",)),
)


@pytest.mark.parametrize(("at", "result", "said"), TAKEN)
def test_it_is_taken_as_what_it_is(at: str, result: str, said: tuple[str, ...]) -> None:
    """At once, or after one offer."""
    for words in said:
        meant = asked_at(*at.split("/")).of(words)
        assert result in (meant["result"], meant["offer"]), (words, meant)


@pytest.mark.parametrize(
    ("at", "not_meant", "words"),
    [
        ("no-start/security", "flashing", "engine light is on"),
        ("no-start/security", "out", "there's no lamp"),
        ("no-start/fuel-level", "other", "customer put in 95"),
        ("parasitic-draw/which", "clamp", "my clamp only goes down to an amp"),
        ("no-start/how-stopped", "unknown", "it is in park"),
    ],
)
def test_it_is_not_taken_for_what_it_denies_or_does_not_tell(at: str, not_meant: str, words: str) -> None:
    """Neither taken nor offered."""
    meant = asked_at(*at.split("/")).of(words)
    assert not_meant not in (meant["result"], meant["offer"]), meant
