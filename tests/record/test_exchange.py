"""Exports travel whole, and what was made up is refused."""

from __future__ import annotations

import contextlib
import json
from collections.abc import Callable
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from assistant.procedure.digest import digest_of
from assistant.record.chain import canonical, faults, link
from assistant.record.exchange import ForgedExport, export_line, import_job, read_export, stated_head
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


def _salt_without_value(told: dict[str, Any]) -> None:
    next(fact for fact in told["facts"] if fact["personal"])["personal"][0]["value"] = None


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
    _salt_without_value,
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


def test_a_file_of_jobs_is_read_whole_or_the_line_is_named() -> None:
    """Each job with what was removed of it, and every text once; empty lines say nothing."""
    text, removal = "what led the job", {"removed": [[2, "/value"]], "utc": "2031-05-01", "key": "6b" * 32}
    other = sample_job("red-truck", "k9").entries()
    first = export_line(ENTRIES, removals=[removal], texts={digest_of(text): text})
    found = read_export(f"{first}\n{export_line(other)}\n")
    assert [job.entries for job in found.jobs] == [ENTRIES, other]
    assert [job.removals for job in found.jobs] == [(removal,), ()]
    assert found.texts == {digest_of(text): text}
    with pytest.raises(ForgedExport, match=r"^line 3: this is not a line of JSON"):
        read_export(f"{first}\n{{")
    with pytest.raises(ForgedExport, match="a text that led the job was changed"):
        read_export(first.replace(text, "what led it otherwise"))


def test_of_many_faults_the_first_are_named_and_the_rest_counted() -> None:
    """A refusal stays a sentence that can be read."""
    told = json.loads(LINE)
    for fact in told["facts"]:
        fact["recorded_utc"] += "0"
    with pytest.raises(ForgedExport, match=rf"\(and {len(ENTRIES) - 5} more\)$") as refused:
        import_job(json.dumps(told))
    assert str(refused.value).count("its hash does not follow") == 5


@pytest.mark.parametrize("chain", [{"number": -1, "hash": "00" * 32}, {"number": 3, "hash": "00" * 31}])
def test_a_head_that_cannot_be_one_is_refused(chain: dict[str, Any]) -> None:
    """Its number counts facts, its hash has 32 bytes."""
    with pytest.raises(ValueError, match="a number and 32 bytes"):
        stated_head({"job": "x", "chain": chain})


def test_a_head_of_a_job_that_is_no_text_is_refused() -> None:
    """By a kind of error that whoever asks knows."""
    with pytest.raises(TypeError, match="text was expected"):
        stated_head({"job": 7, "chain": {"number": 1, "hash": "00" * 32}})
