"""A test as the plan may choose it, with the way to it."""

from __future__ import annotations

from dataclasses import dataclass, replace

from assistant.reasoning.doubt import Doubt
from assistant.reasoning.planner import Act, Option, Plan
from assistant.session.ways import Way


@dataclass(frozen=True, slots=True, kw_only=True)
class Choice:
    """A test and its way; `rate`: bits a minute, what else is told on the way counted. `doubted`: the result that it is
    done for, since it may have been told wrong. `last`: it is done before a search, since all else was seen good."""

    option: Option
    way: Way
    rate: float
    doubted: Doubt | None = None
    last: bool = False


def with_first(plan: Plan, choice: Choice | None) -> Plan:
    """The plan with the test that was chosen; itself where none was."""
    if choice is None:
        return plan
    best = choice.option
    others = (option for option in plan.options if option is not best)
    return replace(plan, act=Act.TEST, name=best.test, minutes=best.minutes, options=(best, *others))
