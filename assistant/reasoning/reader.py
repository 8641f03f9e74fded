"""Text of a `*.faults.yaml` file → a checked model, or every fault of the file at once."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from functools import lru_cache

from assistant.errors import ProcedureError
from assistant.procedure import fault as told
from assistant.procedure.digest import digest_of
from assistant.procedure.fields import Fields
from assistant.procedure.model import Place, Procedure
from assistant.procedure.nodes import read_nodes
from assistant.reasoning.checks import find_faults
from assistant.reasoning.links import find_broken_links
from assistant.reasoning.model import Block, Fault, Model, Priors, Settings, Timed, Unfed
from assistant.reasoning.names import Names, gather_names, known_names, known_source, new_names
from assistant.reasoning.read_variable import read_condition, read_cranked, read_openings, read_test

SUM_TOLERANCE = 1e-6


@lru_cache(maxsize=8)
def read_model(path: str, text: str) -> Model:
    """The model in `text`, kept for who reads it again. Raises ProcedureError that tells every fault, each with path,
    line and column."""
    faults = told.Faults(path)
    model = _read(path, text, faults)
    if model is None or len(faults):
        raise ProcedureError("\n".join(str(fault) for fault in faults.in_order()))
    return replace(model, text=text, digest=digest_of(text))


def check_model_text(path: str, text: str, procedures: Mapping[str, Procedure] | None = None) -> tuple[told.Fault, ...]:
    """Every fault of a `*.faults.yaml` file by place, none where it is fit to use.

    With `procedures` (id → procedure) the steps and results that `seen_from` names are looked up too.
    """
    faults = told.Faults(path)
    model = _read(path, text, faults)
    if model is not None and procedures is not None:
        find_broken_links(model, procedures, faults)
    return faults.in_order()


def _read(path: str, text: str, faults: told.Faults) -> Model | None:
    root = read_nodes(text, faults)
    if root is None:
        return None
    names = gather_names(root, faults)
    model = _model(Fields(root, faults, "the file"), path, names)
    # Structure first: what follows reckons with tables that are whole.
    if model is not None and not len(faults):
        find_faults(model, faults)
    return model if not len(faults) else None


def _model(fields: Fields, path: str, names: Names) -> Model | None:
    id_ = fields.name("id")
    if id_ is not None and not path.endswith(f"{id_}.faults.yaml"):
        fields.fault(
            fields.spot("id"),
            f"found the id '{id_}'; expected the name of the file without .faults.yaml; do make them the same",
        )
    version = fields.whole("version")
    title = fields.text("title")
    for source in fields.parts("sources", "source", needed=False):
        source.name("id")
        source.text("text")
        source.finish()
    inner = fields.inner_table("settings", "these settings")
    settings = _settings(inner, names) if inner else None
    taken: set[str] = set()
    faults = tuple(_fault(part, names, taken) for part in fields.parts("faults", "fault"))
    beyond = new_names(fields, "beyond", names, taken)
    set_ups = tuple(_timed(part, names) for part in fields.parts("set_ups", "set-up", needed=False))
    lingers = tuple(_timed(part, names) for part in fields.parts("lingers", "linger", needed=False))
    conditions = tuple(read_condition(part, names) for part in fields.parts("conditions", "condition", needed=False))
    tests = tuple(read_test(part, names) for part in fields.parts("tests", "test"))
    feeds_nothing = tuple(_unfed(part) for part in fields.inner_tables("feeds_nothing", "entry", needed=False))
    blocks = tuple(_block(part, names) for part in fields.inner_tables("blocks", "block", needed=False))
    fields.finish()
    for key, found in (("faults", faults), ("tests", tests)):
        if not found and fields.has(key):
            fields.fault(fields.spot(key), f"found no {key}; expected at least one; do write them")
    if settings is not None:
        _check_priors(fields, settings, faults)
    if id_ is None or version is None or title is None or settings is None:
        return None
    return Model(
        id=id_,
        version=version,
        title=title,
        settings=settings,
        faults=faults,
        conditions=conditions,
        tests=tests,
        set_ups=set_ups,
        lingers=lingers,
        beyond=beyond,
        path=path,
        blocks=blocks,
        feeds_nothing=feeds_nothing,
    )


def _settings(fields: Fields, names: Names) -> Settings:
    priors = fields.choice("priors", Priors) or Priors.SHARES
    shares = priors is Priors.SHARES
    if not shares:
        for key in ("none_of_these", "two_faults"):
            if fields.has(key):
                fields.fault(
                    fields.spot(key), f"found '{key}' with independent priors, from which it follows; do delete it"
                )
    settings = Settings(
        priors=priors,
        none_of_these=_share(fields, "none_of_these", needed=shares),
        two_faults=_share(fields, "two_faults", needed=False),
        wrong_answers=_share(fields, "wrong_answers", needed=False),
        proved_at=_share(fields, "proved_at", needed=False, default=0.9),
        minutes_a_bit=_positive(fields, "minutes_a_bit", default=30.0),
        search_min=_positive(fields, "search_minutes", default=120.0),
        prior_repairs=_positive(fields, "prior_repairs", default=50.0),
        moving=_moving(fields),
        source=known_source(fields, names),
    )
    fields.finish()
    return settings


def _moving(fields: Fields) -> dict[Place, float]:
    inner = fields.inner_table("moving", "this table") if fields.has("moving") else None
    if inner is None:
        fields.node("moving", "minutes for each place", needed=False)
        return {}
    found = {place: inner.number(place.value, needed=False) for place in Place}
    for place, minutes in found.items():
        if minutes is not None and minutes < 0.0:
            inner.fault(inner.spot(place.value), f"found {minutes:g} minutes; expected 0 or more; do mend it")
    inner.finish()
    return {place: minutes for place, minutes in found.items() if minutes is not None}


def _fault(fields: Fields, names: Names, taken: set[str]) -> Fault:
    fault = Fault(
        id=fields.name("id") or "",
        say=fields.text("say") or "",
        prior=_share(fields, "prior", needed=True),
        source=known_source(fields, names),
        spot=fields.spot("prior"),
        covers=new_names(fields, "covers", names, taken),
        good_first=known_names(fields, "good_first", names.tests, "test"),
        tried_first=known_names(fields, "tried_first", names.tests, "test"),
        repair_min=_positive(fields, "repair_minutes", default=60.0),
        fits_part=fields.flag("fits_part"),
        leaves_open=fields.text("leaves_open", needed=False) or "",
        followed_by=(fields.name("followed_by") or "") if fields.has("followed_by") else "",
        comes_and_goes=_share(fields, "comes_and_goes", needed=False),
    )
    fields.finish()
    if fields.has("prior") and not 0.0 < fault.prior < 1.0:
        fields.fault(fault.spot, f"found the prior {fault.prior:g}; expected more than 0 and less than 1; do mend it")
    return fault


def _block(fields: Fields, names: Names) -> Block:
    step = fields.name("step") or ""
    block = Block(
        step=step,
        say=fields.text("say", needed=False) or step.replace("-", " "),
        also=fields.texts("also", needed=False),
        first=fields.flag("first"),
        first_when=read_openings(fields, names, "first_when"),
        opened_by=read_openings(fields, names),
        cranked_by=read_cranked(fields, names),
        before_search=known_names(fields, "before_search", names.values, "condition or test"),
        spot=fields.table.spot,
    )
    fields.finish()
    return block


def _unfed(fields: Fields) -> Unfed:
    unfed = Unfed(steps=fields.texts("steps"), why=fields.text("why") or "", spot=fields.table.spot)
    fields.finish()
    return unfed


def _timed(fields: Fields, names: Names) -> Timed:
    timed = Timed(
        id=fields.name("id") or "",
        say=fields.text("say") or "",
        minutes=_positive(fields, "minutes", needed=True),
        source=known_source(fields, names),
        spot=fields.table.spot,
        risk_min=_positive(fields, "risk_minutes", default=0.0),
    )
    fields.finish()
    return timed


def _check_priors(fields: Fields, settings: Settings, faults: tuple[Fault, ...]) -> None:
    total = settings.none_of_these + sum(fault.prior for fault in faults)
    if settings.priors is Priors.SHARES and abs(total - 1.0) > SUM_TOLERANCE:
        fields.fault(
            fields.spot("faults"),
            f"found priors that add up to {total:.6g} with none_of_these; expected 1; do mend the shares",
        )


def _share(fields: Fields, key: str, *, needed: bool, default: float = 0.0) -> float:
    number = fields.number(key, needed=needed)
    if number is not None and not 0.0 <= number <= 1.0:
        fields.fault(fields.spot(key), f"found {number:g} for '{key}'; expected 0 to 1; do write it as a share")
    return default if number is None else number


def _positive(fields: Fields, key: str, *, needed: bool = False, default: float = 1.0) -> float:
    number = fields.number(key, needed=needed)
    if number is not None and number <= 0.0:
        fields.fault(fields.spot(key), f"found {number:g} for '{key}'; expected more than 0; do mend it")
    return default if number is None else number
