"""Results, readings and words kept as CSV: one line for each, safe to open in a spreadsheet."""

from __future__ import annotations

import csv
import io

from assistant.record.model import JobRecord, Mark
from assistant.record.wording import NOT_AS_RECORDED, NOT_PROOFED, amount, bounded, printable

COLUMNS = (
    "fact",
    "kind",
    "at_s",
    "recorded_utc",
    "procedure",
    "step",
    "what",
    "value",
    "unit",
    "judgement",
    "limit_at_least",
    "limit_below",
    "limit_unit",
    "limit_source",
    "said_by",
    "confidence",
    "struck_by",
)
_NO_MARK = ("",) * len(COLUMNS)
FORMULA_STARTS = ("=", "+", "-", "@", "\t", "\n", "\uff1d", "\uff0b", "\uff0d", "\uff20")
"""What a spreadsheet takes for the start of a formula, full-width forms included. No carriage return is left."""


def csv_text(record: JobRecord) -> str:
    """The lines, in the order of the job, by RFC 4180; struck ones stay and name the fact that struck them."""
    lines: list[tuple[float, list[str]]] = []
    for one in record.readings:
        low, high = one.at_least, one.below
        used = [limit for limit in (low, high) if limit is not None]
        lines.append(
            _line(
                one.mark,
                "reading",
                one.name,
                amount(one.value),
                one.unit,
                one.judgement or "",
                amount(low.value) if low else "",
                amount(high.value) if high else "",
                used[0].unit if used else "",
                "; ".join(dict.fromkeys(limit.source for limit in used)),
                one.hearing.by,
                _confidence(one.hearing.confidence),
            )
        )
    for answer in record.results:
        heard = answer.hearing
        lines.append(
            _line(
                answer.mark,
                "result",
                answer.question,
                answer.label,
                *([""] * 6),
                heard.by,
                _confidence(heard.confidence),
            )
        )
    for code in record.codes:
        sure = _confidence(code.hearing.confidence)
        lines.append(_line(code.mark, "code", "fault code", code.words, *([""] * 6), code.hearing.by, sure))
    for kind, sayings in (("complaint", record.complaint), ("note", record.notes), ("skipped", record.skipped)):
        for said in sayings:
            cells = (said.about or kind, bounded(said.words), "", "" if said.proofed else NOT_PROOFED, *([""] * 4))
            lines.append(_line(said.mark, kind, *cells, said.hearing.by, _confidence(said.hearing.confidence)))
    for number, burst in enumerate(record.bursts, start=1):
        what = f"cranking burst {number}"
        sure = _confidence(burst.confidence)
        lines.append(_line(burst.mark, "burst", what, amount(burst.seconds), "s", *([""] * 5), burst.timed_by, sure))
        if burst.rpm is not None:
            what = f"cranking speed {number}"
            lines.append(_line(burst.mark, "burst", what, amount(burst.rpm), "rpm", *([""] * 5), burst.timed_by, sure))
    out = io.StringIO()
    writer = csv.writer(out, lineterminator="\r\n")
    writer.writerow(COLUMNS)
    writer.writerows(
        [*_NO_MARK[:1], NOT_AS_RECORDED, *_NO_MARK[2:6], _safe(one), *_NO_MARK[7:]] for one in record.damage
    )
    writer.writerows(cells for _, cells in sorted(lines, key=lambda line: line[0]))
    return out.getvalue()


def _line(mark: Mark, kind: str, *cells: str) -> tuple[float, list[str]]:
    start = [mark.fact, kind, f"{mark.at_s:.3f}", mark.utc, mark.procedure or "", mark.step or ""]
    return mark.at_s, [_safe(cell) for cell in (*start, *cells, mark.struck_by or "")]


def _safe(cell: str) -> str:
    """A cell that no spreadsheet runs: words that begin like a formula get an apostrophe; plain numbers stay."""
    words = printable(cell)
    if words.lstrip(" ").startswith(FORMULA_STARTS) and not _is_number(words):
        return "'" + words
    return words


def _is_number(words: str) -> bool:
    try:
        float(words)
    except ValueError:
        return False
    return words.strip() == words and "n" not in words.lower()


def _confidence(value: float | None) -> str:
    return "" if value is None else f"{value:.3f}"
