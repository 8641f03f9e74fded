"""What the fuzz tests share: odd versions of good input, and the bound of two seconds."""

from __future__ import annotations

import time
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from hypothesis import HealthCheck, settings
from hypothesis import strategies as st

MOST_CPU_S = 2.0
"""Of the processor, not of the clock: a busy machine is no fault of the input."""

MARKS = (
    "", " ", "\t", "\n", "\x00", "\ufeff", "\u2028", "\ud800", "é", "😀", "-1", "0", "1e400", "nan", ".inf", "9" * 400,
    "~", "null", "no", "12:30", "- ", ": ", "? ", "{", "}", "[", "]", "&a ", "*a", "!!python/object:os.system ", "<<: ",
    "|", ">", "'", '"', "#", "%", "---\n", "...", "<", ">", "(", ")", "*", "+", "/1/", "\\", "/*", "//", "=", ";", "@",
    "../", "[" * 60, "- " * 60, "a: " * 30, "x" * 3_000,
)  # fmt: skip


def cases(few: int, share: float = 1.0) -> settings:
    """So many cases; in the campaign this share of its cases a test."""
    most = settings.default.max_examples if settings.default is not None else few
    campaign = most > 1_000
    return settings(
        max_examples=max(few, round(most * share)) if campaign else few,
        deadline=None,
        suppress_health_check=list(HealthCheck),
    )


@st.composite
def odd_texts(draw: st.DrawFn, good: tuple[str, ...]) -> str:
    """A good text with up to five pieces cut out, doubled, moved, or replaced by marks."""
    text = draw(st.sampled_from(good))
    for _ in range(draw(st.integers(1, 5))):
        begin = draw(st.integers(0, len(text)))
        end = min(len(text), begin + draw(st.sampled_from((0, 1, 3, 10, 40, 200))))
        how = draw(st.integers(0, 4))
        if how == 0:
            new = ""
        elif how == 1:
            new = text[begin:end] * 2
        elif how == 2:
            new = draw(st.sampled_from(MARKS))
        elif how == 3:
            at = draw(st.integers(0, len(text)))
            new = text[at : at + 60]
        else:
            new = draw(st.text(max_size=12))
        text = text[:begin] + new + text[end:]
    return text


@st.composite
def odd_bytes(draw: st.DrawFn, good: bytes, head: int | None = None) -> bytes:
    """Good bytes with some of them replaced, cut off or added; mostly within the first `head`."""
    content = bytearray(good)
    room = len(content) if head is None else min(head, len(content))
    for _ in range(draw(st.integers(0, 6))):
        at = draw(st.integers(0, max(0, room - 1)))
        new = draw(st.one_of(st.binary(max_size=8), st.sampled_from((b"\xff" * 4, b"\x00" * 4, b"\x7f\xff\xff\xff"))))
        content[at : at + len(new)] = new
    if draw(st.booleans()):
        del content[draw(st.integers(0, len(content))) :]
    return bytes(content)


@contextmanager
def bounded(most_s: float = MOST_CPU_S) -> Iterator[None]:
    """Not more than two seconds of the processor within."""
    began_s = time.process_time()
    yield
    assert time.process_time() - began_s < most_s


def resident_mb() -> float:
    """Memory of this program in use now; 0 where the system does not tell."""
    told = Path("/proc/self/statm")
    return int(told.read_text().split()[1]) * 4096 / 1e6 if told.exists() else 0.0
