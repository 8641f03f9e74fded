"""What words mean among the things asked now: a result, a reading, a code, facts of the car; commands aside."""

from __future__ import annotations

import re
from collections.abc import Callable, Sequence
from dataclasses import replace
from decimal import Decimal

from assistant.english import heard as texts
from assistant.language.codes import END_PHRASES, codes_in
from assistant.language.commands import Control, control_of
from assistant.language.dangers import spelled_out
from assistant.language.model import (
    Acknowledge,
    Command,
    Expected,
    GiveCode,
    GiveControl,
    GiveFacts,
    GiveReading,
    GiveResult,
    Unclear,
    UnclearReason,
)
from assistant.language.numbers import say_number
from assistant.language.opposites import denies
from assistant.language.out_of_turn import told_test
from assistant.language.own_words import corrected, meant_by, without_surroundings
from assistant.language.perils import CLEAR, tells_all_are_clear
from assistant.language.plain import plain_words
from assistant.language.questions import I_FOUND
from assistant.language.reading import parse_reading, reading_inside
from assistant.language.several import least_told, partly, several


def meaning_of(words: str, expected: Expected) -> Command | Unclear | None:
    """What the words mean among the things asked now, commands aside."""
    result = meant_by(words, expected.results, expected.answers) or _exampled(words, expected)
    if result is None and (spelled := _figures_spelled(words)) != words:
        result = meant_by(spelled, expected.results, expected.answers)
    if result is not None:
        return GiveResult(result=result, words=_told_as(words, expected.results[result]))
    if expected.acknowledge and {words, " ".join(spelled_out(words.split()))} & {
        *expected.acknowledge
    }:  # "brake's set"
        return Acknowledge(words=words)
    if CLEAR[0] in expected.acknowledge and tells_all_are_clear(words.split()):
        return Acknowledge(words=CLEAR[0])
    if expected.questions and words.startswith(f"{I_FOUND} "):
        told = told_test(words.removeprefix(f"{I_FOUND} "), expected)
        if told is not None:
            return told
    if words in expected.done or (expected.codes and words in END_PHRASES):
        return GiveControl(control=Control.DONE)
    if expected.codes:
        codes = () if denies(words) else codes_in(words.split())
        return GiveCode(code=codes[0], words=words, more=codes[1:]) if codes else None
    if expected.quantity is not None and expected.unit is not None:
        return parse_reading(words, expected.quantity, expected.unit)
    return None


_FIGURE = re.compile(r"(?<![\w.])\d{1,3}(?:\.\d{1,2})?(?![\w.])")


def _figures_spelled(words: str) -> str:
    """With figures in words, as the answers to a question have them: "10.6" is "ten point six"."""
    return _FIGURE.sub(lambda figure: say_number(Decimal(figure.group())), words)


def with_surroundings(words: str, expected: Expected) -> Command | Unclear | None:
    """What the words mean without hesitations and politeness; of a reading that was corrected, the last.

    What was said around it must be known: "yes, I called him" is no yes.
    """
    said = words.split()
    for part in without_surroundings(said, opinion=False):
        control = control_of(" ".join(part))
        if control is not None and control in expected.controls:
            return GiveControl(control=control)
        meaning = meaning_of(" ".join(part), expected)
        if meaning is not None:
            return meaning
    if expected.quantity is None and not expected.results:
        return None
    whole = answer_of(said, expected)
    if whole is not None:
        return whole
    other = _other_thing(said, expected)
    if other is not None:
        return other
    for first, then in corrected(said):
        last = answer_of(then, expected)
        if isinstance(last, GiveReading | GiveResult) and answer_of(first, expected) is not None:
            return replace(last, guessed=True)  # "tight and clean, no corrosion" corrects nothing
    return None


def answer_of(said: list[str], expected: Expected) -> GiveReading | GiveResult | Unclear | None:
    """The answer that these words are, with what shows that they are one ("looks like") taken off."""
    for part in (said, *without_surroundings(said, opinion=True)):
        meaning = meaning_of(" ".join(part), expected)
        if isinstance(meaning, GiveReading | GiveResult):
            return meaning
    if expected.quantity is not None and expected.unit is not None:
        return reading_inside(" ".join(said), expected.quantity, expected.unit)
    return None


def facts_of(words: str, expected: Expected) -> GiveFacts | GiveResult | None:
    """Facts of the car told together; the one that is asked, told alone, is its answer."""
    asked = expected.several
    told = several(words.split(), asked, least_told(expected.results, asked)) if asked else ()
    if len(told) == 1 and expected.results == next(each.results for each in asked if each.fact == told[0].fact):
        return GiveResult(result=told[0].value, words=told[0].words)
    return GiveFacts(facts=told) if told else None


def facts_among(words: str, expected: Expected) -> GiveFacts | None:
    """Facts of the car told together among words that are not understood."""
    told = partly(words.split(), expected.several) if expected.several else ()
    return GiveFacts(facts=told, partly=True) if told else None


def _exampled(words: str, expected: Expected) -> str | None:
    """The result for which people have said just that."""
    return next((result for result, said in expected.examples.items() if words in said), None)


def _told_as(words: str, phrases: tuple[str, ...]) -> str:
    """A result by the words that are read back: a phrase of it as it was said, else the one that we speak of."""
    return words if words in phrases else phrases[0]


def _other_thing(said: list[str], expected: Expected) -> GiveResult | Unclear | None:
    """Of two bare phrases with a "not" between the first ("petrol not diesel"). With a "no" it is asked which: without
    its pauses "diesel, no, petrol" is "diesel, no petrol", and the fuel decides whether starting fluid is sprayed.
    Where more is said, a "no" denies what follows: "electronic mate, no cable"."""
    for between in ("no", "not"):
        if between in said[1:-1]:
            at = said.index(between, 1)
            first, last = (_phrase_of(" ".join(part), expected) for part in (said[:at], said[at + 1 :]))
            if first is not None and last is not None and first.result != last.result:
                return replace(first, guessed=True) if between == "not" else name_choices(first.words, [last.words])
    return None


def _phrase_of(words: str, expected: Expected) -> GiveResult | None:
    """The result of which these words are a phrase."""
    found = (result for result, phrases in expected.results.items() if words in phrases)
    result = next(found, None)
    return None if result is None else GiveResult(result=result, words=words)


def name_choices(words: str, rivals: Sequence[str]) -> Unclear:
    """Never one of two opposites alone: who nods it through would log what was not said."""
    asked = texts.say_which(words, rivals[0]) if rivals else texts.NOT_SURE
    return Unclear(reason=UnclearReason.UNSURE, words=words, detail=asked)


def resulting(expected: Expected) -> Callable[[str], str | None]:
    """What tells the result that words of the grammar give."""

    def result_of(words: str) -> str | None:
        plain = plain_words(words)
        meaning = meaning_of(plain, expected) or with_surroundings(plain, expected)
        return meaning.result if isinstance(meaning, GiveResult) else None

    return result_of
