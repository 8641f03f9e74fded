"""What a guess may never make of words, however like known answers they are. Pure.

A guess weighs how words are like what people say; it does not know what stands elsewhere in the job.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import replace

from assistant.english import heard as texts
from assistant.language.banged import lacks_the_bang
from assistant.language.dangers import NO_AND_A_SENTENCE
from assistant.language.guess import said_for, tells_nothing
from assistant.language.meant import answer_of
from assistant.language.model import Expected, GiveResult, Unclear, UnclearReason
from assistant.language.numbers import ONES, TEENS, TENS
from assistant.language.opposites import denies, undenied
from assistant.language.own_words import meant_by
from assistant.language.questions import I_FOUND
from assistant.language.roughly import Sureness, sureness

_FIGURES = frozenset((*ONES, *TEENS, *TENS, "oh", "hundred", "thousand", "point", "half", "minus"))
_THINGS_MEASURED = frozenset(
    (
        "coolant", "water", "air", "intake", "engine", "outside", "ambient", "temp", "temps", "temperature", "sensor",
        "reads", "reading", "read", "shows", "says", "degrees", "degree", "celsius", "fahrenheit", "c", "f", "and",
        "about", "around", "now", "both", "other", "are",
    )
)  # fmt: skip
_NUMBER = re.compile(r"-?\d[\d.,]*(?:°?[cf])?")
_OF_HEAT = re.compile(r"\b(?:temps?|temperatures?|coolant)\b")
_MINUS_FORTY = re.compile(r"(?:minus forty|minus 40|-40)\b")
"""The same in both units, and colder than a shop is: what a sensor shows whose wire is off."""

MOST_DENIED = 5
"""Words that a denial may reach over, itself counted. Source: judgement."""

_SEEN = re.compile(
    r"\b(?:know|knows|knew|see|saw|seen|tell|sure|look\w*|find|found|reach|notic\w*|idea|clue|check\w*|hear|heard|guess\w*"
    r"|say|said|told|remember|dunno|cannot|miss|missed|hard|dark|maybe|measured?|tested|tried|read|figure|no|not|nothing"
    r"|none|nobody|never|neither|without|too|beats|forgot|unsure|anybody|[a-z]+n't)\b"
)
"""What is said of seeing and knowing, or denies it."""
_OF_THE_THING = re.compile(
    r"\b(?!(?:i|we|you|he|she|nobody|somebody|customer|owner|who|that)\b)[a-z]+"
    r" (?:don't|doesn't|didn't|won't|wouldn't|never)"
    r" (?:even |really |just )*(?!(?:see|say|tell|show|know|look|read|let|give|make|reach|fit|matter|come)\b)[a-z]+"
    r"|\bnot (?:even )?(?:a|one|any) (?!clue|idea|chance)[a-z]+|\bno (?!idea|clue|access|way|view|time)[a-z]+"
)
"""A denial of what the thing does, or of what would be heard of it: "they don't flinch", "not a sound"."""
_ASKS = re.compile(
    r"^(?:(?:and|so|but|hey|sorry|wait|well|okay|ok|oh) )*"
    r"(?:what|how|why|where|when|which|can|could|should|shall|do|does|is|are|may|must)"
    r"(?: else| about| if| kind| sort| far| long| much| tight)?"
    r" (?:i|we|you|it|that|this|the|to|do|does|is|are|should|can|there)\b"
)
"""A question of the technician's own, which answers nothing."""
_ONLY_HEARD = frozenset(
    (
        "got it",
        "i got it",
        "got you",
        "gotcha",
        "right then",
        "okay then",
        "fair enough",
        "let's go",
        "go on",
        "carry on",
    )
)
"""That one has heard, which answers nothing either."""
_SMALL = frozenset(
    (
        "i", "it", "it's", "is", "was", "a", "an", "the", "at", "in", "on", "of", "to", "and", "have", "had", "has",
        "my", "me", "that", "this", "there", "just", "i'm", "for", "with", "one", "up", "out", "he", "she", "we",
        "they", "really", "once",
    )
)  # fmt: skip

_SENSE_FAILS = re.compile(
    r"\b(?:got|have|having|caught) (?:a|the) (?:\w+ )?cold\b(?! (?:start|engine|joint|spot|air))"
    r"|\bnose(?:'s| is| has been)? (?:all )?(?:blocked|bunged|stuffed|shot|gone)|\b(?:blocked|stuffy|bunged up) nose\b"
    r"|\b(?:no|lost my) sense of smell\b"
    r"|(?:n't|\bcannot|\bnot able to|\bunable to) hear\b.*\b(?:over|for|because of|with all) (?:the|that|this|all)\b"
    r"|\btoo (?:loud|noisy) (?:in here|out here|(?:for me )?to (?:hear|tell))\b"
    r"|\bnoise\b.*\b(?:cannot|can't|couldn't|not able to|unable to) hear\b"
)
"""Nose or ears told nothing. Plain English, our own choice."""


def not_sensed(words: str, expected: Expected) -> str | None:
    """The result that tells of nothing seen, where these plain words say why nothing could be smelt or heard: "I can't
    smell anything" is clean air by itself, and with a cold it is none. None where there is not one such."""
    untold = [result for result in expected.results if tells_nothing(result, expected)]
    return untold[0] if len(untold) == 1 and _SENSE_FAILS.search(words) is not None else None


_AGE = re.compile(
    r"\b(?:is|are|was|it's|they're|[a-z]+'s) (?:still |all |nearly |almost |quite |fairly )?(?:brand )?new\b"
    r"|\b(?:brand|nearly|almost|practically) new\b"
    r"|\b(?:is|are|was|were|been|just|had it|only) (?:replaced|renewed|changed|fitted|put in)\b"
    r"|\b(?:weeks?|months?|years?) old\b"
)
"""How old a thing is, or that it was replaced: a fact of the car. Plain English, our own choice."""
_NEW = re.compile(r"\b(?:new|replaced|renewed|changed|fitted|old)\b")


def tells_its_age(words: str, expected: Expected) -> bool:
    """Whether these plain words tell how old a thing is, where nobody is known to answer so: what is new may be bad."""
    told = _AGE.search(words)
    named = set(_NEW.findall(told.group())) if told else set()
    known = (*said_for(expected), *expected.answers.values())
    return bool(named) and not any(named.intersection(_NEW.findall(each)) for each in known)


def not_meant(words: str, result: str, expected: Expected) -> bool:
    """Whether these plain words cannot mean what they are guessed to.

    What passes a caution or a gate, said where none is asked, and what begins with "i found" tell of another thing.
    That nobody knows is said in more than a word: of 23 single words that were guessed so 13 were "dunno", which is
    known, and 10 were answers to other questions (cross-validated over 26 steps). Nor does it take the place of an
    answer that waits for its yes: what is said then is more likely the answer to the next question. And it is of seeing
    or knowing, or shares a word with what people say so: "I have a pacemaker" was once guessed to be it, and so was
    "headlights don't flinch".
    """
    if words in expected.passing or words.startswith(f"{I_FOUND} ") or figure_alone(words, expected):
        return True
    if (
        is_a_bound(words)
        or tells_its_age(words, expected)
        or lacks_the_bang(words, expected.results.get(result, ("",)))
    ):
        return True
    if not tells_nothing(result, expected):
        return False
    if " " not in words or (expected.waiting is not None and expected.waiting != result):
        return True
    known = {word for each in expected.examples.get(result, ()) for word in each.split()}
    own = _OF_THE_THING.sub(" ", words)
    if words in _ONLY_HEARD or (_ASKS.match(words) is not None and _SEEN.search(own) is None):
        return True
    return _SEEN.search(own) is None and not (set(own.split()) & known) - _SMALL


def is_a_bound(words: str) -> bool:
    """Whether they tell a figure's bound and nothing else: "below ten" may lie on either side of the limit that is
    asked about. Which bounds answer is what the grammars know."""
    said = words.split()
    at = next((place for place, word in enumerate(said) if _is_figure(word)), len(said))
    return at < len(said) and all(map(_is_figure, said[at:])) and sureness(" ".join(said[:at]), "") is Sureness.BOUND


def figure_alone(words: str, expected: Expected) -> bool:
    """Whether they tell a temperature and nothing of how it is, where it is asked whether temperatures can be true:
    110 may be hot water or a cold engine's fault. Nobody judges it but who stands there."""
    known = (*(told for said in expected.examples.values() for told in said),)
    if not any(map(_OF_HEAT.search, known)) or _MINUS_FORTY.search(words):
        return False
    said = [word for word in words.split() if word not in _THINGS_MEASURED | _SMALL]
    return bool(said) and all(map(_is_figure, said))


def _is_figure(word: str) -> bool:
    return word in _FIGURES or _NUMBER.fullmatch(word) is not None


def which_degrees(words: str, expected: Expected) -> Unclear | None:
    """What is answered to a temperature alone: its unit is asked where it has none, and the judgement in any case."""
    if not figure_alone(words, expected):
        return None
    named = re.search(r"\b(?:celsius|fahrenheit|centigrade|\d+ ?[cf]|[cf])\b|°", words) is not None
    detail = texts.A_NUMBER_ALONE if named else texts.WHICH_DEGREES
    return Unclear(reason=UnclearReason.UNSURE, words=words, detail=detail)


def cannot_mean(words: str, result: str, expected: Expected) -> bool:
    """Whether the words cannot be taken for it, or deny it."""
    return not_meant(words, result, expected) or _denied(words, result, expected)


def _denied(words: str, result: str, expected: Expected) -> bool:
    """Whether the words deny what they would be taken for: "no new battery". A "no" before a sentence, or before more
    where it is an answer for the same result, denies nothing of it ("no it's dead", "no dead"); what nobody is known to
    say with a denial, nobody means by one."""
    said = NO_AND_A_SENTENCE.sub("", words)
    first, _, rest = said.partition(" ")
    if rest and meant_by(first, expected.results, expected.answers) == result:
        said = rest
    if not denies(said):
        return False
    if _denies_just_it(said.split(), result, expected):
        return True
    known = (*expected.results[result], *expected.examples.get(result, ()), expected.answers.get(result, ""))
    if not any(map(denies, known)):
        return True
    affirmed = answer_of(undenied(said).split(), replace(expected, quantity=None, unit=None))
    return isinstance(affirmed, GiveResult) and affirmed.result == result


def _denies_just_it(said: Sequence[str], result: str, expected: Expected) -> bool:
    """Whether a denial stands right before words that mean it alone: "petrol, no propane" is no propane. A "no" that
    follows no other answer may be an answer by itself: "no, same thing, not moving"."""
    for at in (place for place, word in enumerate(said) if word in ("no", "not", "without", "never")):
        if said[at] == "no" and _meant(said[:at], expected) in (None, result):
            continue
        for end in range(at + 2, min(len(said), at + MOST_DENIED) + 1):
            if _meant(said[at + 1 : end], expected) == result:
                return True
    return False


def _meant(said: Sequence[str], expected: Expected) -> str | None:
    """The result that these words are known to mean, as they stand."""
    words = " ".join(said)
    meant = meant_by(words, expected.results, expected.answers)
    return meant or next((result for result, known in expected.examples.items() if words in known), None)
