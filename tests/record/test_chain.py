"""Any change to a chain is found."""

from __future__ import annotations

import hashlib
import json
from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from assistant.record.chain import Entry, Head, against, canonical, faults, head_of, link
from assistant.record.personal import COMMITMENT_KEY, set_apart
from tests.record.sample_job import PLATE, sample_job

ENTRIES = sample_job().entries()


def rewritten(entries: tuple[Entry, ...]) -> tuple[Entry, ...]:
    """The entries with every hash made anew, as a forger would."""
    made: list[Entry] = []
    before = bytes(32)
    for number, entry in enumerate(entries, start=1):
        public = {**json.loads(entry.body), "number": number}
        body = canonical(public)
        before = link(before, entry.recorded_utc, body)
        made.append(replace(entry, number=number, body=body, hash=before))
    return tuple(made)


def test_a_whole_chain_holds() -> None:
    """The chain of an ordinary job has no fault."""
    assert faults(ENTRIES) == ()


@settings(max_examples=200, deadline=None)
@given(st.data())
def test_any_changed_character_is_found(data: st.DataObject) -> None:
    """One character changed anywhere in what a fact says or when it was recorded breaks the chain."""
    index = data.draw(st.integers(0, len(ENTRIES) - 1))
    entry = ENTRIES[index]
    name = data.draw(st.sampled_from(["body", "recorded_utc", "id"]))
    words = getattr(entry, name)
    at = data.draw(st.integers(0, len(words) - 1))
    other = data.draw(st.characters(min_codepoint=32, max_codepoint=126).filter(lambda one: one != words[at]))
    changed = replace(entry, **{name: words[:at] + other + words[at + 1 :]})
    assert faults((*ENTRIES[:index], changed, *ENTRIES[index + 1 :]))


@pytest.mark.parametrize("index", [0, 5, len(ENTRIES) - 2])
def test_a_missing_fact_is_found(index: int) -> None:
    """A fact taken out of the middle or the start leaves a gap."""
    assert faults(ENTRIES[:index] + ENTRIES[index + 1 :])


def test_two_facts_changed_about_are_found() -> None:
    """The order of facts is part of the chain."""
    assert faults((ENTRIES[1], ENTRIES[0], *ENTRIES[2:]))


def test_a_changed_personal_value_is_found() -> None:
    """A plate changed beside the chain does not fit its commitment."""
    index = next(at for at, entry in enumerate(ENTRIES) if entry.apart and PLATE in (entry.apart[0].value or ""))
    other = replace(ENTRIES[index].apart[0], value='"DEMO 43"')
    changed = replace(ENTRIES[index], apart=(other,))
    assert "was changed" in " ".join(faults((*ENTRIES[:index], changed, *ENTRIES[index + 1 :])))


def test_a_personal_value_lost_without_a_removal_is_found() -> None:
    """When nothing says that a value was removed, its absence is a fault."""
    index = next(at for at, entry in enumerate(ENTRIES) if entry.apart)
    changed = replace(ENTRIES[index], apart=())
    assert "is gone" in " ".join(faults((*ENTRIES[:index], changed, *ENTRIES[index + 1 :])))


def test_a_cut_tail_shows_against_an_earlier_head() -> None:
    """A chain without its end holds in itself; the head of a report shows what is missing."""
    cut = ENTRIES[:-4]
    assert faults(cut) == ()
    assert "cut off" in (against(cut, head_of(ENTRIES)) or "")


def test_a_rewritten_chain_shows_against_an_earlier_head() -> None:
    """A chain made anew holds in itself; the head of a report shows that it is another."""
    forged = rewritten(ENTRIES[:10] + ENTRIES[11:] + (ENTRIES[10],))
    assert not any("hash" in words for words in faults(forged))
    assert "made anew" in (against(forged, head_of(ENTRIES)) or "")


def test_a_chain_that_went_on_still_answers_an_earlier_head() -> None:
    """Facts added after the report change nothing about what it states."""
    assert against(ENTRIES, head_of(ENTRIES[:20])) is None
    assert against(ENTRIES, Head()) is None


def test_the_mark_of_a_commitment_cannot_be_put_in_by_hand() -> None:
    """A fact whose data pretends to hold a commitment is refused."""
    plain = {"kind": "note-taken", "data": {"x": {COMMITMENT_KEY: "00"}}}
    with pytest.raises(ValueError, match="may not use"):
        set_apart(plain, lambda: b"")


def test_the_hash_is_as_documented() -> None:
    """The first hash can be made from the documented rule with nothing of ours but the text."""
    first = ENTRIES[0]
    told = b"hoodside chained fact 1\n" + bytes(32) + first.recorded_utc.encode() + b"\n" + first.body.encode()
    assert hashlib.sha256(told).digest() == first.hash


def test_the_text_that_is_hashed_is_one_for_all_time() -> None:
    """Keys in order, no blanks, ASCII alone, and no number that JSON has not: another text were another hash."""
    assert canonical({"b": "é", "a": [1, 2.5, None, True]}) == '{"a":[1,2.5,null,true],"b":"\\u00e9"}'
    for odd in (float("nan"), float("inf")):
        with pytest.raises(ValueError, match="JSON"):
            canonical({"a": odd})
