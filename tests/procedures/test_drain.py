"""What drains a car overnight: the meter stays on until it has told which part it is."""

from __future__ import annotations

from collections.abc import Mapping

import pytest

from assistant.guide import Mode
from assistant.procedure.condition import C
from assistant.procedure.model import Procedure
from tests.guide.led import Led

HIGH = {
    "": {"which": "clamp meter", "drain": "four hundred milliamps", "fuses": "found a drop"},
    "-inline": {"which": "in line meter", "drain-inline": "four hundred milliamps", "fuses-inline": "found a drop"},
}


@pytest.mark.parametrize("way", HIGH)
def test_the_meter_is_watched_while_the_parts_of_the_circuit_are_unplugged(
    shipped: Mapping[str, Procedure], way: str
) -> None:
    """It once came off before the finding said to watch it."""
    led = Led(shipped, "parasitic-draw", HIGH[way]).until(f"parts{way}")
    assert "drain meter" in led.state.open_items
    led.say("it fell with one")
    led.until("drain-part")
    assert "drain meter" not in led.state.open_items


def test_no_finding_behind_the_meter_tells_to_watch_it(shipped: Mapping[str, Procedure]) -> None:
    """By then it is off."""
    for step in shipped["parasitic-draw"].steps:
        assert step.finding is None or "watch the meter" not in step.finding.advice, step.id


@pytest.mark.parametrize("said", ["420 milliamps", "four hundred and twenty milliamps", "0.4 amps", "12.4 volts"])
def test_a_reading_is_no_yes_to_whether_a_fuse_shows_a_drop(shipped: Mapping[str, Procedure], said: str) -> None:
    """A current or a voltage says nothing of the fuse: the question stays open."""
    led = Led(shipped, "parasitic-draw", HIGH[""]).until("fuses")
    led.say(said)
    assert led.state.pending is None, led.words
    assert led.at == "fuses"


@pytest.mark.parametrize("way", HIGH)
def test_which_fuse_it_is_is_asked_for_and_kept_as_it_was_said(shipped: Mapping[str, Procedure], way: str) -> None:
    """As a note, in the words of the technician."""
    led = Led(shipped, "parasitic-draw", HIGH[way]).until(f"note-fuse{way}")
    led.say("take a note")
    led.say("number fourteen, boot lamp")
    notes = [fact.data["words"] for fact in led.facts if fact.kind.value == "note-taken"]
    assert notes == ["number fourteen, boot lamp"]
    led.say("done")
    assert led.at == f"parts{way}"


@pytest.mark.parametrize(
    "words", ["four hundred milliamps, and there's smoke from the fuse box", "hang on, smoke off the fuse"]
)
def test_smoke_told_with_the_reading_is_not_lost(shipped: Mapping[str, Procedure], words: str) -> None:
    """The reading alone was taken."""
    led = Led(shipped, "parasitic-draw", HIGH[""]).until("drain").say(words)
    assert led.state.mode is Mode.HELD and C.BURNED in led.state.bay.conditions


@pytest.mark.parametrize("at", ["asleep", "drain"])
def test_after_smoke_the_drain_is_not_read_on(shipped: Mapping[str, Procedure], at: str) -> None:
    """It once went on with the reading: first what smoked is out and mended."""
    led = Led(shipped, "parasitic-draw", HIGH[""]).until(at)
    led.say("there is smoke").say("resume")
    assert led.state.mode in (Mode.GATING, Mode.CAUTIONING) and "comes first" in led.words
    for plea in ("four hundred milliamps", "yes", "done", "resume"):
        led.say(plea)
        assert led.state.mode in (Mode.GATING, Mode.CAUTIONING)
    led.until(at, mode=Mode.WAITING if at == "asleep" else Mode.ASKING)
    assert "it is mended" in led.asked
    led.until("parts", mode=Mode.ASKING)
