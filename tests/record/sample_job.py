"""An invented job on an invented car: every name, number and word in it is made up for the tests."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from assistant.adapters.journal_memory import MemoryJournal
from assistant.facts import Fact, FactKind
from assistant.procedure.model import (
    Band,
    Caution,
    Duty,
    Finding,
    Gate,
    Hazard,
    Kind,
    Limit,
    Place,
    Procedure,
    Quantity,
    Result,
    Signal,
    Source,
    Step,
)
from assistant.record.chain import Entry

VIN = "1ZZDM42H7XX000042"
PLATE = "DEMO 42"
JOB = "grey-hatchback"
NONE: frozenset[Hazard] = frozenset()


def _step(step_id: str, kind: Kind, say: str, minutes: float = 1.0, **more: Any) -> Step:
    return Step(id=step_id, kind=kind, say=say, hazards=NONE, minutes=minutes, place=Place.HOOD, **more)


def _compression(number: int) -> Step:
    return _step(
        f"compression-{number}",
        Kind.READING,
        f"Read cylinder {number}.",
        name=f"compression cylinder {number}",
        quantity=Quantity.COMPRESSION,
        unit="psi",
        bands=(
            Band(id="low", at_least=None, below="compression-floor", goes="x"),
            Band(id="some", at_least="compression-floor", below=None, goes="x"),
        ),
    )


PROCEDURE = Procedure(
    id="no-start",
    version=3,
    title="Engine cranks but will not run",
    applies_to="petrol engines",
    tools=(),
    consumables=(),
    sources=(
        Source(id="tm", text="Army TM 5-3805-262-20, p. 5-142"),
        Source(id="practice", text="common practice, no source"),
    ),
    limits=(
        Limit(id="rest-good", value=12.4, unit="V", source="tm"),
        Limit(id="crank-least", value=9.6, unit="V", source="tm"),
        Limit(id="compression-floor", value=100.0, unit="psi", source="practice"),
    ),
    cautions=(
        Caution(
            id="crank-area",
            signal=Signal.WARNING,
            hazard="Belts and fan move without warning.",
            avoid="Keep hands and leads clear.",
            consequence="They can take a hand.",
            covers=frozenset({Hazard.CRANKING}),
            acknowledge=("area is clear",),
        ),
    ),
    gates=(Gate(id="prop-out", say="Is the pedal prop out?", acknowledge=("prop is out",)),),
    begin="complaint",
    steps=(
        _step("complaint", Kind.TELL, "Tell me the complaint.", 0.5),
        _step(
            "battery-at-rest",
            Kind.READING,
            "Measure the battery at rest.",
            name="battery at rest",
            quantity=Quantity.VOLTAGE,
            unit="V",
            bands=(
                Band(id="good", at_least="rest-good", below=None, goes="x"),
                Band(id="low", at_least=None, below="rest-good", goes="x"),
            ),
        ),
        _step(
            "battery-cranking",
            Kind.READING,
            "Read the battery while cranking.",
            name="battery while cranking",
            quantity=Quantity.VOLTAGE,
            unit="V",
            bands=(
                Band(id="strong", at_least="crank-least", below=None, goes="x"),
                Band(id="weak", at_least=None, below="crank-least", goes="x"),
            ),
        ),
        _step(
            "spark-check",
            Kind.ASK,
            "Crank and look at the tester. Is there a spark?",
            2.0,
            results=(
                Result(id="spark", phrases=("spark present",), goes="x"),
                Result(id="no-spark", phrases=("no spark",), goes="x"),
            ),
        ),
        *(_compression(number) for number in range(1, 5)),
        _step(
            "no-spark-found",
            Kind.FINDING,
            "The ignition makes no spark.",
            0.0,
            finding=Finding(
                fault="crank-sensor",
                proved=("battery good", "no spark on two coils"),
                likely=("crankshaft position sensor",),
                untested=("fuel pressure",),
                advice="Check the crankshaft sensor's signal and wiring.",
                customer="The part that tells the engine when to spark is not reporting.",
            ),
        ),
    ),
    duty=Duty(source="tm"),
)
PROCEDURES = {PROCEDURE.id: PROCEDURE}


class Bench:
    """Appends facts to a journal in memory, each `seconds` after the last, numbering them."""

    def __init__(self, job: str = JOB, key: str = "q7f3a1") -> None:
        self.job = job
        self.key = key
        self.at_s = 0.0
        self.minute = 0
        self.journal = MemoryJournal(self._utc)
        self.count = 0

    def _utc(self) -> str:
        seconds = int(self.at_s)
        return f"2031-05-01T{9 + seconds // 3600:02d}:{seconds // 60 % 60:02d}:{seconds % 60:02d}.000Z"

    def add(
        self,
        kind: FactKind,
        step: str | None = None,
        data: Mapping[str, Any] | None = None,
        *,
        after_s: float = 0.0,
        procedure: str = "no-start",
    ) -> str:
        """Append one fact; returns its id."""
        self.count += 1
        self.at_s += after_s
        fact = Fact(
            id=f"{self.key}-{self.count}",
            job=self.job,
            number=self.count,
            at_s=self.at_s,
            kind=kind,
            procedure=procedure,
            step=step,
            data=dict(data or {}),
        )
        self.journal.append([fact])
        return fact.id

    def entries(self) -> tuple[Entry, ...]:
        """The chain so far."""
        return self.journal.entries(self.job)


def sample_job(job: str = JOB, key: str = "q7f3a1", *, ended: bool = True) -> Bench:
    """A whole job with one of everything that a record shows."""
    bench = Bench(job, key)
    add = bench.add
    add(
        FactKind.JOB_STARTED,
        data={
            "key": key,
            "version": 3,
            "title": PROCEDURE.title,
            "always_confirm": False,
            "ear": True,
        },
    )
    told = {"fuel": "petrol", "cylinders": "4", "vin": VIN, "plate": PLATE, "mileage": "82000 km"}
    for name, value in told.items():
        add(FactKind.VEHICLE_NOTED, data={"fact": name, "value": value, "by": "start"})
    add(FactKind.STEP_ENTERED, "complaint")
    add(
        FactKind.WORDS_KEPT,
        "complaint",
        {"words": "died at the lights & will not restart", "hearing": {"engine": "embedded", "confidence": 0.7}},
        after_s=12,
    )
    add(FactKind.STEP_ENTERED, "battery-at-rest", after_s=2)
    _reading(bench, "battery-at-rest", 21.5, "good", after_s=40)
    add(FactKind.STRUCK, "battery-at-rest", {"struck": f"{key}-{bench.count}"}, after_s=6)
    _reading(bench, "battery-at-rest", 12.5, "good", after_s=9)
    add(FactKind.STEP_ENTERED, "battery-cranking", after_s=1)
    _cautioned(bench, "battery-cranking")
    _burst(bench, "battery-cranking", 5.2, 182.0)
    _reading(bench, "battery-cranking", 10.4, "strong", after_s=8)
    _odds(bench, {"crank-sensor": 0.21, "fuel-pump": 0.38, "flooded": 0.1, "immobiliser": 0.08})
    add(FactKind.PAUSED, "battery-cranking", after_s=3)
    add(FactKind.RESUMED, "battery-cranking", after_s=240)
    add(FactKind.STEP_ENTERED, "spark-check", after_s=1)
    add(FactKind.ITEM_REMOVED, "spark-check", {"item": "coil of cylinder one"}, after_s=60)
    add(FactKind.ITEM_REMOVED, "spark-check", {"item": "engine cover"}, after_s=2)
    _cautioned(bench, "spark-check")
    _burst(bench, "spark-check", 6.8, 176.0)
    add(
        FactKind.RESULT_HEARD,
        "spark-check",
        {"result": "no-spark", "words": "no spark", "hearing": {"engine": "embedded", "confidence": 0.93}},
    )
    yes = {"engine": "embedded", "confidence": 0.99}
    add(FactKind.RESULT_LOGGED, "spark-check", {"result": "no-spark", "words": "no spark", "hearing": yes}, after_s=3)
    _odds(bench, {"crank-sensor": 0.68, "fuel-pump": 0.04, "flooded": 0.02, "immobiliser": 0.15})
    add(FactKind.NOTE_TAKEN, "spark-check", {"words": "connector has <b>oil</b> in it"}, after_s=20)
    add(FactKind.ITEM_REFITTED, "spark-check", {"item": "coil of cylinder one"}, after_s=30)
    for number, value in enumerate((160.0, 155.0, 118.0, 158.0), start=1):
        add(FactKind.STEP_ENTERED, f"compression-{number}", after_s=1)
        _burst(bench, f"compression-{number}", 3.1, 190.0)
        _reading(bench, f"compression-{number}", value, "some", after_s=7)
    add(
        FactKind.CODE_LOGGED,
        "spark-check",
        {"code": "P0335", "spoken": "p zero three three five", "hearing": {"confidence": 0.88}},
    )
    if ended:
        add(FactKind.STEP_ENTERED, "no-spark-found", after_s=2)
        add(FactKind.FINDING_REACHED, "no-spark-found", {"fault": "crank-sensor"})
        _odds(bench, {"crank-sensor": 0.83, "fuel-pump": 0.02, "flooded": 0.01, "immobiliser": 0.09})
        add(FactKind.JOB_ENDED, "no-spark-found", after_s=5)
    return bench


def _reading(bench: Bench, step: str, value: float, band: str, *, after_s: float) -> None:
    written = PROCEDURE.step(step)
    said = {"value": value, "unit": written.unit, "words": "as read", "hearing": {"confidence": 0.97}}
    bench.add(FactKind.READING_HEARD, step, said, after_s=after_s)
    bench.add(
        FactKind.READING_LOGGED,
        step,
        {"name": written.name, "quantity": written.quantity, "value": value, "unit": written.unit, "band": band},
        after_s=2,
    )


def _cautioned(bench: Bench, step: str) -> None:
    bench.add(FactKind.CAUTION_SPOKEN, step, {"caution": "crank-area", "signal": "warning"}, after_s=4)
    bench.add(FactKind.CAUTION_ACKNOWLEDGED, step, {"caution": "crank-area", "words": "area is clear"}, after_s=5)
    bench.add(FactKind.GATE_ASKED, step, {"gate": "prop-out"}, after_s=2)
    bench.add(FactKind.GATE_PASSED, step, {"gate": "prop-out", "words": "prop is out"}, after_s=3)


def _burst(bench: Bench, step: str, seconds: float, rpm: float) -> None:
    bench.add(FactKind.BURST_BEGUN, step, after_s=10)
    bench.add(
        FactKind.BURST_ENDED,
        step,
        {
            "start_s": bench.at_s,
            "end_s": bench.at_s + seconds,
            "seconds": seconds,
            "rpm": rpm,
            "caught": False,
            "run_s": None,
            "confidence": 0.9,
            "by": "ear",
        },
        after_s=seconds,
    )


def _odds(bench: Bench, faults: dict[str, float]) -> None:
    bench.add(FactKind.PLAN_CHANGED, None, {"leads": True, "odds": faults})
