"""What the ear on a stream tells, and when, where it is given what it hears: its own rules alone are at work.

A line is when it was told, what, and of when; the end of the sound tells at -1. Levels come each 8 ms, and it looks
each 80 ms while something turns, else each 240; at the latest moment it glances each 40.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable
from typing import Any

import pytest

from assistant.cranking.events import Dropped, Ended
from assistant.cranking.layers import STARTER
from assistant.cranking.model import Kind
from tests.cranking.scripted import Script

CAME = {True: "caught", False: "did not catch", None: "unknown"}


def lines(told: Iterable[tuple[float, Any]]) -> list[str]:
    """Each event in words."""
    found = []
    for when, event in told:
        if isinstance(event, Ended):
            one = event.burst
            kind = "" if one.kind is Kind.CRANK else f"{one.kind} "
            ran = f" {one.run_s:.2f}" if one.run_s else ""
            found.append(f"{when:.2f} {kind}{one.start_s:g} to {one.end_s:g} {CAME[one.caught]}{ran}")
        else:
            kind = f" {event.kind}" if isinstance(event, Dropped) else ""
            found.append(f"{when:.2f} {type(event).__name__.lower()} {event.at_s:g}{kind}")
    return found


USUAL = ["2.44 began 2", "4.04 released 3.92", "4.60 2 to 4 did not catch"]
COURSES: dict[str, tuple[Callable[[], Script], list[str]]] = {
    "a starter": (lambda: Script(5).starter(2, 4), USUAL),
    "hardly sure": (lambda: Script(5).starter(2, 4, 1.0), USUAL),
    "pulses slowly": (
        lambda: Script(6).raise_(2, 5, 15, 2.5).seem(STARTER, 2, 5),
        ["2.44 began 2", "5.04 released 4.92", "5.56 2 to 4.96 did not catch"],
    ),
    "an engine that goes on is told of after four seconds": (
        lambda: Script(8.4).starter(2, 3.4).engine(3.4, 8.4),
        ["2.44 began 2", "3.52 caught 3.32", "7.40 2 to 3.36 caught 4.00"],
    ),
    "an engine that dies": (
        lambda: Script(7).starter(2, 3.4).engine(3.4, 6),
        ["2.44 began 2", "3.52 caught 3.32", "6.60 2 to 3.36 caught 2.64"],
    ),
    "too short to be sure that it ran": (
        lambda: Script(6).starter(2, 3.4).engine(3.4, 4.6),
        ["2.44 began 2", "3.52 caught 3.32", "5.24 2 to 3.36 unknown"],
    ),
    "softer than the starter: nobody calls it an engine": (
        lambda: Script(6).starter(2, 3.4).engine(3.4, 6, 12.0),
        ["2.44 began 2", "3.52 released 3.4", "-1.00 2 to 3.44 unknown"],
    ),
    "hardly likely at any moment, but far likelier than before": (
        lambda: Script(8.4).starter(2, 3.4).engine(3.4, 8.4, 22, 0.5),
        ["2.44 began 2", "3.52 caught 3.32", "7.40 2 to 3.36 caught 4.00"],
    ),
    "a moment's silence: it is told again when it lets go": (
        lambda: Script(7).starter(2, 5).raise_(3.2, 3.36, 3.0),
        ["2.44 began 2", "3.24 released 3.12", "5.12 released 5", "5.56 2 to 4.96 did not catch"],
    ),
    "a softer one": (
        lambda: Script(7).starter(2, 5).raise_(3.2, 3.24, 14.0),
        ["2.44 began 2", "5.04 released 4.92", "5.56 2 to 4.96 did not catch"],
    ),
    "a blow": (lambda: Script(4).starter(2, 2.2), []),
    "short": (lambda: Script(4).starter(2, 2.4), ["2.44 began 2", "2.68 released 2.56", "3.00 2 to 2.4 unknown"]),
    "there from the first: the shop": (lambda: Script(4).starter(0, 2), []),
    "cut off": (lambda: Script(3.6).starter(2, 3.6), ["2.44 began 2", "-1.00 2 to 3.6 did not catch"]),
    "twice within half a second": (
        lambda: Script(7).starter(2, 3.2).starter(3.6, 5),
        ["2.44 began 2", "3.24 released 3.12", "3.80 2 to 3.2 did not catch",
         "3.96 began 3.6", "5.08 released 4.96", "5.56 3.6 to 4.96 did not catch"],
    ),
    "out of sight": (
        lambda: Script(5).raise_(2, 4, 15, 6.0).seem(STARTER, 2, 2.6), ["2.44 began 2", "3.64 dropped 3.64 other"]
    ),
    "nothing rose": (lambda: Script(5).seem(STARTER, 2, 4), ["2.92 began 2", "4.84 dropped 4 crank"]),
    "by the physical tests alone": (
        lambda: Script(5).raise_(2, 4, 15, 6.0).doubt(2, 4, 2.0), ["4.60 2 to 4 did not catch"]
    ),
    "which the layers deny": (lambda: Script(5).raise_(2, 4, 15, 6.0).doubt(2, 4, 3.1), []),
    "usual, judged over its whole time": (lambda: Script(5).starter(2, 4).like(Kind.CRANK), USUAL),
    "a chatter that is too even": (lambda: Script(5).starter(2, 4).like(Kind.CHATTER), USUAL),
    "a light engine": (
        lambda: Script(5).starter(2, 4).like(Kind.LIGHT), [*USUAL[:2], "4.60 light 2 to 4 did not catch"]
    ),
    "something else": (lambda: Script(5).starter(2, 4).like(Kind.OTHER), [*USUAL[:2], "4.60 dropped 4 other"]),
    "a motor that turns nothing": (
        lambda: Script(5).raise_(2, 4, 15).seem(STARTER, 2, 4).like(Kind.WHINE), [*USUAL[:2], "4.60 dropped 4 whine"]
    ),
    "which swells as evenly as a crankshaft turns": (
        lambda: Script(5).starter(2, 4).like(Kind.WHINE), [*USUAL[:2], "4.60 light 2 to 4 did not catch"]
    ),
    "what rose with it goes on": (
        lambda: Script(5.4).raise_(2, 5, 15, 6.0).seem(STARTER, 2, 3.2).like(Kind.CRANK),
        ["2.44 began 2", "4.60 2 to 3.2 unknown"],
    ),
    "what rose with a light engine": (
        lambda: Script(5.4).raise_(2, 5, 15, 6.0).seem(STARTER, 2, 3.2).like(Kind.LIGHT),
        ["2.44 began 2", "4.60 light 2 to 3.2 did not catch"],
    ),
    "an engine is no chatter": (
        lambda: Script(7).starter(2, 3.4).engine(3.4, 6).like(Kind.CHATTER),
        ["2.44 began 2", "3.52 caught 3.32", "6.60 2 to 3.36 caught 2.64"],
    ),
}  # fmt: skip


@pytest.mark.parametrize("name", COURSES)
def test_the_course_of_a_burst_is_told_in_time(monkeypatch: pytest.MonkeyPatch, name: str) -> None:
    """Its beginning, its release or the engine, what became of it; or that it was none."""
    made, told = COURSES[name]
    assert lines(made().told(monkeypatch)) == told


ASKED: dict[str, tuple[Callable[[], Script], list[str]]] = {
    "a motor that turns nothing": (
        lambda: Script(5).raise_(2, 4, 15).seem(STARTER, 2, 4).like(Kind.WHINE),
        [*USUAL[:2], "4.60 whine 2 to 4.04 did not catch"],
    ),
    "which only rose": (
        lambda: Script(5).raise_(2, 4, 15).like(Kind.WHINE), ["4.60 whine 1.92 to 4.04 did not catch"]
    ),
    "by less than four decibels": (lambda: Script(5).raise_(2, 4, 3.9).like(Kind.WHINE), []),
    "by more": (lambda: Script(5).raise_(2, 4, 4.1).like(Kind.WHINE), ["4.60 whine 1.92 to 4.04 did not catch"]),
    "for less than half a second": (lambda: Script(5).raise_(2, 2.4, 15).like(Kind.WHINE), []),
    "for half a second": (
        lambda: Script(5).raise_(2, 2.5, 15).like(Kind.WHINE), ["3.16 whine 1.92 to 2.52 did not catch"]
    ),
    "something else": (lambda: Script(5).starter(2, 4).like(Kind.OTHER), [*USUAL[:2], "4.60 dropped 4 other"]),
    "something else that only rose": (lambda: Script(5).raise_(2, 4, 15).like(Kind.OTHER), []),
    "a knock": (lambda: Script(6).raise_(2, 2.1, 30), ["3.88 knocked 2"]),
    "a long one": (lambda: Script(6).raise_(2, 2.5, 30), []),
    "a soft one": (lambda: Script(6).raise_(2, 2.1, 9), []),
    "a rattle": (lambda: Script(6).raise_(2, 2.1, 30).raise_(3, 3.1, 30), []),
}  # fmt: skip


@pytest.mark.parametrize("name", ASKED)
def test_what_turns_nothing_and_knocks_are_told_where_a_starter_was_asked_for(
    monkeypatch: pytest.MonkeyPatch, name: str
) -> None:
    """Elsewhere neither: a shop is full of both."""
    made, told = ASKED[name]
    assert lines(made().told(monkeypatch, expected=2.0)) == told
    unasked = lines(made().told(monkeypatch)) if told else []
    assert not any("knocked" in line or ("whine" in line and "to" in line.split()) for line in unasked)
