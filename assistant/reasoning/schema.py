"""The JSON Schema of fault models (draft 2020-12), so that editors complete and underline while an author types.

Keys, types, bounds and closed lists are those of the reader. That names are known, that probabilities add up to 1 and
that every fault can be told from none of these is left to `check`.
"""

from __future__ import annotations

from assistant.procedure.condition import NOT_HERE, STEP_NEEDS
from assistant.procedure.model import Place
from assistant.procedure.schema_parts import ID, TEXT, Schema, about, closed_set, listing, number, table
from assistant.reasoning.model import Priors
from assistant.reasoning.read_variable import SPEEDS, TOLD

SHARE = number(0.0, 1.0)
_LIKELY = about(
    {"type": "object", "additionalProperties": SHARE},
    "Probability of each value by its id; one left out has none; they add up to 1.",
)
_FLAG: Schema = {"type": "boolean"}


def schema() -> Schema:
    """The schema as JSON values."""
    return {
        "$schema": "https://json-schema.org/draft/2020-12/schema",
        "title": "Fault model",
        "description": "Which faults a car can have, what each test shows under them, and what it costs. Data only. "
        "Editors with a YAML language server find this schema by a first line: "
        "# yaml-language-server: $schema=fault-model.schema.json",
        **table(
            {
                "id": about(ID, "The file's name without .faults.yaml."),
                "version": about({"type": "integer", "exclusiveMaximum": 1e9}, "Counts from 1."),
                "title": TEXT,
                "sources": listing(table({"id": ID, "text": TEXT})),
                "settings": _settings(),
                "faults": listing(_fault(), 1),
                "beyond": about(listing(ID), "Findings of procedures that are faults, but none of this list."),
                "feeds_nothing": listing(_unfed()),
                "blocks": listing(_block()),
                "set_ups": listing(_timed()),
                "lingers": listing(_timed()),
                "conditions": listing(_variable("values")),
                "tests": listing(_variable("results"), 1),
            },
            optional=("sources", "beyond", "feeds_nothing", "blocks", "set_ups", "lingers", "conditions"),
        ),
    }


def _settings() -> Schema:
    keys = {
        "priors": {"enum": [str(each) for each in Priors]},
        "none_of_these": about(SHARE, "Share of cars whose fault is not in the list; only with `priors: shares`."),
        "two_faults": about(SHARE, "Share of cars with two faults at once; only with `priors: shares`."),
        "wrong_answers": about(SHARE, "Share of results seen or told wrong, where a test says none of its own."),
        "proved_at": SHARE,
        "minutes_a_bit": number(0, above=True),
        "search_minutes": about(number(0, above=True), "Of a search that finds what no test found."),
        "prior_repairs": about(number(0, above=True), "How many repairs of the shop weigh as much as the priors."),
        "moving": about(
            table({str(place): number(0) for place in Place}, optional=[str(place) for place in Place]),
            "Minutes between each place and the driver's door.",
        ),
        "source": TEXT,
    }
    return table(keys, optional=[key for key in keys if key not in ("priors", "source")])


def _fault() -> Schema:
    return table(
        {
            "id": ID,
            "say": about(TEXT, 'Completes "most likely …".'),
            "prior": about(number(0, 1.0, above=True), "Share of cars, or chance by itself, as `priors` says."),
            "covers": about(listing(ID), "Other ids that procedures give to this fault."),
            "good_first": about(listing(ID), "Tests of supply, ground and command, seen good before it is named."),
            "tried_first": about(listing(ID), "Cheap tests that decide what to mend, done before it is proposed."),
            "repair_minutes": number(0, above=True),
            "fits_part": _FLAG,
            "leaves_open": about(TEXT, "What its repair does not answer, said with it: a sentence."),
            "followed_by": about(ID, "The procedure that answers that, offered once the repair has held."),
            "comes_and_goes": about(SHARE, "Share of these cars that show nothing of it at present."),
            "source": TEXT,
        },
        optional=(
            "covers",
            "good_first",
            "tried_first",
            "repair_minutes",
            "fits_part",
            "leaves_open",
            "followed_by",
            "comes_and_goes",
        ),
    )


def _block() -> Schema:
    keys = {
        "step": about(ID, "Of the procedure of the model's name."),
        "say": about(TEXT, 'Its name, also after "take me to".'),
        "also": about(listing(TEXT), "What else people call it."),
        "first": about(_FLAG, "A cheap fact, asked before anything is weighed."),
        "first_when": _opened_by("As `first`, where one of these was told."),
        "opened_by": _opened_by(),
        "after_crank": _AFTER_CRANK,
        "before_search": about(listing(TEXT), "Conditions and tests that, all seen good, lead here before a search."),
    }
    return table(keys, optional=tuple(keys)[1:])


def _unfed() -> Schema:
    return about(
        table({"why": TEXT, "steps": listing(TEXT)}),
        "Steps that ask, procedure/step, and feed no test, with the reason.",
    )


def _timed() -> Schema:
    return table(
        {
            "id": ID,
            "say": TEXT,
            "minutes": number(0, above=True),
            "risk_minutes": number(0, above=True),
            "source": TEXT,
        },
        optional=("risk_minutes",),
    )


def _opened_by(words: str = "One of these must have been seen first.") -> Schema:
    opening = table({"test": TEXT, "results": listing(TEXT)}, optional=("results",))
    return about(listing(opening), words)


def _variable(values: str) -> Schema:
    """A condition, which nobody sees (`values`), or a test (`results`)."""
    told = values == "results"
    value = {"id": ID, "say": about(TEXT, 'Completes "if …".'), "makes": closed_set(TOLD)}
    if told:
        value["outdates"] = about(listing(ID), "Tests whose earlier result is so no more.")
    own: dict[str, Schema] = {
        "id": ID,
        "say": TEXT,
        values: about(listing(table(value, optional=tuple(value)[2:]), 2), "From healthy to bad."),
        "default": _LIKELY,
        "rows": listing(_row()),
        "source": TEXT,
    }
    return table(own | (_work() if told else {}), optional=("rows", *(_OPTIONAL if told else ())))


def _row() -> Schema:
    given: Schema = {"type": "object", "additionalProperties": listing(TEXT, 1)}
    row = table({"under": listing(TEXT), "given": given, "likely": _LIKELY}, optional=("under", "given"))
    return about(
        row | {"anyOf": [{"required": ["under"]}, {"required": ["given"]}]},
        "The first row that fits counts: one of these faults is there, and each condition has one of these values.",
    )


_AFTER_CRANK = about(_FLAG, "What it shows supposes that the engine was cranked: a test that cranks comes first.")

_OPTIONAL = (
    *(
        "cranks_s",
        "risk_minutes",
        "set_ups",
        "opened_by",
        "after_crank",
        "leaves",
        "not_during",
        "needs",
        "makes",
        "unless",
    ),
    *("unit", "bands", "seen_from", "heard", "wrong", "cures", "lasting", "away"),
)


def _work() -> dict[str, Schema]:
    bound = {"type": "number"}
    band = table({"result": TEXT, "at_least": bound, "below": bound, "source": TEXT}, optional=("at_least", "below"))
    seen = table(
        {
            "procedure": ID,
            "step": ID,
            "results": {"type": "object", "additionalProperties": TEXT},
            "once": about(_FLAG, "Not asked there where the result is known already."),
            "done_before": about(_FLAG, "Done before one comes there, and only told: nobody is led there for it."),
        },
        optional=("once", "done_before"),
    )
    return {
        "place": {"enum": [str(place) for place in Place]},
        "minutes": about(number(0), "Each time, without set-up and moving."),
        "cranks_s": number(0),
        "risk_minutes": about(number(0), "What it counts for more, since it can hurt or opens the fuel."),
        "set_ups": listing(TEXT),
        "opened_by": _opened_by(),
        "after_crank": _AFTER_CRANK,
        "leaves": about(listing(TEXT), "What lingers afterwards."),
        "not_during": about(listing(TEXT), "What must be gone first."),
        "needs": closed_set(STEP_NEEDS),
        "makes": closed_set(TOLD),
        "unless": about(closed_set(NOT_HERE), "What, where it is not here, makes it impossible."),
        "unit": TEXT,
        "bands": about(listing(band), "Which reading is which result, from low to high."),
        "seen_from": about(listing(seen), "Where procedures log it: their result or band → the result here."),
        "heard": about(
            {"type": "object", "properties": {each: TEXT for each in SPEEDS}, "additionalProperties": False},
            "What an ear that measured the starter's speed tells, with nothing on or off the car → the result here.",
        ),
        "wrong": about(number(0, 1.0), "Share of its results told wrong, in place of the model's."),
        "cures": about(_FLAG, "Takes a fault away and asks whether the engine starts: both of two must go."),
        "lasting": about(_FLAG, "Shows a fault that is not there at present too."),
        "away": about(_LIKELY, "Of a car whose fault is not there at present; by default as of none of these."),
    }
