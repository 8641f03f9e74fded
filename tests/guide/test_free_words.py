"""What free words tell of fuel that is outside, and nothing else, changes what may be done."""

from __future__ import annotations

import pytest

from assistant.facts import VehicleNoted, WordsKept, fact_of
from assistant.guide import State, advance, begin, expected
from assistant.guide.state import Mode
from assistant.language.model import Heard
from assistant.language.speech import Sentence
from assistant.language.understand import understand
from assistant.procedure.condition import C
from assistant.session.logged import logged
from assistant.wiring import load_library

_, LIBRARY = load_library("no-start")
UNTIL_THE_KEY = (
    "nothing changed", "nobody knows", "petrol", "yes", "ordinary car", "yes", "four cylinders", "yes", "coil on plug",
    "yes", "done", "place is safe", "yes", "nothing can roll", "it is in park", "brake is set", "wheels are blocked",
    "done", "done", "done",
)  # fmt: skip


def told(*words: str, **vehicle: str) -> tuple[State, str]:
    """The state after these words in a job by the book, and what was said to the last of them."""
    turn = begin(LIBRARY, "no-start", "k", "job", vehicle)
    for each in ("understood", *words):
        heard = Heard(words=each, confidence=1.0)
        turn = advance(
            LIBRARY, turn.state, understand(heard, expected(LIBRARY, turn.state)), turn.state.at_s, heard=heard
        )
    return turn.state, " ".join(each.text for each in turn.reply if isinstance(each, Sentence))


def test_a_leak_in_the_complaint_keeps_the_key_off() -> None:
    """It is said at once, and the first step that would turn the key on waits until the leak is mended."""
    state, said = told("petrol was dripping under the car and now it will not start")
    assert C.LEAK in state.bay.conditions and "Fuel runs out, so leave the key off." in said
    state, said = told("petrol was dripping under the car and now it will not start", *UNTIL_THE_KEY)
    assert (state.mode, state.at.step) == (Mode.GATING, "fuel-level")
    assert "Key on." not in said and "with the key on the pump pushes out more" in said
    mended = ("key is out", "no flame near", "leak is mended")
    state, said = told("petrol was dripping under the car and now it will not start", *UNTIL_THE_KEY, *mended)
    assert state.mode is Mode.ASKING and said.startswith("Key on.") and C.LEAK not in state.bay.conditions


def test_a_smell_in_the_complaint_is_looked_into_by_the_technician() -> None:
    """A flooded engine smells as well: it is told to look, and how to tell a leak, and nothing is held up."""
    state, said = told("strong smell of petrol under the bonnet")
    assert C.LEAK not in state.bay.conditions
    assert "Look for a leak before the key goes on. If fuel runs out anywhere, say: there is a fuel leak." in said


@pytest.mark.parametrize("words", ["it cranks all day but it will not start", "no fuel leak, it just died"])
def test_other_complaints_change_nothing(words: str) -> None:
    """They are kept, and that is all."""
    state, said = told(words)
    assert C.LEAK not in state.bay.conditions and "leak" not in said.replace(words, "")


def test_the_wrong_fuel_in_the_complaint_keeps_the_key_off() -> None:
    """Told once is enough: no step turns the key on before the fuel is flushed."""
    words = "the lady filled up with diesel by mistake, drove off and it died"
    state, said = told(words)
    assert C.WRONG_FUEL in state.bay.conditions and "On the wrong fuel the key stays off" in said
    state, said = told(words, *UNTIL_THE_KEY)
    assert (state.mode, state.at.step) == (Mode.GATING, "fuel-level")
    assert "Key on." not in said and "with the key on the pump takes it further" in said


FILLED = "won't start since yesterday, customer's kid filled it up with diesel"


def test_diesel_in_a_car_that_is_known_to_burn_petrol_is_the_wrong_fuel() -> None:
    """What the car burns may have been told at the start: then nobody need say that it was a mistake."""
    state, said = told(FILLED, fuel="petrol")
    assert C.WRONG_FUEL in state.bay.conditions and "On the wrong fuel the key stays off" in said
    state, said = told(FILLED, fuel="diesel")
    assert C.WRONG_FUEL not in state.bay.conditions and "wrong fuel" not in said


@pytest.mark.parametrize("answer", [("petrol", "yes"), ("petrol four cylinders", "yes")])
def test_the_fuel_told_after_the_complaint_makes_it_the_wrong_one(answer: tuple[str, ...]) -> None:
    """Before it is known what the car burns, it may be its own; once petrol is told, the key stays off."""
    state, _ = told(FILLED, "nothing changed", "nobody knows")
    assert C.WRONG_FUEL not in state.bay.conditions
    state, said = told(FILLED, "nothing changed", "nobody knows", *answer)
    assert C.WRONG_FUEL in state.bay.conditions and "On the wrong fuel the key stays off" in said
    state, said = told(FILLED, *UNTIL_THE_KEY)
    assert (state.mode, state.at.step) == (Mode.GATING, "fuel-level") and "Key on." not in said


def test_the_odds_learn_of_it_as_well() -> None:
    """What such a complaint is worth hangs on the fuel, whichever of both was told first."""
    words = fact_of(WordsKept(words=FILLED), id="k-1", job="j", number=1, at_s=0.0, procedure="no-start", step="told")
    fuel = fact_of(VehicleNoted(fact="fuel", value="petrol"), id="k-2", job="j", number=2, at_s=1.0)
    assert logged((words,)) == ()
    assert logged((words, fuel)) == logged((fuel, words)) == (("no-start", "told", "wrong-fuel"),)


def test_starting_fluid_in_the_complaint_is_taken_for_vapour_about() -> None:
    """Told once is enough: can and vapour are asked away before anything can light them. Of days ago it is gone."""
    for words in ("I gave it a squirt of starting fluid and it fired", "ran for a second on ether down the throttle"):
        state, said = told(words)
        assert {C.VAPOUR, C.CAN_OUT} <= state.bay.conditions and "Can out of the bay" in said, words
    for words in ("he sprayed starting fluid last week", "we never used ether on it"):
        assert C.VAPOUR not in told(words)[0].bay.conditions, words


@pytest.mark.parametrize(
    "words",
    ["she hit a kerb on the way home and it died", "no start since the accident", "he was rear-ended at the lights"],
)
def test_a_crash_in_the_complaint_has_fuel_looked_for_before_the_key(words: str) -> None:
    """A torn line empties itself as soon as the pump runs: one dry look comes first, and a bare yes is none."""
    state, said = told(words, *UNTIL_THE_KEY)
    assert C.KNOCKED in state.bay.conditions and (state.mode, state.at.step) == (Mode.GATING, "fuel-level")
    assert "It had a knock and may leak fuel, so the key stays off." in said and "Key on." not in said
    looked = ("key is out", "no flame near")
    assert told(words, *UNTIL_THE_KEY, *looked, "yes")[0].mode is Mode.GATING
    _, said = told(words, *UNTIL_THE_KEY, *looked, "no")
    assert "If fuel leaks or smells, say: it smells of fuel." in said
    state, said = told(words, *UNTIL_THE_KEY, *looked, "it smells of fuel")
    assert state.mode is not Mode.ASKING and {C.LEAK, C.KNOCKED} <= state.bay.conditions
    state, said = told(words, *UNTIL_THE_KEY, *looked, "all is dry")
    assert said.startswith("Key on.") and C.KNOCKED not in state.bay.conditions


def test_a_crash_told_when_asked_what_came_before_counts_as_one_in_the_complaint() -> None:
    """The same look, whichever way it was told."""
    state, said = told("it will not start", "a crash", "nobody knows", *UNTIL_THE_KEY[2:])
    assert C.KNOCKED in state.bay.conditions and "It had a knock and" in said


@pytest.mark.parametrize("words", ["he put diesel in by accident", "no crash, it just died", "the radio crashed"])
def test_what_is_no_crash_has_nothing_looked_for(words: str) -> None:
    """The word alone is none."""
    assert C.KNOCKED not in told(words)[0].bay.conditions


def test_an_overheated_engine_in_the_complaint_keeps_hands_off() -> None:
    """It is said at once; long ago, or denied, it is no danger."""
    state, said = told("it overheated on the motorway and died")
    assert {C.ENGINE_HOT, C.OVERHEATED} <= state.bay.conditions
    assert "Hands off until it is cool, and never open a hot cap." in said
    for harmless in ("it overheated last week", "it never overheated", "they steam cleaned the engine"):
        state, said = told(harmless)
        assert C.OVERHEATED not in state.bay.conditions and "hot cap" not in said
