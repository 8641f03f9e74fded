"""Whole dialogues, kept as data: what is said, the command it gives, the reply that comes, the finding it ends in."""

import pytest

from assistant.facts import FactKind
from assistant.guide import fold
from tests.session.dialogue_player import FOLDER, dialogues, play


@pytest.mark.parametrize("path", list(dialogues()), ids=lambda path: path.stem)
def test_dialogue(library, path):
    """The dialogue goes as written and ends in the finding that a good technician would reach."""
    room, told = play(library, path)
    facts = room.facts
    found = [fact.data["fault"] for fact in facts if fact.kind is FactKind.FINDING_REACHED]
    assert found == ([] if told["finding"] == "none" else [told["finding"]])
    assert facts[-1].kind is FactKind.JOB_ENDED
    assert fold(library, facts) == room.conversation.state
    kinds = [fact.kind for fact in facts]
    if "struck" in told:
        assert kinds.count(FactKind.STRUCK) == told["struck"]
    if "notes" in told:
        assert kinds.count(FactKind.NOTE_TAKEN) == told["notes"]
    if "codes" in told:
        struck = {fact.data["struck"] for fact in facts if fact.kind is FactKind.STRUCK}
        codes = [fact.data["code"] for fact in facts if fact.kind is FactKind.CODE_LOGGED and fact.id not in struck]
        assert codes == told["codes"]
    if "left-off" in told:
        assert [fact.data["item"] for fact in facts if fact.kind is FactKind.ITEM_LEFT_OFF] == told["left-off"]


def test_there_are_enough_dialogues():
    """At least twelve different dialogues are kept."""
    assert len(list(dialogues())) >= 12


def test_the_starter_rests_before_the_spray_and_not_after_it(library):
    """Where cranking time is nearly used up, the rest comes before the can is lifted: vapour does not wait."""
    room, _ = play(library, FOLDER / "spray-and-vapour.yaml")
    rests = [fact for fact in room.facts if fact.kind is FactKind.REST_BEGUN and fact.procedure == "fuel-substitute"]
    sprays = [fact.number for fact in room.facts if fact.kind is FactKind.ACTION_BEGUN]
    cranks = [fact.number for fact in room.facts if fact.kind is FactKind.BURST_BEGUN and fact.number > sprays[0]]
    assert [fact.step for fact in rests] == ["spray"]
    assert not [fact for fact in rests if sprays[0] < fact.number < cranks[0]]
