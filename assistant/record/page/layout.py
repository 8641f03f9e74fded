"""The page for a record: its top and its tables put together."""

from __future__ import annotations

from assistant.record.model import STATEMENT, JobRecord
from assistant.record.page.cells import row
from assistant.record.page.measured import bursts, readings, results
from assistant.record.page.model import Page, Paper
from assistant.record.page.repair import for_customer
from assistant.record.page.said import acknowledged, codes, proof_of, sayings
from assistant.record.page.top import damage, finding_parts, headline, proof, vehicle, warnings
from assistant.record.page.work import actions, steps, struck
from assistant.record.wording import Localise, bounded, day_and_time, printable


def lay_out(record: JobRecord, localise: Localise, paper: Paper = Paper.A4) -> Page:
    """The page for a record. `localise` brings times of day into the reader's zone."""
    tables = (
        readings(record),
        results(record),
        bursts(record),
        acknowledged("cautions", "Cautions acknowledged", record.cautions),
        acknowledged("gates", "States answered before a step", record.gates),
        codes(record.codes),
        sayings("notes", "Notes", "Words", record.notes),
        sayings("skipped", "Steps skipped", "Reason", record.skipped),
        actions(record),
        steps(record),
        struck(record),
    )
    return Page(
        title=printable(record.procedure.title),
        job=bounded(record.job),
        state=record.state,
        statement=STATEMENT,
        shop=bounded(record.shop or ""),
        technician=bounded(record.technician or ""),
        when=f"begun {day_and_time(record.started_utc, localise)}, {record.minutes:.1f} minutes of work",
        paper=paper,
        headline=headline(record),
        finding_parts=finding_parts(record),
        customer=for_customer(record),
        warnings=warnings(record),
        vehicle=vehicle(record),
        complaint=tuple(row(one.mark, one.words, proof_of(one)) for one in record.complaint),
        tables=tuple(table for table in tables if table.rows),
        sources=tuple(printable(one) for one in record.sources),
        chain=proof(record),
        damage=damage(record),
    )
