"""What was said, in the light of what is expected: a Command, or Unclear with its reason. Never an exception."""

from __future__ import annotations

from dataclasses import replace

from assistant.english import heard as texts
from assistant.english.answered import NO_TEXT
from assistant.english.asked import AFTER_WHAT_IF
from assistant.language.codes import codes_in, like_a_code, say_code
from assistant.language.commanded import Order, found_meant, gives_way, ordered, place_meant, wins
from assistant.language.commands import Control, Stakes, control_of, phrase_of
from assistant.language.guess import guess
from assistant.language.meant import facts_among, facts_of, meaning_of, name_choices, resulting, with_surroundings
from assistant.language.model import (
    TYPED,
    Acknowledge,
    Command,
    Dictate,
    Expected,
    GiveCode,
    GiveControl,
    GiveFacts,
    GiveReading,
    GiveResult,
    Heard,
    TellTest,
    Unclear,
    UnclearReason,
)
from assistant.language.named import place_named, supposed_after
from assistant.language.not_meant import cannot_mean, not_sensed, which_degrees
from assistant.language.noted import note_told
from assistant.language.obeyed import obeyed, orders_rather, say_if_meant, told_how
from assistant.language.opposites import alike, contradicted, denies, opposed, supported
from assistant.language.out_of_turn import (
    aired,
    alarm,
    besides,
    danger,
    fire_dictated,
    fuel_outside,
    implant,
    may_it,
    other_question,
    pack_left_on,
    smoke,
    told_ahead,
    wrong_fuel,
)
from assistant.language.own_words import meant_by
from assistant.language.plain import plain_words
from assistant.language.questions import I_FOUND, QUESTION_PHRASES, Ask, Question
from assistant.language.reading import as_shown, reading_inside
from assistant.language.runs_now import SAYABLE_RUNS, tells_it_runs
from assistant.language.second_opinion import TAKEN, Opinion, asked_at, opinion_of, plainly_written
from assistant.language.supposed import asks_for_a_reminder, supposed_meant, supposes
from assistant.language.taken_back import taken_back
from assistant.language.tested import which_result
from assistant.language.turned import it_turned
from assistant.language.work_told import tells_it_is_mended

MAX_KEPT_CHARACTERS = 2_000
"""Longer dictation is cut, and that is told: the record is no place for a book."""

BORNE_OUT = 0.6
"""So much of the letters of a command must stand in what was written freely. Source: judgement, after 40 commands by
the tuning voices and 7 answers that were taken for commands."""

_ASKING = frozenset(words for phrases in QUESTION_PHRASES.values() for words in phrases)


def understand(heard: Heard, expected: Expected) -> Command | Unclear:
    """The command that these words give now, or why they give none."""
    if heard.words is None:
        return _dictated(heard, expected) or _freely(heard, expected)
    words = plain_words(heard.words)
    control = control_of(words, expected.controls)
    if control in expected.controls and control is not None and not _answers_rather(words, control, expected):
        return _unsure_control(heard, control, words, expected) or GiveControl(control=control)
    if words in _ASKING and not _borne_out(heard, words):
        return _instead(heard, expected, words)
    if expected.dictation:
        return _dictated(heard, expected) or Unclear(reason=UnclearReason.NOT_HEARD)
    if heard.unsure and expected.questions and supposed_after(words, expected):
        return _say_once_more(words)
    place = place_named(words, expected)
    if place is not None:
        return _say_once_more(words) if heard.unsure else place
    meaning = _plainly_meant(words, expected)
    if isinstance(meaning, GiveControl) and meaning.control is not Control.DONE:
        return _unsure_control(heard, meaning.control, words, expected) or meaning
    if meaning is not None and orders_rather(words, meaning, expected, heard.words):
        meaning = None
    if meaning is None and expected.codes and like_a_code(words.split()):
        return Unclear(reason=UnclearReason.NOT_HEARD, words=words, detail=texts.CODE_AGAIN)
    if meaning is None:
        told = implant(words, expected) or may_it(words) or note_told(heard.words, expected)
        return told or it_turned(heard.words, expected) or _in_own_words(heard, control, expected)
    if isinstance(meaning, GiveResult) and heard.free_text is not None and heard.engine != TYPED:
        return _seconded(meaning, words, heard, expected)
    return _unsure(meaning, words, heard, expected) if heard.unsure and not isinstance(meaning, Unclear) else meaning


def _plainly_meant(words: str, expected: Expected) -> Command | Unclear | None:
    """What the words mean by lists and grammars: an answer, a danger, what is so of the car; None where by none."""
    meaning = smoke(words, expected) or wrong_fuel(words, expected) or meaning_of(words, expected)
    meaning = meaning or danger(words, expected)
    meaning = meaning or fuel_outside(words, expected) or pack_left_on(words, expected)
    meaning = meaning or with_surroundings(words, expected)
    meaning = meaning or facts_of(words, expected) or alarm(words, expected) or aired(words, expected)
    return meaning or besides(words, expected)


def _in_own_words(heard: Heard, control: Control | None, expected: Expected) -> Command | Unclear:
    """What is typed and stands in no list: what is wanted surely, else what is likeliest meant, else how to say it."""
    words = plain_words(heard.words or "")
    finishes = expected.work and control is not Control.DONE  # "ready" to an instruction
    # A command's phrase is that or none.
    order = ordered(words, expected, heard.words or "") if control is None or finishes else None
    if (apart := _apart_from_the_question(words, expected)) is not None:
        return apart
    guessed = _not_legal(words, control) if control else _guessed(words, expected)
    taken = isinstance(guessed, GiveResult)
    offered = isinstance(guessed, Unclear) and guessed.offer is not None
    peril = danger(words, expected, asked=True)  # before what is only offered or only likely
    sure = order is not None and (order.certain or (order.clear and peril is None))
    if order is not None and sure and (not taken or wins(order, words, expected)):
        wanted = obeyed(order, words, moves=not (taken or offered) or gives_way(order, words, expected))
        if wanted is not None:
            return wanted
    if isinstance(guessed, GiveResult):
        same = guessed.result == expected.waiting  # which was just taken back
        return (taken_back(words, expected) if same else None) or guessed
    if peril is None and guessed.offer is not None:
        return guessed
    told = peril or _corrected(words, expected)
    if told is None and tells_it_runs(words.split()):
        return say_if_meant(SAYABLE_RUNS[0], words)
    if told is None and order is not None and isinstance(order.given, Control):
        return say_if_meant(phrase_of(order.given), words)
    if told is None and expected.supposed and supposes(words):
        return Unclear(reason=UnclearReason.UNSURE, words=words, detail=AFTER_WHAT_IF)
    told = told or which_result(words, expected, named=False)
    return told or taken_back(words, expected) or guessed


def _apart_from_the_question(words: str, expected: Expected) -> Command | Unclear | None:
    """What the words are beside an answer or an order: a place to go to, what was found or done elsewhere, facts."""
    told: Command | Unclear | None = (
        place_meant(words, expected) or found_meant(words, expected) or which_result(words, expected, named=True)
    )
    told = told or other_question(words, expected) or facts_among(words, expected)
    if told is None and asks_for_a_reminder(words):
        return Unclear(reason=UnclearReason.UNSURE, words=words, detail=texts.NO_TIMER)
    mended = words in expected.passing or tells_it_is_mended(words)  # "the fuel is flushed" at the finding
    if told is None and mended and Control.REPAIR_DONE in expected.controls:
        return say_if_meant(phrase_of(Control.REPAIR_DONE), words)
    return told


def _answers_rather(words: str, control: Control, expected: Expected) -> bool:
    """Whether words that are only typed for a strict command are an answer to what is asked: "it is a diesel"."""
    strict = control.row.stakes is Stakes.STRICT and words in control.row.typed
    answers = meant_by(words, expected.results, expected.answers) or facts_of(words, expected) if strict else None
    return answers is not None


def asked(heard: Heard, expected: Expected) -> Ask | None:
    """The question that was asked, None where it is none or none may be asked now.

    An answer does no harm, so one that was heard near the threshold is answered too; but what is supposed must be heard
    surely, for another clause would be answered as readily.
    """
    if not expected.questions or (heard.amid and heard.words is None):
        return None
    words = plain_words(heard.words or "")
    if heard.words is not None:
        for question, phrases in QUESTION_PHRASES.items():
            if words in phrases and _borne_out(heard, words):
                return Ask(question=question)
        supposed = supposed_after(words, expected)
        if supposed and not heard.unsure:
            return Ask(question=Question.IF, supposed=supposed[0])
    typed = heard.words is not None and heard.engine == TYPED
    if not typed:  # noise is written as a word at times
        doubted = heard.words is None or heard.unsure or words in _ASKING
        written = plain_words(heard.free_text or "") if doubted else ""
        words = written if " " in written else ""
    text = (heard.words if typed else heard.free_text) or ""
    if (key := supposed_meant(words, expected)) is not None:
        return Ask(question=Question.IF, supposed=key)
    if control_of(words) is not None or danger(words, expected, asked=True):
        return None
    meaning = _plainly_meant(words, expected)
    if meaning is not None and not orders_rather(words, meaning, expected, text):
        return None  # what passes a caution, a reading and a danger are no questions, however like one
    order = ordered(words, expected, text)
    if order is None or not isinstance(order.given, Question) or not wins(order, words, expected):
        return None
    enough = order.clear if typed else order.heeded
    about = words if order.given in (Question.WHY, Question.RECORD) else ""
    return Ask(question=order.given, about=about) if enough else None


def _dictated(heard: Heard, expected: Expected) -> Dictate | TellTest | None:
    text = " ".join((heard.free_text or heard.words or "").split())
    if expected.dictation and (fire := fire_dictated(plain_words(text))) is not None:
        return fire
    if not (expected.dictation and text) or plain_words(text) in NO_TEXT:
        return None
    return Dictate(words=text[:MAX_KEPT_CHARACTERS], cut=len(text) > MAX_KEPT_CHARACTERS)


def _guessed(words: str, expected: Expected) -> GiveResult | Unclear:
    """The result that the words mean most likely: taken where it is far ahead, offered for a yes where it is ahead."""
    if (alone := which_degrees(words, expected)) is not None:
        return alone
    found = guess(words, expected)
    nothing = not_sensed(words, expected)
    if found is not None and nothing is not None and not (found.sure and found.untold):
        return _did_you_mean(expected.results[nothing][0], words)
    if found is None or not found.clear or cannot_mean(words, found.result, expected):
        return Unclear(reason=UnclearReason.NOT_HEARD, words=words or None)
    phrase = expected.results[found.result][0]
    if found.sure:
        return GiveResult(result=found.result, words=phrase, guessed=True)
    return _did_you_mean(phrase, words)


def _corrected(words: str, expected: Expected) -> Unclear | None:
    """The other answer after the no to one that was read back, "no, nearly empty": offered, for it may deny it."""
    rest = words.removeprefix("no ")
    meaning = meaning_of(rest, expected) if rest != words and Control.NO in expected.controls else None
    return _did_you_mean(expected.results[meaning.result][0], words) if isinstance(meaning, GiveResult) else None


def _freely(heard: Heard, expected: Expected, found: Opinion | None = None) -> Command | Unclear:
    """What words that were written without a grammar mean: a danger counts, a reading among them is offered, the
    likeliest result taken or offered. Where a step can hurt someone it counts only after a yes. `found`: the opinion of
    them, where it is known."""
    words = plain_words(heard.free_text or "")
    told: Command | Unclear | None = danger(words, expected, asked=True) or fuel_outside(words, expected)
    told = told or pack_left_on(words, expected)
    told = told or alarm(words, expected) or aired(words, expected) or implant(words, expected)
    told = told or besides(words, expected) or it_turned(heard.free_text or "", expected)
    told = told or (told_ahead(words, expected) if heard.whole else None)
    if told is not None:
        return told
    if heard.whole and (note := note_told(heard.free_text or "", expected)) is not None:
        return note
    order = ordered(words, expected, heard.free_text or "") if " " in words and not heard.amid else None
    if not heard.amid and (apart := _beside_the_question(words, order, expected)) is not None:
        return apart
    if (reading := _read_freely(words, expected)) is not None:
        return reading
    if expected.codes and like_a_code(words.split()):
        codes = () if denies(words) else codes_in(words.split())
        spoken = say_code(codes[0]) if codes else None
        detail = texts.did_you_say(spoken) if spoken else texts.CODE_AGAIN
        return Unclear(reason=UnclearReason.UNSURE, words=words, offer=spoken, detail=detail)
    if words and found is None:
        found = opinion_of(plainly_written(heard), expected, resulting(expected))
    if order is not None and order.heeded and (found is None or not found.taken or wins(order, words, expected)):
        wanted = told_how(order, words)
        if wanted is not None:
            return wanted
    if not words or found is None or found.sure < asked_at(heard) or cannot_mean(words, found.result, expected):
        return Unclear(reason=UnclearReason.NOT_HEARD, words=words or None)
    phrase = expected.results[found.result][0]
    against = heard.words is not None and not heard.unsure  # the grammar heard something else, and was sure
    taken = found.taken and heard.whole and (not against or (expected.read_back and found.sure >= TAKEN))
    if taken and (expected.read_back or not expected.hazardous):
        return GiveResult(result=found.result, words=phrase, guessed=True)
    return _did_you_mean(phrase, words)


def _beside_the_question(words: str, order: Order | None, expected: Expected) -> Command | Unclear | None:
    """What is wanted by rule, a place to go to, what was found and a test that was done."""
    if order is not None and order.by_rule and (wanted := told_how(order, words)) is not None:
        return wanted
    if (place := place_meant(words, expected)) is not None:
        return say_if_meant(f"{phrase_of(Control.TAKE_TO)} the {place.name}", words)
    if (told := found_meant(words, expected)) is not None:
        return say_if_meant(f"{I_FOUND} {told.words}", words)
    return which_result(words, expected, named=True)


def _read_freely(words: str, expected: Expected) -> Unclear | None:
    """A reading among these words, which is offered, or what is to be said of it."""
    if expected.quantity is None or expected.unit is None:
        return None
    reading = reading_inside(words, expected.quantity, expected.unit)
    if not isinstance(reading, GiveReading):
        return reading
    offer = as_shown(reading.spoken)
    return Unclear(reason=UnclearReason.UNSURE, words=words, offer=offer, detail=texts.did_you_say(offer))


def _did_you_mean(phrase: str, words: str) -> Unclear:
    return Unclear(reason=UnclearReason.UNSURE, words=words, offer=phrase, detail=texts.did_you_mean(phrase))


def _not_legal(words: str, control: Control) -> Unclear:
    return Unclear(reason=UnclearReason.NOT_LEGAL, words=words, detail=texts.nothing_to_say_it_to(control.value))


def _unsure_control(heard: Heard, control: Control, words: str, expected: Expected) -> Command | Unclear | None:
    """What becomes of a command that was half heard, or that free writing of the same sound does not bear out, where it
    is no stop; None where it is obeyed."""
    borne = _borne_out(heard, words)
    if control.row.cuts_speech or (borne and (control.row.obeyed_unsure or not heard.unsure)):
        return None
    return _say_once_more(words) if borne else _instead(heard, expected, words)


def _borne_out(heard: Heard, words: str) -> bool:
    """Whether free writing of the same sound, where there is any, agrees with a command or a question."""
    return heard.engine == TYPED or not heard.free_text or alike(words, plain_words(heard.free_text)) >= BORNE_OUT


def _instead(heard: Heard, expected: Expected, words: str) -> Command | Unclear:
    """What was said in place of these words, which were not: an answer, or it is to be said once more."""
    found = _freely(replace(heard, words=None), expected)
    if heard.amid:
        return found
    return _say_once_more(words) if isinstance(found, Unclear) and found.offer is None else found


def _seconded(meaning: GiveResult, words: str, heard: Heard, expected: Expected) -> Command | Unclear:
    """The result, held against what was written freely of the same sound: taken, offered or left open; or another.
    Where nothing could be written it is left open: of 2,000 things said 4 were heard as a result so, all wrongly.

    Where a step can hurt someone this makes nothing surer than it was heard, unless it waits for its yes; nowhere what
    was cut, for both were heard in the same rest.
    """
    # The weights were fitted where it is known what people answer; elsewhere the grammar's own trust stands.
    weighed = any(expected.examples.values())
    found = opinion_of(plainly_written(heard), expected, resulting(expected)) if weighed else None
    if found is None:
        return _unsure(meaning, words, heard, expected) if heard.unsure else meaning
    if found.result != meaning.result or not heard.free_text:
        return _freely(heard, expected, found)
    if found.taken and heard.whole and (expected.read_back or not (heard.unsure and expected.hazardous)):
        return meaning
    if found.sure >= asked_at(heard):
        return _unsure(meaning, words, heard, expected)
    return Unclear(reason=UnclearReason.NOT_HEARD, words=words)


def _unsure(meaning: Command, words: str, heard: Heard, expected: Expected) -> Unclear:
    """A result or reading is offered for a yes, unless it may be the opposite of what was said or free writing does not
    bear it out; an acknowledgement, and what nobody asked for, must be said again."""
    if isinstance(meaning, Acknowledge | GiveControl | TellTest | GiveFacts):
        return _say_once_more(words)
    if isinstance(meaning, GiveResult):
        rivals = [rival for rival in map(plain_words, heard.rivals) if _is_opposite(rival, meaning, expected)]
        if rivals or contradicted(heard) or (heard.free_text and not supported(words, heard.free_text)):
            return name_choices(words, rivals)
    offer = say_code(meaning.code) if isinstance(meaning, GiveCode) else words
    return Unclear(reason=UnclearReason.UNSURE, words=words, offer=offer, detail=texts.did_you_say(offer))


def _is_opposite(rival: str, meaning: GiveResult, expected: Expected) -> bool:
    other = meaning_of(rival, expected)
    return isinstance(other, GiveResult) and other.result != meaning.result and opposed(meaning.words, rival)


def _say_once_more(words: str) -> Unclear:
    return Unclear(reason=UnclearReason.UNSURE, words=words, detail=texts.say_once_more(words))


def meaning_of_offer(offer: str, expected: Expected) -> Command | None:
    """What an offered phrase means once it gets its yes, or None where it is no longer asked."""
    meaning = meaning_of(plain_words(offer), expected)
    return None if isinstance(meaning, Unclear) else meaning
