"""A plan in words: one sentence, minutes, and what it tells apart."""

from __future__ import annotations

import re
from dataclasses import replace

from assistant.reasoning.model import Model
from assistant.reasoning.plan_words import say_briefly, say_left, say_plan, what_if
from assistant.reasoning.planner import Act, Plan, Readiness, make_plan
from assistant.reasoning.posterior import believe
from assistant.reasoning.reasoner import Reasoner, make_reasoner


def test_the_next_test_is_said_with_its_minutes_and_what_it_tells_apart(shipped: Reasoner) -> None:
    """One sentence; at a test that is under way already it says go on."""
    belief = believe(shipped.network, {"leak-check": "dry"})
    plan = make_plan(shipped.model, shipped.network, belief)
    said = say_plan(shipped, belief, plan)
    assert re.fullmatch(r"Next the .+, about (a minute|\d+ minutes), (to tell .+ from .+|before the .+)\.", said)
    assert say_plan(shipped, belief, plan, {plan.name}).startswith("Go on with the ")


def test_no_two_faults_are_said_to_be_parted_by_what_shows_alike(shipped: Reasoner) -> None:
    """Of a slow engine on a low battery the pump's sound has no pair to name: it hums on all that is likely."""
    slow = {"leak-check": "dry", "complaint": "slow", "how-it-stopped": "dragged", "battery-at-rest": "low"}
    belief = believe(shipped.network, slow)
    only = make_plan(shipped.model, shipped.network, belief, ready=Readiness(among={"pump-prime"})).options
    said = say_plan(shipped, belief, replace(plan(Act.TEST, "pump-prime"), options=only))
    assert said == "Next the sound of the fuel pump, about a minute."


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


def plan(act: Act, name: str) -> Plan:
    """A made-up plan."""
    return Plan(act=act, name=name, minutes=10.0, odds=0.5, without_min=0.0)


def test_a_search_says_what_is_most_likely_all_the_same(lamp: Model) -> None:
    """No test pays, and the maker's information leads on."""
    reasoner = make_reasoner(lamp)
    said = say_plan(reasoner, believe(reasoner.network, {"look": "dark"}), plan(Act.SEARCH, "none-of-these"))
    assert said.startswith("No test that I know is worth its minutes: search by the maker's information")
    assert "; most likely it is a dead bulb, " in said


def test_what_if_tells_what_would_be_thought_and_done(lamp: Model) -> None:
    """A test, the repair of what is likeliest or of something else, or nothing; and what cannot be fits nothing."""
    reasoner = make_reasoner(lamp)
    belief = believe(reasoner.network, {})
    then = {
        plan(Act.TEST, "volts"): " Then I would do the voltage at the lamp.",
        plan(Act.REPAIR, "dead-bulb"): " Then I would repair it.",
        plan(Act.REPAIR, "no-feed"): " Then I would repair no feed.",
        plan(Act.SEARCH, "none-of-these"): "",
    }
    for next_act, words in then.items():
        said = what_if(reasoner, belief, "look", "dark", lambda _, one=next_act: one)
        assert re.fullmatch(r"If it is dark, a dead bulb would be most likely, [^.]+\." + re.escape(words), said), said
    gone = believe(reasoner.network, {"feed": "gone"})
    assert what_if(reasoner, gone, "look", "lit", lambda _: plan(Act.SEARCH, "x")) == (
        "If it is lit, nothing that I know would fit."
    )
