"""Which tests try a wrong, and in which order: quick and near ones first, as many as there is patience for."""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence

QUICK_S = 0.5
"""Tests up to here are tried before all others."""


def in_turn(took_s: Mapping[str, float], ran: set[str], stem: str, file: Collection[str] = ()) -> list[str]:
    """The tests that ran the line, the quick ones of the file's own tests first; all where it is only imported, of
    which those that ran something of the `file` are likelier to read it than others."""
    names = [each for each in took_s if not ran or each in ran]

    def place(test: str) -> tuple[bool, bool, bool, float]:
        return took_s[test] > QUICK_S, not _is_own(test, stem), test not in file, took_s[test]

    return sorted(names, key=place)


def is_near(test: str, took_s: Mapping[str, float], stem: str) -> bool:
    """Whether it is a quick one of the file's own."""
    return _is_own(test, stem) and took_s[test] <= QUICK_S


def within(patience_s: float, took_s: Mapping[str, float], tests: Sequence[str]) -> list[str]:
    """The first of the tests that together took at most so long; one too long for what is left is passed over."""
    chosen: list[str] = []
    for test in tests:
        if took_s[test] <= patience_s:
            patience_s -= took_s[test]
            chosen.append(test)
    return chosen


def _is_own(test: str, stem: str) -> bool:
    return f"test_{stem}.py" in test
