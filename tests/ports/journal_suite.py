"""What every journal must do, whatever it keeps its facts in.

An implementation passes by a subclass whose `make` fixture returns a journal; one on disk also says how to reopen it.
"""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import pytest

from assistant.errors import RecordError
from assistant.facts import Fact, FactKind
from assistant.record.chain import faults


def fact(number: int, *, job: str = "blue-van", key: str = "k7", at_s: float | None = None, **more: Any) -> Fact:
    """A fact of an invented job."""
    return Fact(
        id=more.pop("id", f"{key}-{number}"),
        job=job,
        number=number,
        at_s=float(number) if at_s is None else at_s,
        kind=more.pop("kind", FactKind.INSTRUCTION_DONE),
        procedure="no-start",
        step="spark-check",
        data=more.pop("data", {"words": "done"}),
    )


class JournalSuite:
    """Behaviour of ports.Journal."""

    def test_gives_back_what_was_appended_in_order(self, journal: Any) -> None:
        """Facts come back equal and in the order of their numbers."""
        first, second, third = fact(1), fact(2, data={"value": 12.4, "unit": "V"}), fact(3, data={"list": [1, None]})
        journal.append([first, second])
        journal.append([third])
        assert journal.facts("blue-van") == (first, second, third)

    def test_an_unknown_job_has_no_facts(self, journal: Any) -> None:
        """A job never heard of is empty, not an error."""
        assert journal.facts("nobody") == ()

    def test_appending_nothing_changes_nothing(self, journal: Any) -> None:
        """An empty append leaves no job behind."""
        journal.append([])
        assert journal.jobs() == ()

    def test_names_jobs_oldest_first(self, journal: Any) -> None:
        """Jobs are named in the order in which they began."""
        journal.append([fact(1, job="zeta", key="z")])
        journal.append([fact(1, job="alpha", key="a")])
        journal.append([fact(2, job="zeta", key="z")])
        assert journal.jobs() == ("zeta", "alpha")

    def test_the_same_fact_twice_is_kept_once(self, journal: Any) -> None:
        """A fact delivered again, alone or with newer ones, is not doubled."""
        journal.append([fact(1), fact(2)])
        journal.append([fact(2)])
        journal.append([fact(1), fact(2), fact(3)])
        journal.append([fact(4), fact(4)])
        assert [kept.number for kept in journal.facts("blue-van")] == [1, 2, 3, 4]

    def test_another_fact_under_the_same_id_is_refused(self, journal: Any) -> None:
        """An id means one fact for all time, in its own job and in every other."""
        journal.append([fact(1)])
        with pytest.raises(RecordError, match="under the id"):
            journal.append([fact(1, data={"words": "not done"})])
        with pytest.raises(RecordError, match="under the id"):
            journal.append([fact(1, job="red-van")])
        assert journal.facts("blue-van") == (fact(1),)
        assert journal.jobs() == ("blue-van",)

    def test_another_fact_under_the_same_number_is_refused(self, journal: Any) -> None:
        """A second program cannot slip its own fact into a number that is taken."""
        journal.append([fact(1), fact(2)])
        with pytest.raises(RecordError, match="another fact 2"):
            journal.append([fact(2, id="other-2")])

    @pytest.mark.parametrize("numbers", [(2,), (1, 3), (0,), (1, 2, 2000)])
    def test_a_gap_in_the_numbers_is_refused(self, journal: Any, numbers: tuple[int, ...]) -> None:
        """Numbers count from 1 without gaps."""
        with pytest.raises(RecordError):
            journal.append([fact(number) for number in numbers])
        assert journal.facts("blue-van") == ()

    def test_an_append_is_kept_whole_or_not_at_all(self, journal: Any) -> None:
        """One bad fact keeps out its whole batch, other jobs' facts included, and the journal goes on working."""
        journal.append([fact(1)])
        with pytest.raises(RecordError):
            journal.append([fact(2), fact(1, job="red-van", key="r"), fact(4)])
        assert journal.facts("blue-van") == (fact(1),)
        assert journal.facts("red-van") == ()
        journal.append([fact(2)])
        assert [kept.number for kept in journal.facts("blue-van")] == [1, 2]

    @pytest.mark.parametrize("bad", [float("nan"), float("inf"), object(), {1, 2}])
    def test_what_json_cannot_hold_is_refused(self, journal: Any, bad: object) -> None:
        """A value that would not come back the same is refused in words."""
        with pytest.raises(RecordError, match="could not be kept"):
            journal.append([fact(1, data={"value": bad})])
        assert journal.jobs() == ()

    @pytest.mark.parametrize(
        "name", ["../../etc/passwd", "a/b\\c", "'; DROP TABLE facts; --", "gr\u00fcn \U0001f697", "x" * 200]
    )
    def test_a_job_may_have_any_name(self, journal: Any, name: str) -> None:
        """Path characters, quotes and other scripts in a job's name are only a name."""
        journal.append([fact(1, job=name)])
        assert journal.jobs() == (name,)
        assert journal.facts(name) == (fact(1, job=name),)

    @pytest.mark.parametrize("name", ["x" * 201, "nul \x00 inside"])
    def test_a_name_that_not_every_store_holds_is_refused(self, journal: Any, elsewhere: Any, name: str) -> None:
        """Too long, or with a NUL: refused in one sentence, begun here or brought from elsewhere."""
        with pytest.raises(RecordError, match="at most 200 characters, and no NUL"):
            journal.append([fact(1, job=name)])
        elsewhere.append([fact(1)])
        (entry,) = elsewhere.entries("blue-van")
        with pytest.raises(RecordError, match="at most 200 characters, and no NUL"):
            journal.take([replace(entry, job=name)])
        assert journal.jobs() == ()

    @pytest.mark.parametrize("name", ["", "half \ud83d"])
    def test_a_name_that_is_no_text_is_refused(self, journal: Any, name: str) -> None:
        """An empty name or half a character is refused in words."""
        with pytest.raises(RecordError, match="must be text"):
            journal.append([fact(1, job=name)])

    def test_any_words_come_back(self, journal: Any) -> None:
        """Markup, control characters, half characters and a huge note come back as they were said."""
        words = "<script>alert(1)</script> \x00 \ud83d \u2028 '" + "long " * 200_000
        kept = fact(1, kind=FactKind.NOTE_TAKEN, data={"words": words})
        journal.append([kept])
        assert journal.facts("blue-van") == (kept,)

    def test_personal_values_come_back_and_are_kept_once(self, journal: Any) -> None:
        """A plate comes back as it was given, and its fact is known again when it is delivered twice."""
        told = fact(1, kind=FactKind.VEHICLE_NOTED, data={"vehicle": {"plate": "HS 42 DEMO", "fuel": "petrol"}})
        journal.append([told])
        journal.append([told])
        assert journal.facts("blue-van") == (told,)
        with pytest.raises(RecordError, match="under the id"):
            journal.append(
                [fact(1, kind=FactKind.VEHICLE_NOTED, data={"vehicle": {"plate": "HS 43 DEMO", "fuel": "petrol"}})]
            )

    def test_a_personal_value_stands_beside_the_chain(self, journal: Any) -> None:
        """The chained text of a fact holds no plate and no dictated words."""
        journal.append(
            [
                fact(1, kind=FactKind.VEHICLE_NOTED, data={"fact": "plate", "value": "HS 42 DEMO"}),
                fact(2, kind=FactKind.NOTE_TAKEN, data={"words": "ring the owner"}),
            ]
        )
        bodies = " ".join(entry.body for entry in journal.entries("blue-van"))
        assert "HS 42 DEMO" not in bodies
        assert "ring the owner" not in bodies

    def test_keeps_a_chain_that_holds(self, journal: Any) -> None:
        """However the facts came in, the chain of each job holds."""
        journal.append([fact(1), fact(1, job="red-van", key="r")])
        journal.append([fact(2), fact(3)])
        journal.append([fact(2, job="red-van", key="r"), fact(4)])
        for job, count in (("blue-van", 4), ("red-van", 2)):
            assert len(journal.entries(job)) == count
            assert faults(journal.entries(job)) == ()

    def test_keeps_the_time_of_day_beside_each_fact(self, journal: Any, utc: list[str]) -> None:
        """The time of recording is kept as told, even when the clock was set back, and never decides the order."""
        utc[:] = ["2031-05-02T10:00:00Z"]
        journal.append([fact(1)])
        utc[:] = ["2031-05-01T09:00:00Z"]
        journal.append([fact(2)])
        assert [entry.recorded_utc for entry in journal.entries("blue-van")] == [
            "2031-05-02T10:00:00Z",
            "2031-05-01T09:00:00Z",
        ]
        assert [kept.number for kept in journal.facts("blue-van")] == [1, 2]

    def test_a_claimed_job_can_be_appended_to(self, journal: Any) -> None:
        """Whoever claims a job may write it, and may claim it again."""
        journal.claim("blue-van")
        journal.claim("blue-van")
        journal.append([fact(1)])
        assert journal.facts("blue-van") == (fact(1),)

    def test_may_be_closed_twice(self, journal: Any) -> None:
        """Closing again is harmless."""
        journal.close()
        journal.close()
