"""Ten invented jobs, from short to very long, whose reports are drawn as pictures and looked at by hand."""

from __future__ import annotations

import functools
from collections.abc import Callable

from assistant.facts import FactKind
from assistant.guide import Mode
from assistant.reasoning.reasoner import make_reasoner
from assistant.record.build import build_record, procedures_used
from assistant.record.chain import Entry
from assistant.record.model import JobRecord
from assistant.session.adviser import Adviser
from assistant.wiring import load_library, load_model, procedures_at_hand, shipped_procedures
from tests.procedures.fault_player import usual_answers
from tests.record.sample_job import PROCEDURES, Bench, sample_job
from tests.session.dialogue_player import FOLDER, Leader, play
from tests.session.room import Room

EIGHT_PSI = (152, 149, 60, 155, 151, 148, 153, 62)
WORDS_FOR = ("one", "two", "three", "four", "five", "six", "seven", "eight")
EMOJI = "\N{AUTOMOBILE}\N{FIRE}"
CJK = "\u767a\u706b\u3057\u307e\u305b\u3093"
LONG_WORD = "connectorbehindtheintakemanifold" * 6


def played(name: str) -> tuple[Entry, ...]:
    """A job led by a dialogue of the tests, with odds."""
    library = procedures_at_hand(shipped_procedures())
    adviser = Adviser(make_reasoner(load_model("no-start")), library)
    room, _ = play(library, FOLDER / f"{name}.yaml", adviser)
    return room.journal.entries("grey-hatchback")


def on_eight_cylinders(cylinders: int = 8) -> tuple[Entry, ...]:
    """Eight cylinders read in psi, two of them far too low, without the rest of a job."""
    bench = Bench()
    bench.add(FactKind.JOB_STARTED)
    told = {"technician": "Sam Invented", "shop": "Bay Nine, an invented shop"}
    told |= {"cylinders": str(cylinders), "make": "Invented", "model": "Longnose", "year": "2009", "fuel": "petrol"}
    for name, value in told.items():
        bench.add(FactKind.VEHICLE_NOTED, None, {"fact": name, "value": value})
    for at, psi in enumerate(EIGHT_PSI[:cylinders]):
        words = f"{psi} psi, that is {psi * 6.894757:.0f} kilopascals"
        data = {
            "name": f"compression cylinder {WORDS_FOR[at]}",
            "quantity": "compression",
            "value": psi * 6.894757,
            "unit": "kPa",
            "words": words,
            "band": "low" if psi * 6.894757 < 690 else "some",
            "limits": {
                "below" if psi * 6.894757 < 690 else "at_least": {
                    "limit": "compression-floor",
                    "value": 690,
                    "unit": "kPa",
                    "source": "common practice, no source",
                }
            },
        }
        bench.add(FactKind.STEP_ENTERED, f"read-{at + 1}", after_s=5)
        bench.add(FactKind.READING_LOGGED, f"read-{at + 1}", data, after_s=40)
    return bench.entries()


def very_long() -> tuple[Entry, ...]:
    """Three days, sixty bursts, ninety readings and many notes."""
    bench = sample_job(ended=False)
    for turn in range(60):
        bench.add(FactKind.STEP_ENTERED, f"compression-{turn % 4 + 1}", after_s=20)
        bench.add(FactKind.BURST_BEGUN, "battery-cranking", after_s=120)
        burst = {"start_s": bench.at_s, "end_s": bench.at_s + 4 + turn % 4, "rpm": 150.0 + turn, "caught": turn == 59}
        bench.add(FactKind.BURST_ENDED, "battery-cranking", burst | {"by": "ear", "confidence": 0.9}, after_s=6)
        reading = {
            "name": "battery while cranking",
            "quantity": "voltage",
            "value": round(9.0 + turn / 40, 2),
            "unit": "V",
        }
        bench.add(FactKind.READING_LOGGED, "battery-cranking", reading | {"band": "weak", "unit": "V"}, after_s=9)
        if turn % 2:
            rest = {"name": "battery at rest", "quantity": "voltage", "value": round(12.0 + turn / 90, 2), "unit": "V"}
            bench.add(FactKind.READING_LOGGED, "battery-at-rest", rest | {"band": "low"}, after_s=9)
        if turn % 3 == 0:
            bench.add(FactKind.NOTE_TAKEN, "spark-check", {"words": f"wiggled the plug, turn {turn}, no change"})
    bench.add(FactKind.FINDING_REACHED, "no-spark-found", {"fault": "crank-sensor"}, after_s=4)
    bench.add(FactKind.JOB_ENDED, "no-spark-found", after_s=5)
    return bench.entries()


def odd_words() -> tuple[Entry, ...]:
    """Emoji, Japanese, a word without an end, and a note as long as a note may be."""
    bench = sample_job(f"van {EMOJI} {LONG_WORD[:60]}", ended=False)
    for words in (f"smells hot {EMOJI}", f"the owner says {CJK}", LONG_WORD, "it did this before; " * 100):
        bench.add(FactKind.NOTE_TAKEN, "spark-check", {"words": words}, after_s=20)
    return bench.entries()


def two_faults() -> tuple[Entry, ...]:
    """A finding that is not proved beside a second fault that is nearly as likely."""
    bench = sample_job(ended=False)
    odds = {"crank-sensor": 0.9, "battery-flat": 0.86, "plugs-fouled": 0.12, "none-of-these": 0.02}
    finding = {"fault": "crank-sensor", "odds": odds, "standing": "not-proved", "by_odds": "Nine in ten."}
    bench.add(FactKind.STEP_ENTERED, "no-spark-found", after_s=9)
    bench.add(FactKind.FINDING_REACHED, "no-spark-found", finding, after_s=9)
    bench.add(FactKind.JOB_ENDED, "no-spark-found", after_s=5)
    return bench.entries()


def repaired(*, holds: bool) -> tuple[Entry, ...]:
    """A dead crank sensor is found, repaired and checked in one job; where it holds not, codes come back."""
    library = load_library("no-start")[1]
    room = Room(library, adviser=Adviser(make_reasoner(load_model("no-start")), library), leads=True)
    told = {at: said[0] for at, said in usual_answers().items()} | {"no-start/speed": "stays at zero"}
    told |= {"no-start/codes": "no more codes", "recheck-start/codes": "no more codes"}
    lead = Leader(room, library, told | ({} if holds else {"recheck-start/codes-back": "a code came back"}))
    state = room.conversation.state
    while not state.finding:
        if (state.at.procedure, state.at.step, state.mode) == ("no-start", "codes", Mode.ASKING):
            room.type("p zero three three five")
        lead.next_line()
        state = room.conversation.state
    room.type("@wait 2700", "repair done")
    lead.until(None)
    return room.journal.entries("grey-hatchback")


JOBS: dict[str, Callable[[], tuple[Entry, ...]]] = {
    "ordinary": functools.partial(played, "no-spark-sensor"),
    "long-with-spray": functools.partial(played, "spray-and-vapour"),
    "ended-early": functools.partial(played, "ended-early"),
    "diesel": functools.partial(played, "diesel"),
    "eight-cylinders": on_eight_cylinders,
    "very-long": very_long,
    "odd-words": odd_words,
    "two-faults": two_faults,
    "repaired": functools.partial(repaired, holds=True),
    "came-back": functools.partial(repaired, holds=False),
}

BY_SAMPLE = frozenset({"very-long", "odd-words", "two-faults"})
"""Those that were led by the invented procedure of `sample_job`."""


@functools.cache
def record_of(name: str) -> JobRecord:
    """The record of one of the jobs."""
    entries = JOBS[name]()
    library = procedures_at_hand(shipped_procedures())
    used = PROCEDURES if name in BY_SAMPLE else {each: library[each] for each in procedures_used(entries)}
    return build_record(entries, used, {fault.id: fault.say for fault in load_model("no-start").faults})
