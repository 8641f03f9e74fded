"""Jobs handed out and taken in, and what was removed of them: between archives in memory."""

import pytest

from assistant.desk import taking_in
from assistant.desk.forgetting import LEAST_DIGITS, follow_removals, forget
from assistant.desk.found import entries_of
from assistant.desk.handing_out import make_export
from assistant.desk.taking_in import bounded, open_export, take_in
from assistant.errors import UsageError
from assistant.facts import FactKind
from assistant.procedure.digest import digest_of
from assistant.record.exchange import ForgedExport
from assistant.record.personal import REMOVED
from tests.record.store import JOB, OTHER, TEXT, Changed, Seals, Shop, shop, signed

OURS = b"o" * 32


def exported(one, *jobs, signer=None, **more):
    return make_export(one.journal, jobs or one.journal.jobs(), signer, signed, **more)


def taken(into, content, known=(), ours=OURS):
    export, key = open_export(content, signed)
    return list(take_in(into.journal, export, key, known, ours=ours))


def notes(one, job=JOB):
    return [fact.data["words"] for fact in one.journal.facts(job) if fact.kind is FactKind.NOTE_TAKEN]


def test_a_job_that_is_not_there_is_refused_by_every_act():
    """In one sentence that names it."""
    one = shop()
    for act in (
        lambda: entries_of(one.journal, "nobody"),
        lambda: forget(one.journal, "nobody", words=True, staff=True),
        lambda: exported(one, "nobody"),
    ):
        with pytest.raises(UsageError, match="There is no job 'nobody'"):
            act()


def test_what_is_handed_out_comes_in_whole_and_once():
    """With its texts; the second time nothing is new."""
    here, there = shop(Seals()), Shop()
    made = exported(here, signer=Seals())
    assert made.count == 2 and made.left_out == ()
    told = taken(there, made.content)
    assert [(one.name, one.label, one.new, one.count, one.removals) for one in told] == [
        (JOB, JOB, 4, 4, ()),
        (OTHER, OTHER, 2, 2, ()),
    ]
    assert there.journal.entries(JOB) == here.journal.entries(JOB)
    assert [one.new for one in taken(there, made.content)] == [0, 0]


def test_without_personal_values_the_chain_still_holds():
    """The note is not in the file."""
    here, there = shop(Seals()), Shop()
    made = exported(here, JOB, signer=Seals(), personal=False)
    assert b"ring the owner" not in made.content and b"HS 42 DEMO" not in made.content
    assert b"ring the owner" in exported(here, JOB).content
    (told,) = taken(there, made.content)
    assert told.new == 4 and notes(there) == [REMOVED]


def test_a_name_that_another_job_has_gets_a_number():
    """And both are told."""
    here, there = shop(), Shop()
    there.journal.append([fact_like(there, "zzz")])
    (told, _) = taken(there, exported(here).content)
    assert (told.name, told.label, told.new) == (JOB, f"{JOB} (2)", 4)


def fact_like(one, key):
    from tests.ports.journal_suite import fact  # noqa: PLC0415 - one test needs it

    return fact(1, job=JOB, key=key)


def test_a_job_that_was_changed_is_named_and_left_out():
    """The others go; where the log itself does not hold nothing goes."""
    here = shop(Seals())
    chain = here.journal.entries(JOB)
    cut = Changed(here.journal, entries=lambda job: chain[:-1] if job == JOB else here.journal.entries(job))
    made = make_export(cut, (JOB, OTHER), Seals(), signed)
    assert made.count == 1 and len(made.left_out) == 1 and f"job '{JOB}' was left out: " in made.left_out[0]
    none = make_export(here.journal, (JOB, OTHER), Seals(), lambda *_: False)
    assert none.count == 0 and none.left_out


@pytest.mark.parametrize(
    ("alter", "words"),
    [
        (lambda made: made.replace(b"ring the owner", b"ring the buyer"), "its seal does not fit"),
        (lambda made: made[:-20], "its seal cannot be read"),
        (lambda made: b"\xff" + made[: made.rindex(b'{"seal":')], "not text in UTF-8"),
        (lambda made: b"odd" + made[: made.rindex(b'{"seal":')], "line 1"),
    ],
)
def test_a_changed_export_is_refused_in_words(alter, words):
    """Whatever was done to it; as it was made it opens."""
    made = exported(shop(Seals()), signer=Seals()).content
    assert open_export(made, signed)[1] == Seals().key
    with pytest.raises(ForgedExport, match=words):
        open_export(alter(made), signed)


def test_an_export_without_a_seal_is_nobodys():
    """Its chains are checked, and no key is told."""
    made = exported(shop()).content
    export, key = open_export(made[: made.rindex(b'{"seal":')], signed)
    assert key == b"" and len(export.jobs) == 2


def test_forgetting_takes_what_was_asked_for_and_no_more():
    """The plate always, dictated words only when asked."""
    one = shop()
    assert forget(one.journal, JOB, words=False, staff=False).values == 1 and notes(one) == ["ring the owner"]
    assert forget(one.journal, JOB, words=True, staff=False).values == 1 and notes(one) == [REMOVED]


def both_hold():
    """Where a job comes from, and a shop that took it in signed."""
    here, there = shop(Seals()), Shop()
    taken(there, exported(here, JOB, signer=Seals()).content)
    forget(here.journal, JOB, words=True, staff=False)
    return here, there


def test_a_removal_is_followed_where_the_job_came_from_that_key():
    """And told with its day; a second time there is nothing to do."""
    here, there = both_hold()
    again = exported(here, JOB, signer=Seals()).content
    (told,) = taken(there, again)
    assert notes(there) == [REMOVED] and told.removals[0].startswith(
        f"removed 2 values of job '{JOB}', as was asked on 2031"
    )
    assert taken(there, again)[0].removals == ()


@pytest.mark.parametrize("digits", [LEAST_DIGITS - 1, LEAST_DIGITS])
def test_a_strangers_removal_is_left_undone_unless_its_key_is_named_at_length(digits):
    """Sixteen digits of it name a key, fifteen do not; the sentence names the key and the option."""
    here, there = shop(Seals()), Shop()
    taken(there, exported(here, JOB).content)  # nobody vouches for it
    forget(here.journal, JOB, words=True, staff=False)
    content = exported(here, JOB).content
    (told,) = taken(there, content)
    assert notes(there) == ["ring the owner"] and "see --removals-of" in told.removals[0]
    assert Seals().key.hex()[:8] in told.removals[0].replace(" ", "")
    taken(there, content, known=[Seals().key.hex().upper()[:digits]])
    assert notes(there) == ([REMOVED] if digits == LEAST_DIGITS else ["ring the owner"])


def test_our_own_removal_comes_back_to_us():
    """What was removed with our key is removed here, though the job began here."""
    here, there = both_hold()
    export, key = open_export(exported(here, JOB, signer=Seals()).content, signed)
    fresh = shop()
    assert "left here" in follow_removals(fresh.journal, export.jobs[0], key)[0] and notes(fresh) == ["ring the owner"]
    assert "removed 2" in follow_removals(fresh.journal, export.jobs[0], key, ours=key)[0] and notes(fresh) == [REMOVED]
    assert notes(there) == ["ring the owner"]


def test_a_line_that_no_job_fills_is_refused_before_it_is_read_whole(monkeypatch):
    """One that just fits is read."""
    monkeypatch.setattr(taking_in, "LARGEST_LINE", 4)
    asked = []

    def lines(*content):
        left = list(content)

        def read_line(most):
            asked.append(most)
            return left.pop(0)[:most] if left else b""

        return read_line

    assert bounded(lines(b"abc\n", b"ab")) == b"abc\nab"
    with pytest.raises(ForgedExport, match="line 2 is longer than any job"):
        bounded(lines(b"abc\n", b"abcdefg\n"))
    assert set(asked) == {5}


def test_a_text_that_led_several_jobs_is_in_the_file_once():
    """And each of them is read with it."""
    here, there = shop(Seals()), Shop()
    here.keep(1, "third-van", kind=FactKind.JOB_STARTED, data={"texts": {"no-start": digest_of(TEXT)}})
    made = exported(here, signer=Seals())
    assert made.count == 3 and made.content.count(TEXT.encode()) == 1
    assert len(taken(there, made.content)) == 3 and there.journal.text(digest_of(TEXT)) == TEXT
