"""Spoken numbers: words to value, and value to words. Their grammar is in `number_grammar`.

Cardinals ("one hundred fifty five", "a hundred fifty five", "one fifty five", "fifteen hundred"), digit by digit
("one two point four"), decimals after "point" or "decimal", halves and quarters, "minus" and "negative".
Source: digits one by one, "niner" and "decimal" follow ICAO radiotelephony (tests/outside); the rest is plain English.
"""

from __future__ import annotations

from collections.abc import Sequence as Tokens
from decimal import Decimal

ONES = ("zero", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine")
TEENS = (
    "ten",
    "eleven",
    "twelve",
    "thirteen",
    "fourteen",
    "fifteen",
    "sixteen",
    "seventeen",
    "eighteen",
    "nineteen",
)
TENS = ("twenty", "thirty", "forty", "fifty", "sixty", "seventy", "eighty", "ninety")
POINT_WORDS = ("point", "decimal")
MINUS_WORDS = ("minus", "negative")
LARGEST = 999_999_999
"""No meter of the trade shows more; larger numbers are not said."""

_DIGITS = {word: value for value, word in enumerate(ONES)} | {
    "oh": 0,
    "niner": 9,
    # Radiotelephony pronunciations, understood when typed; a recogniser hears them as the plain digit.
    "tree": 3,
    "fower": 4,
    "fife": 5,
    "ait": 8,
}
_TEENS = {word: value for value, word in enumerate(TEENS, start=10)}
_TENS = {word: 10 * value for value, word in enumerate(TENS, start=2)}
_PARTS: dict[tuple[str, ...], Decimal] = {
    ("a", "half"): Decimal("0.5"),
    ("one", "half"): Decimal("0.5"),
    ("a", "quarter"): Decimal("0.25"),
    ("one", "quarter"): Decimal("0.25"),
    ("three", "quarters"): Decimal("0.75"),
}


def parse_number(tokens: Tokens[str]) -> Decimal | None:
    """The value of a whole spoken number (lower-case words), or None when the words are not one number."""
    words = tuple(tokens)
    if words and words[0] in MINUS_WORDS:
        value = _unsigned(words[1:])
        return None if value is None else -value
    return _unsigned(words)


def _unsigned(words: tuple[str, ...]) -> Decimal | None:
    if words in _PARTS or words == ("half",):
        return _PARTS.get(words, Decimal("0.5"))
    if words[-2:] in _PARTS and words[-3:-2] == ("and",):
        whole = _whole(words[:-3])
        return None if whole is None else whole + _PARTS[words[-2:]]
    points = [place for place, word in enumerate(words) if word in POINT_WORDS]
    if not points:
        whole = _whole(words)
        return None if whole is None else Decimal(whole)
    if len(points) > 1:
        return None
    before, after = words[: points[0]], words[points[0] + 1 :]
    whole = _whole(before) if before else 0
    digits = _decimals(after)
    return None if whole is None or digits is None else Decimal(f"{whole}.{digits}")


def _whole(words: tuple[str, ...]) -> int | None:
    if len(words) > 1 and all(word in _DIGITS for word in words):
        value = int("".join(str(_DIGITS[word]) for word in words))
        return value if value <= LARGEST else None
    if "million" in words:
        place = words.index("million")
        many, few = _below_thousand(words[:place]), _whole(words[place + 1 :]) if words[place + 1 :] else 0
        return None if not many or few is None or few >= 1_000_000 else 1_000_000 * many + few
    if "thousand" in words:
        place = words.index("thousand")
        head, rest = words[:place], words[place + 1 :]
        many = 1 if head == ("a",) else _below_thousand(head)
        few = _below_thousand(rest[1:] if rest[:1] == ("and",) else rest) if rest else 0
        return None if many is None or many == 0 or few is None else 1000 * many + few
    return _below_thousand(words, hundreds_to=99)


def _below_thousand(words: tuple[str, ...], hundreds_to: int = 9) -> int | None:
    if "hundred" in words:
        place = words.index("hundred")
        head, rest = words[:place], words[place + 1 :]
        many = 1 if head == ("a",) else _below_hundred(head)
        few = _below_hundred(rest[1:] if rest[:1] == ("and",) else rest) if rest else 0
        if many is None or not 1 <= many <= hundreds_to or few is None:
            return None
        return 100 * many + few
    small = _below_hundred(words)
    if small is not None:
        return small
    # "one fifty five": a digit, then a two-digit number.
    few = _below_hundred(words[1:])
    if len(words) > 1 and _DIGITS.get(words[0], 0) > 0 and few is not None and few >= 10:
        return 100 * _DIGITS[words[0]] + few
    return None


def _below_hundred(words: tuple[str, ...]) -> int | None:
    if len(words) == 1:
        for table in (_DIGITS, _TEENS, _TENS):
            if words[0] in table:
                return table[words[0]]
    if len(words) == 2 and words[0] in _TENS and _DIGITS.get(words[1], 0) > 0:
        return _TENS[words[0]] + _DIGITS[words[1]]
    return None


def _decimals(words: tuple[str, ...]) -> str | None:
    if words and all(word in _DIGITS for word in words):
        return "".join(str(_DIGITS[word]) for word in words)
    pair = _below_hundred(words)
    return str(pair) if pair is not None and pair >= 10 else None


def say_whole(value: int) -> str:
    """A whole number, 0 to LARGEST, as a cardinal without "and": 155 is "one hundred fifty five"."""
    if not 0 <= value <= LARGEST:
        raise ValueError(f"{value} is not between 0 and {LARGEST}")
    for size, name in ((1_000_000, "million"), (1000, "thousand")):
        if value >= size:
            rest = value % size
            return f"{say_whole(value // size)} {name}" + (f" {say_whole(rest)}" if rest else "")
    if value >= 100:
        rest = value % 100
        return f"{ONES[value // 100]} hundred" + (f" {say_whole(rest)}" if rest else "")
    if value >= 20:
        return TENS[value // 10 - 2] + (f" {ONES[value % 10]}" if value % 10 else "")
    return TEENS[value - 10] if value >= 10 else ONES[value]


def say_digits(digits: str) -> str:
    """Digits one by one: "335" is "three three five"."""
    return " ".join(ONES[int(digit)] for digit in digits)


def say_number(value: float | Decimal) -> str:
    """A number as we speak it: 12.4 is "twelve point four", -0.5 is "minus zero point five"; zeros at the end go."""
    whole, digits, negative = _split(value)
    spoken = say_whole(whole) + (f" point {say_digits(digits)}" if digits else "")
    return f"{MINUS_WORDS[0]} {spoken}" if negative else spoken


def ways_to_say(value: float | Decimal) -> tuple[str, ...]:
    """Every form of this value that the number grammar lets through, the one that we speak first."""
    whole, digits, negative = _split(value)
    wholes = _ways_to_say_whole(whole)
    forms = list(wholes)
    if digits:
        tails = [say_digits(digits)]
        tails += [say_digits(digits).replace("zero", "oh")] if "0" in digits else []
        tails += [say_whole(int(digits))] if len(digits) == 2 else []  # "oh five" is no "five", see below
        forms = [f"{front} {point} {tail}" for front in wholes for point in POINT_WORDS for tail in tails]
        forms += [f"{point} {tail}" for point in POINT_WORDS for tail in tails if whole == 0]
        part = {"5": "a half", "25": "a quarter", "75": "three quarters"}.get(digits)
        if part:
            forms += [part] if whole == 0 else [f"{front} and {part}" for front in wholes]
    forms += [form.replace("nine", "niner") for form in forms if "nine" in form.split()]
    forms = [form for form in forms if parse_number(form.split()) == abs(Decimal(str(value)))]
    unique = tuple(dict.fromkeys(forms))
    return tuple(f"{minus} {form}" for form in unique for minus in MINUS_WORDS) if negative else unique


def _ways_to_say_whole(whole: int) -> list[str]:
    cardinal = say_whole(whole)
    ways = [cardinal]
    if whole >= 10:
        ways.append(say_digits(str(whole)))
    if cardinal.startswith(("one hundred", "one thousand")):
        ways.append("a" + cardinal.removeprefix("one"))
    if len(str(whole)) == 3 and whole % 100 >= 10:
        ways.append(f"{ONES[whole // 100]} {say_whole(whole % 100)}")
    if len(str(whole)) == 4 and whole % 100 == 0 and whole % 1000:
        ways.append(f"{say_whole(whole // 100)} hundred")
    if whole > 100 and whole % 100:
        ways += [way.replace("hundred ", "hundred and ", 1) for way in ways if "hundred " in way]
    return ways


def _split(value: float | Decimal) -> tuple[int, str, bool]:
    exact = Decimal(str(value))
    whole, _, digits = f"{abs(exact):f}".partition(".")
    digits = digits.rstrip("0")
    return int(whole), digits, exact < 0
