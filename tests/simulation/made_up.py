"""Made-up procedures in a few words, sound and broken; they go straight to the walker, past the check of files."""

from __future__ import annotations

from assistant.procedure.model import (
    Action,
    Band,
    Caution,
    Finding,
    Gate,
    Hazard,
    Kind,
    Limit,
    Pace,
    Place,
    Procedure,
    Quantity,
    Result,
    Signal,
    Spot,
    Step,
)

TURNING = Caution(
    id="turning",
    signal=Signal.WARNING,
    hazard="The engine turns.",
    avoid="Hands off.",
    consequence="It can maim.",
    covers=frozenset({Hazard.CRANKING, Hazard.EXPOSED_SPARK, Hazard.RUNNING_ENGINE}),
    acknowledge=("hands are off",),
)
FIRE = Caution(
    id="fire",
    signal=Signal.DANGER,
    hazard="The spray burns.",
    avoid="No flame near.",
    consequence="It will burn you.",
    covers=frozenset({Hazard.SPRAYING, Hazard.FUEL_VAPOUR}),
    acknowledge=("no flame near",),
)
CAN_AWAY = Gate(id="can-away", say="Is the can away?", acknowledge=("can is away",))
LIMITS = (
    Limit(id="charged", value=12.4, unit="V", source="practice"),
    Limit(id="beyond", value=40.0, unit="V", source="practice"),
)


def step(step_id: str, kind: Kind, minutes: float = 1.0, **more: object) -> Step:
    """A step at the hood with no hazard but those given."""
    plain: dict[str, object] = {"say": f"Now {step_id}.", "hazards": frozenset(), "place": Place.HOOD}
    return Step(id=step_id, kind=kind, minutes=minutes, **(plain | more))  # type: ignore[arg-type]  # any field of Step


def results(goes: dict[str, str]) -> tuple[Result, ...]:
    """Result id → where it leads; its phrase is its id in words."""
    return tuple(
        Result(id=name, phrases=(f"it is {name.replace('-', ' ')}",), goes=target) for name, target in goes.items()
    )


def instruct(step_id: str, onward: str, **more: object) -> Step:
    """Do it, say done."""
    return step(step_id, Kind.INSTRUCT, next=onward, **more)


def ask(step_id: str, goes: dict[str, str], **more: object) -> Step:
    """One of several results."""
    return step(step_id, Kind.ASK, results=results(goes), **more)


def choose(step_id: str, vehicle: str, cases: dict[str, str], otherwise: str) -> Step:
    """A silent choice by a vehicle fact."""
    return step(step_id, Kind.CHOOSE, 0.0, vehicle=vehicle, cases=cases, otherwise=otherwise)


def crank(step_id: str, burst_s: float, goes: dict[str, str], **more: object) -> Step:
    """A timed burst with its caution."""
    plain: dict[str, object] = {"cautions": ("turning",), "burst_s": burst_s}
    return step(step_id, Kind.CRANK, results=results(goes), **(plain | more))


def volts(step_id: str, limit: str, below: str, above: str) -> Step:
    """A reading with two bands."""
    bands = (
        Band(id="low", at_least=None, below=limit, goes=below),
        Band(id="high", at_least=limit, below=None, goes=above),
    )
    return step(step_id, Kind.READING, name="battery", quantity=Quantity.VOLTAGE, unit="V", bands=bands)


def spray(step_id: str, onward: str, tries: int = 1) -> Step:
    """One second of starting fluid."""
    return step(
        step_id,
        Kind.PACE,
        cautions=("fire",),
        pace=Pace(action=Action.SPRAY, on_s=1.0, tries=tries),
        next=onward,
    )


def clear(step_id: str, onward: str, wait_s: float = 300.0) -> Step:
    """The wait that lets vapour go."""
    return step(step_id, Kind.WAIT, 5.0, wait_s=wait_s, clears_vapour=True, next=onward)


def call(step_id: str, calls: str, goes: dict[str, str]) -> Step:
    """Another procedure, then by its outcome."""
    return step(step_id, Kind.CALL, 0.0, say="", calls=calls, results=results(goes))


def returns(outcome: str) -> Step:
    """The end of a called procedure, of the same name as its outcome."""
    return step(outcome, Kind.RETURN, 0.0, outcome=outcome)


def finding(step_id: str) -> Step:
    """The end of the job."""
    return step(step_id, Kind.FINDING, 0.0, finding=Finding(advice="Go on.", customer="It goes on."))


def procedure(procedure_id: str, *steps: Step) -> Procedure:
    """A procedure that begins with its first step; each step stands on a line of its own, from 11."""
    placed = [_placed(each, line) for line, each in enumerate(steps, start=11)]
    outcomes = tuple(each.outcome for each in steps if each.outcome)
    return Procedure(
        id=procedure_id,
        version=1,
        title=f"Made-up {procedure_id}",
        applies_to="Made-up cars",
        tools=(),
        consumables=(),
        sources=(),
        limits=LIMITS,
        cautions=(TURNING, FIRE),
        gates=(CAN_AWAY,),
        begin=steps[0].id,
        steps=tuple(placed),
        outcomes=outcomes,
        path=f"{procedure_id}.yaml",
    )


def library(*procedures: Procedure) -> dict[str, Procedure]:
    """Procedures by id."""
    return {each.id: each for each in procedures}


def sound() -> dict[str, Procedure]:
    """Ask, call, choose, read, crank, spray, clear; every figure can be counted by hand."""
    return library(
        procedure(
            "job",
            call("facts", "facts", {"known": "battery"}),
            volts("battery", "charged", "flat", "turn"),
            crank("turn", 6, {"runs": "by-drive", "dead": "again"}),
            crank("again", 6, {"runs": "by-drive", "dead": "prepare"}),
            instruct("prepare", "spray", minutes=2.0, removes=("duct",)),
            spray("spray", "wait"),
            clear("wait", "look"),
            ask("look", {"spark": "by-drive"}, hazards=frozenset({Hazard.EXPOSED_SPARK}), cautions=("turning",)),
            choose("by-drive", "hybrid", {"yes": "special"}, "plain"),
            finding("flat"),
            finding("special"),
            finding("plain"),
        ),
        procedure(
            "facts",
            ask("drive", {"yes": "known", "no": "known", "unknown": "known"}, vehicle="hybrid", minutes=0.5),
            returns("known"),
        ),
    )


def _placed(each: Step, line: int) -> Step:
    fields = {name: getattr(each, name) for name in Step.__slots__}
    return Step(**(fields | {"spot": Spot(line=line, column=5)}))
