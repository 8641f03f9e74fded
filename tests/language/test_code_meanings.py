"""Fault codes in words: known ones by name, others by how they are made, and nothing for what is no code."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from assistant.language.code_meanings import meaning_of, say_meaning


@pytest.mark.parametrize(
    ("code", "meaning"),
    [
        ("P0335", "crankshaft sensor: circuit"),
        ("P0399", "powertrain, ignition and misfire: see the maker's information"),
        ("P1234", "powertrain, the maker's own code: see the maker's information"),
        ("P3099", "powertrain, the maker's own code: see the maker's information"),
        ("U2100", "network, the maker's own code: see the maker's information"),
        ("C0035", "chassis: see the maker's information"),
        ("P033", ""),
        ("", ""),
        ("ring the owner", ""),
    ],
)
def test_a_code_in_words(code: str, meaning: str) -> None:
    """Where the code is not known by itself the maker's information is named."""
    assert meaning_of(code) == meaning


def test_every_code_that_moves_the_odds_is_known_by_name() -> None:
    """Codes that the fault model knows must not be left to their making."""
    text = (Path(__file__).parents[2] / "procedures" / "no-start.faults.yaml").read_text(encoding="utf-8")
    codes = set(re.findall(r"\bP\d{4}\b", text))
    assert len(codes) > 30
    assert [code for code in sorted(codes) if "see the maker" in meaning_of(code)] == []


def test_a_meaning_is_spoken_without_the_marks_of_print() -> None:
    """A colon is a pause; what is no code has no meaning."""
    assert say_meaning("P0335") == "crankshaft sensor, circuit" and say_meaning("no code") == ""
