"""Beliefs: order does not matter, striking and replacing leave no trace, the impossible is said."""

from __future__ import annotations

from itertools import permutations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from assistant.reasoning.model import NONE_OF_THESE, Model
from assistant.reasoning.network import compile_network
from assistant.reasoning.posterior import believe, fault_odds, repaired, see, value_odds, without
from assistant.reasoning.reasoner import Reasoner


def test_order_of_findings_does_not_matter(lamp: Model) -> None:
    """Any order of the same findings gives the same odds."""
    network = compile_network(lamp)
    findings = [("look", "dark"), ("volts", "good"), ("current", "none")]
    odds = [fault_odds(network, believe(network, dict(order))) for order in permutations(findings)]
    for other in odds[1:]:
        assert other == pytest.approx(odds[0])


def test_struck_and_replaced_findings_leave_no_trace(lamp: Model) -> None:
    """Evidence without a finding, or with another value for it, is what it would have been from the start."""
    network = compile_network(lamp)
    whole = {"look": "dark", "volts": "low"}
    struck = {name: value for name, value in whole.items() if name != "volts"}
    assert fault_odds(network, believe(network, struck)) == fault_odds(network, believe(network, {"look": "dark"}))
    replaced = {**whole, "volts": "good"}
    fresh = believe(network, {"look": "dark", "volts": "good"})
    assert fault_odds(network, believe(network, replaced)) == fault_odds(network, fresh)


def test_by_hand(lamp: Model) -> None:
    """One finding on the current moves the odds as Bayes says, pairs included."""
    network = compile_network(lamp)
    odds = fault_odds(network, believe(network, {"current": "none"}))
    bulb_alone, feed_alone, switch_alone, none = 0.45, 0.27, 0.09, 0.09
    bulb_feed, bulb_switch, feed_switch = (0.1 * share / 0.23 for share in (0.15, 0.05, 0.03))
    both = 1.0 - 0.05 * 0.05  # two faults that each stop the current
    seen = (
        0.95 * (bulb_alone + switch_alone + bulb_feed + feed_switch) + 0.05 * (feed_alone + none) + both * bulb_switch
    )
    assert odds["dead-bulb"] == pytest.approx((0.95 * (bulb_alone + bulb_feed) + both * bulb_switch) / seen)
    assert odds[NONE_OF_THESE] == pytest.approx(0.05 * none / seen)


def test_a_finding_is_certain_of_itself(lamp: Model) -> None:
    """What was seen has odds of one, and a condition behind it moves."""
    network = compile_network(lamp)
    belief = believe(network, {"volts": "low"})
    assert value_odds(network, belief, "volts") == {"good": 0.0, "low": 1.0}
    before = value_odds(network, believe(network, {}), "feed")
    assert value_odds(network, belief, "feed")["gone"] > before["gone"]


def test_what_cannot_be_is_said(lamp: Model) -> None:
    """A finding that no hypothesis allows leaves the prior and says so."""
    network = compile_network(lamp)
    belief = believe(network, {"feed": "gone", "look": "lit"})
    assert not belief.possible
    assert belief.hypotheses == pytest.approx(network.prior)


def test_unknown_names_raise(lamp: Model) -> None:
    """A test or result that the model lacks is an error, not silence."""
    network = compile_network(lamp)
    with pytest.raises(KeyError):
        believe(network, {"lok": "dark"})
    with pytest.raises(KeyError):
        believe(network, {"look": "drak"})


@settings(max_examples=60)
@given(data=st.data())
def test_odds_are_odds(shipped: Reasoner, data: st.DataObject) -> None:
    """Whatever is seen, every fault has odds from 0 to 1, and the hypotheses add up to 1."""
    tests = data.draw(st.lists(st.sampled_from(shipped.model.tests), unique_by=lambda test: test.id, max_size=12))
    evidence = {test.id: data.draw(st.sampled_from(test.values)).id for test in tests}
    belief = believe(shipped.network, evidence)
    assert belief.possible
    assert belief.hypotheses.sum() == pytest.approx(1.0)
    assert all(0.0 <= odds <= 1.0 + 1e-9 for odds in fault_odds(shipped.network, belief).values())


def test_one_more_result_is_as_if_it_had_been_there_from_the_beginning(lamp: Model) -> None:
    """A first look and a second one; what stands in the evidence is the first."""
    network = compile_network(lamp)
    once = see(network, see(network, believe(network, {}), "volts", "low"), "look", "dark")
    whole = {"volts": "low", "look": "dark"}
    assert once.evidence == whole and dict(once.again) == {}
    assert fault_odds(network, once) == pytest.approx(fault_odds(network, believe(network, whole)))
    twice = see(network, once, "look", "lit")
    assert (twice.evidence, dict(twice.again)) == (whole, {"look": "lit"})
    assert fault_odds(network, twice) == pytest.approx(fault_odds(network, believe(network, whole, {"look": "lit"})))


def test_what_was_repaired_without_cure_is_no_longer_the_fault(lamp: Model) -> None:
    """Alone it is out; of two faults the other is left, as one with conditions of its own; nothing else gains."""
    network = compile_network(lamp)
    before = believe(network, {"look": "dark"})
    after = repaired(network, before, "dead-bulb")
    first, second = network.holds
    number = network.faults.index("dead-bulb")
    assert after.weights[(first == number) | (second == number)].sum() == 0.0
    alone = before.weights[(first == number) & (second == number)].sum()
    assert after.weights.sum() == pytest.approx(before.weights.sum() - alone)
    for other in ("no-feed", "bad-switch"):
        own = network.faults.index(other)
        pair = ((first == number) & (second == own)) | ((first == own) & (second == number))
        kept = before.weights[1 + own].sum() + before.weights[pair].sum()
        assert after.weights[(first == own) & (second == own)].sum() == pytest.approx(kept)
    assert fault_odds(network, after)["dead-bulb"] == 0.0
    with pytest.raises(KeyError):
        repaired(network, before, "no-such-fault")


def test_a_search_that_found_nothing_leaves_no_other_fault_behind(lamp: Model) -> None:
    """None of these is out; the odds of the others stand to each other as before."""
    network = compile_network(lamp)
    before, after = believe(network, {}), repaired(network, believe(network, {}), NONE_OF_THESE)
    was, now = fault_odds(network, before), fault_odds(network, after)
    assert now[NONE_OF_THESE] == 0.0
    assert now["dead-bulb"] / now["no-feed"] == pytest.approx(was["dead-bulb"] / was["no-feed"])


def test_what_is_left_out_is_as_if_it_had_not_been_seen(lamp: Model) -> None:
    """With its second look; what a finding excludes stays excluded."""
    network = compile_network(lamp)
    once = believe(network, {"volts": "good", "current": "none"})
    twice = see(network, once, "volts", "good")
    for belief in (once, twice):
        left = without(network, belief, "volts")
        assert fault_odds(network, left) == pytest.approx(fault_odds(network, believe(network, {"current": "none"})))
        assert left.evidence == {"current": "none"} and left.again == {}
    assert fault_odds(network, without(network, believe(network, {"feed": "gone"}), "feed"))["dead-bulb"] < 0.5
    with pytest.raises(KeyError):
        without(network, once, "look")
