"""Opposites are never offered for each other: over all results of all shipped procedures."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

import pytest

from assistant.guide import expected
from assistant.guide.state import Frame, Mode, Position, State
from assistant.language.model import Expected, GiveResult, Heard, Unclear
from assistant.language.opposites import contradicted, denies, opposed, supported, undenied
from assistant.language.understand import understand
from assistant.procedure.model import Kind
from tests.guide.conftest import read_library


@pytest.mark.parametrize(
    ("one", "other"),
    [
        ("nothing loose", "something loose"),
        ("no spark", "spark present"),
        ("it doesn't run", "it does run"),
        ("strong spark", "weak spark"),
        ("did not fire", "fired and died"),
        ("Know spark.", "spark present"),
    ],
)
def test_opposites_are_told(one: str, other: str) -> None:
    """One denies and the other does not, whichever comes first, as the network writes them too; or a pair of words."""
    assert opposed(one, other) and opposed(other, one)


@pytest.mark.parametrize(
    ("one", "other"),
    [("no spark", "Know spark!"), ("no spark", "there is none"), ("four cylinders", "six cylinders"), ("on", "on")],
)
def test_what_says_the_same_or_something_else_is_no_opposite(one: str, other: str) -> None:
    """Two denials, or two answers beside each other."""
    assert not opposed(one, other)


def moments() -> Iterator[tuple[str, Expected]]:
    """Every step that has results, as it asks for them."""
    library = read_library()
    for procedure in library.values():
        for step in procedure.steps:
            if step.results and step.kind is not Kind.CALL:
                at = State(position=Position(at=Frame(procedure=procedure.id, step=step.id)), mode=Mode.ASKING)
                yield f"{procedure.id}/{step.id}", expected(library, at)


def test_no_offer_turns_what_was_said_into_its_opposite() -> None:
    """Each answer of each step, taken for each answer of another result: where they are opposites none is offered, and
    both are named, whether a close rival or free writing tells; where they are not, it is offered as ever."""
    pairs = {True: 0, False: 0}
    for name, now in moments():
        phrases = [(result, words) for result, each in now.results.items() for words in each]
        for result, said in phrases:
            for taken_as, words in phrases:
                if result == taken_as:
                    continue
                opposite = opposed(said, words)
                pairs[opposite] += 1
                for hearing in ({"rivals": (said,)}, {"free_text": f" {said.capitalize()}."}):
                    meant = understand(Heard(words=words, confidence=0.3, unsure=True, **hearing), now)
                    assert isinstance(meant, Unclear), (name, said, words)
                    doubtful = "free_text" in hearing and not supported(words, said)
                    assert meant.offer == (None if opposite or doubtful else words), (name, said, words)
                    if opposite and "rivals" in hearing:
                        assert said in meant.detail and words in meant.detail
    assert pairs[True] > 800 and pairs[False] > 800


def test_what_is_sure_needs_no_offer() -> None:
    """A rival and free writing only matter where a question would be asked."""
    now = next(now for _, now in moments())
    words = next(iter(now.results.values()))[0]
    assert isinstance(understand(Heard(words=words, confidence=0.9, rivals=("no",)), now), GiveResult)


def test_free_writing_that_says_the_opposite_contradicts() -> None:
    """Then saying it twice does not make it sure either."""
    heard = Heard(words="something loose", confidence=0.3, unsure=True, free_text="Nothing loose.")
    assert contradicted(heard)
    assert not contradicted(Heard(words="something loose", confidence=0.3, unsure=True, free_text="Some thing lose"))


def test_words_near_their_opposite_are_offered_only_where_free_writing_bears_them_out() -> None:
    """A voice that said "nothing loose" in noise was written as "You're in loose": that is no "something loose"."""
    now = next(now for _, now in moments())
    now = replace(now, results={"loose": ("something loose",), "leak": ("found a leak",)})
    written = {" You're in loose.": None, " Some thing lose.": "something loose", "": "something loose"}
    for free_text, offer in written.items():
        heard = Heard(words="something loose", confidence=0.3, unsure=True, free_text=free_text)
        meant = understand(heard, now)
        assert isinstance(meant, Unclear) and meant.offer == offer, free_text


PAIRS = (
    "strong weak, good bad, good poor, on off, open closed, open shut, loose tight, wet dry, clean dirty, whole blown, "
    "sound damaged, lit dark, even uneven, high low, holds drops, steady drops, intact broken, whole broken, whole "
    "torn, good torn, starts dead, fast slow, quickly slowly, normally slowly, rises falls, full empty, passed failed, "
    "sound loose, hums silent, alive died, keeps died, alive dies, locked unlocked, plugged unplugged, in out, "
    "stays goes, more less"
)
"""Told a second time: each pair that is lost offers somebody the opposite of what was said."""


@pytest.mark.parametrize("pair", PAIRS.split(", "))
def test_each_pair_is_opposed_both_ways(pair: str) -> None:
    """Within a sentence too, and neither word to itself."""
    one, other = pair.split()
    assert opposed(f"it is {one}", f"it is {other}") and opposed(other, one)
    assert not opposed(one, one) and not opposed(other, other)


@pytest.mark.parametrize(
    "denial",
    (
        "no", "not", "nothing", "none", "nobody", "nowhere", "neither", "never", "without", "cannot", "hardly",
        "barely", "absent", "missing", "gone", "isn't", "isn\N{RIGHT SINGLE QUOTATION MARK}t", "know", "knot", "nun",
        "non",
    ),
)  # fmt: skip
def test_a_denial_is_heard_however_it_is_written(denial: str) -> None:
    """Also as free writing spells it."""
    assert opposed(f"{denial} spark there", "spark there") and not opposed(f"{denial} spark", f"{denial} spark")


@pytest.mark.parametrize(
    ("denied", "affirmed"),
    [
        ("it was never washed", "it was washed"),
        ("nobody washed it", "somebody washed it"),
        ("nothing is loose", "something is loose"),
        ("it won't turn", "it will turn"),
        ("it can't turn", "it can turn"),
        ("it cannot turn", "it can turn"),
        ("it isn't there", "it is there"),
        ("there is no spark", "there is spark"),
        ("not without spark", "spark"),
        ("none of it", "of it"),
        ("neither lamp", "lamp"),
        ("nowhere wet", "wet"),
    ],
)
def test_what_is_said_without_its_denial_is_the_opposite(denied: str, affirmed: str) -> None:
    """So it is held against what people affirm; the half of a denial, "hardly", is none here."""
    assert denies(denied) and undenied(denied) == affirmed and not denies(affirmed)
    assert not denies(f"hardly {affirmed}") and undenied(affirmed) == affirmed


NEAR_IN_SOUND = """something nothing everything anything even uneven locked unlocked plugged unplugged on off is are was
were do does did has have had can could will"""


@pytest.mark.parametrize("word", NEAR_IN_SOUND.split())
def test_a_word_that_sounds_like_its_opposite_must_have_been_written(word: str) -> None:
    """Whole or in pieces; of any other word nothing is asked."""
    assert not supported(f"lamp {word}", "a clamp") and not supported(f"{word} lamp", "")
    for written in (f"clamp {word.upper()}", f"clamp {word[:1]} {word[1:]}"):
        assert supported(f"lamp {word}", written)
    assert supported("lamp there", "")
