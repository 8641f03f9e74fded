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
from assistant.bench.reason import wilson
from assistant.bench.reason_cars import (
    WRONG_ANSWERS,
    Car,
    draw_cars,
    in_order,
    look_ahead,
    one_step,
    probability_over_cost,
    work_on,
)
from assistant.bench.reason_growth import growth_exponent, made_up_model
from assistant.bench.reason_picture import draw_ways
from assistant.bench.reason_tree import walk_tree
from assistant.procedure.lettering import text_width
from assistant.reasoning.network import compile_network
from assistant.reasoning.posterior import believe, fault_odds, value_odds
from assistant.reasoning.reasoner import make_reasoner
from assistant.record.pictures.canvas import WIDTH
from assistant.wiring import load_model, procedures_at_hand, shipped_procedures

MODEL = load_model("no-start")


def test_cars_follow_priors_and_likelihoods() -> None:
    """Of many cars each fault and each answer comes about as often as the network says, wrong answers included."""
    cars = draw_cars(MODEL, 4000, 3)
    network = compile_network(replace(MODEL, settings=replace(MODEL.settings, wrong_answers=WRONG_ANSWERS)))
    nothing = believe(network, {})
    for fault, chance in list(fault_odds(network, nothing).items())[:6]:
        share = np.mean([fault in car.faults for car in cars])
        assert share == pytest.approx(chance, abs=4 * np.sqrt(chance / 4000))
    for name in ("codes", "spark-check", "cranking-voltage"):
        for value, chance in value_odds(network, nothing, name).items():
            share = np.mean([car.answers[name] == value for car in cars])
            assert share == pytest.approx(chance, abs=4 * np.sqrt(chance / 4000))


def test_the_same_seed_draws_the_same_cars() -> None:
    """A run can be repeated."""
    assert draw_cars(MODEL, 5, 11) == draw_cars(MODEL, 5, 11)
    assert draw_cars(MODEL, 5, 11) != draw_cars(MODEL, 5, 12)


def healthy_answers(**seen: str) -> dict[str, str]:
    return {test.id: test.values[0].id for test in MODEL.tests} | {
        name.replace("_", "-"): value for name, value in seen.items()
    }


def test_every_way_finds_a_plain_dead_pump() -> None:
    """A dead pump that answers as it should is found by every way of choosing tests; looking ahead needs least."""
    answers = healthy_answers(
        pump_prime="silent", pump_direct="dead", fuel_pressure="none", fuel_substitute="runs", fuel_volume="none"
    )
    car = Car(faults=frozenset({"pump-dead"}), answers=answers, again=answers)
    reasoner = make_reasoner(MODEL)
    ways = (look_ahead, one_step, probability_over_cost, in_order)
    found = [work_on(reasoner, car, way(reasoner)) for way in ways]
    assert all(outcome.right for outcome in found)
    assert found[0].minutes <= min(outcome.minutes for outcome in found)


def test_the_tree_leads_a_plain_car_to_its_fault() -> None:
    """The shipped procedures lead a car without spark and speed signal to the crank sensor."""
    answers = healthy_answers(
        spark_check="none", second_coil="no-change", crank_signal="zero", crank_sensor_output="missing", codes="crank"
    )
    car = Car(faults=frozenset({"crank-sensor"}), answers=answers, again=answers)
    outcome = walk_tree(make_reasoner(MODEL), procedures_at_hand(shipped_procedures()), "no-start", car)
    assert outcome.top == "crank-sensor"
    assert outcome.right
    assert 5.0 < outcome.minutes < 60.0


def test_every_drawn_car_comes_to_an_end_in_the_tree() -> None:
    """No car goes in circles, and none leaves the procedures but by a finding."""
    reasoner, procedures = make_reasoner(MODEL), procedures_at_hand(shipped_procedures())
    for car in draw_cars(MODEL, 300, 5):
        assert walk_tree(reasoner, procedures, "no-start", car).minutes > 0.0


def test_interval_of_a_share() -> None:
    """Wilson's interval of 8 in 10 is 0.490 to 0.943 (figures reckoned from the formula, which is from memory)."""
    assert wilson(0.8, 10) == pytest.approx((0.490, 0.943), abs=1e-3)


def test_growth_is_read_off_rightly() -> None:
    """Times that grow as the square give an exponent of two; the made-up model has the faults asked for."""
    assert growth_exponent({size: size**2 / 1e4 for size in (25, 100, 200, 500)}) == pytest.approx(2.0)
    assert len(compile_network(made_up_model(10)).hypotheses) == 1 + 10 + 45


def test_picture_is_well_formed_and_says_what_it_shows() -> None:
    """The picture is XML with a text alternative and one bar for each way."""
    rows = [("ours", 30.0, (28.0, 32.0), 0.87, (0.85, 0.89)), ("theirs", 60.0, (57.0, 63.0), 0.6, (0.57, 0.63))]
    root = ET.fromstring(draw_ways(rows, 2000))
    assert "ours 30 min, 87%" in (root.get("aria-label") or "")
    words = " ".join(element.text or "" for element in root.iter() if element.tag.endswith("text"))
    assert "ours: 30 min" in words
    assert "theirs: 60 min" in words


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
