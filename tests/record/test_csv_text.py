"""The record as a spreadsheet: no cell of it runs."""

from __future__ import annotations

import csv
import io

import pytest

from assistant.facts import FactKind
from assistant.record.build import build_record
from assistant.record.csv_text import csv_text
from tests.record.sample_job import Bench


@pytest.mark.parametrize("begin", ["=", "+", "-", "@", "\t=", "\n=", "\uff1d", "\uff0b", "\uff0d", "\uff20", "  ="])
def test_words_that_begin_like_a_formula_are_only_words(begin: str) -> None:
    """In full width too, and behind blanks; a number stays one, and what only looks like one does not."""
    kept = {"1+1": f"'{begin}1+1"}
    numbers = {
        "\r=": "\ufffd=",
        "-0.2": "-0.2",
        "+3e2": "+3e2",
        "-nan": "'-nan",
        "-inf": "'-inf",
        "-0.2 ": "'-0.2 ",
        "a=b": "a=b",
    }
    for said, shown in ({f"{begin}{words}": cell for words, cell in kept.items()} | numbers).items():
        bench = Bench()
        bench.add(FactKind.JOB_STARTED)
        bench.add(FactKind.NOTE_TAKEN, None, {"words": said})
        text = csv_text(build_record(bench.entries(), {}))
        (row,) = csv.DictReader(io.StringIO(text, newline=""))
        assert row["value"] == shown
