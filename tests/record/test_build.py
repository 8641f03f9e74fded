"""The record says what the facts say."""

from __future__ import annotations

import random
from datetime import datetime
from typing import Any

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from assistant.facts import FactKind
from assistant.record.build import build_record, procedures_used
from assistant.record.csv_text import csv_text
from assistant.record.html import html_text
from assistant.record.invoice import invoice_text
from assistant.record.model import JobRecord
from assistant.record.page import lay_out
from assistant.record.plain import json_text
from assistant.record.spoken import read_aloud
from assistant.record.summary import Summary, summarise
from tests.record.sample_job import PLATE, PROCEDURES, VIN, Bench, sample_job


def same(when: datetime) -> datetime:
    """Times of day as they were recorded."""
    return when


def test_the_vehicle_and_apart_from_it_the_person(record: JobRecord) -> None:
    """VIN, mileage and facts belong to the vehicle; the plate stands apart."""
    assert record.vehicle.vin == VIN
    assert record.vehicle.vin_check == "right"
    assert record.vehicle.mileage == "82000 km"
    assert record.vehicle.facts == {"fuel": "petrol", "cylinders": "4"}
    assert record.personal == {"plate": PLATE}


def test_struck_facts_stay_marked(record: JobRecord) -> None:
    """A correction never erases: the wrong reading is there, with the fact that struck it."""
    wrong = record.readings[0]
    assert (wrong.value, wrong.mark.struck_by) == (21.5, "q7f3a1-12")
    assert [fact.struck_by for fact in record.facts if fact.id == wrong.mark.fact] == ["q7f3a1-12"]
    assert record.readings[1].mark.struck_by is None


def test_a_confirmed_result_has_the_hearing_of_the_answer(record: JobRecord) -> None:
    """How sure the hearing was is that of the words of the result, not of the yes after them."""
    (result,) = record.results
    assert (result.label, result.hearing.confidence) == ("no spark", 0.93)
    assert result.question == "Crank and look at the tester. Is there a spark?"


def test_cautions_have_the_time_of_their_acknowledgement(record: JobRecord) -> None:
    """Each caution states its words, and when and with what it was acknowledged."""
    first = record.cautions[0]
    assert first.signal == "warning"
    assert first.text.startswith("Belts and fan move without warning.")
    assert first.acknowledged_at_s == first.mark.at_s + 5
    assert first.words == "area is clear"


def test_an_unanswered_caution_is_not_acknowledged_by_the_next() -> None:
    """A caution spoken twice and answered once shows one that nobody answered."""
    bench = Bench()
    bench.add(FactKind.JOB_STARTED)
    for _ in range(2):
        bench.add(FactKind.CAUTION_SPOKEN, "spark-check", {"caution": "crank-area", "signal": "warning"})
    bench.add(FactKind.CAUTION_ACKNOWLEDGED, "spark-check", {"caution": "crank-area", "words": "area is clear"})
    spoken = build_record(bench.entries(), PROCEDURES).cautions
    assert [one.words for one in spoken] == [None, "area is clear"]


def test_duty_is_added_up(record: JobRecord) -> None:
    """Bursts are counted with their lengths, rests and what was due."""
    assert [burst.seconds for burst in record.bursts] == [5.2, 6.8, 3.1, 3.1, 3.1, 3.1]
    assert record.duty.total_s == pytest.approx(24.4)
    assert record.duty.longest_s == 6.8
    assert record.bursts[1].rest_before_s == pytest.approx(340.0)
    assert sum(burst.rest_due_s > 0 for burst in record.bursts) == 2


class TwoDays(Bench):
    """A job whose second half is recorded a day later."""

    def _utc(self) -> str:
        return f"2031-05-0{1 if self.at_s < 100 else 2}T09:00:00.000Z"


def test_the_totals_of_each_day_are_kept() -> None:
    """Bursts add up by the day on which they were recorded, and the page says so where there are two."""
    bench = TwoDays()
    bench.add(FactKind.JOB_STARTED)
    for start_s, end_s in ((10.0, 15.0), (20.0, 22.5), (86_400.0, 86_403.0)):
        data = {"start_s": start_s, "end_s": end_s, "by": "ear"}
        bench.add(FactKind.BURST_ENDED, "spark-check", data, after_s=end_s - bench.at_s)
    record = build_record(bench.entries(), PROCEDURES)
    assert [(one.day, one.bursts, one.total_s) for one in record.duty.days] == [
        ("2031-05-01", 2, 7.5),
        ("2031-05-02", 1, 3.0),
    ]
    assert "By day: 2 on 2031-05-01, 7.5 s; 1 on 2031-05-02, 3 s." in html_text(record, same)


def test_an_answer_that_the_ear_contradicts_keeps_both_views() -> None:
    """The technician's word is the answer; what the ear heard stands beside it, in JSON and on the page."""
    bench = Bench()
    bench.add(FactKind.JOB_STARTED)
    data = {"result": "no-change", "words": "never fired", "ear_result": "ran-briefly", "ear_words": "ran briefly"}
    bench.add(FactKind.RESULT_LOGGED, "spark-check", data)
    record = build_record(bench.entries(), PROCEDURES)
    (result,) = record.results
    assert (result.result, result.ear) == ("no-change", "ran briefly")
    assert "(it sounded like: ran briefly)" in html_text(record, same)


def test_what_the_ear_corrects_replaces_what_the_timer_counted() -> None:
    """A burst that the ear heard after the timer had counted it is one burst."""
    bench = Bench()
    bench.add(FactKind.JOB_STARTED)
    bench.add(FactKind.BURST_ENDED, "spark-check", {"start_s": 10.0, "end_s": 15.0, "by": "tones"}, after_s=15)
    heard = {"start_s": 10.4, "end_s": 14.4, "by": "ear", "rpm": 180.0, "corrects": True}
    bench.add(FactKind.BURST_ENDED, "spark-check", heard)
    (burst,) = build_record(bench.entries(), PROCEDURES).bursts
    assert (burst.seconds, burst.timed_by, burst.rest_before_s) == (4.0, "ear", None)


def test_minutes_leave_pauses_out(record: JobRecord) -> None:
    """Time in a step is counted over its entries, without the pause in it."""
    cranking = next(one for one in record.steps if one.step == "battery-cranking")
    assert cranking.spent_min == pytest.approx((1 + 45.2 - 1) / 60, abs=0.05)
    assert cranking.planned_min == 1.0
    assert record.minutes < record.duration_s / 60 - 3.9


def test_open_items_are_those_not_refitted(record: JobRecord) -> None:
    """What came off and went back on is settled; what did not stays open."""
    assert [(item.item, item.state) for item in record.open_items] == [("engine cover", "removed")]


def test_a_struck_refit_opens_the_item_again() -> None:
    """When putting a part back was struck, the part is off again."""
    bench = Bench()
    bench.add(FactKind.JOB_STARTED)
    bench.add(FactKind.ITEM_REMOVED, "spark-check", {"item": "coil"})
    refit = bench.add(FactKind.ITEM_REFITTED, "spark-check", {"item": "coil"})
    assert build_record(bench.entries(), PROCEDURES).open_items == ()
    bench.add(FactKind.STRUCK, "spark-check", {"struck": refit})
    assert [item.item for item in build_record(bench.entries(), PROCEDURES).open_items] == ["coil"]


def test_the_finding_is_complete(record: JobRecord) -> None:
    """The finding states fault, proof, what is likely and untested, next step and customer wording."""
    found = record.finding
    assert found is not None
    assert (found.fault, found.title) == ("crank-sensor", "The ignition makes no spark.")
    assert found.by_test == ("battery good", "no spark on two coils")
    assert (found.standing, found.proved) == ("by-test", ())
    assert found.untested == ("fuel pressure",)
    assert found.next_step.startswith("Check the crankshaft sensor")


def test_an_open_job_has_a_record() -> None:
    """A job that is not finished can be reported; it says so."""
    opened = build_record(sample_job(ended=False).entries(), PROCEDURES)
    assert (opened.state, opened.finding) == ("open", None)


def test_without_its_procedure_a_job_still_has_a_record() -> None:
    """When the procedure is not at hand the facts alone are shown."""
    bare = build_record(sample_job().entries(), {})
    assert [one.value for one in bare.readings] == [21.5, 12.5, 10.4, 160.0, 155.0, 118.0, 158.0]
    assert bare.finding is not None
    assert html_text(bare, same)


def test_procedures_are_named_in_the_order_of_use() -> None:
    """The first procedure named is the one that leads the job."""
    assert procedures_used(sample_job().entries()) == ("no-start",)


def test_the_head_of_the_chain_is_carried(record: JobRecord) -> None:
    """The record states number and hash of the last fact, and the ids that the trace has."""
    assert record.chain.number == len(record.facts) == record.facts[-1].number
    assert record.chain.hash == record.facts[-1].hash
    assert record.facts[0].id == "q7f3a1-1"


def test_read_aloud_says_the_main_things(record: JobRecord) -> None:
    """Spoken, the record tells the latest readings, results, what is off and the finding, and no struck value."""
    said = " ".join(read_aloud(record))
    for words in ("Battery at rest: twelve point five volts, good.", "no spark", "Still off the vehicle: engine cover"):
        assert words in said
    assert "twenty one point five" not in said
    assert said.endswith("Check the crankshaft sensor's signal and wiring.")


def test_any_prefix_of_a_job_has_a_record() -> None:
    """Wherever a job stands, its record can be built and shown in every form."""
    entries = sample_job().entries()
    for length in random.Random(7).sample(range(1, len(entries)), 12):
        partial = build_record(entries[:length], PROCEDURES)
        assert json_text(partial)
        assert html_text(partial, same)
        assert read_aloud(partial)


_JSON = st.recursive(
    st.none()
    | st.booleans()
    | st.integers(-(10**20), 10**400)
    | st.floats(allow_nan=False, allow_infinity=False)
    | st.text(),
    lambda inside: st.lists(inside, max_size=3) | st.dictionaries(st.text(max_size=8), inside, max_size=3),
    max_leaves=8,
)
KEYS = (
    *("fact", "value", "unit", "words", "name", "quantity", "limits", "band", "struck", "item", "hearing", "odds"),
    *("start_s", "end_s", "rpm", "caught", "fault", "title", "proved", "caution", "gate", "code", "cylinder"),
)


@settings(max_examples=60, deadline=None, suppress_health_check=[HealthCheck.too_slow])
@given(
    st.lists(
        st.tuples(st.sampled_from(list(FactKind)), st.dictionaries(st.sampled_from(KEYS), _JSON, max_size=4)),
        max_size=12,
    )
)
def test_no_facts_break_the_documents(told: list[tuple[FactKind, dict[str, Any]]]) -> None:
    """Whatever JSON an import puts into facts, the record and its documents are made and stay well formed."""
    bench = Bench()
    bench.add(FactKind.JOB_STARTED)
    for kind, data in told:
        bench.add(kind, "spark-check", data, after_s=1)
    made = build_record(bench.entries(), PROCEDURES)
    assert json_text(made)
    assert html_text(made, same).rstrip().endswith("</html>")
    assert read_aloud(made)


def test_the_finding_keeps_what_the_odds_said_and_the_repair_that_was_confirmed() -> None:
    """The last word on the repair holds; taken back, there is none."""
    bench = sample_job(ended=False)
    said = "Not proved by the odds: a dead coil, about six in ten."
    bench.add(FactKind.FINDING_REACHED, "no-spark-found", {"by_odds": said})
    bench.add(FactKind.REPAIR_CONFIRMED, None, {"fault": "coil-dead", "by": "desk"})
    record = build_record(bench.entries(), PROCEDURES)
    assert record.finding is not None
    assert (record.finding.by_odds, record.finding.repair) == (said, "coil-dead")
    assert "Repaired: coil dead, confirmed by the desk, after the job." in html_text(record, same)
    bench.add(FactKind.REPAIR_CONFIRMED, None, {"fault": None, "by": "desk"})
    record = build_record(bench.entries(), PROCEDURES)
    assert record.finding is not None
    assert record.finding.repair == ""


def test_a_repair_without_cure_is_called_what_the_fault_model_calls_it() -> None:
    """Not by its id; parts of a finding that follow a semicolon begin small, abbreviations aside."""
    bench = sample_job(ended=False)
    shown = {"proved": ["The pump is silent.", "A fuse is blown.", "ECU supply is good."]}
    bench.add(FactKind.FINDING_REACHED, "no-spark-found", {"fault": "pump-feed", **shown})
    bench.add(FactKind.REPAIR_FAILED, None, {"fault": "pump-dead", "minutes": 40})
    record = build_record(bench.entries(), PROCEDURES, fault_names={"pump-dead": "a dead fuel pump"})
    assert record.finding is not None
    assert record.finding.failed == ("a dead fuel pump, 40 min",)
    assert "The pump is silent; a fuse is blown; ECU supply is good" in html_text(record, same)


def test_a_finding_that_was_gone_back_from_no_longer_stands() -> None:
    """Neither in the record nor in the line about the job; what is found later does."""
    bench = sample_job(ended=False)
    bench.add(FactKind.FINDING_REACHED, "no-spark-found", {"fault": "coil-dead"})
    bench.add(FactKind.WENT_BACK, None, {"visits": 1})
    assert build_record(bench.entries(), PROCEDURES).finding is None
    assert line_of(bench).finding == ""
    bench.add(FactKind.FINDING_REACHED, "no-spark-found", {"fault": "crank-sensor", "standing": "not-proved"})
    record = build_record(bench.entries(), PROCEDURES)
    assert record.finding is not None
    assert (record.finding.fault, record.finding.standing) == ("crank-sensor", "not-proved")
    assert line_of(bench).finding.endswith("(not proved yet)")


def line_of(bench: Bench) -> Summary:
    """The line about the job."""
    line = Summary(job=bench.job)
    for entry in bench.entries():
        line = summarise(line, entry.fact(), entry.recorded_utc)
    return line


@pytest.mark.parametrize(
    ("data", "standing"),
    [
        ({"odds": {"crank-sensor": 0.97}, "by_odds": "Proved by the odds: x."}, "proved"),
        ({"odds": {"crank-sensor": 0.5}, "by_odds": "Not proved by the odds: x."}, "not-proved"),
        ({"odds": {"crank-sensor": 0.2, "coil-dead": 0.5}}, "outweighed"),
        ({"odds": {"coil-dead": 0.9}, "by_odds": "Not proved by the odds: x."}, "not-proved"),
        ({}, "by-test"),
    ],
)
def test_an_older_record_is_no_surer_than_its_odds(data: dict[str, Any], standing: str) -> None:
    """Before the standing was kept the odds and their sentence were: they decide."""
    bench = sample_job(ended=False)
    bench.add(FactKind.FINDING_REACHED, "no-spark-found", {"fault": "crank-sensor", **data})
    found = build_record(bench.entries(), PROCEDURES).finding
    assert found is not None
    assert found.standing == standing
    assert bool(found.proved) == (standing == "proved")


@pytest.mark.parametrize(
    ("data", "proofed", "confidence"),
    [
        ({"hearing": {"engine": "embedded", "confidence": 0.62}, "proofed": False}, False, 0.62),
        ({"hearing": {"engine": "embedded", "confidence": 1.0}}, False, None),
        ({"hearing": {"engine": "typed", "confidence": 1.0}, "proofed": True}, True, 1.0),
        ({"hearing": {"engine": "typed", "confidence": 1.0}}, True, 1.0),
    ],
    ids=["dictated", "dictated, older: nobody measured it", "typed", "typed, older"],
)
def test_dictated_words_are_marked_in_every_document(
    data: dict[str, Any], proofed: bool, confidence: float | None
) -> None:
    """Unless they were typed; the confidence is the measured one or none."""
    bench = sample_job(ended=False)
    bench.add(FactKind.WORDS_KEPT, "complaint", {"words": "it quit on the bridge", **data})
    bench.add(FactKind.NOTE_TAKEN, "complaint", {"words": "oil on the plug", **data})
    record = build_record(bench.entries(), PROCEDURES)
    said, note = record.complaint[-1], record.notes[-1]
    assert (said.proofed, said.hearing.confidence) == (note.proofed, note.hearing.confidence) == (proofed, confidence)
    marked = "dictated, not proofed"
    line = next(one for one in csv_text(record).splitlines() if "it quit on the bridge" in one)
    aloud = next(one for one in read_aloud(record) if "it quit on the bridge" in one)
    assert [marked in one for one in (line, aloud, invoice_text(record, same))] == [not proofed] * 3
    page = lay_out(record, same)
    notes = page.table("notes")
    assert notes is not None
    for cell in (page.complaint[-1].cells[1], notes.rows[-1].cells[-1]):
        assert cell.startswith(marked) != proofed
        assert ("about 62 % of the words right" in cell) == (confidence == 0.62)


def test_a_test_told_after_the_finding_can_make_it_less_sure() -> None:
    """The last odds decide: the box never lags behind the odds that stand below it."""
    bench = sample_job(ended=False)
    sure = {"fault": "crank-sensor", "standing": "proved", "by_odds": "Proved by the odds: x."}
    bench.add(FactKind.FINDING_REACHED, "no-spark-found", sure)
    doubt = {"standing": "outweighed", "by_odds": "Not proved by the odds: y is likelier than x."}
    bench.add(FactKind.TEST_TOLD, None, {"test": "spark-check", "result": "present", "words": "spark", **doubt})
    found = build_record(bench.entries(), PROCEDURES).finding
    assert found is not None
    assert (found.standing, found.by_odds) == (doubt["standing"], doubt["by_odds"])
    assert (found.proved, found.by_test) == ((), ("battery good", "no spark on two coils"))


def test_a_record_needs_a_fact() -> None:
    """Nothing is no job."""
    with pytest.raises(ValueError, match="at least one fact"):
        build_record((), PROCEDURES)
