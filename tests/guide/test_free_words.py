"""What free words tell of fuel that is outside, and nothing else, changes what may be done."""

from __future__ import annotations

import pytest

from assistant.guide import State, advance, begin, expected
from assistant.guide.state import Mode
from assistant.language.model import Heard
from assistant.language.speech import Sentence
from assistant.language.understand import understand
from assistant.procedure.condition import C
from assistant.wiring import load_library

_, LIBRARY = load_library("no-start")
UNTIL_THE_KEY = (
    "nothing changed", "nobody knows", "petrol", "yes", "ordinary car", "yes", "four cylinders", "yes", "coil on plug",
    "yes", "done", "place is safe", "yes", "nothing can roll", "it is in park", "brake is set", "wheels are blocked",
    "done", "done", "done",
)  # fmt: skip


def told(*words: str) -> tuple[State, str]:
    """The state after these words in a job by the book, and what was said to the last of them."""
    turn = begin(LIBRARY, "no-start", "k", "job", {})
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
