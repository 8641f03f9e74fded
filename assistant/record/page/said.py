"""Tables of what was spoken and said: cautions and states with their answers, codes, notes, reasons."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from assistant.record.model import Acknowledged, Saying
from assistant.record.page.cells import heard, row
from assistant.record.page.model import Row, Table
from assistant.record.wording import NOT_PROOFED, bounded, elapsed, percent, plain_words


def acknowledged(name: str, title: str, every: Sequence[Acknowledged]) -> Table:
    """One line for each wording, with when it was answered; cautions are asked again at each entry of a step."""
    alike: dict[tuple[str, str], list[Acknowledged]] = {}
    for one in every:
        alike.setdefault(((one.signal or "").upper() or plain_words(one.id), one.text), []).append(one)
    rows = tuple(
        Row(
            cells=(
                *([bounded(signal)] if name == "cautions" else []),
                bounded(words),
                bounded("; ".join(dict.fromkeys(one.words or "" for one in times if one.words))),
                bounded(_answers(times)),
            )
        )
        for (signal, words), times in alike.items()
    )
    columns = (*(["Signal"] if name == "cautions" else []), "Words", "Answered with", "Answered at")
    return Table(name=name, title=title, columns=columns, rows=rows)


def sayings(name: str, title: str, column: str, every: Sequence[Saying]) -> Table:
    """Words as said, one line each."""
    rows = tuple(row(one.mark, elapsed(one.mark.at_s), one.mark.label, one.words, proof_of(one)) for one in every)
    return Table(name=name, title=title, columns=("At", "Step", column, "Heard"), rows=rows, numbers=(0,))


def codes(every: Sequence[Saying]) -> Table:
    """Fault codes with what they stand for."""
    rows = tuple(row(one.mark, elapsed(one.mark.at_s), one.words, one.meaning, proof_of(one)) for one in every)
    note = "In general use; what sets a code on this car the vehicle maker's information says."
    columns = ("At", "Code", "Meaning", "Heard")
    return Table(name="codes", title="Fault codes", columns=columns, rows=rows, numbers=(0,), note=note)


def proof_of(one: Saying) -> str:
    """How far the words may be trusted: as heard, or dictated and read by nobody, and which share should be right."""
    cut = "cut: more was said than one note holds" if one.cut else ""
    if one.proofed:
        return ", ".join(part for part in (heard(one.hearing), cut) if part)
    sure = percent(one.hearing.confidence)
    share = f"about {sure} of the words right" if sure else ""
    return ", ".join(part for part in (NOT_PROOFED, share, heard(replace(one.hearing, confidence=None)), cut) if part)


MOST_TIMES = 4
"""More answers to one wording than this are counted, with the first and the last; the JSON report has every one."""


def _answers(times: Sequence[Acknowledged]) -> str:
    """When the wording was answered, each time; what was never answered is always told by itself."""
    told = [elapsed(one.acknowledged_at_s) for one in times if one.acknowledged_at_s is not None]
    never = [f"never (spoken at {elapsed(one.mark.at_s)})" for one in times if one.acknowledged_at_s is None]
    if len(told) > MOST_TIMES:
        told = [f"{len(told)} times from {told[0]} to {told[-1]}"]
    return ", ".join((*told, *never))
