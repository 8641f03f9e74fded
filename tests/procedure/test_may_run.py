"""A crank that nothing keeps from running is guarded as a running engine: proved by taking each guard away."""

import pytest

from assistant.procedure.checks import check_texts

TURN = """    cautions: [start-up]
    gates: [no-smell, hands-clear]
    say: Foot off the pedal. Crank for five seconds"""


def faults_of(shipped, old, new, path="procedures/cranking-check.yaml"):
    """The faults of one shipped procedure with one change."""
    assert old in shipped[path]
    beside = {each: text for each, text in shipped.items() if each != path}
    texts = {path: shipped[path].replace(old, new)}
    return [str(each) for each in check_texts(texts, [], beside=beside, by_ear=False)]


def test_the_cranking_check_as_shipped_is_guarded(shipped):
    """Nothing to tell of it as it stands."""
    assert faults_of(shipped, TURN, TURN) == []


@pytest.mark.parametrize(
    ("old", "new", "told"),
    [
        ("gates: [no-smell, hands-clear]", "gates: [hands-clear]", "a crank without the gate 'no-smell'"),
        (", running-engine, exhaust-gas]\n    minutes", "]\n    minutes", "a crank without exhaust-gas"),
    ],
)
def test_a_guard_taken_away_is_told(shipped, old, new, told):
    """Each by its own message, at the step."""
    found = faults_of(shipped, old, new)
    assert [each for each in found if told in each and "step 'turn'" in each]


def test_with_the_fuel_off_no_running_engine_is_asked_for(shipped):
    """The voltage drops crank with the pump's fuse out, which their own gate asks for."""
    old, path = "gates: [fuel-off, hands-clear]", "procedures/voltage-drop-ground.yaml"
    assert not faults_of(shipped, old, old, path)
    assert sum("running-engine" in each for each in faults_of(shipped, old, "gates: [hands-clear]", path)) == 2


def test_a_coil_comes_off_only_behind_the_word_about_its_voltage(shipped):
    """The first coil as well as the second."""
    path = "procedures/spark-check-coil-on-plug.yaml"
    old = "    hazards: [high-secondary-voltage]\n    needs: [key-off]\n"
    (fault,) = faults_of(shipped, old, "    hazards: []\n", path)
    assert "step 'first-coil': found 'first coil' coming off without high-secondary-voltage" in fault


@pytest.mark.parametrize(
    ("path", "old", "new", "told"),
    [
        (
            "pump-feed",
            "say: Press the button down.",
            "say: Look for leaks first. Dry? Then press the button down.",
            "step 'reset': found a question before an order",
        ),
        (
            "charging",
            "Hold two thousand revs. What",
            "Hold two thousand revs. After one minute, what",
            "step 'loaded': found 'After one minute' in a question",
        ),
    ],
)
def test_one_thing_is_asked_at_a_time(shipped, path, old, new, told):
    """A look before a button is a gate; a question about minutes stands behind a wait that counted them."""
    (fault,) = faults_of(shipped, old, new, f"procedures/{path}.yaml")
    assert told in fault
