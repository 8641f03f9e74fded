"""How long was worked in each step: over all its visits, without pauses."""

from __future__ import annotations

from assistant.facts import FactKind
from assistant.record.build import build_record
from tests.record.sample_job import PROCEDURES, Bench


def times(*told: tuple[FactKind, str | None, float]) -> dict[str, tuple[int, float]]:
    """Step -> entries and minutes, after these facts, each so many seconds after the last."""
    bench = Bench()
    bench.add(FactKind.JOB_STARTED)
    for kind, step, after_s in told:
        bench.add(kind, step, after_s=after_s)
    return {one.step: (one.entries, one.spent_min) for one in build_record(bench.entries(), PROCEDURES).steps}


def test_a_step_lasts_until_the_next_or_the_last_fact() -> None:
    """Each visit counts; what names no step is none, and ends the one before."""
    entered = FactKind.STEP_ENTERED
    told = ((entered, "complaint", 5.0), (entered, "spark-check", 60.0), (entered, "complaint", 30.0))
    assert times(*told, (FactKind.NOTE_TAKEN, "complaint", 90.0)) == {"complaint": (2, 2.5), "spark-check": (1, 0.5)}
    assert times((entered, "complaint", 5.0), (entered, None, 60.0), (entered, "spark-check", 30.0)) == {
        "complaint": (1, 1.0),
        "spark-check": (1, 0.0),
    }
    assert times((entered, None, 5.0), (FactKind.NOTE_TAKEN, None, 60.0)) == {}
    assert times((FactKind.NOTE_TAKEN, None, 60.0)) == {}


def test_a_pause_counts_for_no_step() -> None:
    """Once however often it is said, up to where the work goes on; one that does not end counts to where it began."""
    entered, paused, resumed = FactKind.STEP_ENTERED, FactKind.PAUSED, FactKind.RESUMED
    held = ((entered, "complaint", 0.0), (paused, "complaint", 60.0), (paused, "complaint", 60.0))
    assert times(*held) == {"complaint": (1, 1.0)}
    assert times(*held, (resumed, "complaint", 60.0), (FactKind.NOTE_TAKEN, "complaint", 30.0)) == {
        "complaint": (1, 1.5)
    }
    assert times(*held, (entered, "spark-check", 60.0), (FactKind.NOTE_TAKEN, "spark-check", 30.0)) == {
        "complaint": (1, 1.0),
        "spark-check": (1, 0.5),
    }
    assert times(*held, (FactKind.JOB_ENDED, None, 60.0), (FactKind.REPAIR_CONFIRMED, None, 600.0)) == {
        "complaint": (1, 1.0)
    }
