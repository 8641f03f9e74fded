"""Exports travel whole, and what was made up is refused."""

from __future__ import annotations

import contextlib
import json
from collections.abc import Callable
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from assistant.record.chain import canonical, faults, link
from assistant.record.exchange import ForgedExport, export_line, import_job
from tests.record.sample_job import PLATE, sample_job

ENTRIES = sample_job().entries()
LINE = export_line(ENTRIES)


def test_a_chain_comes_back_as_it_was() -> None:
    """Export and import keep every fact, hash, time and personal value."""
    assert import_job(LINE)[0].entries == ENTRIES


def test_an_export_without_personal_data_holds_none_and_still_holds() -> None:
    """Plate and words can be left out of an export; its chain is whole all the same."""
    line = export_line(ENTRIES, personal=False)
    assert PLATE not in line
    assert "died at the lights" not in line
    taken = import_job(line)[0].entries
    assert faults(taken) == ()
    assert [entry.hash for entry in taken] == [entry.hash for entry in ENTRIES]


def _rehash(told: dict[str, Any]) -> None:
    before = bytes(32)
    for fact in told["facts"]:
        before = link(before, fact["recorded_utc"], fact["body"])
        fact["hash"] = before.hex()
    told["chain"] = {"number": len(told["facts"]), "hash": before.hex()}


def _change_word(told: dict[str, Any]) -> None:
    told["facts"][2]["body"] = told["facts"][2]["body"].replace("cylinders", "cylinderz")


def _drop_last(told: dict[str, Any]) -> None:
    del told["facts"][-1]


def _drop_middle_and_rehash(told: dict[str, Any]) -> None:
    del told["facts"][7]
    _rehash(told)


def _other_job(told: dict[str, Any]) -> None:
    told["job"] = "another"


def _unknown_kind(told: dict[str, Any]) -> None:
    told["facts"][-1]["body"] = told["facts"][-1]["body"].replace("job-ended", "job-faked")
    _rehash(told)


def _loose_text(told: dict[str, Any]) -> None:
    told["facts"][-1]["body"] = told["facts"][-1]["body"].replace("{", "{ ", 1)
    _rehash(told)


def _not_a_number(told: dict[str, Any]) -> None:
    public = json.loads(told["facts"][-1]["body"])
    told["facts"][-1]["body"] = canonical(public).replace(f'"at_s":{public["at_s"]}', '"at_s":NaN')
    _rehash(told)


def _other_plate(told: dict[str, Any]) -> None:
    told["facts"] = json.loads(json.dumps(told["facts"]).replace(PLATE, "DEMO 99"))


def _huge_number(told: dict[str, Any]) -> None:
    told["facts"][-1]["body"] = told["facts"][-1]["body"].replace('"at_s":', '"at_s":1e999,"x":')
    _rehash(told)


FORGERIES: list[Callable[[dict[str, Any]], None]] = [
    _change_word,
    _drop_last,
    _drop_middle_and_rehash,
    _other_job,
    _unknown_kind,
    _loose_text,
    _not_a_number,
    _other_plate,
    _huge_number,
]


@pytest.mark.parametrize("forge", FORGERIES, ids=lambda forge: forge.__name__)
def test_a_forged_export_is_refused(forge: Callable[[dict[str, Any]], None]) -> None:
    """A change anywhere in an export, with or without new hashes, ends in a refusal."""
    told = json.loads(LINE)
    forge(told)
    with pytest.raises(ForgedExport):
        import_job(json.dumps(told))


@pytest.mark.parametrize(
    "line",
    ["", "{}", "[]", "null", "12", '{"export": "hoodside-export-1"}', "[" * 100_000, '{"export":', "\x00", '"\\ud800"'],
)
def test_what_is_no_export_is_refused(line: str) -> None:
    """Anything else ends in a refusal and never in a crash."""
    with pytest.raises(ForgedExport):
        import_job(line)


_JSON = st.recursive(st.none() | st.booleans() | st.integers() | st.text(), lambda one: st.lists(one, max_size=2))


@settings(max_examples=100, deadline=None)
@given(st.data())
def test_no_part_of_an_export_can_be_of_another_kind(data: st.DataObject) -> None:
    """Whatever stands in place of a part of an export, it is taken as it was or refused."""
    told = json.loads(LINE)
    fact = told["facts"][data.draw(st.integers(0, len(ENTRIES) - 1))]
    place = data.draw(st.sampled_from([told, told["chain"], fact]))
    place[data.draw(st.sampled_from(sorted(place)))] = data.draw(_JSON)
    with contextlib.suppress(ForgedExport):
        assert import_job(json.dumps(told))[0].entries == ENTRIES
