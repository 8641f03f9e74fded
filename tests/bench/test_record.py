"""The measurement of the store, on a store small enough for a test."""

from __future__ import annotations

import json

import pytest

from assistant.__main__ import run
from assistant.bench import record
from assistant.bench.record_store import LEAST_FACTS, MOST_FACTS, copied, real_jobs
from assistant.facts import FactKind


@pytest.fixture(scope="module")
def jobs():
    """Two real jobs, led once for all."""
    return real_jobs(2)


def test_the_bench_of_the_store_tells_its_figures(capsys, monkeypatch, jobs):
    """Every promised figure is there and above nothing; none is judged here, since tests do not look at clocks: so each
    command runs once, not thrice."""
    monkeypatch.setattr(record, "COMMANDS", 1)
    monkeypatch.setattr(record, "real_jobs", lambda count: jobs[:count])
    assert run(["bench", "record", "--jobs", "40", "--real", "2", "--appends", "100", "--json"]) == 0
    found = json.loads(capsys.readouterr().out)
    assert (found["jobs"], found["real_jobs"], found["small"]["jobs"]) == (40, 2, 2)
    names = ["search_worst_ms", "report_html_ms", "report_pdf_ms", "verify_job_ms", "append_p99_over_plain"]
    names += ["command_find_s", "command_report_html_s", "command_verify_all_s", "command_export_job_s"]
    names += ["command_forget_s", "forget_worst_ms", "append_while_forgetting_worst_ms", "search_words_ms"]
    for name in names:
        assert found[name] > 0
        assert name.startswith("forget") or found["growth"][name] > 0


def test_real_jobs_are_as_long_as_jobs_are_and_copies_are_jobs_of_their_own(jobs):
    """They have odds, cautions and notes; a copy has another key and plate and is otherwise the same."""
    job = jobs[0]
    assert LEAST_FACTS <= len(job) <= MOST_FACTS
    assert {FactKind.CAUTION_ACKNOWLEDGED, FactKind.READING_LOGGED, FactKind.NOTE_TAKEN} <= {one.kind for one in job}
    assert any("odds" in one.data for one in job)
    other = tuple(copied(job, "other", 7))
    assert [one.kind for one in other] == [one.kind for one in job]
    assert {one.id.rpartition("-")[0] for one in other} == {f"{7:032x}"}
    assert [one.data["value"] for one in other if one.data.get("fact") == "plate"] == ["DEMO 7"]
