"""Fault model files: what is fit is read, what is not is told with line and column."""

from __future__ import annotations

import pytest

from assistant.errors import ProcedureError
from assistant.procedure.model import Kind, Procedure
from assistant.procedure.reader import read_procedure
from assistant.reasoning.model import Model
from assistant.reasoning.reader import check_model_text, read_model
from assistant.reasoning.reasoner import Reasoner
from assistant.wiring import load_library, procedures_at_hand, shipped_folder, shipped_procedures
from tests.broken import Broken, broken
from tests.reasoning.conftest import LAMP

FILES = broken(".faults.yaml")


@pytest.mark.parametrize("file", FILES, ids=lambda file: file.name)
def test_tells_exactly_these_faults(file: Broken) -> None:
    """A broken model yields the expected messages, each at its line and column, and no other."""
    assert file.told
    assert [str(fault).removeprefix(f"{file.file}:") for fault in check_model_text(file.file, file.text)] == file.told


def test_all_faults_come_in_one_error() -> None:
    """Reading a broken model raises one error that holds every fault."""
    file = next(file for file in FILES if file.name == "many-faults")
    with pytest.raises(ProcedureError) as caught:
        read_model(file.file, file.text)
    assert str(caught.value).splitlines() == [f"{file.file}:{line}" for line in file.told]


def test_reads_what_is_written(lamp: Model) -> None:
    """A fit model keeps its numbers, names and order."""
    assert [fault.id for fault in lamp.faults] == ["dead-bulb", "no-feed", "bad-switch"]
    assert lamp.settings.none_of_these == 0.1
    volts = lamp.test("volts")
    assert volts.default == (0.95, 0.05)
    assert volts.depends == ("feed",)
    assert volts.work is not None
    assert (volts.work.minutes, volts.work.set_ups) == (2.0, ("meter",))
    assert [(band.result, band.at_least, band.below) for band in volts.bands] == [
        ("low", None, 11.0),
        ("good", 11.0, None),
    ]


def test_shipped_model_is_fit_and_linked() -> None:
    """The shipped model has no fault and reads its findings from steps and results that exist."""
    path = shipped_folder("procedures") / "no-start.faults.yaml"
    procedures = procedures_at_hand(shipped_procedures())
    assert check_model_text(str(path), path.read_text(encoding="utf-8"), procedures) == ()


@pytest.mark.parametrize(
    ("old", "new", "message"),
    [
        ("procedure: no-start, step: changed", "procedure: no-stort, step: changed", "unknown procedure 'no-stort'"),
        ("procedure: no-start, step: changed", "procedure: no-start, step: chunged", "no step 'chunged'"),
        ("results: {nothing: nothing,", "results: {nought: nothing,", "unknown results nought of step 'changed'"),
    ],
)
def test_broken_links_are_told(old: str, new: str, message: str) -> None:
    """A finding read from a procedure, step or result that does not exist is told with its place."""
    path = shipped_folder("procedures") / "no-start.faults.yaml"
    text = path.read_text(encoding="utf-8")
    faults = check_model_text(str(path), text.replace(old, new, 1), procedures_at_hand(shipped_procedures()))
    assert len(faults) == 1
    assert message in faults[0].message
    assert faults[0].line == text[: text.index(old)].count("\n") + 1


@pytest.mark.parametrize(
    ("old", "new", "message"),
    [
        ("      - spark-check/look\n", "", "'spark-check/look', which asks and feeds no test"),
        (
            "- spark-check/look",
            "- injector-pulse/fit",
            "'injector-pulse/fit' in 'feeds_nothing', which asks nothing",
        ),
        (
            "- spark-check/look",
            "- injector-pulse/lamp",
            "'injector-pulse/lamp' in 'feeds_nothing', which feeds a test",
        ),
    ],
)
def test_every_question_is_accounted_for(old: str, new: str, message: str) -> None:
    """What the no-start family asks feeds a test or stands among what feeds nothing, with its reason."""
    path = shipped_folder("procedures") / "no-start.faults.yaml"
    text = path.read_text(encoding="utf-8")
    assert text.count(old) == 1
    faults = check_model_text(str(path), text.replace(old, new), procedures_at_hand(shipped_procedures()))
    assert message in faults[0].message


def test_every_fault_that_a_procedure_proves_under_a_known_name_is_in_the_model() -> None:
    """Findings of the no-start family share their fault names with the model wherever both know the fault."""
    path = shipped_folder("procedures") / "no-start.faults.yaml"
    model = read_model(str(path), path.read_text(encoding="utf-8"))
    proved = {
        step.finding.fault
        for procedure in _family()
        for step in procedure.steps
        if step.finding is not None and step.finding.fault
    }
    shared = proved & {fault.id for fault in model.faults}
    assert {"empty-tank", "pump-dead", "crank-sensor", "coil-dead", "security", "timing-slipped"} <= shared


def _family() -> list[Procedure]:
    folder = shipped_folder("procedures")
    loaded = [
        read_procedure(str(folder / f"{name}.yaml"), (folder / f"{name}.yaml").read_text(encoding="utf-8"))
        for name in shipped_procedures()
    ]
    return [known.procedure for known in loaded if known.procedure is not None]


NO_FAULT = frozenset(
    {
        "open",
        "runs-now",
        "place-not-safe",
        "high-voltage",
        "other-fuel",
        "no-crank-open",
        "slow-crank-open",
        "codes-came-back",
        "not-mended",
        "not-ready",
        "start-holds",
    }
)
"""Findings that end a job without saying what is wrong with the engine."""

NEVER_FOUND = {"not-charging"}
"""Faults that no procedure names as its finding yet; the odds still tell of them."""


def test_every_finding_of_no_start_means_something_to_the_model(shipped: Reasoner) -> None:
    """Each is a fault of the model, one that it covers, one beyond it, or known to be none; what is only beside it has
    faults of its own."""
    root, used = load_library("no-start")
    beside = {each.procedure for each in used[root].led.beside}
    family = [one for name, one in used.items() if name not in beside]
    found = {step.finding.fault for one in family for step in one.steps if step.finding and step.finding.fault}
    assert {fault for fault in found if shipped.model.meant_by(fault) is None} == found & NO_FAULT
    meant = {shipped.model.meant_by(fault) for fault in found}
    assert {fault.id for fault in shipped.model.faults} - meant == NEVER_FOUND


def test_no_result_of_a_called_procedure_is_evidence() -> None:
    """Going back strikes what was said, not the outcomes of calls: so none of these may count."""
    model = read_model("no-start.faults.yaml", (shipped_folder("procedures") / "no-start.faults.yaml").read_text())
    procedures = procedures_at_hand(shipped_procedures())
    for test in model.tests:
        for seen in test.seen_from:
            assert procedures[seen.procedure].step(seen.step).kind is not Kind.CALL, (test.id, seen.step)


@pytest.mark.parametrize(
    ("old", "new", "message"),
    [
        ("set_ups: [meter]", "set_ups: [meter, meter]", "found set-up 'meter' twice"),
        ("moving: {hood: 0.5", "moving: {hood: -0.5", "found -0.5 minutes; expected 0 or more"),
        ("prior_repairs: 50", "prior_repairs: 0", "found 0 for 'prior_repairs'; expected more than 0"),
        ("minutes_a_bit: 30", "minutes_a_bit: -1", "found -1 for 'minutes_a_bit'; expected more than 0"),
        ("results: {bright: lit,", "results: {bright: lot,", "found unknown result 'lot'"),
    ],
)
def test_numbers_and_names_out_of_bounds_are_told(old: str, new: str, message: str) -> None:
    """One fault each, with what was expected; as it was written the model is fit."""
    assert check_model_text("lamp.faults.yaml", LAMP) == ()
    assert LAMP.count(old) >= 1
    text = LAMP.replace(old, new, 1)
    assert [fault for fault in check_model_text("lamp.faults.yaml", text) if message in fault.message]
    with pytest.raises(ProcedureError, match="expected"):
        read_model("lamp.faults.yaml", text)  # however much of it could be read


def test_conditions_that_are_too_many_to_reckon_are_refused() -> None:
    """They are named, with how many numbers they would make; a model is never begun that could not be thought with."""
    values = ", ".join(f"{{id: v{each}, say: v{each}}}" for each in range(40))
    made = [
        f"  - {{id: c{each}, say: c, values: [{values}], default: {{v0: 0.5, v1: 0.5}}, rows: [], source: judgement}}"
        for each in range(3)
    ]
    rows = [f"      - {{given: {{c{each}: [v1]}}, likely: {{lit: 1}}}}" for each in range(3)]
    text = LAMP.replace("conditions:\n", "conditions:\n" + "\n".join(made) + "\n").replace(
        "    rows:\n      - {given: {feed: [gone]}, likely: {dark: 1}}\n",
        "    rows:\n" + "\n".join(rows) + "\n      - {given: {feed: [gone]}, likely: {dark: 1}}\n",
    )
    faults = check_model_text("lamp.faults.yaml", text)
    (fault,) = [each for each in faults if "combinations" in each.message]
    assert f"found {3 * 40**3} combinations" in fault.message and "(c0, c1, c2, feed)" in fault.message


def test_a_block_that_no_step_begins_is_told() -> None:
    """A plan would lead into nothing."""
    path = shipped_folder("procedures") / "no-start.faults.yaml"
    text = path.read_text(encoding="utf-8")
    model = read_model(str(path), text)
    begins = model.blocks[0].step
    odd = text.replace(f"step: {begins}", "step: nowhere", 1)
    assert odd != text
    faults = check_model_text(str(path), odd, procedures_at_hand(shipped_procedures()))
    assert any("nowhere" in each.message and "expected one of its steps" in each.message for each in faults)
