"""What a part comes to is told in a sentence wherever it ends, never by an id."""

import pytest

from assistant.guide import Mode
from assistant.procedure.model import Kind
from tests.guide.conftest import read_library
from tests.guide.led import Led

ENDS = [(each.id, step) for each in read_library().values() for step in each.steps if step.kind is Kind.RETURN]


@pytest.mark.parametrize(("procedure", "step"), ENDS, ids=[f"{each}-{step.id}" for each, step in ENDS])
def test_an_end_has_its_sentence(procedure, step):
    """Of three words at least, with a capital and a full stop, and without an id in it."""
    assert step.say[:1].isupper(), procedure
    assert step.say.endswith("."), procedure
    assert len(step.say.split()) >= 3, procedure
    assert "-" not in step.say


def test_a_part_that_was_started_alone_tells_what_it_came_to():
    """Where "outcome: good" was spoken, the sentence is; it is the title of the report, too."""
    led = Led(read_library(), "voltage-drop-ground", {"side": "zero point one volts"}).until("good", mode=Mode.CLOSING)
    assert led.words.startswith("The ground side is good. ")
    assert "This part is done." in led.words
    reached = next(fact for fact in led.facts if fact.kind.value == "finding-reached")
    assert reached.data["say"] == "The ground side is good."


def test_that_a_part_is_done_is_said_after_what_is_advised():
    """Who hears that it is done does not wait for what is still to do."""
    led = Led(read_library(), "battery-state", {"rest-volts": "twelve point one volts"}).until("low", mode=Mode.CLOSING)
    advice = read_library()["battery-state"].step("low").advice
    assert advice
    assert led.words.index(advice) < led.words.index("This part is done.")
