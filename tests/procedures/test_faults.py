"""Known faults played by voice from the opening to the finding, as a good technician would end."""

from __future__ import annotations

from collections.abc import Mapping

import pytest

from assistant.facts import FactKind
from assistant.procedure.model import Hazard, Kind, Procedure
from assistant.wiring import load_model
from tests.procedures import fault_player

FAULTS = list(fault_player.known_faults())
USUAL = fault_player.usual_answers()

Library = Mapping[str, Procedure]


def test_the_usual_answers_know_every_question(shipped: Library) -> None:
    """Every question, reading and burst of the family has an answer for a car where no fault shows there."""
    asked = {
        f"{name}/{step.id}"
        for name, procedure in shipped.items()
        for step in procedure.steps
        if step.kind in (Kind.ASK, Kind.READING, Kind.CRANK, Kind.CODES, Kind.TELL)
    }
    assert asked == set(USUAL)


def test_there_are_enough_faults() -> None:
    """At least thirty known faults, at least twenty-eight of which a finding names."""
    assert len(FAULTS) >= 30
    assert sum(fault.still_open is None for fault in FAULTS) >= 28


@pytest.mark.parametrize("fault", FAULTS, ids=lambda fault: fault.name)
def test_the_fault_is_found_or_told_as_open(shipped: Library, fault: fault_player.Fault) -> None:
    """The job ends in the finding that names the fault, or says plainly what is still open."""
    played = fault_player.play(shipped, fault, USUAL)
    assert played.finding is not None
    at = f"{played.finding.procedure}/{played.finding.step}"
    assert at == fault.ends, "\n".join(played.talk)
    assert played.finding.data["fault"] == fault.finding
    assert set(fault.answers) <= set(played.answered), "an answer of this car was never asked for"
    if fault.still_open:
        told = " ".join([*played.finding.data["likely"], *played.finding.data["untested"]])
        assert fault.still_open in told.lower()


@pytest.mark.parametrize("fault", FAULTS, ids=lambda fault: fault.name)
def test_on_the_way_nothing_is_left_out(shipped: Library, fault: fault_player.Fault) -> None:
    """Each hazardous step had its cautions acknowledged, and everything taken off is settled before the end."""
    played = fault_player.play(shipped, fault, USUAL)
    acknowledged: set[str] = set()
    open_items: set[str] = set()
    for fact in played.facts:
        if fact.kind is FactKind.STEP_ENTERED:
            acknowledged = set()
        elif fact.kind is FactKind.CAUTION_ACKNOWLEDGED:
            acknowledged.add(str(fact.data["caution"]))
        elif fact.kind is FactKind.INSTRUCTION_SPOKEN and fact.procedure and fact.step:
            step = shipped[fact.procedure].step(fact.step)
            assert acknowledged >= set(step.cautions), step.id
        elif fact.kind is FactKind.ITEM_REMOVED:
            open_items.add(str(fact.data["item"]))
        elif fact.kind in (FactKind.ITEM_REFITTED, FactKind.ITEM_LEFT_OFF):
            open_items.discard(str(fact.data["item"]))
    assert not open_items


def test_no_spark_is_made_in_vapour(shipped: Library) -> None:
    """In none of the played jobs is a spark, a clamp or hot work begun while vapour may be about."""
    light = {Hazard.EXPOSED_SPARK, Hazard.BATTERY_CLAMP, Hazard.HOT_WORK}
    sprayed = 0
    for fault in FAULTS:
        vapour = False
        for fact in fault_player.play(shipped, fault, USUAL).facts:
            if fact.kind is FactKind.ACTION_BEGUN:
                vapour, sprayed = True, sprayed + 1
            elif fact.kind is FactKind.WAIT_ENDED and fact.data.get("vapour_cleared"):
                vapour = False
            elif fact.kind is FactKind.INSTRUCTION_SPOKEN and fact.procedure and fact.step and vapour:
                assert not shipped[fact.procedure].step(fact.step).all_hazards & light, (fault.name, fact.step)
    assert sprayed > 0


def test_a_cap_that_only_needed_drying_is_not_called_burned() -> None:
    """The fault that both findings of the cap name is said so that either of them is true."""
    fault = next(each for each in load_model("no-start").faults if each.id == "rotor-cap")
    assert "damp" in fault.say and "burned" in fault.say
