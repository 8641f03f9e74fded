"""The compiled network against numbers reckoned by hand."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from assistant.reasoning.model import Model, Priors
from assistant.reasoning.network import compile_network


def test_shares_and_pairs(lamp: Model) -> None:
    """Single faults keep their shares of what two faults leave; pairs go by the product of their shares."""
    network = compile_network(lamp)
    before = slice(network.left.start)  # nothing is left of two faults before something was repaired
    prior = dict(zip(network.hypotheses[before], network.prior[before].tolist(), strict=True))
    assert prior[()] == pytest.approx(0.9 * 0.1)
    assert prior[(0,)] == pytest.approx(0.9 * 0.5)
    assert prior[(0, 1)] == pytest.approx(0.1 * 0.15 / 0.23)
    assert prior[(1, 2)] == pytest.approx(0.1 * 0.03 / 0.23)
    assert sum(prior.values()) == pytest.approx(1.0)


def test_independent_priors_are_products(lamp: Model) -> None:
    """Independent priors weigh none, one and two faults as if each were there by itself."""
    independent = replace(lamp, settings=replace(lamp.settings, priors=Priors.INDEPENDENT, none_of_these=0.0))
    network = compile_network(independent)
    before = slice(network.left.start)  # nothing is left of two faults before something was repaired
    prior = dict(zip(network.hypotheses[before], network.prior[before].tolist(), strict=True))
    assert prior[(0,)] / prior[()] == pytest.approx(0.5 / 0.5)
    assert prior[(1, 2)] / prior[()] == pytest.approx((0.3 / 0.7) * (0.1 / 0.9))


def test_first_fitting_row_counts(lamp: Model) -> None:
    """A row without faults that stands first settles the matter for every fault; later rows fill the rest."""
    network = compile_network(lamp)
    look = network.nodes["look"].table
    holds, sags, gone = 0, 1, 2
    none, bulb, feed = 0, 1, 2
    assert look[bulb, gone, :] == pytest.approx([0.0, 1.0])
    assert look[bulb, sags, :] == pytest.approx([0.1, 0.9])
    assert look[none, sags, :] == pytest.approx([0.6, 0.4])
    assert look[feed, holds, :] == pytest.approx([0.9, 0.1])


def test_the_worse_of_two_faults_shows(lamp: Model) -> None:
    """Where both faults have a row of their own their distribution functions multiply; where one has, it counts."""
    network = compile_network(lamp)
    feed = network.nodes["feed"].table.reshape(len(network.prior), 3)
    pair = dict(zip(network.hypotheses, feed, strict=True))
    assert pair[(1, 2)] == pytest.approx([0.0, 0.2 * 1.0, 0.8])
    assert pair[(0, 1)] == pytest.approx([0.0, 0.2, 0.8])
    assert pair[(0, 2)] == pytest.approx([0.5, 0.5, 0.0])


def test_wrong_answers_blur_tests_but_not_conditions(lamp: Model) -> None:
    """A share of wrong answers is taken from each result of a test and spread over the others; causes stay."""
    blurred = compile_network(replace(lamp, settings=replace(lamp.settings, wrong_answers=0.1)))
    sharp = compile_network(lamp)
    assert blurred.nodes["volts"].table == pytest.approx(
        0.9 * sharp.nodes["volts"].table + 0.1 * (1.0 - sharp.nodes["volts"].table)
    )
    assert np.array_equal(blurred.nodes["feed"].table, sharp.nodes["feed"].table)


def test_every_table_sums_to_one(lamp: Model) -> None:
    """Every row of every table, and the joint of hypothesis and core, is a distribution."""
    network = compile_network(lamp)
    for node in network.nodes.values():
        assert node.table.sum(axis=-1) == pytest.approx(np.ones(node.table.shape[:-1]))
        assert (node.table >= 0.0).all()
    assert network.joint.sum() == pytest.approx(1.0)


def test_what_is_away_shows_what_is_written_for_it(lamp: Model) -> None:
    """A bulb that comes and goes shows nothing while it is away: as none of these does, or what `away` says."""
    flickers = replace(lamp, faults=(replace(lamp.faults[0], comes_and_goes=0.2), *lamp.faults[1:]))
    look = replace(next(test for test in lamp.tests if test.id == "look"), away=(0.98, 0.02))
    told = replace(flickers, tests=tuple(look if test.id == "look" else test for test in lamp.tests))
    none, gone = 0, -1 - len(lamp.faults)  # last those that are left of two
    for model, likely in ((flickers, None), (told, [0.98, 0.02])):
        shown = compile_network(model).nodes["look"].shown
        for feed in range(shown.shape[1]):
            assert shown[gone, feed] == pytest.approx(likely or shown[none, feed])
    assert compile_network(flickers).nodes["look"].passing == ""
    assert compile_network(told).nodes["look"].passing == "lit"
