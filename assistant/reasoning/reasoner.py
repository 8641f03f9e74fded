"""One model at work: evidence in, belief and next tests out. Holds the compiled network, nothing that changes."""

from __future__ import annotations

from collections.abc import Collection, Iterable
from dataclasses import dataclass
from enum import StrEnum

from assistant.procedure.model import Duty
from assistant.reasoning.conflict import Conflict, find_conflict
from assistant.reasoning.costs import Situation
from assistant.reasoning.learning import learn
from assistant.reasoning.model import NONE_OF_THESE, Model
from assistant.reasoning.network import Network, compile_network
from assistant.reasoning.next_test import Choice, rank_tests, worth_it
from assistant.reasoning.posterior import Belief, Evidence, believe, fault_odds


class Ending(StrEnum):
    """Why testing should stop."""

    PROVED = "proved"  # one fault is likely enough
    TOO_DEAR = "too-dear"  # every test left costs more than it tells
    NOTHING_LEFT = "nothing-left"  # no test left that may be done


@dataclass(frozen=True, slots=True, kw_only=True)
class Reasoner:
    """A checked model with its network."""

    model: Model
    network: Network


@dataclass(frozen=True, slots=True, kw_only=True)
class Opinion:
    """What to think of the evidence. `odds`: fault → probability, the likeliest first."""

    belief: Belief
    odds: dict[str, float]
    conflict: Conflict | None

    @property
    def top(self) -> str:
        """The likeliest fault, or none of these."""
        return next(iter(self.odds))


@dataclass(frozen=True, slots=True, kw_only=True)
class Outlook(Opinion):
    """What to think, and what to test next: looking ahead takes a thousand times as long."""

    choices: tuple[Choice, ...]
    ending: Ending | None


def make_reasoner(model: Model, repairs: Iterable[str] = ()) -> Reasoner:
    """A reasoner with the priors that the shop's confirmed repairs have moved."""
    learned = learn(model, repairs)
    return Reasoner(model=learned, network=compile_network(learned))


def think(reasoner: Reasoner, belief: Belief) -> Opinion:
    """What to think of what is believed."""
    return Opinion(
        belief=belief, odds=fault_odds(reasoner.network, belief), conflict=find_conflict(reasoner.network, belief)
    )


def form_opinion(
    reasoner: Reasoner,
    evidence: Evidence,
    situation: Situation | None = None,
    duty: Duty | None = None,
    *,
    among: Collection[str] | None = None,
) -> Outlook:
    """What to think and what to test next, `among` these tests where they are given.

    Raises KeyError for a test or result that the model lacks.
    """
    now = think(reasoner, believe(reasoner.network, evidence))
    choices = rank_tests(reasoner.model, reasoner.network, now.belief, situation, duty, among=among)
    return Outlook(
        belief=now.belief,
        odds=now.odds,
        conflict=now.conflict,
        choices=choices,
        ending=find_ending(reasoner.model, now.odds, choices),
    )


def find_ending(model: Model, odds: dict[str, float], choices: tuple[Choice, ...]) -> Ending | None:
    """Whether testing should stop, and why; None while the best test left is worth its minutes."""
    top = next(iter(odds))
    if top != NONE_OF_THESE and odds[top] >= model.settings.proved_at:
        return Ending.PROVED
    if not choices:
        return Ending.NOTHING_LEFT
    return None if worth_it(model, choices[0]) else Ending.TOO_DEAR
