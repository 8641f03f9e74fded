"""Each thing that may be wrong with a store is found and told in its own sentence; what is whole is never accused."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import pytest

from assistant.record.chain import Entry, link
from assistant.record.log import Leaf, Logged, LogHead, found_leaf, introduces, key_leaf, store_leaf
from assistant.record.merkle import leaf_hash
from assistant.record.personal import Belonging
from assistant.record.verify import (
    Verdict,
    removals_of,
    short,
    verify_head,
    verify_job,
    verify_log,
    verify_older,
    verify_remembered,
)
from tests.record.store import JOB, OTHER, Changed, LogOf, Seals, shop, signed

OLD, NEW = Seals(b"o" * 32), Seals(b"n" * 32)
STORE = shop().journal
ENTRIES, LEAVES = STORE.entries(JOB), tuple(STORE.logged(JOB))


def job_wrong(**answers: Any) -> str:
    """What is wrong with the job of a store that answers so."""
    return "; ".join(verify_job(Changed(STORE, **answers), JOB).wrong)


def anew(chain: tuple[Entry, ...]) -> tuple[Entry, ...]:
    """The chain with each hash worked out anew, as a forger would."""
    made: list[Entry] = []
    for entry in chain:
        before = made[-1].hash if made else bytes(32)
        made.append(replace(entry, hash=link(before, entry.recorded_utc, entry.body)))
    return tuple(made)


def relogged(at: Logged, leaf: Leaf) -> Logged:
    """A leaf of the log that says this instead, with the hash that fits it."""
    told = leaf.text()
    return replace(at, kind=leaf.kind.value, text=told, hash=leaf_hash(told.encode()))


def test_nothing_is_wrong_with_a_store_that_nobody_touched() -> None:
    """Neither with a job, nor with the log, nor with its head, signed or not."""
    for signer in (None, Seals()):
        journal = shop(signer).journal
        for job in (JOB, OTHER):
            assert verify_job(journal, job) == Verdict()
        assert verify_log(journal) == verify_head(journal, signed) == Verdict()


def test_a_job_that_is_gone_is_told() -> None:
    """Each fact of it, or its last ones; and facts that the log does not know."""
    assert job_wrong(entries=()) == f"every fact of job '{JOB}' is gone"
    assert "the log knows fact 4 of job 'blue-van', only 3 are kept" in job_wrong(entries=ENTRIES[:-1])
    assert "facts 4 to 4 of job 'blue-van' are not in the log" in job_wrong(logged=iter(LEAVES[:-1]))
    assert "facts 1 to 4 of job 'blue-van' are not in the log" in job_wrong(logged=iter(()))


def test_a_chain_that_was_made_anew_is_told_by_the_log() -> None:
    """It is sound in itself; each leaf about a changed fact says so, and no other."""
    changed = replace(ENTRIES[2], body=ENTRIES[2].body.replace('"at_s":3.0', '"at_s":9.0'))
    forged = anew((*ENTRIES[:2], changed, ENTRIES[3]))
    told = job_wrong(entries=forged)
    assert [f"fact {number} of job" in told for number in (1, 2, 3, 4)] == [False, False, True, True]
    assert told.count("the chain was made anew") == 2 and "hash" not in told


def test_a_leaf_that_was_changed_is_told() -> None:
    """Its words, or that it cannot be read, or that it names no fact; a leaf of another kind says nothing of facts."""
    first, *rest = LEAVES
    assert "does not fit fact 1" in job_wrong(logged=iter([replace(first, text="{}"), *rest]))
    assert "does not fit fact 1" in job_wrong(logged=iter([replace(first, text=None), *rest]))
    for odd in ("{}", "[]", "no JSON"):
        text = replace(first, text=odd, hash=leaf_hash(odd.encode()))
        assert "is not the one that the log knows" in job_wrong(logged=iter([text, *rest]))
    removed = replace(rest[-1], kind="removed", text="{}", hash=leaf_hash(b"{}"))
    assert "is not the one" not in job_wrong(logged=iter([first, *rest, removed]))
    zero = replace(first, number=0)
    assert "fact 0 of job" in job_wrong(logged=iter([zero, *rest]))


def test_a_leaf_that_is_not_under_the_root_is_told() -> None:
    """The last one that lengthened the job, and each that is no such; at another place, or with nodes that are gone."""
    told = "is not under the root that the log has now"
    *rest, last = LEAVES
    assert f"entry {last.place} of the log, about job 'blue-van', {told}" in job_wrong(node=bytes(32))
    assert told in job_wrong(logged=iter([*rest, replace(last, place=2)]))
    assert told in job_wrong(logged=iter([*rest, replace(last, place=99)]))

    def gone(_level: int, _index: int) -> bytes:
        raise LookupError("a node is gone")

    assert told in job_wrong(node=gone)
    first = LEAVES[0]
    absent = found_leaf(JOB, 1, ENTRIES[0].id, ENTRIES[0].hash, ())
    assert told in job_wrong(logged=iter([relogged(first, absent), *rest, last]))


def test_a_personal_value_that_is_gone_must_be_known_to_the_log() -> None:
    """As removed, or as never come along; otherwise somebody took it out, or put it back."""
    one = shop()
    kept = one.journal.entries(JOB)
    one.journal.remove_personal(JOB, [Belonging.OWNER, Belonging.WORDS])
    assert verify_job(one.journal, JOB) == Verdict()
    back = verify_job(Changed(one.journal, entries=kept), JOB).wrong
    assert [words.rpartition(" at ")[2] for words in back] == [
        "/value was removed and is back",
        "/words was removed and is back",
    ]
    gone = one.journal.entries(JOB)[1]
    without = (ENTRIES[0], replace(ENTRIES[1], apart=gone.apart), *ENTRIES[2:])
    assert job_wrong(entries=without) == (
        f"fact 2 of job '{JOB}': the personal value at /value is gone, and the log knows of no removal"
    )
    *rest, last = LEAVES
    never_came = found_leaf(JOB, 4, ENTRIES[3].id, ENTRIES[3].hash, [(2, "/value")])
    assert "knows of no removal" not in job_wrong(entries=without, logged=iter([*rest, relogged(last, never_came)]))
    odd = replace(last, kind="removed", text='{"removed":[3]}', hash=leaf_hash(b'{"removed":[3]}'))
    assert f"entry {last.place} of the log cannot be read" in job_wrong(logged=iter([*LEAVES, odd]))


def test_texts_that_led_a_job_are_held_against_their_names() -> None:
    """One that is gone and one that was changed, the fault model among them."""
    assert job_wrong(text=lambda _: None) == (f"job '{JOB}': texts that led it are gone: no-start, its fault model")
    assert job_wrong(text="other words") == f"job '{JOB}': texts that led it were changed: no-start, its fault model"


def test_what_was_removed_is_named_with_time_and_key() -> None:
    """From the leaves that hold; a changed one says nothing."""
    one = shop(Seals())
    one.journal.remove_personal(JOB, [Belonging.OWNER])
    (removal,) = removals_of(one.journal.logged(JOB))
    assert removal == {"removed": [[2, "/value"]], "utc": "2031-05-01T09:00:00+00:00", "key": ("k" * 32).encode().hex()}
    assert removals_of(replace(leaf, hash=bytes(32)) for leaf in one.journal.logged(JOB)) == ()


@pytest.mark.parametrize("went_s", [0.0, 89.0, 91.0, 86_400.0])
def test_a_clock_that_was_set_is_told_and_not_called_wrong(went_s: float) -> None:
    """More than a minute and a half between the two clocks, within one run of the machine."""
    one = shop()
    one.now_s += 3600.0 + went_s
    one.ran_s += 3600.0
    one.keep(5)
    found = verify_job(one.journal, JOB)
    assert found.wrong == () and bool(found.told) == (went_s > 90.0)
    if went_s == 86_400.0:
        assert found.told[0].endswith(
            "between facts 4 and 5 the time of day moved by 90000 s while 3600 s passed: the clock was set"
        )
    other_run = [replace(leaf, moment=replace(leaf.moment, boot=str(leaf.place))) for leaf in one.journal.logged(JOB)]
    assert verify_job(Changed(one.journal, logged=iter(other_run)), JOB).told == ()


def test_a_time_that_is_none_and_a_leaf_without_a_moment_are_passed_over() -> None:
    """They prove nothing about the clock; the chain says by itself that they were changed."""
    one = shop()
    chain = one.journal.entries(JOB)
    odd = tuple(replace(entry, recorded_utc="yesterday") for entry in chain)
    assert verify_job(Changed(one.journal, entries=odd), JOB).told == ()
    silent = [replace(leaf, moment=None) for leaf in one.journal.logged(JOB)]
    assert verify_job(Changed(one.journal, logged=iter(silent)), JOB) == Verdict()


SIGNED = shop(Seals()).journal
HEAD, (NAMED,) = SIGNED.log_head(), SIGNED.key_leaves()


def head_wrong(head: LogHead, *keys: Logged) -> tuple[str, ...]:
    """What is wrong with a log of this head and these leaves that name keys."""
    return verify_head(Changed(SIGNED, log_head=head, key_leaves=keys), signed).wrong


def test_the_head_is_held_against_its_signature() -> None:
    """One that is missing, one that does not fit, and a log that is gone."""
    assert head_wrong(HEAD, NAMED) == ()
    assert head_wrong(LogHead(), NAMED) == ("the log of this store is gone",)
    assert head_wrong(replace(HEAD, signature=b""), NAMED) == ("the log was lengthened without a signature",)
    changed = head_wrong(replace(HEAD, utc="2031-05-02"), NAMED)
    assert changed == ("the signature does not fit the log: it was changed by somebody without the key",)
    assert head_wrong(HEAD) == ("the key that signs the log is not the last one that the log names",)


@pytest.mark.parametrize(
    ("before", "signature", "trusted", "accused"),
    [
        (OLD.key, OLD.sign(introduces(OLD.key, NEW.key)), (), False),
        (OLD.key, b"", (), True),
        (OLD.key, b"", (NEW.key,), False),
        (OLD.key, b"", (OLD.key,), True),
        (OLD.key, NEW.sign(introduces(OLD.key, NEW.key)), (), True),
        (b"x" * 32, OLD.sign(introduces(OLD.key, NEW.key)), (), True),
    ],
)
def test_a_key_is_introduced_by_the_one_before_it(
    before: bytes, signature: bytes, trusted: tuple[bytes, ...], accused: bool
) -> None:
    """With its signature it is told; without, it is wrong until whoever checks knows it."""
    log = LogOf([store_leaf("ab"), key_leaf(OLD.key, b"", b""), key_leaf(NEW.key, before, signature)], NEW)
    found = verify_head(log, signed, trusted=trusted)
    was, now = short(OLD.key), short(NEW.key)
    if accused:
        (said,) = found.wrong
        assert said.startswith(
            f"from entry 2 on the log is signed with the key {now}, which the key before it, {was}, "
        )
        assert said.endswith(f"say once: hoodside jobs verify --key {now}") and found.told == ()
    else:
        assert found == Verdict(told=(f"from entry 2 on the log is signed with {now}, as {was} signed",))


def test_a_leaf_that_names_a_key_and_cannot_be_trusted_is_told() -> None:
    """It cannot be read, was changed, or is not under the root."""
    odd = replace(NAMED, text="{}", hash=leaf_hash(b"{}"))
    assert f"entry {NAMED.place} of the log, which names a key, cannot be read" in head_wrong(HEAD, odd)
    for changed in (replace(NAMED, hash=bytes(32)), replace(NAMED, place=0), replace(NAMED, place=99)):
        assert head_wrong(HEAD, changed) == (f"entry {changed.place} of the log, which names a key, was changed",)


def test_the_whole_log_is_worked_out_anew() -> None:
    """A leaf that was changed, one put in, one taken out, another root, jobs that are gone."""
    every, nodes, head = list(STORE.logged()), list(STORE.rows_of_nodes()), STORE.log_head()

    def wrong(leaves: list[Logged], rows: list[tuple[int, tuple[bytes, ...]]], ends: LogHead = head) -> str:
        archive = Changed(STORE, logged=iter(leaves), rows_of_nodes=iter(rows), log_head=ends)
        return "; ".join(verify_log(archive).wrong)

    assert wrong(every, nodes) == ""
    assert "the log is broken at entry 3" in wrong([*every[:3], replace(every[3], hash=bytes(32)), *every[4:]], nodes)
    assert "the log is broken at entry 3" in wrong([*every[:3], *every[4:]], [*nodes[:3], *nodes[4:]])
    said = wrong([*every[:3], replace(every[3], text='{"leaf":"head"}'), *every[4:]], nodes)
    assert said == "entry 3 of the log does not say what its place in the tree says"
    assert f"has {len(every) - 1} entries and another root" in wrong(every[:-1], nodes[:-1])
    assert f"is for {head.size}" in wrong(every, nodes, replace(head, root=bytes(32)))
    lost = [replace(leaf, job=None, text=None) if leaf.job == OTHER else leaf for leaf in every]
    assert wrong(lost, nodes) == "2 entries of the log speak of jobs that are gone from the store"
    key = [*every[:-1], replace(every[-1], kind="key", job=None)]
    assert wrong(key, nodes) == ""


def test_a_head_kept_elsewhere_shows_what_became_of_the_store() -> None:
    """It went on, was cut off, was made anew, or is another one; a head of nothing says nothing."""
    one = shop()
    before = one.journal.log_head()
    assert verify_older(one.journal, before, "it") == Verdict()
    one.keep(5)
    assert verify_older(one.journal, before, "it") == Verdict()
    for nothing in (LogHead(), replace(before, size=0), replace(before, store="")):
        assert verify_older(one.journal, nothing, "it") == Verdict()
    longer = replace(one.journal.log_head(), size=99)
    (said,) = verify_older(one.journal, longer, "the report").wrong
    assert said.startswith("the report knows 99 entries of the log, and only 8 are there: its end was cut off")
    (said,) = verify_older(one.journal, replace(before, root=bytes(32)), "it").wrong
    assert said == "the first 7 entries of the log are not those that it knows: made anew"
    other = verify_older(one.journal, shop().journal.log_head(), "it")
    assert other.wrong == () and "is of another store" in other.told[0]

    def gone(_level: int, _index: int) -> bytes:
        raise LookupError("a node is gone")

    assert verify_older(Changed(one.journal, node=gone), before, "it").wrong == ("a node is gone",)


def test_of_what_this_machine_remembers_every_own_head_counts_and_the_last_of_others() -> None:
    """Each contradiction of this store is told, of stores that stood in its place only the last."""
    one = shop()
    own = replace(one.journal.log_head(), utc="2031-05-01T09:30:00Z")
    others = [replace(own, store=name * 8, utc=utc) for name, utc in (("ab", "2031-03"), ("cd", "2031-04"), ("ef", ""))]
    assert verify_remembered(one.journal, [own]) == ()
    cut, forged = replace(own, size=50), replace(own, root=bytes(32))
    told = verify_remembered(one.journal, [cut, *others, forged])
    assert len(told) == 3
    assert "is of another store (cdcdcdcd)" in told[0]
    assert told[1].startswith("what this machine last wrote here, on 2031-05-01 at 09:30 UTC, knows 50 entries")
    assert "made anew" in told[2]


def test_verdicts_add_up() -> None:
    """What is wrong stays wrong and what is told is told, in order."""
    first, second = Verdict(wrong=("a",), told=("x",)), Verdict(wrong=("b",), told=("y",))
    assert first + second == Verdict(wrong=("a", "b"), told=("x", "y"))
    assert first + Verdict() == first
