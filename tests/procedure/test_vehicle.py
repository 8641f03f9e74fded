"""What is known of a car, in words that mean one thing only."""

import pytest

from assistant.procedure.vehicle import AMBIGUOUS, UNKNOWN, VEHICLE_FACTS, known_as, said_value, written_values


@pytest.mark.parametrize(
    ("fact", "value", "words"),
    [
        ("cylinders", "4", "four cylinders"), ("cylinders", "1", "one cylinder"), ("fuel", "diesel", "diesel"),
        ("hybrid", "no", "no hybrid"), ("throttle-by-wire", "yes", "throttle by wire"),
        ("fuel", "gas", "propane or natural gas"), ("ignition", "wasted-spark", "wasted spark"),
        ("fuel", UNKNOWN, "nobody knows the fuel"), ("hybrid", UNKNOWN, "nobody knows the hybrid"),
    ],
)  # fmt: skip
def test_what_is_known_already_is_said_in_plain_words(fact, value, words):
    """Gas is never called gas: to some it is petrol."""
    assert known_as(fact, value) == words


def test_every_value_of_every_fact_can_be_said():
    """And no two values of one fact sound the same."""
    for fact, values in VEHICLE_FACTS.items():
        said = [known_as(fact, value) for value in values]
        assert all(said) and len(set(said)) == len(said)
    assert said_value("ignition", "coil-on-plug") == "coil on plug"


def test_what_means_one_thing_to_some_and_another_to_others_cannot_be_written():
    """What people write for it can, and each stands for a value of the fact."""
    written = written_values("fuel")
    assert "gas" not in written and (written["propane"], written["gasoline"]) == ("gas", "petrol")
    for fact, values in VEHICLE_FACTS.items():
        assert set(written_values(fact).values()) <= set(values)
        assert not AMBIGUOUS.get(fact, frozenset()) & set(written_values(fact))
