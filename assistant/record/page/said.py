"""Tables of what was spoken and said: cautions and states with their answers, codes, notes, reasons."""

from __future__ import annotations

from collections.abc import Sequence

from assistant.record.model import Acknowledged, Saying
from assistant.record.page.cells import heard, row
from assistant.record.page.model import Row, Table
from assistant.record.read_fact import plain_words
from assistant.record.wording import Localise, bounded, elapsed, time_of_day


def acknowledged(name: str, title: str, every: Sequence[Acknowledged], localise: Localise) -> Table:
    """One line for each wording, with the time of every answer; cautions are asked again at each entry of a step."""
    alike: dict[tuple[str, str], list[Acknowledged]] = {}
    for one in every:
        alike.setdefault(((one.signal or "").upper() or plain_words(one.id), one.text), []).append(one)
    rows = tuple(
        Row(
            cells=(
                *([bounded(signal)] if name == "cautions" else []),
                bounded(words),
                bounded("; ".join(dict.fromkeys(one.words or "" for one in times if one.words))),
                bounded(", ".join(_answered(one, localise) for one in times)),
            )
        )
        for (signal, words), times in alike.items()
    )
    columns = (*(["Signal"] if name == "cautions" else []), "Words", "Answered with", "Answered at")
    return Table(name=name, title=title, columns=columns, rows=rows)


def sayings(name: str, title: str, column: str, every: Sequence[Saying]) -> Table:
    """Words as said, one line each."""
    rows = tuple(
        row(one.mark, elapsed(one.mark.at_s), plain_words(one.mark.step or ""), one.words, heard(one.hearing))
        for one in every
    )
    return Table(name=name, title=title, columns=("At", "Step", column, "Heard"), rows=rows, numbers=(0,))


def _answered(one: Acknowledged, localise: Localise) -> str:
    if one.acknowledged_utc is None:
        return f"never (spoken {elapsed(one.mark.at_s)})"
    return time_of_day(one.acknowledged_utc, localise)
