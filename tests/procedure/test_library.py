"""A library is checked together; what is not asked about is not told."""

from __future__ import annotations

import json
import re

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from assistant.language.commands import command_phrases, phrases_beside_answers
from assistant.language.quantities import MEASURES
from assistant.procedure.checks import check_library, check_texts
from assistant.procedure.fault import Fault
from assistant.procedure.model import Procedure
from assistant.procedure.reader import read_procedure
from assistant.procedure.units import UNITS
from tests.procedure.conftest import SHIPPED


@pytest.fixture(scope="module")
def library(shipped: dict[str, str]) -> dict[str, Procedure]:
    """All shipped procedures by their ids; each reads without a fault, and no two have one id."""
    read = [read_procedure(path, text) for path, text in shipped.items()]
    assert [str(fault) for each in read for fault in each.faults] == []
    procedures = {each.procedure.id: each.procedure for each in read if each.procedure is not None and each.whole}
    assert len(procedures) == len(shipped)
    return procedures


@pytest.mark.parametrize("id_", [path.stem for path in SHIPPED])
def test_a_shipped_procedure_is_fit_to_use(library: dict[str, Procedure], id_: str) -> None:
    """No fault in any shipped procedure, phrase or number; each is named by its file."""
    phrases, beside = command_phrases(), phrases_beside_answers()
    assert [str(fault) for fault in check_library(library, phrases, only={id_}, beside_answers=beside)] == []
    assert id_ in library


def test_faults_of_files_beside_are_not_told(every_kind: str, lamp: dict[str, str]) -> None:
    """A broken neighbour is the business of its own check."""
    beside = {"lamp.yaml": lamp["lamp.yaml"].replace("minutes: 0.1", "minutes: soon")}
    assert check_texts({"every-kind.yaml": every_kind}, (), beside=beside) == []
    assert len(check_texts({"every-kind.yaml": every_kind, **beside}, ())) == 1


def test_two_files_of_one_id_are_told(every_kind: str, lamp: dict[str, str]) -> None:
    """The second file that claims an id is named, and the first beside it."""
    faults = check_texts({"a/every-kind.yaml": every_kind, "b/every-kind.yaml": every_kind, **lamp}, ())
    assert [fault.message for fault in faults] == [
        "found the id 'every-kind', which 'a/every-kind.yaml' has too; expected each id once; do rename one of them"
    ]


def test_checks_take_procedures_that_were_read_before(every_kind: str, lamp: dict[str, str]) -> None:
    """Whoever holds a library checks it without its text."""
    texts = {"every-kind.yaml": every_kind, **lamp}
    read = [read_procedure(path, text).procedure for path, text in texts.items()]
    procedures = {procedure.id: procedure for procedure in read if procedure is not None}
    assert check_library(procedures, command_phrases(), beside_answers=phrases_beside_answers()) == []
    assert len(check_library({"every-kind": procedures["every-kind"]}, ())) > 0


def test_faults_come_by_place_and_as_json(every_kind: str) -> None:
    """Sorted by file, line and column; the plain form holds all of it."""
    faults = check_texts({"every-kind.yaml": every_kind.replace("minutes: 1\n", "minutes: 0\n")}, ())
    assert [(fault.line, fault.column) for fault in faults] == sorted((fault.line, fault.column) for fault in faults)
    fault = Fault(path="a.yaml", line=3, column=7, step="look", message="found x; expected y; do z")
    assert str(fault) == "a.yaml:3:7 step 'look': found x; expected y; do z"
    assert json.loads(json.dumps(fault.plain())) == {
        "path": "a.yaml",
        "line": 3,
        "column": 7,
        "part": "step",
        "step": "look",
        "message": "found x; expected y; do z",
    }


@settings(max_examples=60)
@given(st.data())
def test_a_damaged_file_is_checked_to_the_end(every_kind: str, lamp: dict[str, str], data: st.DataObject) -> None:
    """Whatever word is put for another, the checks come to an end and tell only of that file."""
    words = re.split(r"(\W+)", every_kind)
    for _ in range(data.draw(st.integers(1, 4))):
        one, other = (data.draw(st.integers(0, len(words) // 2 - 1)) * 2 for _ in range(2))
        words[one] = words[other]
    faults = check_texts({"every-kind.yaml": "".join(words)}, command_phrases(), beside=lamp, by_ear=False)
    assert {fault.path for fault in faults} <= {"every-kind.yaml"}
    assert all(fault.line >= 1 and fault.column >= 1 for fault in faults)


def test_units_are_those_that_can_be_heard_and_said() -> None:
    """A procedure may use exactly the units that the language room knows for each quantity."""
    assert {quantity: tuple(measure.decimals) for quantity, measure in MEASURES.items()} == dict(UNITS)
