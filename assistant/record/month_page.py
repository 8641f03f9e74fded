"""A month of the shop as one page: HTML that needs nothing else, or the same tables and pictures set by Typst."""

from __future__ import annotations

import json
from collections.abc import Sequence
from dataclasses import asdict, dataclass
from functools import cache
from importlib import resources
from typing import Any

from jinja2 import Environment, PackageLoader, StrictUndefined, Template
from markupsafe import Markup

from assistant.record.page.model import Paper
from assistant.record.pdf import FAMILY as PAPER_FAMILY
from assistant.record.pdf import shown_on_paper, typesetter
from assistant.record.pictures.canvas import AMBER, BLUE, FAINT, GREEN, LINE, Canvas, Picture
from assistant.record.read_fact import plain_words
from assistant.record.shop_month import Month
from assistant.record.wording import MONTHS

FAMILY = "system-ui, Liberation Sans, DejaVu Sans, sans-serif"
MOST_BARS = 12
MOST_ROWS = 40
BAR, STEP, LEFT, RIGHT = 12.0, 19.0, 150.0, 40.0
DAYS_HEIGHT = 150.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Rows:
    """A table of the page. `numbers`: which columns hold numbers."""

    title: str
    columns: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]
    numbers: tuple[int, ...] = ()
    note: str = ""


def month_html(month: Month, shop: str, paper: Paper = Paper.A4) -> str:
    """The page as HTML; every word is escaped. `shop`: the shop's name, empty where it has none."""
    pictures = [{"title": one.title, "svg": Markup(one.svg)} for one in pictures_of(month, FAMILY)]
    return _template().render(paper=paper, shop=shop, pictures=pictures, tables=tables_of(month), **_head(month))


def month_pdf(month: Month, shop: str, paper: Paper = Paper.A4) -> bytes:
    """The page as PDF. Raises SetupError where Typst is not installed."""
    told: dict[str, Any] = {
        **_head(month),
        "shop": shop,
        "paper": {Paper.A4: "a4", Paper.LETTER: "us-letter"}[paper],
        "tables": [asdict(one) for one in tables_of(month)],
        "pictures": [asdict(one) for one in pictures_of(month, PAPER_FAMILY)],
    }
    template = resources.files("assistant.record").joinpath("templates", "month.typ").read_bytes()
    words = json.dumps(_for_paper(told), ensure_ascii=True)
    made = typesetter().compile(template, sys_inputs={"page": words}, format="pdf")
    if not isinstance(made, bytes):
        raise TypeError("one PDF was expected")
    return made


def tables_of(month: Month) -> tuple[Rows, ...]:
    """What the page says in figures."""
    minutes = ("Jobs", "Median min", "In all min")
    return tuple(
        one
        for one in (
            Rows(
                title="Minutes by finding",
                columns=("Finding", *minutes),
                rows=tuple((plain_words(one.name), *_minutes(one)) for one in month.findings[:MOST_ROWS]),
                numbers=(1, 2, 3),
            ),
            Rows(
                title="Tests that decided",
                columns=("Test", "Done in jobs", "Decided"),
                rows=tuple((_test(one.test), str(one.done), str(one.decided)) for one in month.decided[:MOST_ROWS]),
                numbers=(1, 2),
                note="A test decided where its answer was the last before the finding.",
            ),
            Rows(
                title="Minutes by test",
                columns=("Test", *minutes),
                rows=tuple((_test(one.name), *_minutes(one)) for one in month.tests[:MOST_ROWS]),
                numbers=(1, 2, 3),
            ),
            Rows(
                title="Cars that came back",
                columns=("Day", "Job", "After", "Found before", "Found then"),
                rows=tuple(
                    (
                        one.started_utc[:10],
                        one.job,
                        f"{one.days:g} days" + (f", {one.km:g} km" if one.km is not None else ""),
                        plain_words(one.found_before) or "open",
                        plain_words(one.found) or "open",
                    )
                    for one in month.comebacks
                ),
                note="Within 30 days or 1,000 km of the job before (common practice, no source).",
            ),
        )
        if one.rows
    )


def pictures_of(month: Month, family: str) -> tuple[Picture, ...]:
    """Jobs by day, findings, tests that decided: as far as there is something to show."""
    found = [(plain_words(one.name), float(one.count)) for one in month.findings[:MOST_BARS]]
    decided = [(_test(one.test), float(one.decided)) for one in month.decided[:MOST_BARS] if one.decided]
    made = [_days(month, family)] if month.by_day else []
    if found:
        made.append(_bars("findings", "What jobs came to", found, family, BLUE))
    if decided:
        made.append(_bars("decided", "Tests that decided", decided, family, GREEN))
    return tuple(made)


def _days(month: Month, family: str) -> Picture:
    most = max(count for _, count in month.by_day)
    alt = "Jobs begun by day: " + ", ".join(f"{day} {count}" for day, count in month.by_day)
    canvas = Canvas(DAYS_HEIGHT, alt, family)
    low, top, left, right = DAYS_HEIGHT - 24, 16.0, 28.0, canvas.width - 6
    canvas.line(left, low, right, low, stroke=LINE)
    canvas.words(left - 4, top + 4, str(most), anchor="end", size=11, fill=FAINT)
    width = (right - left) / 31
    for day, count in month.by_day:
        number = int(day[8:10])
        x = left + (number - 1) * width
        canvas.box(x + 1, low - (low - top) * count / most, width - 2, (low - top) * count / most, fill=AMBER)
    for number in (1, 8, 15, 22, 29):
        canvas.words(left + (number - 0.5) * width, low + 15, str(number), anchor="middle", size=11, fill=FAINT)
    return Picture(name="days", title="Jobs begun by day", alt=alt, svg=canvas.svg())


def _bars(name: str, title: str, rows: Sequence[tuple[str, float]], family: str, fill: str) -> Picture:
    most = max(value for _, value in rows)
    alt = f"{title}: " + ", ".join(f"{label} {value:g}" for label, value in rows)
    canvas = Canvas(len(rows) * STEP + 8, alt, family)
    room = canvas.width - LEFT - RIGHT
    for index, (label, value) in enumerate(rows):
        y = 4 + index * STEP
        canvas.words(LEFT - 6, y + BAR - 1, _cut(label), anchor="end", size=11)
        canvas.box(LEFT, y, room * value / most, BAR, fill=fill)
        canvas.words(LEFT + room * value / most + 4, y + BAR - 1, f"{value:g}", size=11, fill=FAINT)
    return Picture(name=name, title=title, alt=alt, svg=canvas.svg())


def _cut(label: str, most: int = 24) -> str:
    return label if len(label) <= most else label[: most - 1] + "…"


def _minutes(one: Any) -> tuple[str, str, str]:
    return str(one.count), f"{one.median_min:g}", f"{one.total_min:g}"


def _test(name: str) -> str:
    """`spark-check/first-crank` as words."""
    procedure, _, step = name.partition("/")
    return f"{plain_words(step)} ({plain_words(procedure)})" if step else plain_words(procedure)


def _head(month: Month) -> dict[str, Any]:
    year, number = int(month.since[:4]), int(month.since[5:7])
    counts = [
        ("Jobs begun", str(month.jobs)),
        ("With a finding", str(month.found)),
        ("Repairs confirmed", str(month.repaired)),
        ("Repairs that did not hold", str(month.failed)),
        ("Cars that came back", str(len(month.comebacks))),
    ]
    return {"title": f"{MONTHS[number - 1]} {year}", "counts": counts}


def _for_paper(value: Any) -> Any:
    if isinstance(value, str):
        return shown_on_paper(value)
    if isinstance(value, dict):
        return {name: _for_paper(one) for name, one in value.items()}
    if isinstance(value, list | tuple):
        return [_for_paper(one) for one in value]
    return value


@cache
def _template() -> Template:
    loader = PackageLoader("assistant.record")
    environment = Environment(loader=loader, autoescape=True, undefined=StrictUndefined, trim_blocks=True)
    return environment.get_template("month.html.jinja")
