"""Any change to a chain is found."""

from __future__ import annotations

import hashlib
import json
from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from assistant.errors import RecordError
from assistant.record.chain import (
    Entry,
    Head,
    against,
    canonical,
    facts_of,
    faults,
    head_of,
    link,
    same_fact,
    to_remove,
)
from assistant.record.personal import COMMITMENT_KEY, Belonging, set_apart
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


def test_a_fact_is_known_again_as_long_as_nothing_of_it_differs() -> None:
    """With every personal value as it was, or removed; one that differs, and any other word, makes it another."""
    for entry in ENTRIES:
        fact = entry.fact()
        assert same_fact(entry, fact)
        assert not same_fact(entry, replace(fact, at_s=fact.at_s + 1.0))
        assert not same_fact(replace(entry, body="no JSON"), fact)
        for place, one in enumerate(entry.apart):
            gone = (*entry.apart[:place], replace(one, value=None), *entry.apart[place + 1 :])
            other = (*entry.apart[:place], replace(one, value='"somebody else\'s"'), *entry.apart[place + 1 :])
            assert same_fact(replace(entry, apart=gone), fact)
            assert not same_fact(replace(entry, apart=other), fact)


def test_a_removal_names_each_value_of_its_kinds_and_no_other() -> None:
    """By the number of its fact and its place in it; of a damaged fact too."""
    some = {each: set(to_remove(ENTRIES, [each])) for each in Belonging}
    assert any(some.values())
    assert set(to_remove(ENTRIES, list(Belonging))) == set().union(*some.values())
    assert to_remove(ENTRIES, []) == ()
    kept = {(entry.number, one.place) for entry in ENTRIES for one in entry.apart}
    assert set().union(*some.values()) <= kept
    index = next(at for at, entry in enumerate(ENTRIES) if entry.apart)
    damaged = replace(ENTRIES[index], body="no JSON")
    assert {number for number, _ in to_remove([damaged], list(Belonging))} == {damaged.number}


def test_a_damaged_fact_is_named_and_nothing_is_changed() -> None:
    """By its number and its job, with what to do."""
    assert [fact.number for fact in facts_of(ENTRIES)] == [entry.number for entry in ENTRIES]
    with pytest.raises(RecordError, match=f"Fact {ENTRIES[3].number} of job .* damaged"):
        facts_of([*ENTRIES[:3], replace(ENTRIES[3], body="{"), *ENTRIES[4:]])


def test_an_empty_chain_ends_with_nothing() -> None:
    """A head of number 0, against which every chain holds."""
    assert head_of(()) == Head() and against((), Head()) is None
    assert "only 0 are kept" in (against((), Head(number=1)) or "")


def test_a_personal_value_is_where_its_commitment_is_and_nowhere_else() -> None:
    """One that is gone unsaid, one that belongs nowhere and one that was changed are told, each at its place."""
    at, entry = next((at, each) for at, each in enumerate(ENTRIES) if each.apart)
    one = entry.apart[0]
    for apart, words in (
        ((), f"the personal value at {one.place} is gone, and nothing says that it was removed"),
        ((*entry.apart, replace(one, place="/nowhere")), "a personal value at /nowhere belongs to no place"),
        ((replace(one, value='"another"'), *entry.apart[1:]), f"the personal value at {one.place} was changed"),
    ):
        told = faults((*ENTRIES[:at], replace(entry, apart=apart), *ENTRIES[at + 1 :]))
        assert len(told) == 1 and words in told[0]
