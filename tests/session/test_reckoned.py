"""Compression over all cylinders: the guide works it out and proposes, the technician decides."""

from __future__ import annotations

import pytest

from assistant.facts import FactKind
from assistant.guide import Library, Mode, fold
from assistant.record.build import build_record
from tests.procedures.fault_player import usual_answers
from tests.session.dialogue_player import Leader
from tests.session.room import Room

CAR = {"fuel": "petrol", "cylinders": "4", "ignition": "coil-on-plug", "hybrid": "no", "throttle-by-wire": "no"}


def led_to_judge(library: Library, readings: tuple[str, ...], **vehicle: str | float) -> Room:
    """A job at the question which cylinders are low, each cylinder read as told."""
    room = Room(library, "compression", {**CAR, **vehicle})
    answers = {step: said[0] for step, said in usual_answers().items()}
    answers |= {f"compression/read-{number}": words for number, words in enumerate(readings, start=1)}
    Leader(room, library, answers).until("compression/judge")
    return room


def said(room: Room) -> str:
    """Everything said in the last turn."""
    return " ".join(room.trace[-1]["said"])


# Derived: 118 over 160 psi is 73.75 %, 125 over 160 is 78.1 %; the line of 75 % is common practice, no source.
@pytest.mark.parametrize(
    ("readings", "share", "proposed"),
    [
        (("160 psi", "155 psi", "118 psi", "158 psi"), "cylinder three, seventy three point seven percent", "one-low"),
        (("160 psi", "155 psi", "125 psi", "158 psi"), "cylinder three, seventy eight point one percent", "good"),
        (("60 psi", "58 psi", "61 psi", "59 psi"), "cylinder two, ninety five percent", "all-low"),
    ],
)
def test_the_ratio_is_said_and_a_result_proposed_for_a_yes(
    library: Library, readings: tuple[str, ...], share: str, proposed: str
) -> None:
    """The lowest cylinder, its share of the highest and the line are spoken; yes logs what was proposed."""
    room = led_to_judge(library, readings)
    assert share in said(room)
    assert "The line stands at seventy five percent." in said(room)
    assert "yes" in room.trace[-1]["can_say"]
    room.type("say again")
    assert share in said(room)
    (turn,) = room.type("yes")
    logged = next(fact for fact in turn["facts"] if fact["kind"] == "result-logged")
    assert logged["data"]["result"] == proposed
    assert room.conversation.state.at.step != "judge"
    record = build_record(room.journal.entries("grey-hatchback"), library)
    assert next(one for one in record.results if one.result == proposed).hearing.by == "figures"
    assert fold(library, room.facts) == room.conversation.state


def test_the_technicians_own_answer_wins(library: Library) -> None:
    """Said in place of the yes, it is read back and logged as the technician's."""
    room = led_to_judge(library, ("160 psi", "155 psi", "118 psi", "158 psi"))
    room.type("two neighbours")
    assert room.conversation.state.mode is Mode.CONFIRMING
    (turn,) = room.type("yes")
    logged = next(fact for fact in turn["facts"] if fact["kind"] == "result-logged")
    assert logged["data"]["result"] == "pair-low"
    assert "figures" not in str([fact.data for fact in room.facts if fact.kind is FactKind.RESULT_HEARD])


def test_two_low_cylinders_are_named_and_nothing_is_proposed(library: Library) -> None:
    """Whether they are neighbours the figures cannot tell; a bare yes is refused."""
    room = led_to_judge(library, ("160 psi", "110 psi", "112 psi", "158 psi"))
    assert "Below it: two and three." in said(room)
    assert "yes" not in room.trace[-1]["can_say"]
    room.type("yes")
    assert room.conversation.state.at.step == "judge"
    assert not any(fact.kind is FactKind.RESULT_LOGGED and fact.step == "judge" for fact in room.facts)


def test_the_makers_own_line_replaces_ours_in_speech_and_record(library: Library) -> None:
    """At 70 % the same readings pass, and the report says whose figure that is."""
    room = led_to_judge(library, ("160 psi", "155 psi", "118 psi", "158 psi"), **{"compression-ratio": 70.0})
    assert "The line stands at seventy percent." in said(room)
    assert "I propose: all are even." in said(room)
    spread = build_record(room.journal.entries("grey-hatchback"), library).compression
    assert spread is not None
    even = spread.evenness
    assert (even.limit_share, even.passes, even.source) == (0.7, True, "given for this vehicle")


def test_a_struck_reading_takes_the_proposal_with_it(library: Library) -> None:
    """Struck, it is asked anew, and the new figure counts."""
    room = led_to_judge(library, ("160 psi", "155 psi", "118 psi", "158 psi"))
    _, turn = room.type("strike that", "yes")
    assert turn["step"] == "read-4"
    assert len(room.conversation.state.readings) == 3
    room.type("118 psi")
    assert room.conversation.state.at.step == "judge"
    assert "Below it: three and four." in said(room)
