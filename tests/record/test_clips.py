"""The sound behind a fact: named in the record while it is kept, and forgotten with the words."""

from __future__ import annotations

import json
from dataclasses import replace
from datetime import datetime

from assistant.facts import FactKind
from assistant.record.build import build_record
from assistant.record.chain import Entry, faults, to_remove
from assistant.record.clips import clip_fits, clip_label, clip_name, clips_of, names_clip
from assistant.record.html import html_text
from assistant.record.personal import REMOVED, Belonging, without_values
from tests.record.sample_job import PROCEDURES, Bench

CLIP = clip_name(7, b"made-up samples")


def same(when: datetime) -> datetime:
    """Times of day as they were recorded."""
    return when


def heard_job() -> tuple[Entry, ...]:
    """A job in which one result names its clip."""
    bench = Bench()
    hearing = {"engine": "embedded", "confidence": 0.93, "clip": CLIP}
    bench.add(FactKind.JOB_STARTED, None, {"procedure": "no-start"})
    bench.add(FactKind.RESULT_LOGGED, "spark-check", {"result": "no-spark", "words": "no spark", "hearing": hearing})
    return bench.entries()


def test_a_clips_name_binds_its_samples() -> None:
    """Number and digest: what was changed no longer fits, and a report calls it by its number."""
    assert clip_fits(CLIP, b"made-up samples")
    assert not clip_fits(CLIP, b"made-up sample!")
    assert not clip_fits("000007.wav", b"")
    assert clip_label(CLIP) == "7"
    started, heard = (entry.fact() for entry in heard_job())
    assert clips_of([started, heard, heard]) == (CLIP,)
    assert names_clip(heard, CLIP) and not names_clip(heard, "another") and not names_clip(started, CLIP)


def test_the_record_names_the_clip_and_says_where_clips_lie() -> None:
    """The answer carries it, the page shows it, and the chained text itself does not hold its name."""
    entries = heard_job()
    record = build_record(entries, PROCEDURES)
    assert record.results[0].hearing.clip == CLIP
    page = html_text(record, same)
    assert "93 %, sound 7" in page
    assert "1 clip of what was said, in clips/" in page
    assert all(CLIP not in entry.body for entry in entries)


def test_forgetting_the_words_forgets_the_clip() -> None:
    """The chain holds as before; the record says that it was removed, and the page speaks of no sound."""
    kept = heard_job()
    gone = to_remove(kept, [Belonging.WORDS])
    emptied = [
        replace(one, apart=without_values(one.apart, frozenset(place for n, place in gone if n == one.number), "2031"))
        for one in kept
    ]
    assert faults(emptied) == ()
    record = build_record(emptied, PROCEDURES)
    assert record.results[0].hearing.clip == REMOVED
    assert CLIP not in json.dumps([entry.body for entry in emptied])
    page = html_text(record, same)
    assert "sound" not in page.replace("sounds", "")
    assert "93 %" in page
