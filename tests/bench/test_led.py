"""A car drawn from the fault model answers in a session what it shows, and its minutes are those written."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest

from assistant.adapters.voice_silent import SilentVoice
from assistant.bench.car_answers import spoken_answers
from assistant.bench.car_player import Car, play, usual_answers
from assistant.bench.led import minutes_of
from assistant.bench.reason_cars import draw_cars
from assistant.facts import Fact, FactKind
from assistant.guide import Library
from assistant.language.manner import Manner
from assistant.reasoning.reasoner import Reasoner, make_reasoner
from assistant.session.thoughts import Thoughts
from assistant.wiring import load_library, load_model

FILES = Path(__file__).parents[1] / "dialogues" / "faults"


@pytest.fixture(scope="module")
def library() -> Library:
    """No-start and all that it calls."""
    return load_library("no-start")[1]


@pytest.fixture(scope="module")
def reasoner() -> Reasoner:
    """The shipped fault model at work."""
    return make_reasoner(load_model("no-start"))


def entered(number: int, procedure: str, step: str) -> Fact:
    return Fact(
        id=str(number),
        job="made up",
        number=number,
        at_s=0.0,
        kind=FactKind.STEP_ENTERED,
        procedure=procedure,
        step=step,
    )


def test_a_step_entered_again_at_once_counts_once(library: Library) -> None:
    """A caution in between takes no work twice; the same step later does."""
    steps = [("no-start", "visual"), ("no-start", "visual"), ("no-start", "prime"), ("no-start", "visual")]
    facts = [entered(number, *step) for number, step in enumerate(steps)]
    visual, prime = (library["no-start"].step(step).minutes for step in ("visual", "prime"))
    assert visual > 0
    assert prime > 0
    assert minutes_of(library, facts) == pytest.approx(2 * visual + prime)


@pytest.mark.parametrize("number", [0, 1])
def test_what_a_drawn_car_shows_is_what_the_session_learns(library: Library, reasoner: Reasoner, number: int) -> None:
    """Every test that the session did came out as the car was drawn, first time or when done once more."""
    car = draw_cars(reasoner.model, 2, 3)[number]
    answers = {**usual_answers(FILES), **spoken_answers(library, reasoner.model, car)}
    facts = play(library, Car(name="drawn", answers=answers), SilentVoice(), manner=Manner.BRIEF, leads=True)
    seen = Thoughts(reasoner, library, facts).belief.evidence
    assert len(seen) > 3
    # What one step tells of two tests is answered by the one that it is for.
    other = {test for test, value in seen.items() if value not in (car.answers[test], car.again[test])}
    assert len(other) <= len(seen) // 5, other


def test_a_car_that_cranks_slowly_says_so(library: Library, reasoner: Reasoner) -> None:
    """What a step tells of two tests at once can each be told; one that never ran does not make a slow crank normal."""
    car = draw_cars(reasoner.model, 1, 3)[0]
    for speed, said in (("normal", "turns normally"), ("slow", "slow and heavy"), ("none", "does not turn")):
        shown = {**car.answers, "starts-and-dies": "never", "cranking-speed": speed}
        told = spoken_answers(library, reasoner.model, replace(car, answers=shown, again=shown))
        assert told["cranking-check/turn"] == [said, said]


@pytest.mark.parametrize(
    ("shown", "said"),
    [
        ("crank", ["p zero three two zero", "no more codes"]),
        ("other", ["p zero four two zero", "no more codes"]),
        ("none", ["no more codes"]),
    ],
)
def test_a_fault_code_that_a_car_has_is_told(library: Library, reasoner: Reasoner, shown: str, said: list[str]) -> None:
    """What the reader shows is read out, then that there is no more; when asked once more, once more."""
    car = draw_cars(reasoner.model, 1, 3)[0]
    answers = {**car.answers, "codes": shown}
    told = spoken_answers(library, reasoner.model, replace(car, answers=answers, again=answers))
    assert told["no-start/codes"] == [*said, *said]
