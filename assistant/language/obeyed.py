"""What becomes of an order in one's own words: done, told how to be said, or left to what else the words may mean."""

from __future__ import annotations

from assistant.english import heard as texts
from assistant.language.commanded import OF_THE_CAR, Order, ordered
from assistant.language.commands import Control, Stakes, phrase_of
from assistant.language.model import Command, Expected, GiveControl, GiveReading, Unclear, UnclearReason
from assistant.language.reading import parse_reading

ASKS_FIRST = frozenset((Control.CANNOT, Control.SKIP, Control.STRIKE, Control.END_JOB))
"""What asks why, or for a yes, before anything is done, and so need be no surer than what does no harm."""

MANNERS = frozenset((Control.FULL, Control.BRIEF, Control.TERSE))
"""How much is said: it shows at once, and one word takes it back."""


def obeyed(order: Order, words: str, *, moves: bool) -> GiveControl | Unclear | None:
    """What is done for it, where that is clear; `moves`: whether it may move the job."""
    if order.given is None:
        return Unclear(reason=UnclearReason.THINKS, words=words, detail=texts.TAKE_YOUR_TIME)
    if not isinstance(order.given, Control):
        return None
    if order.given in OF_THE_CAR and not order.by_rule:
        return say_if_meant(phrase_of(order.given), words)
    takes_back = order.given not in (Control.CANNOT, Control.SKIP)  # which the answers of many steps say too
    harmless = order.given.row.stakes is Stakes.HARMLESS or order.given in MANNERS
    certain = (order.certain or (order.fair and order.given in ASKS_FIRST)) and (moves or takes_back)
    return GiveControl(control=order.given) if harmless or certain else None


def told_how(order: Order, words: str) -> GiveControl | Unclear | None:
    """Of free writing: what does no harm is done, and what moves the job is told how to be said."""
    if not isinstance(order.given, Control) or order.given.row.stakes is Stakes.HARMLESS:
        return obeyed(order, words, moves=False)
    return say_if_meant(phrase_of(order.given), words)


def orders_rather(words: str, meaning: Command | Unclear, expected: Expected, text: str) -> bool:
    """Whether words of an order were read as a figure: "back up one" is no volt, "one sec" no wrong unit."""
    if expected.quantity is None or expected.unit is None or not isinstance(meaning, GiveReading | Unclear):
        return False
    if isinstance(parse_reading(words, expected.quantity, expected.unit), GiveReading):
        return False
    order = ordered(words, expected, text)
    return order is not None and order.certain


def say_if_meant(phrase: str, words: str) -> Unclear:
    """A command that moves the job, of free writing alone: to be said by its own phrase, which the grammar knows."""
    return Unclear(reason=UnclearReason.UNSURE, words=words, detail=texts.say_if_meant(phrase))
