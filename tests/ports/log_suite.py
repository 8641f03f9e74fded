"""What the signed log of every archive must do, and what a journal that lasts must do besides."""

from __future__ import annotations

from concurrent.futures import ThreadPoolExecutor
from dataclasses import replace
from threading import Barrier
from typing import Any

import pytest

from assistant.errors import RecordError
from assistant.facts import FactKind
from assistant.procedure.digest import digest_of
from assistant.record.chain import faults
from assistant.record.personal import REMOVED, Belonging
from assistant.record.verify import removals_of, verify_job, verify_log, verify_older
from tests.ports.archive_suite import ArchiveSuite
from tests.ports.journal_suite import fact


class LogSuite(ArchiveSuite):
    """Behaviour of the log of ports.Archive."""

    def told(self, journal: Any) -> None:
        """A job with a plate, a note and a finding."""
        customer = "The crank sensor gave no signal."
        journal.append([fact(1, kind=FactKind.JOB_STARTED, data={"key": "k7"})])
        journal.append(
            [
                fact(2, kind=FactKind.VEHICLE_NOTED, data={"fact": "plate", "value": "HS 42 DEMO"}),
                fact(3, kind=FactKind.NOTE_TAKEN, data={"words": "ring the owner"}),
            ]
        )
        journal.append([fact(4, kind=FactKind.FINDING_REACHED, data={"fault": "crank-sensor", "customer": customer})])

    def wrong(self, journal: Any, job: str = "blue-van") -> tuple[str, ...]:
        """What is wrong with a job and the whole log."""
        return (*verify_job(journal, job).wrong, *verify_log(journal).wrong)

    def test_each_append_is_a_leaf_and_the_log_holds(self, journal: Any) -> None:
        """The first leaf names the store; each append, however many facts it keeps, adds one for its job."""
        before = journal.log_head()
        assert before.size == 1 and before.store
        self.told(journal)
        head = journal.log_head()
        assert (head.store, head.size) == (before.store, 4)
        assert [leaf.number for leaf in journal.logged("blue-van")] == [1, 3, 4]
        assert self.wrong(journal) == ()
        assert verify_older(journal, before, "it").wrong == ()
        assert verify_older(journal, replace(before, root=head.root), "it").wrong != ()

    def test_the_log_of_one_store_is_not_that_of_another(self, journal: Any, elsewhere: Any) -> None:
        """Two stores of the same facts have other logs."""
        for one in (journal, elsewhere):
            self.told(one)
        assert journal.log_head().root != elsewhere.log_head().root
        assert verify_older(journal, elsewhere.log_head(), "it").told != ()

    def test_a_removal_is_a_leaf_and_takes_no_diagnosis(self, journal: Any) -> None:
        """Owner and words go, what was found stays, the log says what went, and everything holds."""
        self.told(journal)
        assert journal.remove_personal("blue-van", [Belonging.OWNER, Belonging.WORDS]).values == 2
        kept = journal.facts("blue-van")
        assert kept[3].data["customer"] == "The crank sensor gave no signal."
        assert (kept[1].data["value"], kept[2].data["words"]) == (REMOVED, REMOVED)
        (removal,) = removals_of(journal.logged("blue-van"))
        assert removal["removed"] == [[2, "/value"], [3, "/words"]]
        assert self.wrong(journal) == ()

    def test_a_removal_elsewhere_is_followed(self, journal: Any) -> None:
        """The places that another machine names are emptied, with its key and time in the log."""
        self.told(journal)
        done = journal.follow_removal("blue-van", [(2, "/value")], key=b"k" * 32, utc="2031-05-02T09:00:00.000Z")
        assert done.values == 1
        assert journal.facts("blue-van")[1].data["value"] == REMOVED
        (removal,) = removals_of(journal.logged("blue-van"))
        assert (removal["key"], removal["utc"]) == ((b"k" * 32).hex(), "2031-05-02T09:00:00.000Z")
        assert self.wrong(journal) == ()

    def test_what_did_not_come_along_is_known(self, journal: Any, elsewhere: Any) -> None:
        """A chain taken without its personal values holds: the log says that they never came."""
        self.told(elsewhere)
        elsewhere.remove_personal("blue-van", [Belonging.OWNER])
        assert journal.take(elsewhere.entries("blue-van"), key=b"k" * 32) == 4
        assert self.wrong(journal) == ()

    def test_texts_are_kept_once_by_their_digest(self, journal: Any) -> None:
        """The first text under a digest stays; an unknown one is None."""
        journal.keep_texts({"d1": "one", "d2": "two"})
        journal.keep_texts({"d1": "another", "d3": "three"})
        assert [journal.text(digest) for digest in ("d1", "d2", "d3", "d4")] == ["one", "two", "three", None]

    def test_a_job_that_names_a_text_that_is_not_it_is_wrong(self, journal: Any) -> None:
        """Gone or changed: either is said."""
        texts = {"no-start": digest_of("say one"), "other": digest_of("say two")}
        journal.append([fact(1, kind=FactKind.JOB_STARTED, data={"key": "k7", "texts": texts})])
        journal.keep_texts({digest_of("say one"): "say another"})
        found = " ".join(verify_job(journal, "blue-van").wrong)
        assert "are gone: other" in found and "were changed: no-start" in found


class LastingJournalSuite(LogSuite):
    """What a journal must do that outlives its program."""

    def test_another_journal_reads_what_was_appended(self, journal: Any, reopen: Any) -> None:
        """What was appended is there for whoever opens the store next, while the first is still open."""
        journal.append([fact(1), fact(2)])
        assert reopen().facts("blue-van") == (fact(1), fact(2))

    def test_goes_on_where_it_was(self, journal: Any, reopen: Any) -> None:
        """After reopening the chain goes on and duplicates are still known."""
        journal.append([fact(1), fact(2)])
        journal.close()
        later = reopen()
        later.append([fact(2), fact(3)])
        assert later.facts("blue-van") == (fact(1), fact(2), fact(3))
        assert faults(later.entries("blue-van")) == ()

    def test_one_writer_to_a_job(self, journal: Any, reopen: Any) -> None:
        """A second program on the same job is told so in one sentence; once the first closes, it may write."""
        journal.append([fact(1)])
        other = reopen()
        with pytest.raises(RecordError, match="open in another program"):
            other.append([fact(2)])
        with pytest.raises(RecordError, match="open in another program"):
            other.claim("blue-van")
        assert other.facts("blue-van") == (fact(1),)
        journal.close()
        other.append([fact(2)])
        assert other.facts("blue-van") == (fact(1), fact(2))

    def test_a_job_is_taken_from_a_program_that_died(self, journal: Any, reopen: Any, die: Any) -> None:
        """Whoever held it is gone without a word: the next one may write, and nothing that was kept is lost."""
        journal.append([fact(1)])
        die(journal)
        other = reopen()
        other.append([fact(2)])
        assert other.facts("blue-van") == (fact(1), fact(2))

    def test_what_was_not_acknowledged_is_sent_again(self, journal: Any, reopen: Any) -> None:
        """The same facts again after an answer that never came are kept once, by the same program and by another."""
        turn = [fact(1), fact(2, kind=FactKind.NOTE_TAKEN, data={"words": "ring the owner"})]
        journal.append(turn)
        journal.append(turn)
        journal.close()
        other = reopen()
        other.append([*turn, fact(3)])
        assert other.facts("blue-van") == (*turn, fact(3))
        assert self.wrong(other) == ()

    def test_programs_that_race_for_one_job(self, reopen: Any) -> None:
        """Of several that begin the same job at once one keeps it whole; the others are told so, and add nothing."""
        keys, told = ("k0", "k1", "k2"), []
        start = Barrier(len(keys))

        def race(key: str) -> None:
            try:
                one = reopen()
            except BaseException:
                start.abort()  # or the others would wait for ever
                raise
            start.wait()
            for number in range(1, 6):
                try:
                    one.append([fact(number, key=key)])
                except RecordError as reason:
                    told.append(str(reason))
                    break
            one.close()

        with ThreadPoolExecutor(len(keys)) as pool:
            list(pool.map(race, keys))
        after = reopen()
        kept = after.facts("blue-van")
        assert len({one.id.partition("-")[0] for one in kept}) == 1
        assert [one.number for one in kept] == [1, 2, 3, 4, 5]
        assert len(told) == len(keys) - 1
        assert self.wrong(after) == ()

    def test_two_programs_on_two_jobs(self, journal: Any, reopen: Any) -> None:
        """Programs on different jobs share one store."""
        other = reopen()
        for number in range(1, 6):
            journal.append([fact(number)])
            other.append([fact(number, job="red-van", key="r")])
        assert len(journal.facts("red-van")) == len(other.facts("blue-van")) == 5
