"""The bench of reasoning: cars as drawn, answers as told, the tree walked to its end, the sums as they should be."""

from __future__ import annotations

import itertools
import json
from dataclasses import replace
from pathlib import Path
from xml.etree import ElementTree as ET

import numpy as np
import pytest

from assistant.__main__ import run
from assistant.bench.accuracy import wilson
from assistant.bench.reason_cars import (
    MOST_STEPS,
    TWO_FAULTS,
    WRONG_ANSWERS,
    Car,
    Job,
    bend,
    draw_cars,
    reliability,
    until_it_runs,
    work_on,
)
from assistant.bench.reason_growth import growth_exponent, made_up_model
from assistant.bench.reason_picture import WIDTH, draw_reliability, draw_ways
from assistant.bench.reason_tree import walk_tree
from assistant.bench.reason_ways import advised, asked_tests, greedy, knows_the_fault, own_checks, planned, repair_next
from assistant.procedure.lettering import text_width
from assistant.reasoning.model import NONE_OF_THESE
from assistant.reasoning.network import compile_network
from assistant.reasoning.posterior import believe, fault_odds, value_odds
from assistant.reasoning.reasoner import make_reasoner
from assistant.wiring import load_model, procedures_at_hand, shipped_procedures

MODEL = load_model("no-start")


PROCEDURES = procedures_at_hand(shipped_procedures())
ASKED = asked_tests(MODEL, PROCEDURES)


def test_cars_follow_priors_and_likelihoods() -> None:
    """Of many cars each fault and each answer comes about as often as the network says, wrong answers included."""
    cars = draw_cars(MODEL, 4000, 3, bent=False)
    settings = replace(MODEL.settings, wrong_answers=WRONG_ANSWERS, two_faults=TWO_FAULTS)
    tests = tuple(replace(test, wrong=None) for test in MODEL.tests)
    network = compile_network(replace(MODEL, settings=settings, tests=tests))
    nothing = believe(network, {})
    for fault, chance in list(fault_odds(network, nothing).items())[:6]:
        share = np.mean([fault in car.faults for car in cars])
        assert share == pytest.approx(chance, abs=4 * np.sqrt(chance / 4000))
    for name in ("codes", "spark-check", "cranking-voltage"):
        for value, chance in value_odds(network, nothing, name).items():
            share = np.mean([car.answers[name] == value for car in cars])
            assert share == pytest.approx(chance, abs=4 * np.sqrt(chance / 4000))


def test_a_tenth_has_two_faults_and_half_is_bent() -> None:
    """The shares that the measure asks for; a car with two faults knows what either leaves behind."""
    cars = draw_cars(MODEL, 2000, 5)
    assert np.mean([car.bent for car in cars]) == pytest.approx(0.5)
    assert np.mean([len(car.faults) == 2 for car in cars]) == pytest.approx(TWO_FAULTS, abs=0.03)
    assert all(set(car.later) == car.faults for car in cars if len(car.faults) == 2)


def test_a_bent_model_is_off_by_at_most_the_factor() -> None:
    """No likelihood is more than twice, or less than half, what it was, beside the adding up; rows still add up."""
    bent = bend(MODEL, np.random.default_rng(1))
    for before, after in zip(MODEL.variables, bent.variables, strict=True):
        for one, other in zip(
            (before.default, *(row.likely for row in before.rows)),
            (after.default, *(row.likely for row in after.rows)),
            strict=True,
        ):
            assert sum(other) == pytest.approx(1.0)
            ratios = [b / a for a, b in zip(one, other, strict=True) if a]
            assert max(ratios) / min(ratios) <= 4.0 + 1e-9


def test_the_same_seed_draws_the_same_cars() -> None:
    """A run can be repeated."""
    assert draw_cars(MODEL, 5, 11) == draw_cars(MODEL, 5, 11)
    assert draw_cars(MODEL, 5, 11) != draw_cars(MODEL, 5, 12)


def healthy_answers(**seen: str) -> dict[str, str]:
    likeliest = {test.id: test.values[test.default.index(max(test.default))].id for test in MODEL.tests}
    return likeliest | {name.replace("_", "-"): value for name, value in seen.items()}


def plain_car(*faults: str, **seen: str) -> Car:
    answers = healthy_answers(**seen)
    return Car(faults=frozenset(faults), answers=answers, again=answers, later={})


def test_every_way_mends_a_plain_dead_pump() -> None:
    """A dead pump that answers as it should is repaired first by every way, and no part is fitted in vain."""
    car = plain_car(
        "pump-dead",
        pump_prime="silent",
        pump_near="silent",
        rail_pressure="low",
        fuel_pressure="none",
        fuel_substitute="runs",
        fuel_volume="none",
        volume_before_filter="little",
    )
    reasoner = make_reasoner(MODEL)
    found = [work_on(reasoner, car, way(ASKED)) for way in (planned, greedy, advised)]
    found.append(walk_tree(reasoner, PROCEDURES, "no-start", car))
    found.append(knows_the_fault(reasoner, own_checks(reasoner, ASKED), car))
    assert all(outcome.right and outcome.wrong_parts == 0 for outcome in found)
    assert found[0].minutes <= found[3].minutes
    assert found[0].minutes <= 1.15 * min(outcome.minutes for outcome in found[:4])  # not best on each car


def test_only_tests_that_a_session_asks_are_done() -> None:
    """Neither the planner nor the others do a test that no step of the procedures asks for."""
    reasoner = make_reasoner(MODEL)
    unasked = {test.id for test in MODEL.tests} - ASKED
    assert "timing-marks" in unasked
    for car in draw_cars(MODEL, 6, 21):
        for way in (planned, greedy, advised):
            job = Job(reasoner, car)
            until_it_runs(job, way(ASKED))
            assert not unasked & set(job.belief.evidence)


def test_who_tests_in_vain_for_ever_ends_in_a_search_that_counts() -> None:
    """One car in two thousand went on past the bound: it is measured like any other, its search on top."""
    reasoner = make_reasoner(MODEL)
    job = Job(reasoner, plain_car("pump-feed"))
    outcome = until_it_runs(job, lambda one: one.do("fuel-level"))
    assert job.runs and outcome.tests == MOST_STEPS
    tested = job.situation.minutes
    assert outcome.minutes == tested + MODEL.settings.search_min
    assert (outcome.first, outcome.right) == (NONE_OF_THESE, False)


def test_a_wrong_repair_costs_its_minutes_and_counts_its_part() -> None:
    """A pump fitted for a fuse: 90 minutes, two to see it, one part in vain; then the right one ends the job."""
    reasoner = make_reasoner(MODEL)
    job = Job(reasoner, plain_car("pump-feed"))
    job.repair("pump-dead")
    assert not job.runs
    assert fault_odds(reasoner.network, job.belief)["pump-dead"] < 0.02
    job.repair("pump-feed")
    outcome = job.outcome()
    assert job.runs
    assert (outcome.minutes, outcome.wrong_parts, outcome.right) == (92.0, 1, False)


def test_the_tree_leads_a_plain_car_to_its_fault() -> None:
    """The shipped procedures lead a car without spark and speed signal to the crank sensor."""
    car = plain_car(
        "crank-sensor",
        spark_check="none",
        second_coil="no-change",
        crank_signal="zero",
        crank_sensor_output="missing",
        codes="crank",
    )
    outcome = walk_tree(make_reasoner(MODEL), PROCEDURES, "no-start", car)
    assert outcome.first == "crank-sensor"
    assert outcome.right
    assert 5.0 < outcome.minutes < 60.0


def test_every_drawn_car_comes_to_an_end_in_the_tree() -> None:
    """No car goes in circles, and every car runs in the end."""
    reasoner = make_reasoner(MODEL)
    for car in draw_cars(MODEL, 200, 5):
        assert walk_tree(reasoner, PROCEDURES, "no-start", car).minutes > 0.0


def test_reliability_holds_odds_against_the_truth() -> None:
    """Cars that are repaired without any test are right as often as the odds say, within what chance allows."""
    cars = draw_cars(MODEL, 400, 9, bent=False)
    reasoner = make_reasoner(MODEL)
    outcomes = [until_it_runs(Job(reasoner, car), repair_next) for car in cars]
    bands = reliability(outcomes, cars, np.array([0.0, 0.5, 1.001]))
    assert sum(count for *_, count in bands) == 400
    for odds, right, count in bands:
        assert right == pytest.approx(odds, abs=4 * np.sqrt(0.25 / count))


def test_interval_of_a_share() -> None:
    """Wilson's interval of 8 in 10 is 0.490 to 0.943 (figures reckoned from the formula, which is from memory)."""
    assert wilson(8, 10) == pytest.approx((0.490, 0.943), abs=1e-3)


def test_growth_is_read_off_rightly() -> None:
    """Times that grow as the square give an exponent of two; the made-up model has the faults asked for."""
    assert growth_exponent({size: size**2 / 1e4 for size in (25, 100, 200, 500)}) == pytest.approx(2.0)
    assert len(compile_network(made_up_model(10)).hypotheses) == 1 + 10 + 45 + 10, "none, one, two, and one left of two"


def test_picture_is_well_formed_and_says_what_it_shows() -> None:
    """The picture is XML with a text alternative and one bar for each way."""
    rows = [("ours", 30.0, (28.0, 32.0), 0.87, (0.85, 0.89)), ("theirs", 60.0, (57.0, 63.0), 0.6, (0.57, 0.63))]
    root = ET.fromstring(draw_ways(rows, 2000))
    assert "ours 30 min, 87%" in (root.get("aria-label") or "")
    words = " ".join(element.text or "" for element in root.iter() if element.tag.endswith("text"))
    assert "ours: 30 min" in words
    assert "theirs: 60 min" in words


def test_the_picture_of_reliability_shows_every_band() -> None:
    """Each band stands at its odds and its share, told in words too, with the score over all."""
    bands = [(0.6, 0.5, 40), (0.97, 0.95, 200)]
    root = ET.fromstring(draw_reliability(bands, 0.123, 240))
    assert "97% said, 95% right of 200" in (root.get("aria-label") or "")
    dots = [each for each in root.iter() if each.tag.endswith("circle")]
    assert len(dots) == len(bands)
    across = [float(dot.get("cx") or 0) for dot in dots]
    up = [float(dot.get("cy") or 0) for dot in dots]
    assert across[0] < across[1] and up[0] > up[1], "surer to the right, more often right further up"
    words = " ".join(element.text or "" for element in root.iter() if element.tag.endswith("text"))
    assert "Brier 0.123" in words


def test_no_word_of_the_picture_leaves_it_or_runs_into_another() -> None:
    """In a wide face too: whoever looks has other fonts than we do."""
    names = ("two tests ahead", "two ahead, in 0.7 of its time", "fixed tree, then one ahead", "the last")
    rows = [
        (name, 36.0 * (at + 1), (30.0, 168.0), right, (0.4, 1.0))
        for (at, name), right in zip(enumerate(names), (0.4, 0.86, 1.0, 0.55), strict=True)
    ]
    boxes: list[tuple[float, float, float, str]] = []
    for each in ET.fromstring(draw_ways(rows, 2000)).iter():
        if not each.tag.endswith("text"):
            continue
        words, bold = each.text or "", each.get("font-weight") == "bold"
        width = text_width(words, float(each.get("font-size", "0")), bold=bold)
        begin = (
            float(each.get("x", "0"))
            - {"start": 0.0, "middle": 0.5, "end": 1.0}[each.get("text-anchor", "start")] * width
        )
        boxes.append((float(each.get("y", "0")), begin, begin + width, words))
    assert [words for _, begin, end, words in boxes if begin < 0 or end > WIDTH] == []
    for first, second in itertools.pairwise(sorted(boxes)):
        assert first[0] != second[0] or first[2] < second[1], (first, second)


def test_the_picture_can_be_drawn_again_from_what_was_measured(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """From the JSON that the bench printed, without measuring anything."""
    way = {"name": "ours", "minutes": 30.0, "minutes_between": [28.0, 32.0], "right": 0.87, "right_between": [0.8, 0.9]}
    figures, picture = tmp_path / "measured.json", tmp_path / "picture.svg"
    figures.write_text(json.dumps({"cars": 2000, "ways": [way]}))
    assert run(["bench", "reason", "--from", str(figures), "--plot", str(picture)]) == 0
    assert "ours: 30 min" in picture.read_text()
    assert run(["bench", "reason", "--from", str(figures)]) == 2
    assert "--plot" in capsys.readouterr().err
