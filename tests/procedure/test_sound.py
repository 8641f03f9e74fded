"""How far phrases are apart by ear."""

from __future__ import annotations

import gzip
import hashlib
from importlib import resources
from math import prod

import pytest
from hypothesis import example, given
from hypothesis import strategies as st

from assistant.procedure.sound import LEAST_DISTANCE, distance, sounds_of, unknown_words

WORDS = ["spark", "no", "weak", "week", "ran", "rang", "briefly", "strong", "it", "died", "wet"]
SOUNDS_LOOKED_AT = 16


@pytest.mark.parametrize(
    ("one", "other"),
    [
        ("weak spark", "week spark"),
        ("ran", "rang"),
        ("it ran", "it rang"),
        ("slow", "slower"),
        ("wet", "whet"),
        ("dim light", "tim light"),
        ("good", "could"),
        ("lamp", "damp"),
        ("bad", "bed"),
        ("one", "none"),
    ],
)
def test_near_by_ear(one: str, other: str) -> None:
    """Equal sounds, and one phone of difference, are too near."""
    assert distance(one, other) <= LEAST_DISTANCE


@pytest.mark.parametrize(
    ("one", "other"),
    [
        ("spark present", "no spark"),
        ("spark", "no spark"),
        ("weak spark", "no spark"),
        ("strong spark", "weak spark"),
        ("ran briefly", "no change"),
        ("wet", "dry"),
        ("lamp on", "lamp off"),
        ("keeps running", "kicked back"),
        ("nothing there", "note"),
        ("it started", "it died"),
        ("no change", "no"),
    ],
)
def test_far_by_ear(one: str, other: str) -> None:
    """Phrases that a workshop tells apart are far enough."""
    assert distance(one, other) > LEAST_DISTANCE


def test_words_written_as_one_and_plurals_are_known() -> None:
    """A compound of two known words, or a plural, has the sound of its parts."""
    assert sounds_of("wastegate") == tuple((*a, *b) for a in sounds_of("waste") for b in sounds_of("gate"))
    assert sounds_of("misfires")
    assert unknown_words("kerplonk then spark") == ("kerplonk",)
    assert distance("kerplonk", "spark") == float("inf")


@example("spark no", "spark it it", "it it it")
@given(*[st.lists(st.sampled_from(WORDS), min_size=1, max_size=3).map(" ".join)] * 3)
def test_is_a_distance(one: str, other: str, third: str) -> None:
    """Nothing from itself, the same both ways, no greater with the same words behind, and right up to `most`.

    Of a phrase with very many pronunciations only the first are looked at, so that there the third may not hold.
    """
    assert distance(one, one) == 0
    assert distance(one, other) == distance(other, one)
    assert distance(one, other) >= 0
    near = distance(one, other, most=1.5)
    assert near == distance(one, other) if distance(one, other) <= 1.5 else near > 1.5
    longer = (f"{one} {third}", f"{other} {third}")
    if all(prod(len(sounds_of(word)) for word in each.split()) <= SOUNDS_LOOKED_AT for each in longer):
        assert distance(*longer) <= distance(one, other) + 1e-6


def test_the_dictionary_is_carnegie_mellons_own() -> None:
    """Byte for byte what the university gives out, by the checksum that the notice tells, and its licence beside it."""
    files = resources.files("assistant")
    packed = files.joinpath("procedure", "cmudict.dict.gz").read_bytes()
    told = files.joinpath("licences", "NOTICE").read_text(encoding="utf-8")
    assert hashlib.sha256(gzip.decompress(packed)).hexdigest() in told
    assert "Carnegie Mellon University" in files.joinpath("licences", "cmudict.txt").read_text(encoding="utf-8")
    assert sounds_of("read") == (("R", "EH1", "D"), ("R", "IY1", "D"))
