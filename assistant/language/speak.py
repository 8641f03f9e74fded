"""Values to spoken words: readings, seconds, speeds. Every reading spoken here is understood by `reading`."""

from __future__ import annotations

import math
from decimal import Decimal

from assistant.language.numbers import say_number, say_whole
from assistant.language.quantities import unit_named


def say_amount(value: float | Decimal, unit: str) -> str:
    """A number and its unit: "twelve point four volts", "one volt"; at most four digits after the point."""
    exact = Decimal(f"{value:.4f}")
    named = unit_named(unit)
    return f"{say_number(exact)} {named.one if exact == 1 else named.many}"


def cut_tenths(value: float) -> float:
    """The value to one digit after the point, cut and not rounded: what fails a line must not be told as the line."""
    return math.floor(round(value * 10.0, 6)) / 10.0


def say_seconds(seconds: float) -> str:
    """A length of time: "six point two seconds", "two minutes five seconds", "one hour ten minutes"."""
    if seconds < 10 and abs(seconds - round(seconds)) >= 0.05:
        return say_amount(round(max(seconds, 0.0), 1), "s")
    whole = max(0, round(seconds))
    if whole < 60:
        return _many(whole, "second")
    if whole < 3600:
        minutes, rest = divmod(whole, 60)
        return _many(minutes, "minute") + (f" {_many(rest, 'second')}" if rest else "")
    hours, rest = divmod(math.ceil(whole / 60), 60)
    return _many(hours, "hour") + (f" {_many(rest, 'minute')}" if rest else "")


def say_speed(rpm: float) -> str:
    """An engine speed to the nearest ten, said to be rough: "about one hundred ninety r p m"."""
    return f"about {say_whole(10 * round(rpm / 10))} r p m"


def _many(count: int, noun: str) -> str:
    return f"{say_whole(count)} {noun}" + ("" if count == 1 else "s")
