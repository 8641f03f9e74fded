"""The JSON Schema of procedure files (draft 2020-12), so that editors complete and underline while an author types.

It says what the reader says about keys, types and closed lists, and the bounds of single values that the checks know.
Lists come from the same enums, so they cannot drift; a test changes every value of a file and holds both against each
other. What only a whole file or library can show is left to `check`.
"""

from __future__ import annotations

from collections.abc import Mapping

from assistant.procedure.checks.numbers import (
    MAX_SPRAY_S,
    MAX_SPRAY_TRIES,
    MAX_STOP_S,
    MAX_WAIT_S,
    MAX_WALK_S,
)
from assistant.procedure.condition import STEP_MAKES, STEP_NEEDS, VAPOUR_CLEARS_S
from assistant.procedure.model import SHORTEST_REST_S, Action, Hazard, Kind, Place, Proof, Quantity, Reckoning, Signal
from assistant.procedure.read_step import SILENT
from assistant.procedure.schema_parts import ID as _ID
from assistant.procedure.schema_parts import MOST as _MOST
from assistant.procedure.schema_parts import TEXT as _TEXT
from assistant.procedure.schema_parts import Schema
from assistant.procedure.schema_parts import about as _about
from assistant.procedure.schema_parts import closed_set as _set
from assistant.procedure.schema_parts import listing as _list
from assistant.procedure.schema_parts import number as _number
from assistant.procedure.schema_parts import table as _table
from assistant.procedure.units import KNOWN_UNITS
from assistant.procedure.vehicle import TOLD_IN_PASSING, VEHICLE_FACTS


def schema() -> Schema:
    """The schema as JSON values."""
    return {
        "$schema": "https://json-schema.org/draft/2020-12/schema",
        "title": "Procedure",
        "description": "A diagnostic procedure that is spoken step by step. Data only. Editors with a YAML language "
        "server find this schema by a first line: # yaml-language-server: $schema=procedure.schema.json",
        **_table(
            {
                "id": _about(_ID, "The file's name without .yaml."),
                "version": _about({"type": "integer", "minimum": 1, "exclusiveMaximum": _MOST}, "Counts from 1."),
                "title": _about(_TEXT, "What the procedure finds out or does."),
                "applies_to": _about(_TEXT, "Which vehicles, in words."),
                "tools": _list(_TEXT),
                "consumables": _list(_TEXT),
                "sources": _list({"$ref": "#/$defs/source"}),
                "duty": {"$ref": "#/$defs/duty"},
                "limits": _list({"$ref": "#/$defs/limit"}),
                "cautions": _list({"$ref": "#/$defs/caution"}),
                "gates": _list({"$ref": "#/$defs/gate"}),
                "outcomes": _about(_list(_TEXT), "What return steps hand to the procedure that called this one."),
                "begin": _about(_ID, "The step that comes first."),
                "led": {"$ref": "#/$defs/led"},
                "steps": {"type": "array", "minItems": 1, "items": _any_step()},
            },
            optional=("duty", "limits", "cautions", "gates", "outcomes", "led"),
        ),
        "$defs": _parts() | {f"step-{kind}": _step(kind) for kind in Kind},
    }


def _any_step() -> Schema:
    """The kind decides which keys go with it, so an editor tells the faults of that kind alone."""
    return {
        "type": "object",
        "required": ["kind"],
        "properties": {"kind": {"enum": [str(kind) for kind in Kind]}},
        "allOf": [
            {
                "if": {"properties": {"kind": {"const": str(kind)}}, "required": ["kind"]},
                "then": {"$ref": f"#/$defs/step-{kind}"},
            }
            for kind in Kind
        ],
    }


_PHRASE: Schema = {"type": "string", "pattern": "^[a-z]+('[a-z]+)?( [a-z]+('[a-z]+)?)*$"}
_ACKNOWLEDGE: Schema = {"type": "string", "pattern": "^[a-z]+('[a-z]+)?( [a-z]+('[a-z]+)?)+$"}
_UNIT: Schema = {"enum": list(KNOWN_UNITS)}
_VEHICLE: Schema = {"enum": list(VEHICLE_FACTS)}


_MAKES: Schema = {"$ref": "#/$defs/makes"}


def _parts() -> Schema:
    return {
        "needs": _about(_set(STEP_NEEDS), "What must be so, or undone, of car and bay before the step begins."),
        "makes": _about(
            _set(STEP_MAKES), "What becomes so of car and bay, or is undone, beside what its words and items say."
        ),
        "source": _table({"id": _ID, "text": _TEXT}),
        "duty": _table(
            {
                "burst_s": _number(0, MAX_STOP_S, above=True),
                "stop_s": _number(0, MAX_STOP_S, above=True),
                "rest_s": _number(SHORTEST_REST_S),
                "source": _ID,
            },
            optional=("burst_s", "stop_s", "rest_s"),
        ),
        "limit": _table({"id": _ID, "value": _number(-_MOST, above=True), "unit": _UNIT, "source": _ID}),
        "caution": _table(
            {
                "id": _ID,
                "signal": {"enum": [str(signal) for signal in Signal]},
                "hazard": _about(_TEXT, "What can hurt."),
                "avoid": _about(_TEXT, "How to keep clear of it."),
                "consequence": _about(_TEXT, "What happens else."),
                "covers": _set(Hazard),
                "acknowledge": _list(_ACKNOWLEDGE, 1),
            }
        ),
        "gate": _table({"id": _ID, "say": _TEXT, "acknowledge": _list(_ACKNOWLEDGE, 1)}),
        "result": _table(
            {
                "id": _ID,
                "phrases": _list(_PHRASE, 1),
                "answers": _about(
                    _TEXT,
                    "What else is understood, as one right-hand side in the JSpeech Grammar Format: "
                    "[the] lamp (is | went) out | <no>.",
                ),
                "goes": _ID,
                "say": _TEXT,
                "makes": _MAKES,
                "names": _about({"type": "boolean"}, "Own words name what it is: read back and reported with it."),
            },
            optional=("answers", "say", "makes", "names"),
        ),
        "outcome": _table({"id": _ID, "goes": _ID, "say": _TEXT}, optional=("say",)),
        "band": _table(
            {"id": _ID, "at_least": _ID, "below": _ID, "goes": _ID, "say": _TEXT, "makes": _MAKES},
            optional=("at_least", "below", "say", "makes"),
        ),
        "pace": _table(
            {
                "action": {"enum": [str(action) for action in Action]},
                "on_s": _number(0, MAX_SPRAY_S, above=True),
                "off_s": _number(0),
                "times": {"type": "integer", "minimum": 1, "exclusiveMaximum": _MOST},
                "tries": {"type": "integer", "minimum": 1, "maximum": MAX_SPRAY_TRIES},
            },
            optional=("off_s", "times", "tries"),
        ),
        "finding": _table(
            {
                "fault": _ID,
                "proved": _list(_TEXT),
                "likely": _list(_TEXT),
                "untested": _list(_TEXT),
                "advice": _TEXT,
                "customer": _TEXT,
                "repair": _about({"enum": [str(each) for each in Proof]}, "What it says of a repair that is checked."),
            },
            optional=("fault", "repair"),
        ),
        "led": _about(
            _table(
                {
                    "after": _about(_ID, "Behind this step a plan may lead."),
                    "only": _about(_list(_ID), "Steps that nothing but a plan enters."),
                    "repair": _about(_ID, "The finding that proposes a repair, one of these."),
                    "search": _about(_ID, "The finding that says that no test is left, one of these."),
                    "recheck": _about(_ID, "The procedure that checks a repair in the same job."),
                    "runs": _about(_ID, "Where it goes on when it is told out of turn that the engine runs."),
                    "beside": _about(
                        _list(
                            _table(
                                {
                                    "procedure": _ID,
                                    "told": {"enum": list(TOLD_IN_PASSING)},
                                    "say": _about(_TEXT, "Why it comes first, in one sentence."),
                                },
                                optional=("told", "say"),
                            )
                        ),
                        "Procedures that may be gone to from here; with `told` where a complaint tells that.",
                    ),
                },
                optional=("runs", "beside"),
            ),
            "How a plan may lead through the procedure.",
        ),
    }


def _step(kind: Kind) -> Schema:
    own, optional = _OWN[kind]
    may_take_none = kind in SILENT or kind is Kind.FINDING
    common = {
        "id": _ID,
        "kind": {"const": str(kind)},
        "cautions": _list(_TEXT),
        "gates": _list(_TEXT),
        "say": _TEXT,
        "alone": _about(_TEXT, "How one person does it."),
        "briefly": _about(_TEXT, "In place of say and alone, for who knows the work: no number, unit or not left out."),
        "tersely": _about(_TEXT, "The same in words of the trade alone."),
        "needs_two": {"type": "boolean"},
        "hazards": _about(_set(Hazard), "Always written, [] when there is none."),
        "minutes": _number(0, above=not may_take_none),
        "place": {"enum": [str(place) for place in Place]},
        "removes": _list(_TEXT),
        "refits": _list(_TEXT),
        "needs": {"$ref": "#/$defs/needs"},
        "makes": _MAKES,
        "clears_vapour": _about({"type": "boolean"}, f"Only a wait of {VAPOUR_CLEARS_S:g} s or more clears vapour."),
    }
    left_out = ["cautions", "gates", "alone", "briefly", "tersely", "needs_two", "removes", "refits"]
    left_out += ["needs", "makes", "clears_vapour"]
    left_out += optional
    return _about(_table(common | own, left_out + (["say"] if kind in SILENT else [])), _ABOUT[kind])


_NEXT: Schema = {"next": _ID}
_OWN: Mapping[Kind, tuple[Schema, tuple[str, ...]]] = {
    Kind.INSTRUCT: (
        _NEXT | {"done": _list(_PHRASE), "joins": _about({"type": "boolean"}, "Told in one breath with what follows.")},
        ("done", "joins"),
    ),
    Kind.ASK: (
        {
            "results": _list({"$ref": "#/$defs/result"}, 2),
            "vehicle": _VEHICLE,
            "reckons": {"enum": [str(reckoning) for reckoning in Reckoning]},
            "told_before": _about(
                _list(_TEXT, 1),
                "Words of which a clause of the complaint must hold one to be offered, or anything.",
            ),
        },
        ("vehicle", "reckons", "told_before"),
    ),
    Kind.READING: (
        {
            "name": _TEXT,
            "quantity": {"enum": [str(quantity) for quantity in Quantity]},
            "unit": _UNIT,
            "bands": _list({"$ref": "#/$defs/band"}, 1),
            "falls_from": _about(_list(_ID, 1), "Steps with the first reading, of which this one asks what was lost."),
        },
        ("falls_from",),
    ),
    Kind.CODES: (_NEXT, ()),
    Kind.TELL: (_NEXT, ()),
    Kind.CRANK: (
        {
            "burst_s": _number(0, MAX_STOP_S, above=True),
            "walk_s": _number(0, MAX_WALK_S),
            "results": _list({"$ref": "#/$defs/result"}, 1),
        },
        ("walk_s",),
    ),
    Kind.PACE: (_NEXT | {"pace": {"$ref": "#/$defs/pace"}}, ()),
    Kind.WAIT: (_NEXT | {"wait_s": _number(0, MAX_WAIT_S, above=True), "otherwise": _ID}, ("otherwise",)),
    Kind.CHOOSE: (
        {
            "vehicle": _VEHICLE,
            "cases": {"type": "object", "minProperties": 1, "additionalProperties": _TEXT},
            "otherwise": _ID,
        },
        (),
    ),
    Kind.CALL: ({"calls": _ID, "results": _list({"$ref": "#/$defs/outcome"})}, ()),
    Kind.RETURN: (
        {"outcome": _ID, "advice": _about(_TEXT, "What comes next, for whom this very procedure was what was begun.")},
        ("advice",),
    ),
    Kind.FINDING: ({"finding": {"$ref": "#/$defs/finding"}}, ()),
}
_ABOUT: Mapping[Kind, str] = {
    Kind.INSTRUCT: "Do it, say done.",
    Kind.ASK: "One of several results.",
    Kind.READING: "A number with a unit, sorted into bands.",
    Kind.CODES: "Fault codes, spoken one by one.",
    Kind.TELL: "Free words, kept as said.",
    Kind.CRANK: "A timed burst of the starter, then one of several results.",
    Kind.PACE: "A spray or puffs, timed by tones.",
    Kind.WAIT: "A rest that cannot be skipped.",
    Kind.CHOOSE: "Goes on by a vehicle fact, without a word.",
    Kind.CALL: "Another procedure, then on by its outcome.",
    Kind.RETURN: "The end of a called procedure.",
    Kind.FINDING: "The end of the job.",
}
