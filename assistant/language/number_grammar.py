"""The grammar of spoken numbers, as narrow as what can be meant: a meter's range, digits after the point, the sign.

Each sentence of it is understood by `parse_number`. A true sub-grammar: a few dozen words and references, never a list
of numbers. What a meter cannot show is not in it, so it cannot be heard by mistake.
"""

from __future__ import annotations

from dataclasses import dataclass

from assistant.grammar.model import Alternatives, Expansion, Reference, Repeat, Sequence, Word, phrase
from assistant.language.numbers import MINUS_WORDS, ONES, POINT_WORDS, TEENS, TENS


@dataclass(frozen=True, slots=True, kw_only=True)
class Span:
    """Which numbers may be said: wholes to `most` (1 to 99,999), `decimals` digits after the point of those to
    `most_with_decimals`, and less than nought if `signed`."""

    most: int
    most_with_decimals: int
    decimals: int
    signed: bool


ANY = Span(most=99_999, most_with_decimals=99_999, decimals=3, signed=True)
"""Where nothing is known of what is measured."""


def number_rules(span: Span = ANY, name: str = "number") -> dict[str, Expansion]:
    """Rules of the numbers of that span; the one to refer to is `name`, the others are the same for every span."""
    whole = Alternatives(tuple(_wholes(span.most)))
    exact = Alternatives(tuple(_wholes(min(span.most, span.most_with_decimals))))
    digits: list[Expansion] = [Repeat(Reference("digit"), 1, span.decimals)]
    digits += [Reference("pair")] if span.decimals > 1 else []
    decimals = Sequence((_words(POINT_WORDS), Alternatives(tuple(digits))))
    part = Alternatives((phrase("a half"), phrase("a quarter"), phrase("three quarters")))
    unsigned = Alternatives(
        (whole, Sequence((exact, decimals)), decimals, Sequence((exact, Word("and"), part)), part),
    )
    sign = (_optional(_words(MINUS_WORDS)),) if span.signed else ()
    return _shared() | {name: Sequence((*sign, unsigned))}


def _shared() -> dict[str, Expansion]:
    few = Alternatives((Reference("nonzero"), Reference("pair")))
    return {
        "nonzero": _digits(range(1, 10)),
        "digit": _digits(range(10)),
        "pair": _pairs_to(99),
        "hundreds": Sequence(
            (
                Alternatives((Word("a"), Reference("nonzero"))),
                Word("hundred"),
                _optional(Sequence((_optional(Word("and")), few))),
            )
        ),
    }


def _wholes(most: int) -> list[Expansion]:
    """Every way to say nought to `most`: as a cardinal, digit by digit, "one fifty five", "fifteen hundred"."""
    if most < 10:
        return [_digits(range(most + 1), oh=False)]
    found: list[Expansion] = [Word("zero"), _counted_to(most), *_spelt_to(str(most))]
    if most >= 110:
        hundreds, few = divmod(min(most, 999), 100)
        found.append(Sequence((_digits(range(1, hundreds + (few == 99))), Reference("pair"))))
        found += [Sequence((_digits(range(hundreds, hundreds + 1)), _pairs_to(few)))] if 10 <= few < 99 else []
    if most >= 1_000:
        found.append(Sequence((_pairs_to(min(99, most // 100)), Word("hundred"))))
    return found


def _counted_to(most: int) -> Expansion:
    """One to `most` as cardinals."""
    if most < 10:
        return _digits(range(1, most + 1))
    found: list[Expansion] = [Reference("nonzero"), _pairs_to(min(most, 99))]
    if most >= 999:
        found.append(Reference("hundreds"))
    elif most >= 100:
        found += _times(most, 100, "hundred")
    if most >= 1_000:
        found += _times(most, 1_000, "thousand")
    return Alternatives(tuple(found))


def _times(most: int, size: int, name: str) -> list[Expansion]:
    """From one to `most`, in hundreds or thousands: "a hundred and five", "two thousand four hundred"."""
    many, few = divmod(most, size)
    found: list[Expansion] = []
    if many > 1:
        fewer = Alternatives((Word("a"), _counted_to(many - 1)))
        found.append(Sequence((fewer, Word(name), _optional(_behind(size - 1)))))
    last = (Word("a"), _counted(many)) if many == 1 else (_counted(many),)
    rest = (_optional(_behind(few)),) if few else ()
    return [*found, Sequence((Alternatives(last), Word(name), *rest))]


def _behind(most: int) -> Expansion:
    """What is said behind hundreds or thousands, one to `most`; "and" stands before what is less than a hundred."""
    joined = Sequence((Word("and"), _counted_to(min(most, 99))))
    return Alternatives((_counted_to(most), joined))


def _counted(value: int) -> Expansion:
    """One to ninety nine, that number alone."""
    if value < 10:
        return _digits(range(value, value + 1))
    if value < 20:
        return Word(TEENS[value - 10])
    tens, ones = divmod(value, 10)
    return Sequence((Word(TENS[tens - 2]), *((_digits(range(ones, ones + 1)),) if ones else ())))


def _pairs_to(most: int) -> Expansion:
    """Ten to `most`, at most ninety nine."""
    tens, ones = divmod(most, 10)
    found: list[Expansion] = [_words(TEENS[: most - 9])]
    whole_tens = TENS[: tens - 2 + (ones == 9)] if tens > 1 else ()
    if whole_tens:
        found.append(Sequence((_words(whole_tens), _optional(_digits(range(1, 10))))))
    if tens > 1 and ones < 9:
        last = (_optional(_digits(range(1, ones + 1))),) if ones else ()
        found.append(Sequence((Word(TENS[tens - 2]), *last)))
    return Alternatives(tuple(found))


def _spelt_to(most: str) -> list[Expansion]:
    """Digit by digit, two digits at least, none of them a nought before the others."""
    shorter = len(most) - 1
    found: list[Expansion] = []
    if shorter > 1:
        found.append(Sequence((Reference("nonzero"), Repeat(Reference("digit"), 1, shorter - 1))))
    return [*found, _not_above(most, least=1)]


def _not_above(most: str, least: int = 0) -> Expansion:
    first, rest = int(most[0]), most[1:]
    if not rest:
        return _digits(range(least, first + 1))
    found: list[Expansion] = [Sequence((_digits(range(first, first + 1)), _not_above(rest)))]
    if first > least:
        free = Repeat(Reference("digit"), len(rest), len(rest))
        found.append(Sequence((_digits(range(least, first)), free)))
    return Alternatives(tuple(found))


def _digits(values: range, *, oh: bool = True) -> Alternatives:
    """Any of those digits, by each of its names."""
    names = [ONES[value] for value in values]
    names += ["oh"] if oh and 0 in values else []
    names += ["niner"] if 9 in values else []
    return _words(names)


def _words(names: tuple[str, ...] | list[str]) -> Alternatives:
    return Alternatives(tuple(Word(name) for name in names))


def _optional(part: Expansion) -> Repeat:
    return Repeat(part, 0, 1)
