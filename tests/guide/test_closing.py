"""How a job is closed: what is off the car first, what stays with it, and what the desk may add."""

from dataclasses import replace

import pytest

from assistant.bay import Bay, Mark
from assistant.facts import FactKind
from assistant.guide import Mode, advance, begin, fold
from assistant.guide.closing import confirm_repair, end, settle_item
from assistant.guide.fold import MoveRefused
from assistant.guide.turn import Making, Refused
from assistant.language.model import GiveControl, GiveResult
from assistant.procedure.condition import C
from tests.guide.job import LIBRARY, Job
from tests.guide.small import small_library

CLOSING = ("done", "full of dirt", "yes")
LEFT = GiveResult(result="left-off", words="left off")


def closing_with(item):
    """A job at its closing, with this off the car."""
    (small,) = small_library().values()
    steps = tuple(replace(each, removes=(item,)) if each.id == "first" else each for each in small.steps)
    library = {"small": replace(small, steps=steps)}
    turn = begin(library, "small", "k", "job", {})
    for said in ("done", GiveResult(result="dirty", words="full of dirt"), "yes"):
        command = GiveControl(control=said) if isinstance(said, str) else said
        turn = advance(library, turn.state, command, 0.0)
    assert turn.state.mode is Mode.CLOSING and turn.state.open_items == (item,)
    return library, turn.state


@pytest.mark.parametrize("item", ["fuel line at the rail", "fuel line at the filter"])
def test_a_fuel_line_is_never_left_open(item) -> None:
    """Not asked, and refused by who would keep it, in words that say what to do."""
    library, state = closing_with(item)
    assert advance(library, state, LEFT, 0.0).state == state
    with pytest.raises(Refused, match="is not left open"):
        settle_item(Making(library, state, 0.0, None), LEFT)
    back = advance(library, state, GiveResult(result="refitted", words="it is put right"), 0.0)
    assert back.state.open_items == ()


def test_anything_else_may_be_left_off_and_is_noted() -> None:
    """With the words that it was said by."""
    library, state = closing_with("spark tester")
    turn = advance(library, state, LEFT, 0.0)
    (fact,) = [each for each in turn.facts if each.kind is FactKind.ITEM_LEFT_OFF]
    assert (fact.data["item"], fact.data["said"]) == ("spark tester", "left off")
    assert turn.state.open_items == ()


def test_nothing_is_settled_where_nothing_is_off() -> None:
    """Nor does a job end anywhere but at its closing."""
    job = Job(*CLOSING, "it is put right")
    with pytest.raises(Refused, match="Nothing is off the car"):
        settle_item(Making(LIBRARY, job.state, 0.0, None), LEFT)
    for words in ((), ("done",), CLOSING):
        with pytest.raises(Refused):
            end(Making(LIBRARY, Job(*words).state, 0.0, None))


def test_the_end_tells_what_stays_with_the_car() -> None:
    """A leak goes on to the next job; where nothing stays nothing is told of it."""
    job = Job(*CLOSING, "left off")
    state = replace(job.state, bay=Bay(marks=(Mark(condition=C.LEAK, at_s=0.0, fact="k-1"),)))
    making = Making(LIBRARY, state, 0.0, None)
    end(making)
    said = " ".join(each.text for each in making.done().reply)
    assert said.startswith("This stays with the car: ") and said.endswith("The job is closed. Its record is kept.")
    clean = Job(*CLOSING, "left off").say("done")
    assert clean.said == "The job is closed. Its record is kept."
    assert Job("be brief", *CLOSING, "left off").say("done").said == "The job is closed."


def test_the_desk_confirms_a_repair_of_a_closed_job_alone() -> None:
    """By a fact behind all others, with who did it; None takes back what was confirmed."""
    open_job, closed = Job(*CLOSING), Job(*CLOSING, "left off", "done")
    with pytest.raises(MoveRefused, match="under way"):
        confirm_repair(open_job.facts, "made-up")
    fact = confirm_repair(closed.facts, "made-up")
    assert fact.kind is FactKind.REPAIR_CONFIRMED and fact.number == closed.facts[-1].number + 1
    assert (fact.data["fault"], fact.data["by"]) == ("made-up", "desk")
    assert fold(LIBRARY, [*closed.facts, fact]).mode is Mode.ENDED
    assert "fault" in confirm_repair(closed.facts, None).data


def test_said_again_the_finding_is_told_whole_and_what_is_still_off() -> None:
    """However the job is spoken; put right, only how to end is left."""
    job = Job("be brief", *CLOSING).say("say again")
    assert "That was it." in job.said and job.said.endswith("The duct: say it is put right, or left off.")
    again = job.say("it is put right").say("say again").said
    assert "That was it." in again and "duct" not in again
