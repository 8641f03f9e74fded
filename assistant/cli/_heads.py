"""Heads of chains that left the shop: in a report, in an export, or typed off paper."""

from __future__ import annotations

import json
import re
from html import unescape
from pathlib import Path

from assistant.errors import UsageError
from assistant.record.chain import Head
from assistant.record.exchange import StatedHead, stated_head

_TYPED_HEAD = re.compile(r"(\d+):([0-9a-fA-F]{64})")
_PAPER_HEAD = re.compile(r'data-job="([^"]*)" data-number="(\d+)" data-hash="([0-9a-f]{64})"')


def read_heads(report: str, jobs: tuple[str, ...]) -> tuple[StatedHead, ...]:
    """The heads that a report, an export or a typed NUMBER:HASH states. Raises UsageError."""
    typed = _TYPED_HEAD.fullmatch(report)
    if typed:
        if len(jobs) != 1:
            raise UsageError("A typed NUMBER:HASH needs the one job that it is of.")
        head = Head(number=int(typed.group(1)), hash=bytes.fromhex(typed.group(2)))
        return (StatedHead(job=jobs[0], head=head),)
    try:
        text = Path(report).read_text(encoding="utf-8")
    except (OSError, UnicodeDecodeError) as error:
        raise UsageError(
            f"'{report}' cannot be read as a report; give the JSON or HTML report, or an export."
        ) from error
    on_paper = _PAPER_HEAD.search(text)
    try:
        if on_paper:
            job, number, found = on_paper.groups()
            return (
                StatedHead(
                    job=str(json.loads(unescape(job))), head=Head(number=int(number), hash=bytes.fromhex(found))
                ),
            )
        if text.lstrip().startswith("{\n"):
            return (stated_head(json.loads(text)),)
        return tuple(stated_head(json.loads(line)) for line in text.splitlines() if line.strip())
    except (KeyError, TypeError, ValueError, RecursionError) as reason:
        raise UsageError(f"'{report}' states no chain; give the JSON or HTML report, or an export.") from reason
