"""The measurement of the store, on a store small enough for a test."""

import json

from assistant.__main__ import run


def test_the_bench_of_the_store_tells_its_figures(capsys):
    """Every promised figure is there and above nothing; none is judged here, since tests do not look at clocks."""
    assert run(["bench", "record", "--jobs", "20", "--appends", "100", "--json"]) == 0
    found = json.loads(capsys.readouterr().out)
    assert found["jobs"] == 20
    for name in ("search_worst_ms", "report_html_ms", "report_pdf_ms", "verify_job_ms", "append_p99_over_plain"):
        assert found[name] > 0
