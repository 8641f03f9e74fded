"""How people answer in their own words: the answers of a step, and what they put around an answer.

Hesitations before, politeness after, "looks like" and corrections. Plain English, our own choice; no source.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping, Sequence
from functools import cache, lru_cache

from assistant.grammar.automaton import Automaton, automaton_of
from assistant.grammar.jsgf import read_expansion
from assistant.grammar.model import Alternatives, Expansion, Grammar, Tagged, phrase
from assistant.language.dialect import in_common_words
from assistant.language.numbers import ONES
from assistant.procedure.answers import answers_of, rules_for

_LEADS = """
    uh | um | er | ah | oh | hang on | okay | ok | alright | all right | right | well | so | hey | hm | hmm | let's see
    | let me see | now | like | yeah | yep | well now | okay so | right so | [oh] aye | och | ach
    | jeez | honestly | to be honest | [i] [already | just] told you [already]
    | [like | as] i [just] said [already]"""
_OPINIONS = """
    [it] looks [to me] (like | as if) | [it] seems [to me] [like] | [it] sounds like | [it's] looking like
    | i think | i'd say | i would say | i guess | i reckon | i believe | i see | i got | i've got | i have | i get
    | we got | we've got | we have | got | pretty sure | i'm pretty sure | i'm getting | i'm seeing | there's | there is
    | it's | it is | that's | that is | they're | they are | she's | i can see | i can hear | i hear | all i get is
    | neither [one | of (them | those | these | the two | both)] (it's | it is | that's | she's)
    | none of (them | those | these) (it's | it is | that's | she's)
    | what i got is | i'd call it | i'd call that | call it | put down | just | must be | he's | he is | she is
    | this is | these are | those are | [they] look | [they] seem | appears [to be] | probably | if you ask me"""
_TRAILS = """
    please | thanks | thank you | boss | mate | man | sir | buddy | chief | now | here | there | i think | i guess
    | i'd say | i reckon | right now | at the moment | for sure | though | by the looks [of it] | as far as i can (see
    | tell) | on this one | on this car | on this thing | alright | okay | then | again | actually | really
    | all right | only | pal | bro | lad | lah | dude | my friend
    | at least | [and] nothing else | that's (all | it | about it) | as far as i know
    | [like | as] i [just] said | [i] [already | just] told you"""
_CORRECTIONS = """
    no | no wait | wait | wait no | sorry | no sorry | [no] i mean | correction | make that | scratch that | rather
    | no make that | sorry make that | i meant | hang on | no hang on"""


HESITATIONS = ("uh", "um", "er", "okay", "well", "so")
POLITENESS = ("please", "thanks", "thank you", "mate", "boss")
"""What is listened for before and after an answer or a command; of what was written all of the above is understood."""


@cache
def leads() -> Expansion:
    """What people say before anything: hesitations, and words that only show they have heard."""
    return read_expansion(_LEADS, "leads")


@cache
def opinions() -> Expansion:
    """What people put before an answer: "looks like", "I'd say", "it's"."""
    return read_expansion(_OPINIONS, "opinions")


@cache
def trails() -> Expansion:
    """What people say after anything: politeness and the like."""
    return read_expansion(_TRAILS, "trails")


@cache
def corrections() -> Expansion:
    """What stands between a slip and what is meant."""
    return read_expansion(_CORRECTIONS, "corrections")


def meant_by(words: str, results: Mapping[str, tuple[str, ...]], answers: Mapping[str, str]) -> str | None:
    """The id of the result that these plain words give, without what stands around them; None where they give none."""
    return _meant_by(words, tuple(results.items()), tuple(answers.items()))


@lru_cache(maxsize=4096)
def _meant_by(
    words: str, results: tuple[tuple[str, tuple[str, ...]], ...], answers: tuple[tuple[str, str], ...]
) -> str | None:
    """Kept, since every turn asks anew whether a yes or a no is an answer here."""
    automaton = _answers_automaton(results, answers)
    for said in _written_out(words.split()):
        for part in (said, *without_surroundings(said, opinion=True)):
            tags = automaton.tags(part)
            if tags:
                return tags[0]
    return None


_SHORTENED = re.compile(r"(?!it's|that's|there's|he's|she's|what's|let's)([a-z]+)'s")


_DIGIT = re.compile(r"(?<![\w.,])([a-z]?)(\d)([a-z]*)(?![\w.,])")
"""A digit alone, after a letter or before a word: "6", "v6", "4cylinder"; parts of a decimal are none."""


_LETTERS = re.compile(r"\b(?:lpg|cng)\b")
"""Abbreviations of the trade that are spoken letter by letter."""


def _written_out(said: list[str]) -> Iterator[list[str]]:
    """The words as they are, in common words, with "the button's up" as "the button is up", "has" or neither, "v6" as
    "v six"."""
    spelt = _DIGIT.sub(lambda found: f"{found[1]} {ONES[int(found[2])]} {found[3]}", " ".join(said)).split()
    spelt = _LETTERS.sub(lambda found: " ".join(found[0]), " ".join(spelt)).split()
    yield from (said,) if spelt == said else (said, spelt)
    common = in_common_words(" ".join(spelt)).split()
    if common != spelt:
        yield common
        spelt = common
    for verb in ("is", "has", ""):
        written = _SHORTENED.sub(rf"\1 {verb}", " ".join(spelt)).split()
        if written != spelt:
            yield written


@lru_cache(maxsize=256)
def _answers_automaton(
    results: tuple[tuple[str, tuple[str, ...]], ...], answers: tuple[tuple[str, str], ...]
) -> Automaton:
    said = Alternatives(tuple(tagged_answers(dict(results), dict(answers))))
    return automaton_of(Grammar(rules=rules_for({"answer": said}), starts=("answer",), name="answers"))


def tagged_answers(results: Mapping[str, tuple[str, ...]], answers: Mapping[str, str]) -> Iterator[Expansion]:
    """Each way to give each result, tagged with its id: plain phrases first, so that they win."""
    yield from tagged_phrases(results)
    for result, text in answers.items():
        yield Tagged(answers_of(text), result)


def tagged_phrases(results: Mapping[str, tuple[str, ...]]) -> Iterator[Expansion]:
    """Each phrase of each result, tagged with its id."""
    for result, phrases in results.items():
        yield from (Tagged(phrase(words), result) for words in phrases)


def without_surroundings(said: list[str], *, opinion: bool) -> Iterator[list[str]]:
    """The words with what people put around an answer taken off: as little as possible first.

    `opinion`: also what shows that it is an answer, "looks like"; False leaves that to be understood or refused.
    """
    begins = _spans_from(tuple(said), opinion=opinion)
    ends = _spans_to(tuple(said))
    cuts = sorted(((begin, end) for begin in begins for end in ends if begin < end), key=lambda cut: cut[0] - cut[1])
    yield from (said[begin:end] for begin, end in cuts if end - begin < len(said))


@cache
def _lead_automaton(opinion: bool) -> Automaton:
    rules = {"lead": Alternatives((leads(), opinions())) if opinion else leads()}
    return automaton_of(Grammar(rules=rules, starts=("lead",)))


@cache
def _trail_automaton() -> Automaton:
    return automaton_of(Grammar(rules={"trail": trails()}, starts=("trail",)))


MOST_AROUND = 3
"""Hesitations, opinions and the like that may stand in a row before an answer, or after it."""


@lru_cache(maxsize=512)
def _spans_from(said: tuple[str, ...], *, opinion: bool) -> tuple[int, ...]:
    """How many words at the head may be taken off."""
    automaton = _lead_automaton(opinion)
    return tuple(sorted(_reached(automaton, said, {0})))


@lru_cache(maxsize=512)
def _spans_to(said: tuple[str, ...]) -> tuple[int, ...]:
    """Where the words may end when what stands at the tail is taken off."""
    automaton = _trail_automaton()
    whole = len(said)
    return tuple(end for end in range(whole, 0, -1) if whole in _reached(automaton, said, {end}))


def _reached(automaton: Automaton, said: tuple[str, ...], begins: set[int]) -> set[int]:
    found, newest = set(begins), set(begins)
    for _ in range(MOST_AROUND):
        newest = {end for begin in newest for end in _ends(automaton, said, begin)} - found
        found |= newest
    return found


def _ends(automaton: Automaton, said: tuple[str, ...], begin: int) -> Iterator[int]:
    states = {automaton.start}
    for place in range(begin, len(said)):
        states = {to for state in states for word, to in automaton.next_words(state) if word == said[place]}
        if not states:
            return
        if any(automaton.may_end(state) for state in states):
            yield place + 1


def corrected(said: list[str]) -> Iterator[tuple[list[str], list[str]]]:
    """What was said first, and what stands after a correction ("snug, no wait, loose"), the last first.

    A bare "no" corrects none: between two answers it denies ("electronic mate, no cable").
    """
    for begin in range(len(said) - 2, 0, -1):
        for end in correction_ends(said, begin):
            if end < len(said) and said[begin:end] != ["no"]:
                yield said[:begin], said[end:]


def correction_ends(said: Sequence[str], begin: int) -> list[int]:
    """Where what corrects may end that begins here, the longest first."""
    return sorted(_ends(_correction_automaton(), tuple(said), begin), reverse=True)


@cache
def _correction_automaton() -> Automaton:
    return automaton_of(Grammar(rules={"correction": corrections()}, starts=("correction",)))
