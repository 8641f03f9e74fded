"""Fault codes by voice."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from assistant.language.codes import codes_in, like_a_code, parse_code, say_code
from assistant.language.model import Expected, GiveCode, Heard, Unclear
from assistant.language.understand import understand

CODES = Expected(controls=frozenset(), codes=True)


@pytest.mark.parametrize(
    ("words", "code"),
    [
        ("p zero three three five", "P0335"),
        ("papa oh three thirty five", "P0335"),
        ("p0335", "P0335"),
        ("u zero one zero zero", "U0100"),
        ("p zero one seventy one", "P0171"),
        ("bravo one echo two alpha", "B1E2A"),
    ],
)
def test_understands_a_code(words, code):
    """Letters by name or spelling word, digits one by one or in pairs, and typed codes are understood."""
    assert parse_code(words.split()) == code


@pytest.mark.parametrize(
    "words",
    ["p", "p zero three", "p nine three three five", "x zero one two three", "p zero three three five five", ""],
)
def test_refuses_what_is_no_code(words):
    """Too short, too long, or a letter and digit that no code has."""
    assert parse_code(words.split()) is None


@given(
    st.builds(
        "{}{}{}".format,
        st.sampled_from("PBCU"),
        st.sampled_from("0123"),
        st.text("0123456789ABCDEF", min_size=3, max_size=3),
    )
)
def test_every_code_that_we_speak_comes_back(code):
    """A code read back is understood as itself."""
    assert parse_code(say_code(code).split()) == code


@pytest.mark.parametrize(
    ("words", "codes"),
    [
        ("one code p0335", ("P0335",)),
        ("p 0335", ("P0335",)),
        ("p0335 and p0340", ("P0335", "P0340")),
        ("i have p zero three three five and papa oh three forty", ("P0335", "P0340")),
        ("p0300 random misfire", ("P0300",)),
        ("p0335 and p03", ()),
        ("p zero three three five five", ()),
        ("the plug is dry", ()),
    ],
)
def test_codes_are_found_in_a_sentence(words, codes):
    """Whatever stands around them; none of several where one is not whole, for it would be lost."""
    assert codes_in(words.split()) == codes


@pytest.mark.parametrize("words", ["P0335 and P0340", "one code, P0335", "P 0335", "P0335 crank sensor"])
def test_a_code_in_a_sentence_is_given(words):
    """Nobody reads a code alone."""
    given = understand(Heard(words=words, confidence=1.0), CODES)
    assert isinstance(given, GiveCode) and given.code == "P0335"
    assert given.more == (("P0340",) if "P0340" in words else ())


@pytest.mark.parametrize("words", ["p zero three", "zero three three five", "no P0335 at all", "P0335 and P03"])
def test_what_looks_like_a_code_is_asked_for_again(words):
    """It was lost without a word behind "no more codes"."""
    for heard in (Heard(words=words, confidence=1.0), Heard(words=None, confidence=0.0, free_text=words)):
        unclear = understand(heard, CODES)
        assert isinstance(unclear, Unclear) and "that code" in (unclear.detail or "")


def test_a_code_written_freely_is_offered():
    """The grammar knows codes alone; of a sentence there is only the free writing."""
    unclear = understand(Heard(words=None, confidence=0.0, free_text="I have P0335 here."), CODES)
    assert isinstance(unclear, Unclear) and unclear.offer == "p zero three three five"


@pytest.mark.parametrize(
    ("words", "like"),
    [
        ("the plug is dry", False),
        ("plug", False),
        ("", False),
        ("zero three", False),
        ("three plugs zero dry three", False),
        ("x zero three", False),
        ("it said p0335", True),
        ("p zero three", True),
        ("a papa nine then", True),
        ("zero three three", True),
        ("dry zero three three", True),
    ],
)
def test_what_looks_like_a_code_or_a_part_of_one(words, like):
    """A system's letter before a digit, or three digits in a row; no other talk."""
    assert like_a_code(words.split()) is like


@pytest.mark.parametrize(
    ("words", "code"),
    [
        ("p zero three twenty one", "P0321"),
        ("p zero ten three", "P0103"),
        ("p zero twenty", None),
        ("p zero three ninety nine", "P0399"),
        ("p zero three hundred", None),
        ("p zero three twenty", "P0320"),
        ("c zero minus three", None),
        ("foxtrot zero three three five", None),
        ("u three delta foxtrot charlie", "U3DFC"),
    ],
)
def test_two_marks_may_be_told_as_a_number(words, code):
    """From ten to ninety nine."""
    assert parse_code(words.split()) == code
