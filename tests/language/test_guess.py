"""What a grammar refuses is compared with what is known to be said; a guess never opens anything."""

from __future__ import annotations

from dataclasses import replace

import pytest

from assistant.language.commands import ALWAYS
from assistant.language.guess import Guess, guess
from assistant.language.model import Acknowledge, Control, Expected, GiveControl, GiveResult, Heard, Unclear
from assistant.language.understand import understand
from assistant.procedure.answers import shared_rules

LAMP = Expected(
    controls=ALWAYS - {Control.YES, Control.NO},
    results={"out": ("lamp is out",), "lit": ("lamp is lit",)},
    answers={
        "out": "[the] lamp (is | went | goes) (out | off | dark) | it is dark | <no>",
        "lit": "[the] lamp (is | stays) (lit | on | burning) | it is burning | <yes>",
    },
    examples={"out": ("dark as night", "no light at all"), "lit": ("bright red", "it keeps on glowing")},
)


def _said(words: str, expected: Expected = LAMP) -> object:
    return understand(Heard(words=words, confidence=1.0), expected)


@pytest.mark.parametrize(
    ("words", "result"),
    [
        ("the lamp went dark", "out"),
        ("uh looks like the lamp is burning", "lit"),
        ("nope", "out"),
        ("yeah", "lit"),
        ("dark as night", "out"),
        ("it keeps glowing bright red", "lit"),
        ("lamp's lit boss", "lit"),
    ],
)
def test_an_answer_in_own_words_is_taken(words: str, result: str) -> None:
    """By its grammar, with what people put around it, by what others have said, or by likeness; told in our words."""
    taken = _said(words)
    assert isinstance(taken, GiveResult)
    assert (taken.result, taken.words) == (result, LAMP.results[result][0])


def test_other_talk_is_no_answer() -> None:
    """Words that are like nothing known are unclear, without an offer."""
    unclear = _said("pass me the big screwdriver will you")
    assert isinstance(unclear, Unclear) and unclear.offer is None


def test_freely_written_words_are_taken_as_guessed_or_offered() -> None:
    """Where they are like what is known for one result; where a step can hurt someone a yes must come first."""
    heard = Heard(words=None, confidence=0.0, free_text="The lamp went dark.")
    taken = understand(heard, LAMP)
    assert isinstance(taken, GiveResult) and (taken.result, taken.guessed) == ("out", True)
    unclear = understand(heard, replace(LAMP, hazardous=True))
    assert isinstance(unclear, Unclear) and unclear.offer == "lamp is out"


@pytest.mark.parametrize(
    "words", ["it is clear", "the area is clear now mate i think", "area seems clear", "yes", "ready"]
)
def test_no_guess_passes_a_caution(words: str) -> None:
    """An acknowledgement passes by its own phrase alone, hesitations before it aside; results asked beside or not."""
    asked = Expected(controls=ALWAYS, acknowledge=("area is clear",), hazardous=True)
    for now in (asked, replace(LAMP, acknowledge=("area is clear",))):
        assert not isinstance(_said(words, now), Acknowledge)
    assert isinstance(_said("okay area is clear", asked), Acknowledge)


@pytest.mark.parametrize("words", ["i am ready as ever", "redy", "getting ready", "i am read", "go"])
def test_no_guess_is_ready(words: str) -> None:
    """Nothing begins by likeness."""
    asked = replace(LAMP, controls=LAMP.controls | {Control.READY})
    assert _said(words, asked) != GiveControl(control=Control.READY)
    assert _said("uh ready", asked) == GiveControl(control=Control.READY)


def test_a_step_that_knows_only_its_phrases_guesses_nothing() -> None:
    """From two phrases nothing can be learnt."""
    bare = replace(LAMP, answers={}, examples={})
    unclear = _said("the lamp went dark", bare)
    assert isinstance(unclear, Unclear) and unclear.offer is None


def test_rules_named_in_answers_exist() -> None:
    """As the shipped procedures use them."""
    assert {"yes", "no"} <= shared_rules().keys()


@pytest.mark.parametrize(
    ("words", "result"),
    [
        ("the bulb never glowed bright red", None),
        ("it isn't bright red", None),
        ("no bright red", None),
        ("no it's glowing bright red", "lit"),  # a "no" before a sentence denies what was thought, not what follows
        ("no dark as a night", "out"),  # a "no" says the same
        ("no light there at all", "out"),  # people deny so, to mean this
    ],
)
def test_what_denies_is_not_guessed_as_what_it_denies(words: str, result: str | None) -> None:
    """Neither taken nor offered."""
    taken = _said(words)
    assert getattr(taken, "result", None) == result, taken
    assert result is not None or (isinstance(taken, Unclear) and taken.offer is None)


@pytest.mark.parametrize(
    ("change", "taken", "offered"),
    [
        ({}, True, True),
        ({"ahead": 0.49}, False, True),
        ({"ahead": -0.2, "talk": 0.6}, False, True),  # talk is likelier, and of the results this one
        ({"ahead": -0.2, "talk": 0.61}, False, False),
        ({"ahead": 0.1, "leads": 0.54}, False, False),
        ({"like": 0.29}, False, True),
        ({"like": 0.24}, False, False),
        ({"untold": True}, False, True),
        ({"untold": True, "ahead": 0.7}, True, True),
        ({"untold": True, "ahead": 0.29}, False, False),
        ({"untold": True, "like": 0.29}, False, False),
    ],
)
def test_what_is_taken_and_what_is_offered(change: dict[str, float], taken: bool, offered: bool) -> None:
    """Taken far before all else; offered where it leads the results, though it may be talk; what tells of nothing seen
    by more of both, since talk is like it."""
    usual = {"ahead": 0.6, "leads": 0.8, "talk": 0.1, "like": 0.4, "untold": False}
    found = Guess(result="lit", **(usual | change))  # type: ignore[arg-type] - a number or whether it is untold
    assert (found.sure, found.clear) == (taken, offered)


def test_where_talk_is_likeliest_the_guess_is_of_the_results() -> None:
    """Its share of itself and the next, and how far talk is ahead of it."""
    found = guess("it is cold", replace(LAMP, elsewhere=("pass me the ten mil", "it is cold today")))
    assert found is not None and found.result in LAMP.results
    assert found.ahead < 0 < found.talk and 0.5 <= found.leads < 1 and not found.untold


def test_what_tells_of_nothing_seen_is_known_by_its_grammar() -> None:
    """As every procedure has it."""
    three = replace(
        LAMP,
        results=dict(LAMP.results) | {"unseen": ("did not see it",)},
        answers=dict(LAMP.answers) | {"unseen": "<dont_know> | missed it"},
    )
    found = guess("missed it somehow", three)
    assert found is not None and found.result == "unseen" and found.untold
