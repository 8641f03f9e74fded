"""One step from its table: the keys that every kind has, then those of its own kind."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from math import nan
from typing import Any

from assistant.procedure.condition import STEP_MAKES, STEP_NEEDS
from assistant.procedure.fields import Fields
from assistant.procedure.model import (
    Action,
    Band,
    Finding,
    Hazard,
    Kind,
    Pace,
    Place,
    Proof,
    Quantity,
    Reckoning,
    Result,
    Step,
)
from assistant.procedure.nodes import Listing, Scalar, describe

SILENT = frozenset({Kind.CHOOSE, Kind.CALL, Kind.RETURN})
"""Kinds that may pass without a word: their `say` may be left out, and their own `minutes` may be 0."""


def read_step(fields: Fields) -> tuple[Step | None, bool]:
    """The step, and whether all that leads on from it could be read. None where it has no id.

    The keys of an unknown kind are not looked at, so one fault is told and not ten.
    """
    id_ = fields.name("id")
    kind = fields.choice("kind", Kind)
    if kind is None:
        return (_bare_step(fields, id_) if id_ is not None else None), False
    own = _OWN_KEYS[kind](fields)
    step = Step(
        id=id_ or "",
        kind=kind,
        cautions=fields.texts("cautions", needed=False),
        gates=fields.texts("gates", needed=False),
        say=fields.text("say", needed=kind not in SILENT) or "",
        alone=fields.text("alone", needed=False),
        briefly=fields.text("briefly", needed=False),
        tersely=fields.text("tersely", needed=False),
        needs_two=fields.flag("needs_two"),
        hazards=fields.choices("hazards", Hazard),
        minutes=_minutes(fields),
        place=fields.choice("place", Place) or Place.HOOD,
        removes=fields.texts("removes", needed=False),
        refits=fields.texts("refits", needed=False),
        needs=fields.known("needs", STEP_NEEDS),
        makes=fields.known("makes", STEP_MAKES),
        clears_vapour=fields.flag("clears_vapour"),
        spot=fields.table.spot,
        spots=fields.spots(),
        **own,
    )
    fields.finish()
    return (step if id_ is not None else None), not fields.lost and _leads_somewhere(step)


def _bare_step(fields: Fields, id_: str) -> Step:
    """What others may refer to, of a step whose kind is not known."""
    return Step(
        id=id_,
        kind=Kind.INSTRUCT,
        say="",
        hazards=frozenset(),
        minutes=nan,
        place=Place.HOOD,
        cautions=fields.texts("cautions", needed=False),
        gates=fields.texts("gates", needed=False),
        removes=fields.texts("removes", needed=False),
        refits=fields.texts("refits", needed=False),
        spot=fields.table.spot,
        spots=fields.spots(),
    )


def _minutes(fields: Fields) -> float:
    minutes = fields.number("minutes")
    return nan if minutes is None else minutes  # a fault of the shape was told; no comparison with nan tells another


def _leads_somewhere(step: Step) -> bool:
    """False where a target is missing, so that no fault of the flow is told because of a fault of the shape."""
    if step.kind in (Kind.INSTRUCT, Kind.TELL, Kind.CODES, Kind.PACE, Kind.WAIT):
        return bool(step.next)
    if step.kind in (Kind.ASK, Kind.CRANK, Kind.CALL):
        results = bool(step.results) or (step.kind is Kind.CALL and "results" in step.spots)
        return results and all(result.goes and result.id for result in step.results)
    if step.kind is Kind.READING:
        return bool(step.bands) and all(band.goes for band in step.bands)
    if step.kind is Kind.CHOOSE:
        return bool(step.otherwise) and "" not in step.cases.values()
    return step.kind is Kind.FINDING or bool(step.outcome)


def _next_only(fields: Fields) -> dict[str, Any]:
    return {"next": fields.name("next")}


def _instruct(fields: Fields) -> dict[str, Any]:
    return {"next": fields.name("next"), "done": fields.texts("done", needed=False), "joins": fields.flag("joins")}


def _ask(fields: Fields) -> dict[str, Any]:
    return {
        "results": _results(fields),
        "vehicle": fields.text("vehicle", needed=False),
        "reckons": fields.choice("reckons", Reckoning, needed=False),
        "told_before": fields.texts("told_before", needed=False),
    }


def _crank(fields: Fields) -> dict[str, Any]:
    return {
        "burst_s": fields.number("burst_s"),
        "walk_s": fields.number("walk_s", needed=False) or 0.0,
        "results": _results(fields),
    }


def _call(fields: Fields) -> dict[str, Any]:
    return {"calls": fields.name("calls"), "results": _results(fields, spoken=False)}


def _results(fields: Fields, *, spoken: bool = True) -> tuple[Result, ...]:
    found = []
    tables = fields.inner_tables("results", "result")
    if spoken:
        _not_empty(fields, "results")
    for inner in tables:
        found.append(
            Result(
                id=inner.name("id") or "",
                phrases=inner.texts("phrases") if spoken else (),
                goes=inner.name("goes") or "",
                answers=inner.text("answers", needed=False) if spoken else None,
                say=inner.text("say", needed=False),
                makes=inner.known("makes", STEP_MAKES) if spoken else (),
                names=inner.flag("names") if spoken else False,
                spot=inner.table.spot,
                spots=inner.spots(),
            )
        )
        inner.finish()
    return tuple(found)


def _not_empty(fields: Fields, key: str) -> None:
    node = fields.table.get(key)
    if isinstance(node, Listing) and not node.items:
        fields.fault(node.spot, f"found no {key}; expected at least one; do write them below '{key}'")


def _reading(fields: Fields) -> dict[str, Any]:
    own = {
        "name": fields.text("name"),
        "quantity": fields.choice("quantity", Quantity),
        "unit": fields.text("unit"),
        "falls_from": fields.texts("falls_from", needed=False),
    }
    bands = []
    tables = fields.inner_tables("bands", "band")
    _not_empty(fields, "bands")
    for inner in tables:
        bands.append(
            Band(
                id=inner.name("id") or "",
                at_least=inner.name("at_least", needed=False),
                below=inner.name("below", needed=False),
                goes=inner.name("goes") or "",
                say=inner.text("say", needed=False),
                makes=inner.known("makes", STEP_MAKES),
                spot=inner.table.spot,
                spots=inner.spots(),
            )
        )
        inner.finish()
    return own | {"bands": tuple(bands)}


def _pace(fields: Fields) -> dict[str, Any]:
    own: dict[str, Any] = {"next": fields.name("next")}
    inner = fields.inner_table("pace", "the pace")
    if inner is None:
        return own
    action = inner.choice("action", Action)
    on_s, off_s = inner.number("on_s"), inner.number("off_s", needed=False)
    times, tries = inner.whole("times", needed=False), inner.whole("tries", needed=False)
    inner.finish()
    if action is None or on_s is None:
        return own
    usual = Pace(action=action, on_s=on_s)
    pace = Pace(
        action=action,
        on_s=on_s,
        off_s=usual.off_s if off_s is None else off_s,
        times=usual.times if times is None else times,
        tries=usual.tries if tries is None else tries,
    )
    return own | {"pace": pace}


def _wait(fields: Fields) -> dict[str, Any]:
    early = fields.name("otherwise", needed=False)
    return {"wait_s": fields.number("wait_s"), "next": fields.name("next"), "otherwise": early}


def _choose(fields: Fields) -> dict[str, Any]:
    return {
        "vehicle": fields.text("vehicle"),
        "cases": _cases(fields),
        "otherwise": fields.name("otherwise"),
    }


def _cases(fields: Fields) -> Mapping[str, str]:
    inner = fields.inner_table("cases", "the cases")
    if inner is None:
        return {}
    cases = {}
    for entry in inner.table.entries:
        value = entry.value.value() if isinstance(entry.value, Scalar) else None
        if not isinstance(value, str) or not value:
            fields.fault(
                entry.value.spot,
                f"found {describe(entry.value)} for the case '{entry.key.text}'; expected the id of a step; "
                "do name the step",
            )
        cases[entry.key.text] = value if isinstance(value, str) else ""
    return cases


def _return(fields: Fields) -> dict[str, Any]:
    return {"outcome": fields.name("outcome"), "advice": fields.text("advice", needed=False)}


def _finding(fields: Fields) -> dict[str, Any]:
    inner = fields.inner_table("finding", "the finding")
    if inner is None:
        return {}
    finding = Finding(
        fault=inner.name("fault", needed=False),
        proved=inner.texts("proved"),
        likely=inner.texts("likely"),
        untested=inner.texts("untested"),
        advice=inner.text("advice") or "",
        customer=inner.text("customer") or "",
        repair=inner.choice("repair", Proof, needed=False),
    )
    inner.finish()
    return {"finding": finding}


_OWN_KEYS: Mapping[Kind, Callable[[Fields], dict[str, Any]]] = {
    Kind.INSTRUCT: _instruct,
    Kind.ASK: _ask,
    Kind.READING: _reading,
    Kind.CODES: _next_only,
    Kind.TELL: _next_only,
    Kind.CRANK: _crank,
    Kind.PACE: _pace,
    Kind.WAIT: _wait,
    Kind.CHOOSE: _choose,
    Kind.CALL: _call,
    Kind.RETURN: _return,
    Kind.FINDING: _finding,
}
