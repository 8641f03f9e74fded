"""What is like an answer and is none: what passes elsewhere, and nobody knows over an answer that waits."""

from __future__ import annotations

from dataclasses import replace
from functools import cache

import pytest

from assistant.language.model import Expected, GiveResult, Heard, Unclear
from assistant.language.not_meant import not_meant
from assistant.language.understand import understand
from assistant.session.understood import StepWords
from assistant.wiring import load_libraries, shipped_procedures


@cache
def words_of(procedure: str, step: str) -> StepWords:
    """What the shipped step understands."""
    _, library = load_libraries(tuple(shipped_procedures()))
    return StepWords(library, procedure, step)


def asked_at(procedure: str, step: str) -> Expected:
    return words_of(procedure, step).expected


def said(words: str, now: Expected) -> str | None:
    """The result taken or offered."""
    meant = understand(Heard(words=words, confidence=1.0, engine="typed"), now)
    if isinstance(meant, GiveResult):
        return meant.result
    offer = meant.offer if isinstance(meant, Unclear) else None
    return next((result for result, phrases in now.results.items() if offer in phrases), None)


@pytest.mark.parametrize(
    "words", ["area is clear", "nothing can roll", "wheels are chocked", "i found it does not crank"]
)
def test_what_passes_a_gate_is_no_answer(words: str) -> None:
    """Nor is what was found elsewhere: neither taken nor offered."""
    assert said(words, asked_at("no-start", "prime")) is None


@pytest.mark.parametrize(
    ("step", "waiting", "words"),
    [
        ("changed", "stood", "dead next morning"),
        ("changed", "stood", "tank is half full"),
        ("how-stopped", "overnight", "gauge is dead"),
        ("how-stopped", "overnight", "it is in park"),
    ],
)
def test_an_answer_to_the_next_question_never_becomes_nobody_knows(step: str, waiting: str, words: str) -> None:
    """Said over a read-back; who says plainly that he does not know is still taken."""
    now = replace(asked_at("no-start", step), waiting=waiting)
    assert said(words, now) != "unknown"
    assert said("i don't know", now) == "unknown" and said("nobody knows", now) == "unknown"


def test_what_shares_no_word_with_nothing_seen_is_none_of_it() -> None:
    """An implant was once taken for a lamp that nobody saw, and so was a knock; who did not see it is understood."""
    security = asked_at("no-start", "security")
    assert said("I have a pacemaker", security) is None and said("it knocks really badly", security) is None
    assert said("couldn't see it from the seat", security) == "unseen"
    assert said("sun was right on it", security) == "unseen"


@pytest.mark.parametrize(
    ("procedure", "step", "words", "result"),
    [
        ("no-start", "prime", "I told you, it doesn't hum", "silent"),
        ("no-start", "prime", "sounds like nothing's humming", "silent"),
        ("no-start", "values", "coolant says twenty and air says twenty one, that's about right", "plausible"),
        ("no-start", "values", "coolant eighty five, air twenty, she was warm so that's fair", "plausible"),
        ("battery-state", "stood", "it's been sitting an hour", "fresh"),
        ("battery-state", "stood", "parked here for two hours since it died", "fresh"),
        ("battery-state", "stood", "it's been sitting six hours", "rested"),
    ],
)
def test_what_was_once_turned_into_its_opposite_is_what_was_said(
    procedure: str, step: str, words: str, result: str | None
) -> None:
    """Who says it once more is no striker, a denial drawn together denies, one hour is no rest of four, and two
    temperatures that are told as fair are."""
    assert said(words, asked_at(procedure, step)) == result


def test_a_single_word_is_never_guessed_to_tell_of_nothing() -> None:
    """ "Out" answers another question."""
    assert said("out", asked_at("no-start", "came-before")) is None
    assert said("dunno", asked_at("no-start", "changed")) == "unknown"


@pytest.mark.parametrize(
    ("words", "result", "waiting", "never"),
    [
        ("area is clear", "dark", None, True),
        ("i found it dark", "dark", None, True),
        ("i foundit", "dark", None, False),
        ("out", "dark", "lit", False),
        ("out", "unknown", None, True),
        ("no clue there", "unknown", None, False),
        ("no clue there", "unknown", "unknown", False),
        ("no clue there", "unknown", "lit", True),
        ("out", "unheard-of", None, False),
    ],
)
def test_what_no_guess_may_make_of_words(words: str, result: str, waiting: str | None, *, never: bool) -> None:
    """What passes elsewhere and what was found elsewhere; that nobody knows, of one word or over another answer."""
    now = Expected(
        controls=frozenset(),
        results={"dark": ("it is dark",), "lit": ("it is lit",), "unknown": ("not known",)},
        answers={"dark": "out", "unknown": "no idea | <dont_know>"},
        passing=frozenset({"area is clear"}),
        waiting=waiting,
    )
    assert not_meant(words, result, now) is never


@pytest.mark.parametrize("words", ["headlights don't flinch", "not a sound", "they never dip", "no click"])
def test_what_the_thing_does_not_do_is_no_want_of_seeing(words: str) -> None:
    """A lamp that does not flinch was looked at."""
    assert said(words, asked_at("no-crank", "dash")) != "unseen"


@pytest.mark.parametrize(
    "words", ["i didn't look", "couldn't see them from here", "didn't see it", "no idea", "i wasn't watching"]
)
def test_who_did_not_look_still_says_so(words: str) -> None:
    """Whoever denies their own looking has seen nothing."""
    assert said(words, asked_at("no-crank", "dash")) == "unseen"


@pytest.mark.parametrize(
    "words", ["headlights don't flinch, not a sound", "lights don't flinch", "not a flicker, dead silent"]
)
def test_lamps_that_do_not_flinch_stay_bright(words: str) -> None:
    """With what was not heard beside it."""
    assert said(words, asked_at("no-crank", "dash")) == "bright"


def test_a_voltage_is_no_temperature() -> None:
    """Where nobody asks for one, "wouldn't attempt it" asks for no degrees."""
    meant = understand(
        Heard(words="twelve point one", confidence=1.0, engine="typed"), asked_at("battery-state", "case")
    )
    assert isinstance(meant, Unclear)
    assert "Celsius" not in meant.detail


@pytest.mark.parametrize(
    ("procedure", "step", "words", "offer"),
    [
        ("vapour-cleared", "sniff", "i got a cold i can't smell anything", "unknown"),
        ("vapour-cleared", "sniff", "my nose is blocked can't smell a thing", "unknown"),
        ("vapour-cleared", "sniff", "can't smell anything", None),
        ("no-start", "prime", "road noise is there not able to hear", "unclear"),
        ("no-start", "prime", "couldn't hear a thing over the compressor", "unclear"),
    ],
)
def test_whose_nose_or_ears_fail_tells_of_nothing_seen(
    procedure: str, step: str, words: str, offer: str | None
) -> None:
    """Who has a cold was once offered clean air, behind which comes a spark."""
    told = words_of(procedure, step).of(words)
    assert (offer or "clean") in (told["offer"], told["result"])
    assert offer is None or "clean" not in told.values()


@pytest.mark.parametrize(
    "words",
    ["the battery is new", "brand new battery in it", "battery was replaced last week", "battery's two months old"],
)
@pytest.mark.parametrize(("procedure", "step"), [("slow-crank", "held"), ("no-crank", "dash"), ("no-start", "visual")])
def test_how_old_a_thing_is_is_no_result(procedure: str, step: str, words: str) -> None:
    """ "The battery is new" was offered as "battery held": what is new may be bad."""
    told = words_of(procedure, step).of(words)
    assert told["result"] is None and told["offer"] is None


def test_where_a_new_one_is_an_answer_it_is_one() -> None:
    """What changed lately is asked there."""
    assert words_of("no-start", "changed").of("the battery is new")["result"] == "battery"


@pytest.mark.parametrize("words", ["it just died at a roundabout and that was it", "stopped and that was that"])
def test_without_a_noise_there_was_no_bang(words: str) -> None:
    """It was offered as "a bang then nothing", whose yes warns of bent valves."""
    assert "bang" not in words_of("no-start", "how-stopped").of(words).values()
    assert words_of("no-start", "how-stopped").of("almighty bang and it quit")["result"] == "bang"
