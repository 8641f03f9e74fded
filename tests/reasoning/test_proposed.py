"""What is said of a repair that is proposed before testing is over."""

from __future__ import annotations

from assistant.reasoning.findings import say_proposed
from assistant.reasoning.posterior import believe, fault_odds
from assistant.reasoning.reasoner import Reasoner


def test_a_proposal_tells_what_was_not_tested_also_briefly(shipped: Reasoner) -> None:
    """Briefly without the minutes of the repair; never without what may be the supply."""
    silent = believe(shipped.network, {"pump-prime": "silent"})
    full, brief = (say_proposed(shipped, silent, "pump-dead", briefly=briefly) for briefly in (False, True))
    for said in (full, brief):
        assert said.startswith("I would stop testing: most likely a dead fuel pump, about ")
        assert "It may be the supply: " in said
    assert "The repair takes " in full and "The repair takes " not in brief and len(brief) < len(full)


def test_a_flat_battery_says_that_nobody_looked_why(shipped: Reasoner) -> None:
    """A boosted start shows that it was flat, not what made it so; other repairs leave nothing of the kind open."""
    boosted = believe(shipped.network, {"battery-at-rest": "flat", "runs-boosted": "starts"})
    for briefly in (False, True):
        assert "Why it went flat was not looked at: " in say_proposed(shipped, boosted, "battery-flat", briefly=briefly)
    assert "not looked at" not in say_proposed(shipped, boosted, "pump-dead")


def test_injectors_that_are_pulsed_and_silent_are_named(shipped: Reasoner) -> None:
    """The lamp in an injector's place lights by its supply, so nothing more is asked of the supply."""
    seen = {"fuel-substitute": "runs", "injector-pulse": "flickers", "injector-click": "silent", "pump-prime": "heard"}
    belief = believe(shipped.network, seen)
    assert next(iter(fault_odds(shipped.network, belief))) == "injectors-stuck"
    assert "It may be the supply" not in say_proposed(shipped, belief, "injectors-stuck")
