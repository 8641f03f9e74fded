"""The record by ear: the latest of each kind, what is left open, and nothing that was struck."""

from __future__ import annotations

from typing import Any

import pytest

from assistant.facts import FactKind
from assistant.record.build import build_record
from assistant.record.spoken import read_aloud
from tests.record.sample_job import PROCEDURES, Bench

Told = tuple[FactKind, str | None, dict[str, Any]]


def aloud(*told: Told, minutes: float = 0.0) -> tuple[str, ...]:
    """What is said of a job with these facts, worked on for so long."""
    bench = Bench()
    bench.add(FactKind.JOB_STARTED, None, {"title": "A car that will not run"})
    bench.add(FactKind.STEP_ENTERED, "spark-check")
    for kind, step, data in told:
        bench.add(kind, step, data)
    bench.add(FactKind.STEP_ENTERED, "complaint", after_s=60 * minutes)
    return read_aloud(build_record(bench.entries(), PROCEDURES))


def _reading(name: str, value: float) -> Told:
    return FactKind.READING_LOGGED, "spark-check", {"name": name, "value": value, "unit": "V"}


@pytest.mark.parametrize(
    ("minutes", "said"), [(0.4, "less than a minute"), (0.6, "one minute"), (1.4, "one minute"), (1.6, "2 minutes")]
)
def test_it_begins_with_how_long_was_worked(minutes: float, said: str) -> None:
    """In whole minutes, and that the job is open."""
    first = aloud(minutes=minutes)[0]
    assert first == f"Job grey hatchback: A car that will not run, {said} of work, open."


@pytest.mark.parametrize("many", [8, 9, 11])
def test_the_latest_readings_are_read_and_earlier_ones_counted(many: int) -> None:
    """Eight of them, each name once with its last value."""
    names = [f"at point {letter}" for letter in "abcdefghijk"[:many]]
    said = aloud(*(_reading(name, 12.0) for name in names), _reading(names[0], 9.0))
    read = [words for words in said if words.startswith("At point")]
    assert len(read) == 8 and read[-1] == "At point a: nine volts."
    counted = [words for words in said if "earlier readings" in words]
    assert counted == ([f"{many - 8} earlier readings are in the record."] if many > 8 else [])


def test_the_last_six_results_and_three_notes_are_read() -> None:
    """What nobody said is not among them."""
    kinds = ("spark", "no-spark") * 4
    results = [(FactKind.RESULT_LOGGED, "spark-check", {"result": result}) for result in kinds]
    known = (FactKind.RESULT_LOGGED, "complaint", {"result": "petrol", "known": "fuel"})
    notes = [(FactKind.NOTE_TAKEN, None, {"words": f"note {letter}", "proofed": True}) for letter in "abcd"]
    said = aloud(*results, known, *notes)
    told = [words for words in said if "spark" in words.lower()]
    assert len(told) == 6 and all(words.endswith(("spark present.", "no spark.")) for words in told)
    assert [words for words in said if words.startswith("Note")] == ["Note: note b.", "Note: note c.", "Note: note d."]
    assert not any("petrol" in words for words in said)


def test_bursts_and_struck_entries_are_counted_in_words() -> None:
    """One is one; without any nothing is said of them."""
    burst = (FactKind.BURST_ENDED, "spark-check", {"start_s": 0.0, "end_s": 3.0})
    later = (FactKind.BURST_ENDED, "spark-check", {"start_s": 90.0, "end_s": 92.0})
    struck = [(FactKind.STRUCK, None, {"struck": f"q7f3a1-{number}"}) for number in (3, 4)]
    one = aloud(burst, _reading("rest", 12.0), struck[0])
    assert "1 cranking burst, three seconds in all." in one and "1 entry was struck and stays in the record." in one
    two = aloud(burst, later, _reading("rest", 12.0), *struck)
    assert "2 cranking bursts, five seconds in all." in two and "2 entries were struck and stay in the record." in two
    assert not [words for words in aloud() if "burst" in words or "struck" in words]


def test_what_was_struck_is_not_read() -> None:
    """Neither reading, result, code, note nor complaint."""
    told = (
        _reading("rest", 12.0),
        (FactKind.RESULT_LOGGED, "spark-check", {"result": "no-spark"}),
        (FactKind.CODE_LOGGED, None, {"code": "P0335"}),
        (FactKind.NOTE_TAKEN, None, {"words": "oil there"}),
        (FactKind.WORDS_KEPT, "complaint", {"words": "it quit"}),
    )
    whole = aloud(*told)
    for number, words in enumerate(("Rest: twelve volts.", "no spark.", "Code P 0 3 3 5.", "oil there.", "it quit.")):
        assert any(said.endswith(words) for said in whole), (words, whole)
        without = aloud(*told, (FactKind.STRUCK, None, {"struck": f"q7f3a1-{number + 3}"}))
        assert not any(said.endswith(words) for said in without), words


@pytest.mark.parametrize(
    ("pressures", "even", "level"),
    [
        ((160.0, 158.0), "passes: the lowest is ninety eight point seven percent of the highest", "none is below"),
        ((160.0, 90.0), "fails: the lowest is fifty six point two percent of the highest", "cylinder two below"),
        ((90.0, 160.0, 80.0), "fails: the lowest is fifty percent", "cylinders one and three below"),
    ],
)
def test_compression_is_told_by_its_two_tests(pressures: tuple[float, ...], even: str, level: str) -> None:
    """How even, against its line, and which cylinders lie below the floor."""
    read = [
        (
            FactKind.READING_LOGGED,
            f"compression-{number}",
            {"name": f"compression cylinder {number}", "quantity": "compression", "value": value, "unit": "psi",
             "band": "low" if value < 100 else "some"},
        )
        for number, value in enumerate(pressures, start=1)
    ]  # fmt: skip
    found = [words for words in aloud(*read) if words.startswith("Compression, ")]
    assert len(found) == 2 and found[0].startswith(f"Compression, evenness {even}")
    assert found[0].endswith("the line stands at seventy five percent.")
    verdict = "passes" if level.startswith("none") else "fails"
    assert found[1] == f"Compression, level {verdict}: {level} one hundred p s i."
