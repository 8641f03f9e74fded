"""What every archive of jobs must do besides: take chains from elsewhere, find, remove."""

from __future__ import annotations

from typing import Any

import pytest

from assistant.errors import RecordError
from assistant.facts import FactKind
from assistant.record.admission import NameTaken
from assistant.record.chain import faults
from assistant.record.personal import REMOVED, Belonging
from assistant.record.summary import JobQuery
from tests.ports.journal_suite import JournalSuite, fact


class ArchiveSuite(JournalSuite):
    """Behaviour of ports.Archive: what the shop's desk asks of a journal."""

    def test_a_chain_is_taken_from_elsewhere_once(self, journal: Any, elsewhere: Any) -> None:
        """A chain from another machine is kept whole, and a second time changes nothing."""
        elsewhere.append([fact(1), fact(2)])
        assert journal.take(elsewhere.entries("blue-van")) == 2
        assert journal.take(elsewhere.entries("blue-van")) == 0
        assert journal.entries("blue-van") == elsewhere.entries("blue-van")

    def test_tells_what_was_kept_since(self, journal: Any, elsewhere: Any) -> None:
        """Whoever knows the place behind the last leaf seen, and the last fact of a job, gets the rest, each once."""
        journal.append([fact(1), fact(2)])
        before = journal.log_head().size
        assert list(journal.changes(before)) == []
        journal.append([fact(3)])
        elsewhere.append([fact(1, job="red-van", key="r")])
        journal.take(elsewhere.entries("red-van"))
        journal.remove_personal("blue-van", [Belonging.WORDS])
        told = [(leaf.kind, leaf.job, leaf.number) for leaf in journal.changes(before)]
        assert told[:2] == [("head", "blue-van", 3), ("taken", "red-van", 1)]
        assert [leaf.place for leaf in journal.changes(before, most=1)] == [before]
        assert [leaf.place for leaf in journal.changes()] == list(range(journal.log_head().size))
        assert [entry.number for entry in journal.entries("blue-van", since=1)] == [2, 3]
        assert journal.entries("blue-van", since=2) == journal.entries("blue-van")[2:]
        assert journal.entries("blue-van", since=9) == ()

    def test_tells_of_repairs_and_of_no_damage(self, journal: Any) -> None:
        """Every confirmed repair, in order; a sound store has nothing wrong, its lines included."""
        for job in ("one", "two"):
            confirmed = fact(2, job=job, key=job, kind=FactKind.REPAIR_CONFIRMED, data={"fault": job})
            journal.append([fact(1, job=job, key=job, kind=FactKind.JOB_STARTED, data={}), confirmed])
        assert [one.data["fault"] for one in journal.repairs()] == ["one", "two"]
        assert journal.damage() == journal.line_faults() == ()

    def test_a_chain_that_went_on_elsewhere_is_continued(self, journal: Any, elsewhere: Any) -> None:
        """Only the new end of a chain is added; a shorter one takes nothing away."""
        elsewhere.append([fact(1), fact(2)])
        short = elsewhere.entries("blue-van")
        journal.take(short)
        elsewhere.append([fact(3)])
        assert journal.take(elsewhere.entries("blue-van")) == 1
        assert journal.take(short) == 0
        assert journal.facts("blue-van") == (fact(1), fact(2), fact(3))
        assert faults(journal.entries("blue-van")) == ()

    def test_another_history_of_a_job_is_refused(self, journal: Any, elsewhere: Any) -> None:
        """A job that went another way here is left as it is."""
        journal.append([fact(1), fact(2)])
        elsewhere.append([fact(1), fact(2, id="other", data={"words": "not done"})])
        with pytest.raises(RecordError, match="another history"):
            journal.take(elsewhere.entries("blue-van"))
        assert journal.facts("blue-van") == (fact(1), fact(2))

    def test_an_id_of_another_job_is_refused(self, journal: Any, elsewhere: Any) -> None:
        """A chain that uses an id of another job is left out whole."""
        journal.append([fact(1)])
        elsewhere.append([fact(1, job="red-van", key="r"), fact(2, job="red-van", id="k7-1")])
        with pytest.raises(RecordError, match="taken by another job"):
            journal.take(elsewhere.entries("red-van"))
        assert journal.jobs() == ("blue-van",)

    def test_removed_values_stay_removed(self, journal: Any, elsewhere: Any) -> None:
        """A plate is gone for every reader after its removal, the chain holds, and an import does not bring it back."""
        told = fact(1, kind=FactKind.VEHICLE_NOTED, data={"fact": "plate", "value": "HS 42 DEMO"})
        noted = fact(2, kind=FactKind.NOTE_TAKEN, data={"words": "ring the owner"})
        journal.append([told, noted])
        elsewhere.append([told, noted])
        assert journal.remove_personal("blue-van", [Belonging.OWNER]).values == 1
        assert journal.facts("blue-van")[0].data["value"] == REMOVED
        assert journal.facts("blue-van")[1] == noted
        assert faults(journal.entries("blue-van")) == ()
        journal.take(journal.entries("blue-van"))
        journal.append([told, noted])  # a late duplicate
        assert journal.facts("blue-van")[0].data["value"] == REMOVED
        assert journal.remove_personal("blue-van", [Belonging.OWNER, Belonging.WORDS]).values == 1
        assert journal.facts("blue-van")[1].data["words"] == REMOVED
        assert journal.search(JobQuery(vehicle=("HS 42",))) == ()

    def test_a_job_goes_on_after_a_removal(self, journal: Any) -> None:
        """Facts are added after a removal as before."""
        journal.append([fact(1, kind=FactKind.NOTE_TAKEN, data={"words": "ring the owner"})])
        journal.remove_personal("blue-van", [Belonging.WORDS])
        journal.append([fact(2)])
        assert faults(journal.entries("blue-van")) == ()

    @pytest.mark.parametrize(
        ("query", "found"),
        [
            (JobQuery(), ["third", "second", "first"]),
            (JobQuery(most=1), ["third"]),
            (JobQuery(words=("SECOND",)), ["second"]),
            (JobQuery(vehicle=("hs 42",)), ["first"]),
            (JobQuery(vehicle=("diesel",)), ["second"]),
            (JobQuery(vehicle=("%",)), []),
            (JobQuery(vehicle=("_",)), []),
            (JobQuery(vehicle=("gr\u00fcn",)), ["third"]),
            (JobQuery(finding=("crank sensor",)), ["first"]),
            (JobQuery(words=("petrol", "crank-sensor")), ["first"]),
            (JobQuery(ended=False), ["third", "second"]),
            (JobQuery(ended=True), ["first"]),
            (JobQuery(since="2031-05-02"), ["third", "second"]),
            (JobQuery(until="2031-05-02"), ["first"]),
            (JobQuery(since="2031-05-02", until="2031-05-03"), ["second"]),
        ],
    )
    def test_finds_jobs(self, journal: Any, utc: list[str], query: JobQuery, found: list[str]) -> None:
        """Jobs are found by name, vehicle, plate, finding, day and state, newest first."""
        for day, (job, plate, fuel) in enumerate(
            [("first", "HS 42", "petrol"), ("second", "HS 43", "diesel"), ("third", "gr\u00fcn", "petrol")], start=1
        ):
            utc[:] = [f"2031-05-0{day}T09:00:00.000Z"]
            told = [(FactKind.JOB_STARTED, {}), *_noted(plate=plate, fuel=fuel)]
            if job == "first":
                told += [(FactKind.FINDING_REACHED, {"fault": "crank-sensor"}), (FactKind.JOB_ENDED, {})]
            journal.append(
                [fact(at, job=job, key=job, kind=kind, data=data) for at, (kind, data) in enumerate(told, start=1)]
            )
        assert [line.job for line in journal.search(query)] == found

    @pytest.mark.parametrize(
        ("query", "found"),
        [
            (JobQuery(words=("p0335",)), ["coded"]),
            (JobQuery(words=("P 0335",)), ["coded"]),
            (JobQuery(words=("P0113",)), []),  # struck
            (JobQuery(words=("SPUTTERED and died",)), ["said"]),
            (JobQuery(words=("connector",)), ["said", "coded"]),
            (JobQuery(words=("connector", "harness")), ["coded"]),
            (JobQuery(words=("no tool",)), ["said"]),
            (JobQuery(words=("DEMO-42",)), ["said"]),
            (JobQuery(words=("demo42",)), ["said"]),
            (JobQuery(vehicle=("Demo 42",)), ["said"]),
            (JobQuery(vehicle=("d.e.m.o.4",)), ["said"]),
            (JobQuery(vehicle=("1zz-dm42",)), ["coded"]),
            (JobQuery(vehicle=("connector",)), []),
            (JobQuery(vehicle=("-",)), ["said", "coded"]),  # says nothing, so nothing is asked for
            (JobQuery(words=("clip-7",)), []),  # the name of a sound is nothing that was said
            (JobQuery(words=("gr\u00dcn \u00dcber",)), ["coded"]),
        ],
    )
    def test_finds_what_was_said(self, journal: Any, query: JobQuery, found: list[str]) -> None:
        """Fault codes, complaint, notes and reasons are found by any piece; plates, VINs and codes in any spelling."""
        told: dict[str, list[tuple[FactKind, dict[str, Any]]]] = {
            "coded": [
                (FactKind.JOB_STARTED, {}),
                *_noted(vin="1ZZDM42H7XX000042"),
                (FactKind.CODE_LOGGED, {"code": "P0335"}),
                (FactKind.CODE_LOGGED, {"code": "P0113"}),
                (FactKind.STRUCK, {"struck": "coded-4"}),
                (FactKind.NOTE_TAKEN, {"words": "connector  by the harness, gr\u00fcn-\u00fcber"}),
            ],
            "said": [
                (FactKind.JOB_STARTED, {}),
                *_noted(plate="DEMO-42"),
                (FactKind.WORDS_KEPT, {"words": "it sputtered and died"}),
                (FactKind.NOTE_TAKEN, {"words": "oily connector", "hearing": {"clip": "clip-7.wav"}}),
                (FactKind.STEP_SKIPPED, {"reason": "No tool for it"}),
            ],
        }
        for job, facts in told.items():
            numbered = enumerate(facts, start=1)
            journal.append([fact(at, job=job, key=job, kind=kind, data=data) for at, (kind, data) in numbered])
        assert [line.job for line in journal.search(query)] == found

    def test_newest_goes_by_date(self, journal: Any, elsewhere: Any, utc: list[str]) -> None:
        """A job taken from elsewhere stands where its day is, not where it came in."""
        for day in ("2031-05-03", "2031-05-01"):
            utc[:] = [f"{day}T09:00:00.000Z"]
            journal.append([fact(1, job=day, key=day, kind=FactKind.JOB_STARTED, data={})])
        elsewhere.append([fact(1, job="old", key="o", kind=FactKind.JOB_STARTED, data={})])
        journal.take(elsewhere.entries("old"))
        assert [line.job for line in journal.search(JobQuery())] == ["2031-05-03", "2031-05-01", "old"]
        assert [line.job for line in journal.search(JobQuery(most=2))] == ["2031-05-03", "2031-05-01"]

    def test_dictated_words_are_not_found_after_their_removal(self, journal: Any) -> None:
        """What was taken out answers no search, what is left still does."""
        journal.append(
            [
                fact(1, kind=FactKind.NOTE_TAKEN, data={"words": "ring the owner"}),
                fact(2, kind=FactKind.VEHICLE_NOTED, data={"fact": "plate", "value": "HS 42 DEMO"}),
            ]
        )
        journal.remove_personal("blue-van", [Belonging.WORDS])
        assert journal.search(JobQuery(words=("ring",))) == ()
        assert len(journal.search(JobQuery(words=("hs42demo",)))) == 1

    def test_another_job_of_the_same_name_gets_another_label(self, journal: Any, elsewhere: Any) -> None:
        """Two machines may have used one name: the second chain is told apart by its key, kept whole, and goes on."""
        journal.append([fact(1)])
        elsewhere.append([fact(1, key="x9", kind=FactKind.JOB_STARTED, data={}), fact(2, key="x9")])
        chain = elsewhere.entries("blue-van")
        with pytest.raises(NameTaken, match="another job 'blue-van'"):
            journal.take(chain)
        assert journal.take(chain, label="blue-van (2)") == 2
        assert journal.take(chain) == 0
        assert journal.take(chain, label="blue-van (3)") == 0
        assert journal.jobs() == ("blue-van", "blue-van (2)")
        assert journal.entries("blue-van (2)") == journal.entries("x9") == chain
        assert faults(journal.entries("blue-van (2)")) == ()
        assert [line.job for line in journal.search(JobQuery(words=("van (2)",)))] == ["blue-van (2)"]
        journal.append([fact(3, key="x9")])
        journal.append([fact(2)])
        assert [len(journal.facts(job)) for job in journal.jobs()] == [2, 3]
        journal.remove_personal("blue-van (2)", [Belonging.OWNER])
        assert faults(journal.entries("blue-van (2)")) == ()

    def test_a_job_is_begun_once_under_a_name(self, journal: Any) -> None:
        """A second job begun under a name that is taken is refused, and the first stays as it is."""
        journal.append([fact(1), fact(2)])
        with pytest.raises(RecordError, match="another fact 1"):
            journal.append([fact(1, key="x9")])
        assert journal.facts("blue-van") == (fact(1), fact(2))

    def test_a_struck_finding_is_not_found(self, journal: Any) -> None:
        """A finding that was struck answers no search."""
        journal.append(
            [
                fact(1, kind=FactKind.FINDING_REACHED, data={"fault": "crank-sensor"}),
                fact(2, kind=FactKind.STRUCK, data={"struck": "k7-1"}),
            ]
        )
        assert journal.search(JobQuery(finding=("crank",))) == ()


def _noted(**told: str) -> list[tuple[FactKind, dict[str, Any]]]:
    return [(FactKind.VEHICLE_NOTED, {"fact": name, "value": value}) for name, value in told.items()]
