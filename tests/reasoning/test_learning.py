"""Confirmed repairs move the priors, and striking one moves them back."""

from __future__ import annotations

from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from assistant.reasoning.learning import learn, show_learned, strength
from assistant.reasoning.model import JUDGEMENT, NONE_OF_THESE, Fault, Model, Priors, Settings
from assistant.reasoning.reasoner import Reasoner, make_reasoner


def test_dirichlet_counts(lamp: Model) -> None:
    """Fifty made-up repairs behind the file and ten of the shop's own: (0.3 · 50 + 10) / 60."""
    learned = learn(lamp, ["no-feed"] * 10)
    assert learned.fault("no-feed").prior == pytest.approx(25 / 60)
    assert learned.fault("dead-bulb").prior == pytest.approx(25 / 60)
    assert learned.settings.none_of_these == pytest.approx(5 / 60)


def test_a_repair_counts_for_what_it_is_here(lamp: Model) -> None:
    """A covered name counts for its fault, one beyond the model for something else, and others are passed over."""
    fault = replace(lamp.faults[1], covers=("lost-ground",))
    model = replace(lamp, faults=(lamp.faults[0], fault, lamp.faults[2]), beyond=("gremlin",))
    assert learn(model, ["lost-ground"]) == learn(model, ["no-feed"])
    assert learn(model, ["gremlin"]).settings.none_of_these == pytest.approx(6 / 51)
    assert learn(model, ["gremlin"]) == learn(model, [NONE_OF_THESE])
    assert learn(model, ["place-not-safe"]) is model


def test_strength_is_the_share_that_the_repairs_have(lamp: Model) -> None:
    """None without repairs, more with each; what is no fault to the model does not count."""
    n = lamp.settings.prior_repairs
    known = lamp.faults[0].id
    assert strength(lamp, []) == strength(lamp, ["no such fault"]) == 0.0
    assert strength(lamp, [known] * 3) == pytest.approx(3 / (3 + n))


def test_no_repairs_change_nothing(lamp: Model) -> None:
    """Without repairs the model is the one of the file."""
    assert learn(lamp, []) is lamp


@given(repairs=st.lists(st.sampled_from(["dead-bulb", "no-feed", "bad-switch", NONE_OF_THESE]), max_size=60))
def test_priors_stay_shares_and_order_does_not_matter(repairs: list[str]) -> None:
    """Any repairs, in any order, leave priors that add up to one."""
    lamp = _lamp()
    learned = learn(lamp, repairs)
    assert learned.settings.none_of_these + sum(fault.prior for fault in learned.faults) == pytest.approx(1.0)
    assert learn(lamp, sorted(repairs)) == learned


def test_striking_a_repair_unlearns_it(shipped: Reasoner) -> None:
    """The model with a repair struck from the list is, to the last digit, the one that never had it."""
    with_it, without = ["security", "pump-dead", "security"], ["security", "pump-dead"]
    assert learn(shipped.model, with_it) != learn(shipped.model, without)
    assert learn(shipped.model, with_it[:-1]) == learn(shipped.model, without)


def test_what_was_learned_is_shown(lamp: Model) -> None:
    """Every prior is told before and after, with its repairs, the busiest first."""
    rows = show_learned(lamp, ["bad-switch", "bad-switch", "no-feed"])
    assert [(row.fault, row.repairs) for row in rows[:2]] == [("bad-switch", 2), ("no-feed", 1)]
    assert rows[0].before == 0.1
    assert rows[0].after == pytest.approx(7 / 53)
    assert {row.fault for row in rows} == {"dead-bulb", "no-feed", "bad-switch", NONE_OF_THESE}


def test_a_shop_full_of_one_fault_expects_it(shipped: Reasoner) -> None:
    """Two hundred immobilisers make the immobiliser the first guess."""
    reasoner = make_reasoner(shipped.model, ["security"] * 200)
    assert max(reasoner.model.faults, key=lambda fault: fault.prior).id == "security"


def test_independent_priors_cannot_be_learned(lamp: Model) -> None:
    """Repairs say nothing about cars that never came, so independent priors refuse."""
    independent = replace(lamp, settings=replace(lamp.settings, priors=Priors.INDEPENDENT, none_of_these=0.0))
    with pytest.raises(ValueError, match="independent priors"):
        learn(independent, ["no-feed"])


def _lamp() -> Model:
    priors = {"dead-bulb": 0.5, "no-feed": 0.3, "bad-switch": 0.1}
    return Model(
        id="lamp",
        version=1,
        title="lamp",
        settings=Settings(priors=Priors.SHARES, none_of_these=0.1),
        faults=tuple(Fault(id=name, say=name, prior=prior, source=JUDGEMENT) for name, prior in priors.items()),
        conditions=(),
        tests=(),
    )
