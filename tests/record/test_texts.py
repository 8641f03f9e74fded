"""The texts that led a job are named by their digests, and one that is gone or changed is told."""

from __future__ import annotations

from dataclasses import replace

from assistant.facts import FactKind
from assistant.procedure.digest import digest_of
from assistant.record.texts import MOST_NAMED, named_model, named_texts, text_faults, texts_of
from tests.record.store import JOB, MODEL, TEXT, shop


def test_a_job_names_what_led_it() -> None:
    """Procedures by id, and its fault model."""
    journal = shop().journal
    entries = journal.entries(JOB)
    assert named_texts(entries) == {"no-start": digest_of(TEXT)}
    assert named_model(entries) == digest_of(MODEL)
    assert texts_of(entries, journal.text) == {digest_of(TEXT): TEXT, digest_of(MODEL): MODEL}
    assert texts_of(entries, lambda digest: None) == {}
    assert list(text_faults(entries, journal.text)) == []


def test_a_job_of_which_nothing_can_be_read_names_nothing() -> None:
    """No facts, a first one that is none, and one of another kind."""
    first, *others = shop().journal.entries(JOB)
    for entries in ((), (replace(first, body="no fact"), *others), tuple(others)):
        assert named_texts(entries) == {} and named_model(entries) is None
        assert list(text_faults(entries, lambda digest: None)) == []


def test_texts_that_are_gone_or_changed_are_told_apart() -> None:
    """Each in a sentence with the job's name."""
    entries = shop().journal.entries(JOB)
    kept = {digest_of(MODEL): "another model"}
    assert list(text_faults(entries, kept.get)) == [
        f"job '{JOB}': texts that led it are gone: no-start",
        f"job '{JOB}': texts that led it were changed: its fault model",
    ]
    assert len(list(text_faults(entries, lambda digest: ""))) == 1  # an empty text is a changed one, not a gone one


def test_of_many_texts_the_first_are_named_and_the_rest_counted() -> None:
    """So that a sentence stays one."""
    for count, end in ((MOST_NAMED, f"p{MOST_NAMED - 1}"), (MOST_NAMED + 2, " and 2 more")):
        one = shop()
        one.keep(1, "other-van", kind=FactKind.JOB_STARTED, data={"texts": {f"p{each}": "00" for each in range(count)}})
        (said,) = text_faults(one.journal.entries("other-van"), lambda digest: None)
        assert said.endswith(end)
