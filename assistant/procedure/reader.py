"""Procedure text → a Procedure and every fault of its shape: keys, types, closed lists.

The text was read by the caller, who looked at its size first (`nodes.MAX_BYTES`). What the parts mean together is the
business of `checks`.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import lru_cache
from math import nan

from assistant.procedure.digest import digest_of
from assistant.procedure.fault import Fault, Faults
from assistant.procedure.fields import Fields
from assistant.procedure.model import (
    Caution,
    Duty,
    Gate,
    Hazard,
    Leading,
    Limit,
    Neighbour,
    Procedure,
    Signal,
    Source,
)
from assistant.procedure.nodes import read_nodes
from assistant.procedure.read_step import read_step


@dataclass(frozen=True, slots=True, kw_only=True)
class Loaded:
    """What came of a file's text: the procedure as far as it could be read, and the faults by place.

    `whole` is False where a step, a kind or a target could not be read: what leads where is then not known.
    """

    path: str
    procedure: Procedure | None
    faults: tuple[Fault, ...]
    whole: bool


@lru_cache(maxsize=128)
def read_procedure(path: str, text: str) -> Loaded:
    """The procedure in `text`; `path` names the file in its faults and gives the id that is expected.

    Kept, three times what is shipped: a text says the same however often it is read, and each job of a store has it.
    """
    faults = Faults(path)
    root = read_nodes(text, faults)
    if root is None:
        return Loaded(path=path, procedure=None, faults=faults.in_order(), whole=False)
    fields = Fields(root, faults, "the file")
    procedure, whole = _procedure(fields, path)
    fields.finish()
    procedure = replace(procedure, text=text, digest=digest_of(text))
    return Loaded(path=path, procedure=procedure, faults=faults.in_order(), whole=whole)


def _procedure(fields: Fields, path: str) -> tuple[Procedure, bool]:
    id_ = fields.name("id")
    _check_file_name(fields, id_, path)
    version = fields.whole("version")
    if version is not None and version < 1:
        fields.fault(fields.spot("version"), f"found version {version}; expected 1 or more; do count from 1")
    head = {
        "title": fields.text("title") or "",
        "applies_to": fields.text("applies_to") or "",
        "tools": fields.texts("tools"),
        "consumables": fields.texts("consumables"),
        "sources": tuple(_source(part) for part in fields.parts("sources", "source")),
    }
    duty = _duty(fields)
    limits = tuple(_limit(part) for part in fields.parts("limits", "limit", needed=False))
    cautions = tuple(_caution(part) for part in fields.parts("cautions", "caution", needed=False))
    gates = tuple(_gate(part) for part in fields.parts("gates", "gate", needed=False))
    outcomes = fields.texts("outcomes", needed=False)
    begin = fields.name("begin")
    led = _leading(fields)
    parts = fields.parts("steps", "step")
    if fields.has("steps") and not parts:
        fields.fault(fields.spot("steps"), "found no steps; expected at least one; do write them")
    read = tuple(read_step(part) for part in parts)
    procedure = Procedure(
        id=id_ or "",
        version=version or 0,
        **head,  # type: ignore[arg-type]  # the keys above are those of Procedure; mypy sees one union for all
        duty=duty,
        limits=limits,
        cautions=cautions,
        gates=gates,
        outcomes=outcomes,
        begin=begin or "",
        led=led,
        steps=tuple(step for step, _ in read if step is not None),
        path=path,
        spots=fields.spots(),
    )
    whole = (
        bool(parts)
        and begin is not None
        and not fields.lost
        and all(step is not None and whole for step, whole in read)
    )
    return procedure, whole


def _check_file_name(fields: Fields, id_: str | None, path: str) -> None:
    stem = path.replace("\\", "/").rsplit("/", 1)[-1].removesuffix(".yaml").removesuffix(".yml")
    if id_ is not None and id_ != stem:
        fields.fault(
            fields.spot("id"),
            f"found the id '{id_}' in a file named '{stem}'; expected the same name; do rename one of them",
        )


def _source(fields: Fields) -> Source:
    source = Source(id=fields.name("id") or "", text=fields.text("text") or "", spot=fields.table.spot)
    fields.finish()
    return source


def _duty(fields: Fields) -> Duty:
    inner = fields.inner_table("duty", "the duty", needed=False)
    if inner is None:
        return Duty()
    usual = Duty()
    burst_s = inner.number("burst_s", needed=False)
    stop_s = inner.number("stop_s", needed=False)
    rest_s = inner.number("rest_s", needed=False)
    duty = Duty(
        burst_s=usual.burst_s if burst_s is None else burst_s,
        stop_s=usual.stop_s if stop_s is None else stop_s,
        rest_s=usual.rest_s if rest_s is None else rest_s,
        source=inner.name("source"),
    )
    inner.finish()
    return duty


def _leading(fields: Fields) -> Leading | None:
    inner = fields.inner_table("led", "the plan's own part", needed=False)
    if inner is None:
        return None
    leading = Leading(
        after=inner.name("after") or "",
        only=inner.names("only"),
        repair=inner.name("repair") or "",
        search=inner.name("search") or "",
        recheck=inner.name("recheck") or "",
        runs=inner.name("runs", needed=False) or "",
        beside=tuple(_neighbour(each) for each in inner.inner_tables("beside", "neighbour", needed=False)),
    )
    inner.finish()
    return leading


def _neighbour(fields: Fields) -> Neighbour:
    neighbour = Neighbour(
        procedure=fields.name("procedure") or "",
        told=fields.name("told", needed=False) or "",
        say=fields.text("say", needed=False) or "",
    )
    fields.finish()
    return neighbour


def _limit(fields: Fields) -> Limit:
    id_, value = fields.name("id"), fields.number("value")
    limit = Limit(
        id=id_ or "",
        value=nan if value is None else value,
        unit=fields.text("unit") or "",
        source=fields.name("source") or "",
        spot=fields.table.spot,
        spots=fields.spots(),
    )
    fields.finish()
    return limit


def _caution(fields: Fields) -> Caution:
    caution = Caution(
        id=fields.name("id") or "",
        signal=fields.choice("signal", Signal) or Signal.WARNING,
        hazard=fields.text("hazard") or "",
        avoid=fields.text("avoid") or "",
        consequence=fields.text("consequence") or "",
        covers=fields.choices("covers", Hazard),
        acknowledge=fields.texts("acknowledge"),
        spot=fields.table.spot,
        spots=fields.spots(),
    )
    fields.finish()
    return caution


def _gate(fields: Fields) -> Gate:
    gate = Gate(
        id=fields.name("id") or "",
        say=fields.text("say") or "",
        acknowledge=fields.texts("acknowledge"),
        spot=fields.table.spot,
        spots=fields.spots(),
    )
    fields.finish()
    return gate
