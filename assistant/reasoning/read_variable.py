"""One condition or test of a fault model file: its values, its table, its work, its readings."""

from __future__ import annotations

from collections.abc import Collection, Iterable
from dataclasses import replace

from assistant.procedure.condition import NOT_HERE, STEP_NEEDS, Condition
from assistant.procedure.fields import Fields
from assistant.procedure.model import Place
from assistant.procedure.nodes import Entry, Listing, Scalar, describe
from assistant.reasoning.model import Band, Opening, Row, Seen, Value, Variable, Work
from assistant.reasoning.names import Names, known_name, known_names, known_source

SUM_TOLERANCE = 1e-6

SPEEDS = ("normal", "slow")
"""How an engine turns, as far as an ear that measured its speed can tell by that alone."""

TOLD = tuple(str(each) for each in Condition)
"""What a test that is told may make so: only what endangers, for what is safe again is asked for by its own phrase."""


def read_condition(fields: Fields, names: Names) -> Variable:
    """A condition; its faults are noted."""
    variable = _variable(fields, names, "values")
    fields.finish()
    return variable


def read_test(fields: Fields, names: Names) -> Variable:
    """A test; its faults are noted."""
    place = fields.choice("place", Place) or Place.HOOD
    minutes = fields.number("minutes")
    cranks_s = fields.number("cranks_s", needed=False) or 0.0
    risk_min = fields.number("risk_minutes", needed=False) or 0.0
    for key, number in (("minutes", minutes), ("cranks_s", cranks_s), ("risk_minutes", risk_min)):
        if number is not None and number < 0.0:
            fields.fault(fields.spot(key), f"found {number:g} for '{key}'; expected 0 or more; do mend it")
    work = Work(
        place=place,
        minutes=minutes or 0.0,
        set_ups=known_names(fields, "set_ups", names.set_ups, "set-up"),
        opened_by=read_openings(fields, names),
        cranked_by=read_cranked(fields, names),
        cranks_s=cranks_s,
        leaves=known_names(fields, "leaves", names.lingers, "linger"),
        not_during=known_names(fields, "not_during", names.lingers, "linger"),
        risk_min=risk_min,
        needs=known_names(fields, "needs", STEP_NEEDS, "word of car and bay"),
        makes=known_names(fields, "makes", TOLD, "word of car and bay"),
        unless=known_names(fields, "unless", NOT_HERE, "thing that is not here"),
    )
    unit = fields.text("unit", needed=fields.has("bands"))
    id_ = _id(fields)
    bands = tuple(
        _band(inner, names, names.values.get(id_, ())) for inner in fields.inner_tables("bands", "band", needed=False)
    )
    _check_bands(fields, bands, names.values.get(id_, ()))
    seen_from = tuple(
        _seen(inner, names.values.get(id_, ())) for inner in fields.inner_tables("seen_from", "place", needed=False)
    )
    heard = _heard(fields, names.values.get(id_, ()))
    wrong = fields.number("wrong", needed=False)
    if wrong is not None and not 0.0 <= wrong < 1.0:
        fields.fault(fields.spot("wrong"), f"found {wrong:g} for 'wrong'; expected 0 to 1; do write it as a share")
    cures, lasting = fields.flag("cures"), fields.flag("lasting")
    away = fields.inner_table("away", "these probabilities", needed=False)
    gone = _likely(away, names.values.get(id_, ())) if away else ()
    variable = _variable(fields, names, "results")
    fields.finish()
    return replace(
        variable,
        work=work,
        unit=unit,
        bands=bands,
        seen_from=seen_from,
        heard=heard,
        wrong=wrong,
        cures=cures,
        lasting=lasting,
        away=gone,
    )


def _variable(fields: Fields, names: Names, key: str) -> Variable:
    id_ = _id(fields)
    told = names.tests if key == "results" else None
    values = tuple(_value(inner, told) for inner in fields.inner_tables(key, "value"))
    ids = tuple(value.id for value in values)
    _check_values(fields, key, values)
    default = fields.inner_table("default", "these probabilities")
    return Variable(
        id=id_,
        say=fields.text("say") or "",
        values=values,
        default=_likely(default, ids) if default else (),
        rows=tuple(_row(inner, names, id_, ids) for inner in fields.inner_tables("rows", "row", needed=False)),
        source=known_source(fields, names),
        spot=fields.table.spot,
    )


def _id(fields: Fields) -> str:
    return fields.name("id") or ""


def _value(fields: Fields, tests: Collection[str] | None) -> Value:
    """`tests`: those that a result may outdate; None for the value of a condition."""
    value = Value(
        id=fields.name("id") or "",
        say=fields.text("say") or "",
        makes=known_names(fields, "makes", TOLD, "word of car and bay"),
        outdates=() if tests is None else known_names(fields, "outdates", tests, "test"),
        spot=fields.table.spot,
    )
    fields.finish()
    return value


def _check_values(fields: Fields, key: str, values: tuple[Value, ...]) -> None:
    if len(values) < 2 and fields.has(key):
        fields.fault(fields.spot(key), f"found fewer than two {key}; expected two or more; do add one")
    seen: set[str] = set()
    for value in values:
        if value.id in seen:
            fields.fault(value.spot, f"found '{value.id}' twice; expected each once; do rename one of them")
        seen.add(value.id)


def _row(fields: Fields, names: Names, own: str, ids: tuple[str, ...]) -> Row:
    under = known_names(fields, "under", names.faults, "fault")
    given = fields.inner_table("given", "this condition") if fields.has("given") else None
    likely = fields.inner_table("likely", "these probabilities")
    row = Row(
        under=under,
        given=_given(given, names, own) if given else {},
        likely=_likely(likely, ids) if likely else (),
        spot=fields.table.spot,
    )
    if not fields.has("under") and not fields.has("given"):
        fields.fault(
            row.spot, "found a row for everything; expected 'under' or 'given'; do name faults or write it as default"
        )
    fields.finish()
    return row


def _given(fields: Fields, names: Names, own: str) -> dict[str, tuple[str, ...]]:
    found: dict[str, tuple[str, ...]] = {}
    for entry in fields.table.entries:
        variable = known_name(fields, entry.key, names.values, "condition or test")
        if variable == own:
            fields.fault(entry.key.spot, f"found '{own}' depending on itself; expected another variable; do delete it")
        elif variable is not None:
            found[variable] = known_names(
                fields, variable, names.values[variable], f"value of '{variable}'", needed=True
            )
            if isinstance(entry.value, Listing) and not entry.value.items:
                fields.fault(entry.value.spot, "found an empty list; expected at least one value; do name them")
    return found


def _likely(fields: Fields, ids: tuple[str, ...]) -> tuple[float, ...]:
    """One probability for each value; a value left out has none. Normalised after the sum was found right."""
    found = dict.fromkeys(ids, 0.0)
    bad = False
    for entry in fields.table.entries:
        name = known_name(fields, entry.key, ids, "value")
        number = _probability(fields, entry)
        bad = bad or name is None or number is None
        if name is not None and number is not None:
            found[name] = number
    total = sum(found.values())
    if not bad and abs(total - 1.0) > SUM_TOLERANCE:
        fields.fault(
            fields.table.spot, f"found probabilities that add up to {total:.6g}; expected 1; do mend the numbers"
        )
    return tuple(number / total if total else 0.0 for number in found.values())


def _probability(fields: Fields, entry: Entry) -> float | None:
    value = entry.value.value() if isinstance(entry.value, Scalar) else None
    if isinstance(value, int | float) and not isinstance(value, bool) and 0.0 <= value <= 1.0:
        return float(value)
    fields.fault(
        entry.value.spot, f"found {describe(entry.value)}; expected a probability from 0 to 1; do mend the number"
    )
    return None


def read_openings(fields: Fields, names: Names, key: str = "opened_by") -> tuple[Opening, ...]:
    """What opens the way to a test or a block, or has a block come `first_when`."""
    return tuple(_opening(inner, names) for inner in fields.inner_tables(key, "opening", needed=False))


def read_cranked(fields: Fields, names: Names) -> tuple[Opening, ...]:
    """Every test that cranks the engine, where a test or a block is `after_crank`: each opens the way to it."""
    spot = fields.spot("after_crank")
    after = fields.flag("after_crank")
    return tuple(Opening(test=test, results=(), spot=spot) for test in names.cranking) if after else ()


def _opening(fields: Fields, names: Names) -> Opening:
    node = fields.node("test", "the id of a test")
    test = known_name(fields, node, names.tests, "test") if node is not None else None
    results = known_names(fields, "results", names.values.get(test or "", ()), "result") if test else ()
    opening = Opening(test=test or "", results=results, spot=fields.table.spot)
    if test:
        fields.finish()
    return opening


def _band(fields: Fields, names: Names, results: Iterable[str]) -> Band:
    node = fields.node("result", "the id of a result")
    result = known_name(fields, node, tuple(results), "result") if node is not None else None
    band = Band(
        result=result or "",
        at_least=fields.number("at_least", needed=False),
        below=fields.number("below", needed=False),
        source=known_source(fields, names),
        spot=fields.table.spot,
    )
    fields.finish()
    return band


def _check_bands(fields: Fields, bands: tuple[Band, ...], results: tuple[str, ...]) -> None:
    """Bands rise from minus to plus infinity without gap or overlap; each result has one at least."""
    if not bands:
        return
    edge: float | None = None
    for number, band in enumerate(bands):
        if band.at_least != edge:
            wanted = (
                "no 'at_least'" if number == 0 else f"at_least: {edge:g}" if edge is not None else "no further band"
            )
            fields.fault(band.spot, f"found a band that does not follow the one before; expected {wanted}; do mend it")
        edge = band.below
        if edge is None and number < len(bands) - 1:
            fields.fault(
                band.spot, "found no 'below' in a band that is not the last; expected its upper end; do add it"
            )
    if edge is not None:
        fields.fault(bands[-1].spot, f"found 'below: {edge:g}' in the last band; expected an open end; do delete it")
    for result in results:
        if result not in {band.result for band in bands}:
            fields.fault(fields.spot("bands"), f"found no band for the result '{result}'; expected one; do add it")


def _heard(fields: Fields, results: tuple[str, ...]) -> dict[str, str]:
    table = fields.inner_table("heard", "what the ear tells") if fields.has("heard") else None
    found = _meanings(fields, table, results)
    for odd in found.keys() - SPEEDS:
        fields.fault(fields.spot("heard"), f"found '{odd}' in 'heard'; expected one of {', '.join(SPEEDS)}; do mend it")
    return found


def _meanings(fields: Fields, table: Fields | None, results: tuple[str, ...]) -> dict[str, str]:
    """What is told -> the result that it means."""
    found: dict[str, str] = {}
    for entry in table.table.entries if table else ():
        result = known_name(fields, entry.value, results, "result")
        if result is not None:
            found[entry.key.text] = result
    return found


def _seen(fields: Fields, results: tuple[str, ...]) -> Seen:
    procedure, step = fields.name("procedure"), fields.name("step")
    seen = Seen(
        procedure=procedure or "",
        step=step or "",
        results=_meanings(fields, fields.inner_table("results", "these results"), results),
        once=fields.flag("once"),
        done_before=fields.flag("done_before"),
        spot=fields.table.spot,
    )
    fields.finish()
    return seen
