"""What is left in the middle: steps that may have been begun, tries that are used up, waits and checks that go on."""

from dataclasses import replace

import pytest

from assistant.bay import Bay, Mark
from assistant.facts import FactKind
from assistant.guide import Mode, advance
from assistant.guide.arrive import settle
from assistant.guide.checking import repair_done
from assistant.guide.state import Frame, Position
from assistant.guide.turn import Making, Refused
from assistant.guide.words import hint
from assistant.language.commands import Control
from assistant.language.model import GiveCode, GiveControl, Heard, Unclear, UnclearReason
from assistant.procedure.condition import Condition
from assistant.procedure.model import Action, Kind, Pace
from tests.guide.job import LIBRARY, Job
from tests.guide.test_checking import found

(SMALL,) = LIBRARY.values()
NOTHING_OFF = Bay(marks=())


def having(step, **changes):
    """The small library with one step changed."""
    steps = tuple(replace(each, **changes) if each.id == step else each for each in SMALL.steps)
    return {"small": replace(SMALL, steps=steps)}


def at(step, state, **more):
    """The job at another step."""
    return replace(state, position=Position(at=Frame(procedure="small", step=step)), **more)


def test_what_a_step_takes_off_counts_as_off_once_it_was_told():
    """Nobody knows whether the duct is off yet: the job is not closed before that is settled."""
    job = Job("end job", "yes")
    (off,) = (fact for fact in job.facts if fact.kind is FactKind.ITEM_REMOVED)
    assert (off.data["item"], off.data["unsure"]) == ("duct", True)
    assert job.state.mode is Mode.CLOSING and job.state.open_items == ("duct",)
    assert [fact.kind for fact in job.say("it is put right").facts][-1] is FactKind.JOB_ENDED


def test_a_job_with_nothing_off_ends_at_the_yes():
    """No question stands between."""
    job = Job("done", "end job")
    job.state = replace(job.state, bay=NOTHING_OFF)
    job.say("yes")
    assert job.state.mode is Mode.ENDED and FactKind.JOB_ENDED in job.kinds


def test_a_paced_action_without_a_try_left_is_passed_over_and_said():
    """It is kept as left out by the guide, and the job goes on behind it."""
    pace = Pace(action=Action.PUFF, on_s=1.0, tries=2)
    library = having("look", kind=Kind.PACE, pace=pace, next="volts", results=())
    state = at("look", Job("done").state, mode=Mode.MOVING, tries={"small/look": 2}, bay=NOTHING_OFF)
    making = Making(library, state, 0.0)
    settle(making)
    (skipped,) = (fact for fact in making.facts if fact.kind is FactKind.STEP_SKIPPED)
    assert skipped.data["by"] == "guide" and making.state.at.step == "volts"
    assert "No try is left for this." in making.reply[0].text


def test_a_wait_that_was_broken_off_goes_on_where_it_was():
    """What is left of it is said; a new one says nothing of the kind."""
    library = having("look", kind=Kind.WAIT, wait_s=60.0, next="volts", results=())
    for until_s, left in ((40.0, "Forty seconds left."), (None, None)):
        state = at("look", Job("done").state, mode=Mode.MOVING, bay=NOTHING_OFF, wait_until_s=until_s)
        making = Making(library, state, 0.0)
        settle(making)
        said = [each.text for each in making.reply]
        assert making.state.mode is Mode.WAITING and (left in said) == (left is not None)
        assert making.state.wait_until_s == (until_s or 60.0)


def test_clearing_the_vapour_is_never_skipped():
    """The step that clears it, as long as it is about."""
    library = having("first", clears_vapour=True, removes=())
    state = replace(Job().state, bay=Bay(marks=(Mark(condition=Condition.VAPOUR, at_s=0.0, fact="f"),)))
    turn = advance(library, state, GiveControl(control=Control.SKIP), 0.0)
    assert turn.refused == "Clearing the vapour cannot be skipped." and turn.state == state
    clear = advance(library, replace(state, bay=NOTHING_OFF), GiveControl(control=Control.SKIP), 0.0)
    assert not clear.refused


def test_a_repair_is_checked_with_everything_back_on(library):
    """Not with the duct off; and who knows the work is asked in few words."""
    job = found(library)
    off = replace(job.state, bay=replace(job.state.bay, off=Job("done").state.bay.off))
    with pytest.raises(Refused, match="Still to put right: duct"):
        repair_done(Making(library, off, job.state.at_s))
    job.say("be brief")
    assert [each.text for each in hint(library, job.state)] == ["Say repair done, or done."]


def test_a_code_that_was_not_surely_heard_is_logged_after_its_yes():
    """In brief nothing else is read back; a code offered in place of what was not understood is asked about too."""
    library = having("look", kind=Kind.CODES, done=("that is all",), results=(), next="volts")
    state = Job("be brief", "done").state
    heard = Heard(words="p zero three three five", confidence=0.4, engine="embedded")
    asked = advance(library, state, GiveCode(code="P0335", words=heard.words), 0.0, heard=heard)
    assert asked.state.mode is Mode.CONFIRMING and asked.state.pending.name == "P0335"
    kept = advance(library, asked.state, GiveControl(control=Control.YES), 0.0)
    assert [fact.kind for fact in kept.facts] == [FactKind.CODE_LOGGED] and kept.state.mode is Mode.ASKING
    unclear = Unclear(reason=UnclearReason.UNSURE, words="p zero three", offer="p zero three three five")
    offered = advance(library, state, unclear, 0.0, heard=heard)
    assert offered.state.pending.offered and offered.state.pending.name == "P0335"


def test_an_offer_that_answers_nothing_here_is_none():
    """What is asked now has no such answer: nothing waits for a yes."""
    state = Job("done").state
    turn = advance(
        LIBRARY, state, Unclear(reason=UnclearReason.UNSURE, words="x", offer="p zero three three five"), 0.0
    )
    assert turn.state.pending is None and turn.state.mode is Mode.ASKING
