"""A month of the shop as one page: HTML that needs nothing else, or the same tables and pictures set by Typst."""

from __future__ import annotations

import json
from collections.abc import Callable, Sequence
from dataclasses import asdict, dataclass
from datetime import date, timedelta
from functools import cache
from importlib import resources
from typing import Any

from jinja2 import Environment, PackageLoader, StrictUndefined, Template
from markupsafe import Markup

from assistant.record.page.model import Paper
from assistant.record.pdf import FAMILY as PAPER_FAMILY
from assistant.record.pdf import shown_on_paper, typesetter
from assistant.record.pictures.canvas import AMBER, BLUE, FAINT, GREEN, LINE, PANEL, WIDTH, Canvas, Picture
from assistant.record.shop_month import Decided, Month, Spent
from assistant.record.wording import MONTHS, plain_words

FAMILY = "system-ui, Liberation Sans, DejaVu Sans, sans-serif"
MOST_BARS = 12
MOST_ROWS = 40
BAR, STEP, LEFT, RIGHT = 12.0, 19.0, 165.0, 30.0
DAYS, DAYS_HEIGHT = "days", 120.0
SATURDAY = 6


@dataclass(frozen=True, slots=True, kw_only=True)
class Rows:
    """A table of the page. `numbers`: which columns hold numbers."""

    title: str
    columns: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]
    numbers: tuple[int, ...] = ()
    note: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Count:
    """One figure at the top of the page. `more`: its share, and what it was in the month before."""

    name: str
    value: str
    more: str = ""


def month_html(month: Month, shop: str, paper: Paper = Paper.A4, before: Month | None = None) -> str:
    """The page as HTML; every word is escaped. `shop`: the shop's name, empty where it has none. `before`: the month
    before, to compare with."""
    pictures = [
        {"wide": one.name == DAYS, "title": one.title, "svg": Markup(one.svg)} for one in pictures_of(month, FAMILY)
    ]
    return _template().render(
        paper=paper, shop=shop, pictures=pictures, tables=tables_of(month), **_head(month, before)
    )


def month_pdf(month: Month, shop: str, paper: Paper = Paper.A4, before: Month | None = None) -> bytes:
    """The page as PDF. Raises SetupError where Typst is not installed."""
    head = _head(month, before)
    told: dict[str, Any] = {
        "title": head["title"],
        "counts": [asdict(one) for one in head["counts"]],
        "shop": shop,
        "paper": {Paper.A4: "a4", Paper.LETTER: "us-letter"}[paper],
        "tables": [asdict(one) for one in tables_of(month)],
        "pictures": [asdict(one) | {"wide": one.name == DAYS} for one in pictures_of(month, PAPER_FAMILY)],
    }
    template = resources.files("assistant.record").joinpath("templates", "month.typ").read_bytes()
    words = json.dumps(_for_paper(told), ensure_ascii=True)
    made: bytes = typesetter().compile(template, sys_inputs={"page": words}, format="pdf")
    return made


def tables_of(month: Month) -> tuple[Rows, ...]:
    """What the page says in figures, what asks for somebody to act first."""
    decided = {one.test: one for one in month.decided}
    spent = {one.name: one for one in month.tests}
    tests = [*decided, *(name for name in spent if name not in decided)][:MOST_ROWS]
    return tuple(
        one
        for one in (
            Rows(
                title="Cars that came back",
                columns=("Day", "Job", "After", "Found before", "Found then"),
                rows=tuple(
                    (
                        one.started_utc[:10],
                        one.job,
                        f"{one.days:g} days" + (f", {one.km:,g} km" if one.km is not None else ""),
                        plain_words(one.found_before) or "open",
                        plain_words(one.found) or "open",
                    )
                    for one in month.comebacks
                ),
                note="Within 30 days or 1,000 km of the job before (common practice, no source).",
            ),
            Rows(
                title="What jobs came to, and how long they took",
                columns=("Finding", "Jobs", "Median", "In all"),
                rows=tuple(
                    (plain_words(one.name), str(one.count), f"{one.median_min:.0f} min", _hours(one.total_min))
                    for one in month.findings[:MOST_ROWS]
                ),
                numbers=(1, 2, 3),
            ),
            Rows(
                title="Tests",
                columns=("Test", "Done in jobs", "Decided", "Of those done", "Median", "In all"),
                rows=tuple(_of_test(name, decided.get(name), spent.get(name)) for name in tests),
                numbers=(1, 2, 3, 4, 5),
                note="A test decided where its answer was the last before the finding.",
            ),
        )
        if one.rows
    )


def _of_test(name: str, decided: Decided | None, spent: Spent | None) -> tuple[str, ...]:
    often = (
        (str(decided.done), str(decided.decided), _share(decided.decided, decided.done)) if decided else ("", "", "")
    )
    long = (f"{spent.median_min:.1f} min", _hours(spent.total_min)) if spent else ("", "")
    return (_test(name), *often, *long)


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
    """A bar a day, Saturdays and Sundays shaded."""
    most = max(count for _, count in month.by_day)
    alt = "Jobs begun by day: " + ", ".join(f"{day} {count}" for day, count in month.by_day)
    canvas = Canvas(DAYS_HEIGHT, alt, family, width=2 * WIDTH)
    low, top, left, right = DAYS_HEIGHT - 22, 16.0, 4.0, canvas.width - 4
    begins, counts = date.fromisoformat(month.since), dict(month.by_day)
    days = [begins + timedelta(days=number) for number in range((date.fromisoformat(month.until) - begins).days)]
    width = (right - left) / len(days)
    for number, day in enumerate(days):
        x, count = left + number * width, counts.get(day.isoformat(), 0)
        if day.isoweekday() >= SATURDAY:
            canvas.box(x, top - 12, width, low - top + 12, fill=PANEL)
        if count:
            height = (low - top) * count / most
            canvas.box(x + 2, low - height, width - 4, height, fill=AMBER)
            canvas.words(x + width / 2, low - height - 3, str(count), anchor="middle", size=11, fill=FAINT)
        canvas.words(x + width / 2, low + 14, str(day.day), anchor="middle", size=11, fill=FAINT)
    canvas.line(left, low, right, low, stroke=LINE)
    return Picture(name=DAYS, title="Jobs begun by day", alt=alt, svg=canvas.svg())


def _bars(name: str, title: str, rows: Sequence[tuple[str, float]], family: str, fill: str) -> Picture:
    most = max(value for _, value in rows)
    alt = f"{title}: " + ", ".join(f"{label} {value:g}" for label, value in rows)
    canvas = Canvas(len(rows) * STEP + 8, alt, family)
    room = canvas.width - LEFT - RIGHT
    for index, (label, value) in enumerate(rows):
        y = 4 + index * STEP
        canvas.words(LEFT - 6, y + BAR - 1, canvas.cut(label, LEFT - 6), anchor="end", size=11)
        canvas.box(LEFT, y, room * value / most, BAR, fill=fill)
        canvas.words(LEFT + room * value / most + 4, y + BAR - 1, f"{value:g}", size=11, fill=FAINT)
    return Picture(name=name, title=title, alt=alt, svg=canvas.svg())


def _test(name: str) -> str:
    """`spark-check/first-crank` as words."""
    procedure, _, step = name.partition("/")
    return f"{plain_words(procedure)}: {plain_words(step)}" if step else plain_words(procedure)


def _hours(minutes: float) -> str:
    hours, rest = divmod(round(minutes), 60)
    return f"{hours} h {rest:02} min" if hours else f"{rest} min"


def _share(part: int, whole: int) -> str:
    return f"{100 * part / whole:.0f} %" if whole else ""


def _head(month: Month, before: Month | None) -> dict[str, Any]:
    """Counts of the month, with what they were before where there was anything before."""
    jobs = month.jobs
    rows: list[tuple[str, str, str, Callable[[Month], str]]] = [
        ("Jobs begun", str(jobs), "", lambda one: str(one.jobs)),
        ("With a finding", str(month.found), _share(month.found, jobs), lambda one: str(one.found)),
        ("Repairs confirmed", str(month.repaired), _share(month.repaired, jobs), lambda one: str(one.repaired)),
        ("Repairs that did not hold", str(month.failed), "", lambda one: str(one.failed)),
        ("Cars that came back", str(len(month.comebacks)), "", lambda one: str(len(one.comebacks))),
        ("Median of a job", _median(month), "", _median),
    ]
    named = MONTHS[int(before.since[5:7]) - 1] if before is not None and before.jobs else ""
    counts = [
        Count(
            name=name,
            value=value,
            more=", ".join(filter(None, (more, f"{named} {of(before)}" if named and before is not None else ""))),
        )
        for name, value, more, of in rows
    ]
    return {"title": f"{MONTHS[int(month.since[5:7]) - 1]} {month.since[:4]}", "counts": counts}


def _median(month: Month) -> str:
    return f"{month.median_min:.0f} min" if month.median_min is not None else "none yet"


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
