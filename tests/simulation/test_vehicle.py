"""Vehicle facts stay open until a step parts them."""

from __future__ import annotations

from assistant.simulation.coverage import Coverage
from assistant.simulation.search import search
from assistant.simulation.vehicle import ANYTHING, chosen_value, known_exactly, parted
from tests.simulation import made_up as m

CHOICE = m.choose("by-fuel", "fuel", {"diesel": "no", "gas": "no", "petrol": "yes"}, "ask")


def test_values_are_parted_by_where_they_lead() -> None:
    """Two values that lead the same way stay together; not known goes with what the choice does not name."""
    assert set(parted(CHOICE, ANYTHING["fuel"])) == {
        frozenset({"diesel", "gas"}),
        frozenset({"petrol"}),
        frozenset({None, "unknown", "dual"}),
    }


def test_a_question_is_passed_only_with_a_value_that_it_offers() -> None:
    """What it does not offer is asked, as if it were not known."""
    question = m.ask("drive", {"yes": "a", "no": "b"}, vehicle="hybrid")
    assert set(parted(question, ANYTHING["hybrid"])) == {
        frozenset({"yes"}),
        frozenset({"no"}),
        frozenset({None, "unknown"}),
    }


def test_one_value_stands_for_its_part() -> None:
    """Not known comes first, so that nothing is made up where nothing need be."""
    assert chosen_value(frozenset({"yes", None})) is None
    assert chosen_value(frozenset({"yes", "no"})) == "no"


def test_what_is_known_exactly_can_be_nothing_else() -> None:
    """A fact that was not given is just that."""
    known = known_exactly({"fuel": "diesel", "plate": "MADE UP"})
    assert known["fuel"] == {"diesel"} and known["hybrid"] == {None} and "plate" not in known


def test_values_that_nobody_looks_at_make_no_situations() -> None:
    """Ten numbers of cylinders asked and never used make no more situations behind the question than before it."""
    numbers = {str(number): "next" for number in (1, 2, 3, 4, 5, 6, 8, 10, 12)} | {"unknown": "next"}
    family = m.library(
        m.procedure(
            "job", m.ask("cylinders", numbers, vehicle="cylinders"), m.instruct("next", "end"), m.finding("end")
        )
    )
    coverage = Coverage(family)
    walked = search(family, "job", coverage)
    places = [arrival.place[1] for arrival in walked.trail.arrivals.values()]
    assert places.count("next") == places.count("cylinders")  # one for each car that the job may begin with
    assert len([result for result in coverage.results if result[1] == "cylinders"]) == 10


def test_the_way_tells_the_answer_that_it_needs() -> None:
    """Behind a choice the way gives the answer that leads there, not one that stood for it before."""
    family = m.library(
        m.procedure(
            "job",
            m.ask("drive", {"yes": "look", "no": "look", "unknown": "look"}, vehicle="hybrid"),
            m.ask("look", {"well": "by-drive"}),
            m.choose("by-drive", "hybrid", {"yes": "special"}, "plain"),
            m.instruct("special", "end"),
            m.instruct("plain", "end"),
            m.finding("end"),
        )
    )
    trail = search(family, "job", Coverage(family)).trail
    told = {arrival.place[1]: trail.way(number).told() for number, arrival in trail.arrivals.items()}
    assert told["special"] == "given hybrid yes; said it is well"
    ways = [trail.way(number) for number, arrival in trail.arrivals.items() if arrival.place[1] == "plain"]
    assert all(way.given.get("hybrid") != "yes" for way in ways) and ways
