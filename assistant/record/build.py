"""Facts to the record of a job. The record holds nothing that does not follow from the facts and their procedures."""

from __future__ import annotations

import dataclasses
from collections.abc import Mapping, Sequence

from assistant.facts import FactKind, JobStarted
from assistant.procedure.model import Duty, Procedure
from assistant.record import cranked, measured, told
from assistant.record.chain import Entry, head_of
from assistant.record.log import LogHead
from assistant.record.model import ChainHead, JobRecord, KeptFact, LogAnchor, ProcedureUsed
from assistant.record.repaired import repair
from assistant.record.timed import step_times
from assistant.record.walk import Walk, walk
from assistant.record.wording import plain_words


def build_record(
    entries: Sequence[Entry],
    procedures: Mapping[str, Procedure],
    fault_names: Mapping[str, str] | None = None,
    *,
    log: LogHead | None = None,
    damage: Sequence[str] = (),
) -> JobRecord:
    """The record of the job whose chain `entries` is; an open job is as good as an ended one.

    `procedures`: those that led the job, by id, as far as they are at hand; they give wording and sources that the
    facts leave out. `fault_names`: what the faults of its fault model are called. `log`: where the store's log ends;
    None outside a store. `damage`: what is not as it was recorded.

    Raises RecordError when a fact can no longer be read, ValueError when there are no facts.
    """
    if not entries:
        raise ValueError("a record needs at least one fact")
    used = walk(entries, procedures)
    limit_ids = frozenset(limit.id for one in procedures.values() for limit in one.limits)
    vehicle, personal = told.told_vehicle(used, limit_ids)
    technician, shop = told.worked(used)
    started = _started(used)
    main = procedures.get(started.id)
    limits = _duty(main)
    all_bursts = cranked.bursts(used, limits)
    steps = step_times(used)
    read = measured.readings(used)
    head = head_of(entries)
    return JobRecord(
        job=used.facts[0].job,
        state="ended" if any(True for _ in used.of(FactKind.JOB_ENDED)) else "open",
        started_utc=entries[0].recorded_utc,
        last_utc=entries[-1].recorded_utc,
        duration_s=round(used.facts[-1].at_s, 3),
        procedure=started,
        engine=used.engine,
        technician=technician,
        shop=shop,
        vehicle=vehicle,
        personal=personal,
        complaint=told.complaint(used),
        cautions=told.cautions(used),
        gates=told.gates(used),
        results=measured.results(used),
        readings=read,
        compression=measured.compression(read, measured.compression_limit(procedures, vehicle.limits)),
        codes=told.codes(used),
        bursts=all_bursts,
        duty=cranked.duty_use(all_bursts, limits),
        actions=cranked.actions(used),
        notes=told.notes(used),
        skipped=told.skipped(used),
        open_items=told.open_items(used),
        bay=told.standing_conditions(used),
        odds=told.odds(used),
        finding=told.finding(used, fault_names or {}),
        repair=repair(used),
        steps=steps,
        minutes=round(sum(one.spent_min for one in steps), 1),
        sources=told.sources(procedures, frozenset(fact.procedure or "" for fact in used.facts)),
        fault_names=dict(fault_names or {}),
        facts=tuple(
            KeptFact(
                **fact.plain(),
                recorded_utc=entry.recorded_utc,
                hash=entry.hash.hex(),
                struck_by=used.struck_by.get(fact.id),
            )
            for fact, entry in zip(used.facts, entries, strict=True)
        ),
        chain=ChainHead(number=head.number, hash=head.hash.hex()),
        log=LogAnchor(store=log.store, size=log.size, root=log.root.hex(), key=log.key.hex()) if log else None,
        damage=tuple(damage),
    )


def procedures_used(entries: Sequence[Entry]) -> tuple[str, ...]:
    """Ids of the procedures that the job's facts name, the first being the one that leads it."""
    names = [entry.fact().procedure for entry in entries]
    return tuple(dict.fromkeys(name for name in names if name))


def _duty(main: Procedure | None) -> Duty:
    """The duty limits of the leading procedure, with the text of their source in place of its id."""
    if main is None:
        return Duty()
    text_of = {source.id: source.text for source in main.sources}
    source = main.duty.source
    return dataclasses.replace(main.duty, source=text_of.get(source, source) if source else None)


def _started(used: Walk) -> ProcedureUsed:
    first = used.facts[0]
    procedure_id = first.procedure or ""
    known = used.procedures.get(procedure_id)
    said = first.legible
    version, title = (said.version, said.title) if isinstance(said, JobStarted) else (0, "")
    return ProcedureUsed(
        id=procedure_id,
        version=version or (known.version if known else None),
        title=title or (known.title if known else plain_words(procedure_id)),
        applies_to=known.applies_to if known else "",
    )
