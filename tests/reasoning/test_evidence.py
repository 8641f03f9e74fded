"""What was logged becomes evidence; what is unknown is passed over."""

from __future__ import annotations

import pytest

from assistant.reasoning.evidence import OWN_CHOICE, evidence_from_facts, result_of_reading
from assistant.reasoning.model import Model
from assistant.reasoning.reasoner import Reasoner


def test_results_become_evidence(lamp: Model) -> None:
    """A logged result stands for the value that the model maps it to."""
    assert evidence_from_facts(lamp, [("lamp-check", "look", "dull")]) == {"look": "dark"}


def test_the_last_word_counts(lamp: Model) -> None:
    """A test logged again replaces what it gave before and moves to the end."""
    logged = [("lamp-check", "look", "dull"), ("lamp-check", "volts", 12.0), ("lamp-check", "look", "bright")]
    assert list(evidence_from_facts(lamp, logged).items()) == [("volts", "good"), ("look", "lit")]


def test_unknown_steps_and_results_are_passed_over(lamp: Model) -> None:
    """Steps, results and numbers that the model cannot use change nothing."""
    logged = [("lamp-check", "sniff", "clean"), ("lamp-check", "look", "purple"), ("lamp-check", "look", 3.0)]
    assert evidence_from_facts(lamp, logged) == {}


@pytest.mark.parametrize(("volts", "result"), [(-1.0, "low"), (10.99, "low"), (11.0, "good"), (14.4, "good")])
def test_readings_go_by_bands(lamp: Model, volts: float, result: str) -> None:
    """A reading stands for the band that holds it; the lower edge belongs to the band above."""
    assert result_of_reading(lamp.test("volts"), volts) == result


def test_band_ids_of_the_procedure_count_too(lamp: Model) -> None:
    """A reading that was logged by its band, with limits of its own vehicle, is taken by that band."""
    assert evidence_from_facts(lamp, [("lamp-check", "volts", "enough")]) == {"volts": "good"}


@pytest.mark.parametrize(
    ("codes", "result"),
    [
        (["none"], "none"),
        (["P0335"], "crank"),
        (["P0335", "P0420"], "crank"),
        (["P0420", "P0335"], "crank"),
        (["P0171"], "other"),
        (["P0230", "P0341"], "cam"),
    ],
)
def test_fault_codes(shipped: Reasoner, codes: list[str], result: str) -> None:
    """Of several codes the most telling counts; an unlisted one is of no account."""
    logged = [("no-start", "codes", code) for code in codes]
    assert evidence_from_facts(shipped.model, logged) == {"codes": result}


def test_a_real_run_of_the_shipped_procedures(shipped: Reasoner) -> None:
    """Results of the shipped steps become the tests of the shipped model."""
    logged = [
        ("no-start", "fuel-level", "some"),
        ("no-start", "security", "out"),
        ("battery-state", "rest-volts", 12.6),
        ("cranking-check", "turn", "normal"),
        ("spark-check-coil-on-plug", "first-crank", "none"),
        ("no-spark", "speed", "zero"),
    ]
    assert evidence_from_facts(shipped.model, logged) == {
        "fuel-level": "plenty",
        "security-lamp": "off",
        "battery-at-rest": "good",
        "starts-and-dies": "never",
        "cranking-speed": "normal",
        "spark-check": "none",
        "crank-signal": "zero",
    }


def test_what_was_told_of_a_test_counts_by_its_own_words(lamp: Model) -> None:
    """The last word on it counts; a test or result that this model has lost is passed over."""
    told = [(OWN_CHOICE, "look", "dark"), (OWN_CHOICE, "volts", "good"), (OWN_CHOICE, "look", "lit")]
    assert list(evidence_from_facts(lamp, told).items()) == [("volts", "good"), ("look", "lit")]
    assert evidence_from_facts(lamp, [(OWN_CHOICE, "sniff", "dark"), (OWN_CHOICE, "look", "dull")]) == {}
