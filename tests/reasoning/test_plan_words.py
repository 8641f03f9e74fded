"""A plan in words: one sentence, minutes, and what it tells apart."""

from __future__ import annotations

import re

from assistant.reasoning.plan_words import say_briefly, say_left, say_plan
from assistant.reasoning.planner import Act, Readiness, make_plan
from assistant.reasoning.posterior import believe
from assistant.reasoning.reasoner import Reasoner


def test_the_next_test_is_said_with_its_minutes_and_what_it_tells_apart(shipped: Reasoner) -> None:
    """One sentence; at a test that is under way already it says go on."""
    belief = believe(shipped.network, {"leak-check": "dry"})
    plan = make_plan(shipped.model, shipped.network, belief)
    said = say_plan(shipped, belief, plan)
    assert re.fullmatch(r"Next the .+, about (a minute|\d+ minutes), (to tell .+ from .+|on the way to the .+)\.", said)
    assert say_plan(shipped, belief, plan, {plan.name}).startswith("Go on with the ")


def test_a_second_look_is_called_that(shipped: Reasoner) -> None:
    """Where a result may have been told wrong the same test is asked once more."""
    belief = believe(shipped.network, {"crank-signal": "zero"})
    plan = make_plan(shipped.model, shipped.network, belief, ready=Readiness(among={"crank-signal"}))
    assert plan.act is Act.TEST
    assert say_plan(shipped, belief, plan).startswith("Once more the engine speed on the reader while cranking, about ")
    assert say_briefly(shipped, plan.options[0]) == "Once more: engine speed on the reader while cranking."


def test_a_repair_is_proposed_with_its_odds(shipped: Reasoner) -> None:
    """Where more testing costs more than it saves."""
    belief = believe(shipped.network, {"security-lamp": "on", "other-key": "starts"})
    plan = make_plan(shipped.model, shipped.network, belief)
    said = say_plan(shipped, belief, plan)
    assert said.startswith("I would stop testing: it is an immobiliser that blocks the start, almost certain, since ")
    assert said.endswith("The repair takes about 45 minutes.")
    assert "it starts with another key" in said
    assert say_left(shipped, belief, plan) == said


def test_what_is_left_names_three_and_counts_the_rest(shipped: Reasoner) -> None:
    """The best first, none that was done."""
    belief = believe(shipped.network, {"pump-prime": "silent"})
    said = say_left(shipped, belief, make_plan(shipped.model, shipped.network, belief))
    assert re.fullmatch(r"Left, the best first: the .+, .+ and .+, and \d+ more\.", said)
    assert "sound of the fuel pump" not in said
