"""A full store for the measurements: real jobs, led through the guide with odds, and short ones in any number.

A real job is led by typed answers chosen by dice among all that lead on, with notes and a complaint, to 400 to 700
facts.
A few are led and copied under other keys, names and plates, chain and all, for leading takes seconds each.
"""

from __future__ import annotations

import sqlite3
from collections.abc import Iterable, Iterator
from dataclasses import replace
from pathlib import Path
from random import Random

from assistant.adapters.journal_memory import MemoryJournal
from assistant.adapters.journal_sqlite import FILE_NAME, SqliteJournal
from assistant.adapters.journal_sqlite.lines import note_entries
from assistant.adapters.journal_sqlite.log import add_leaves
from assistant.adapters.journal_sqlite.rows import add_entry
from assistant.adapters.screen_plain import NoScreen
from assistant.adapters.voice_silent import SilentVoice
from assistant.bench.reason_tree import HEALTHY, VEHICLE
from assistant.facts import (
    BurstEnded,
    CautionAcknowledged,
    CautionSpoken,
    CodeLogged,
    Fact,
    FindingReached,
    InstructionDone,
    InstructionSpoken,
    JobEnded,
    JobStarted,
    NoteTaken,
    ReadingHeard,
    ReadingLogged,
    RepairConfirmed,
    ResultLogged,
    Said,
    StepEntered,
    Struck,
    VehicleNoted,
    WordsKept,
    fact_of,
)
from assistant.guide import Mode, begin, next_deadline
from assistant.language.model import GiveResult, Heard
from assistant.reasoning.reasoner import make_reasoner
from assistant.record.chain import Entry, Head, entry_after
from assistant.record.log import head_leaf
from assistant.session.adviser import Adviser
from assistant.session.conversation import Conversation
from assistant.session.trace import Trace
from assistant.simulation.moves import CLOCKED, DeadEnd, Moves
from assistant.wiring import load_model, procedures_at_hand, shipped_procedures

LEAST_FACTS, MOST_FACTS = 400, 700
TEMPLATES = 3
TURN = 3
"""So many facts are kept at once, a leaf of the log for each such append. Judgement: a turn makes one to five."""
TRIES = 60
SWERVES = 0.2
"""So many answers are any that lead on; the others keep the job going, where there are such."""
MOST_TURNS = 400
GOES_BACK, GOES_BACK_FROM = 0.25, 60
"""So often a step is done again once so many facts are kept: it makes a job as long as one that took half a day."""
LIKELY = frozenset({*HEALTHY, "safe", "key", "some", "rested", "normal", "yes", "spark"})
KNOWN = {**VEHICLE, "ignition": "coil-on-plug", "plate": "DEMO 0"}
NOTES = ("wiggled the plug, no change", "the owner says it did this last winter", "oil on the connector by the harness")
FUELS = ("petrol", "petrol", "petrol", "diesel", "gas")
FAULTS = ("crank-sensor", "fuel-pump", "plugs-fouled", "battery-weak", "open", "immobiliser", "relay")
REPAIRED = 20
"""Of one invented job in so many the repair was confirmed."""


def real_jobs(count: int = TEMPLATES, seed: int = 3) -> list[tuple[Fact, ...]]:
    """So many jobs of 400 to 700 facts. Raises RuntimeError where dice lead to none."""
    library = procedures_at_hand(shipped_procedures())
    reasoner, moves = make_reasoner(load_model("no-start")), Moves(library)
    found: list[tuple[Fact, ...]] = []
    for number in range(TRIES):
        dice = Random(f"{seed} {number}")
        journal = MemoryJournal(lambda: "2031-05-01T09:00:00.000Z")
        conversation = Conversation(
            library=library,
            journal=journal,
            voice=SilentVoice(),
            screen=NoScreen(),
            trace=Trace(),
            adviser=Adviser(reasoner, library),
        )
        conversation.open(begin(library, "no-start", f"real{number}", "real", KNOWN))
        _lead(conversation, moves, dice, journal)
        facts = journal.facts("real")
        if LEAST_FACTS <= len(facts) <= MOST_FACTS:
            found.append(facts)
        if len(found) == count:
            return found
    raise RuntimeError(f"of {TRIES} jobs only {len(found)} have {LEAST_FACTS} to {MOST_FACTS} facts")


def _lead(conversation: Conversation, moves: Moves, dice: Random, journal: MemoryJournal) -> None:
    at_s = 0.0
    for _ in range(MOST_TURNS):
        state = conversation.state
        if state.mode is Mode.ENDED or len(journal.entries("real")) >= MOST_FACTS - 40:
            return
        if state.mode in CLOCKED:
            at_s = max(at_s, next_deadline(state) or at_s)
            conversation.pass_time(at_s)
            continue
        try:
            ways = moves.of(state)
            likely = [way for way in ways if isinstance(way.command, GiveResult) and way.command.result in LIKELY]
            words = dice.choice(ways if dice.random() < SWERVES or not likely else likely).words
        except DeadEnd:
            return
        if state.mode is Mode.ASKING and dice.random() < 0.05:
            for said in ("take a note", dice.choice(NOTES)):
                conversation.hear(Heard(words=said, confidence=1.0), at_s)
        if state.mode is Mode.ASKING and len(journal.entries("real")) > GOES_BACK_FROM and dice.random() < GOES_BACK:
            words = "go back"
        at_s += dice.uniform(4, 40)
        conversation.hear(Heard(words=words, confidence=1.0), at_s)


def fill(folder: Path, jobs: int, real: int, templates: list[tuple[Fact, ...]]) -> list[str]:
    """A store of so many jobs, evenly spread among them so many real ones; returns the names of the real ones."""
    journal = SqliteJournal(folder, utc)
    journal.keep_texts({one.digest: one.text for one in procedures_at_hand(shipped_procedures()).values()})
    journal.close()
    connection = sqlite3.connect(folder / FILE_NAME, isolation_level=None)
    connection.execute("BEGIN")
    names: list[str] = []
    every = max(jobs // max(real, 1), 1)
    for index in range(jobs):
        if index % every == 0 and len(names) < real:
            names.append(f"real-{index}")
            facts: Iterable[Fact] = copied(templates[len(names) % len(templates)], names[-1], index)
        else:
            facts = short_job(index)
        _keep(connection, _chain(facts, day(index)))
    connection.execute("COMMIT")
    connection.execute("PRAGMA wal_checkpoint(TRUNCATE)")
    connection.close()
    return names


def copied(facts: tuple[Fact, ...], job: str, index: int) -> Iterator[Fact]:
    """The job under another key, name and plate."""
    key, old = f"{index:032x}", facts[0].id.removesuffix("-1")
    for fact in facts:
        said = fact.said
        if isinstance(said, VehicleNoted) and said.fact == "plate":
            fact = fact.saying(replace(said, value=f"DEMO {index}"))  # noqa: PLW2901 - the same one, told otherwise
        elif isinstance(said, Struck):
            fact = fact.saying(replace(said, struck=said.struck.replace(old, key)))  # noqa: PLW2901 - as above
        yield replace(fact, id=f"{key}-{fact.number}", job=job)


def short_job(index: int) -> Iterator[Fact]:
    """Nine facts: what a search looks at, and little else."""
    key, job = f"{index:032x}", f"job-{index}"
    fault, code = FAULTS[index % len(FAULTS)], f"P0{index % 1000:03d}"
    told: list[Said] = [
        _started(key),
        VehicleNoted(fact="fuel", value=FUELS[index % len(FUELS)]),
        VehicleNoted(fact="cylinders", value=str(3 + index % 6)),
        VehicleNoted(fact="plate", value=f"DEMO {index}"),
        WordsKept(words="it cranks but it will not start"),
        NoteTaken(words=NOTES[index % len(NOTES)]),
        CodeLogged(code=code, spoken=code),
        FindingReached(
            fault=fault, say="This is what it was.", proved=(), likely=(), untested=(), advice="", customer=""
        ),
        JobEnded(finding=True),
    ]
    if index % REPAIRED == 0:
        told.append(RepairConfirmed(fault=fault, by="desk"))
    for number, said in enumerate(told, start=1):
        yield _fact(job, key, number, said)


def _started(key: str) -> JobStarted:
    return JobStarted(key=key, title="Engine cranks but will not run", version=1, always_confirm=False, ear=True)


def appended(job: str, key: str, count: int) -> Iterator[Fact]:
    """A long job as it is appended, fact by fact: steps, cautions, readings, bursts, notes."""
    burst = BurstEnded(start_s=0.0, end_s=5.0, seconds=5.0, by="ear", rpm=180.0, caught=False)
    volts = "twelve point four volts"
    round_of: tuple[Said, ...] = (
        StepEntered(how="next"),
        CautionSpoken(caution="start-up", signal="warning"),
        CautionAcknowledged(caution="start-up", words="doors are open"),
        InstructionSpoken(),
        burst,
        ReadingHeard(value=12.4, unit="V", words=volts),
        ReadingLogged(
            name="battery at rest",
            quantity="voltage",
            value=12.4,
            unit="V",
            words=volts,
            spoken=volts,
            band="good",
            limits={},
            judgement="good",
            goes="next",
        ),
        ResultLogged(result="dead", words="never fired"),
        NoteTaken(words="the plug was loose"),
        InstructionDone(),
    )
    yield _fact(job, key, 1, _started(key))
    for number in range(2, count + 1):
        said = round_of[number % len(round_of)]
        at_s = 6.5 * number
        yield _fact(job, key, number, replace(burst, start_s=at_s - 5, end_s=at_s) if said is burst else said)


def day(index: int) -> str:
    """An invented time of day, later for later jobs."""
    minutes = index * 5
    days, rest = divmod(minutes, 24 * 60)
    years, left = divmod(days, 336)
    return f"{2031 + years}-{left // 28 + 1:02d}-{left % 28 + 1:02d}T{rest // 60:02d}:{rest % 60:02d}:00.000Z"


def utc() -> str:
    """When everything is appended that is timed."""
    return "2040-01-01T00:00:00.000Z"


def _keep(connection: sqlite3.Connection, entries: list[Entry]) -> None:
    for entry in entries:
        job_no = add_entry(connection, entry)
    note_entries(connection, job_no, entries)
    turns = [*entries[TURN - 1 : -1 : TURN], entries[-1]]
    add_leaves(connection, [(job_no, head_leaf(one, None)) for one in turns])


def _chain(facts: Iterable[Fact], recorded_utc: str) -> list[Entry]:
    found: list[Entry] = []
    head = Head()
    for fact in facts:
        found.append(entry_after(head, fact, recorded_utc))
        head = Head(number=fact.number, hash=found[-1].hash)
    return found


def _fact(job: str, key: str, number: int, said: Said) -> Fact:
    return fact_of(
        said,
        id=f"{key}-{number}",
        job=job,
        number=number,
        at_s=6.5 * number,
        procedure="no-start",
        step=f"step-{number // 10}",
    )
