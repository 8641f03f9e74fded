"""From the sound of one utterance to its words and the trust in them."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Hashable, Mapping, Sequence
from dataclasses import dataclass, replace
from functools import partial
from math import exp
from types import MappingProxyType
from typing import TypeVar

from assistant.grammar.automaton import Automaton, one_sentence
from assistant.hearing.beam import Language, search, sentences_in
from assistant.hearing.candidate import BeamSettings, Candidate, Candidates, heard_as
from assistant.hearing.digits import is_number
from assistant.hearing.outsiders import MOST_PHONES, Outsider
from assistant.hearing.passage import Passage
from assistant.hearing.phones import UNSOUNDED, fits, nearest
from assistant.hearing.tokens import Vocabulary
from assistant.hearing.trust import CLOSE, Evidence, Rated, Thresholds, doubtful, evidence_of, probability
from assistant.hearing.unasked_for import CLEAR_BY_PHONES, best_outside, may_be_held

FULL_WIDTH_S = 2.0
"""Sound up to this long is searched in full width; each hypothesis keeps a megabyte for two seconds of sound."""

EVENED = 2.0
"""Joint nats that count as one where the odds of the sentences are told: text and phones judge the same sound."""

T = TypeVar("T")
Found = list[tuple[str, Candidate]]
"""Sentences by their words, each with what the network thinks of it."""
Worded = Mapping[str, Callable[[str], object]]
Part = tuple[Automaton, str]
"""The part of a grammar that fits the phones, and its best sentence by them."""

RIVALS = 8
"""Meanings that are judged phone by phone."""

TWINS = 2
"""Ways to say each of them that are."""

RIVALS_WITHIN = 10.0
"""Nats of joint score by which a sentence may fall short of the best and still be told as its rival. Source: judgement;
wider only makes us name the choices where we would have offered one."""

FAR = 14.0
"""Nats below the best by phones from which on a sentence is not looked at. Source: of the tuning voices at 15 to 3 dB
one in a hundred that was said was further than 10 below."""

FAR_FROM_NUMBERS = 40.0
"""The same for a number that has no other value beside it: one that nothing rivals would be trusted too much."""

MOST_WORDS = 96
"""Words in their places of which the sentences looked at are made, at most."""

OWN_WIDTH = 4
"""Hypotheses kept where the network looks for its own best sentence."""

OUTSIDERS = 40
"""Words outside the grammar that are judged phone by phone."""

PHONE_SHARE = 0.8
"""Weight of a nat of the phones against a nat of the text. Source: the tuning voices gain a little by 1.2 in noise of
3 dB; recorded people lose by it, two of 36 long orders at 15 dB."""


LIKELY_SHARE = 0.5
"""Weight of a nat of what the grammar's weights make likely. Source: of 189 phrases by the tuning voices in noise two
more are heard word for word with 0.3 to 1 than without; of 297 answers in their own words meaning is lost from 1 on."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Verdict:
    """`words`: the sentence of the grammar, or None when it is refused. `unsure`: ask before acting. `nothing_longer`:
    no legal sentence that goes on after these words means anything else. `evidence` is None when no sentence was
    reached; `best` is the likeliest sentence even when it is refused; `rivals`: those of another meaning that the sound
    could be too, best first; `sentences`: all that were judged, with their odds."""

    words: str | None
    confidence: float
    unsure: bool
    nothing_longer: bool
    best: str | None
    evidence: Evidence | None
    rivals: tuple[str, ...] = ()
    sentences: tuple[tuple[str, float], ...] = ()

    @property
    def acts(self) -> bool:
        """Whether it is sure enough to go by."""
        return self.words is not None and not self.unsure


def judge(
    passage: Passage, language: Language, vocabulary: Vocabulary, *,
    seconds: float, settings: BeamSettings, thresholds: Callable[[str], Thresholds],
    settled: Callable[[str], bool] = lambda _: False, worded: Worded = MappingProxyType({}), twice: bool = True,
    adds_nothing: Callable[[str, Sequence[str]], bool] = lambda words, longer: False,
    nearest: tuple[Part | None, ...] = (), later: bool = False, own: Callable[[], Candidates] | None = None,
) -> Verdict:  # fmt: skip
    """What was said in `seconds` of sound. `thresholds`: those that hold for a sentence. `settled`, `adds_nothing`: see
    `Language.means_more`; `worded`: see `Language.meaning`. `twice`: whether what is doubtful is heard a second time;
    else it is asked about. `nearest`: the one thing that `near` found, where it was asked already. `later`: what may go
    on is looked at again in a moment, so that a second hearing of it now would be thrown away. `own`: what `own_best`
    finds, where that was begun already."""
    narrowed = for_length(settings, seconds)
    found = likely(passage, language, vocabulary, narrowed, worded=worded, nearest=nearest)
    if not found:
        return Verdict(words=None, confidence=0.0, unsure=False, nothing_longer=False, best=None, evidence=None)
    heard = [passage]
    weighed = _weigh(heard, language, found, settings, worded)
    sure = probability(weighed.evidence)
    waits = later and language.means_more(weighed.rated[0].words, settled, adds_nothing)
    if twice and not waits and doubtful(weighed.evidence, sure):
        if language.phone_net is not None:
            own = own or partial(own_best, passage, language, vocabulary, narrowed)
            found = with_own(found, own(), language, narrowed)
        heard = [passage, passage.again()]
        weighed = _weigh(heard, language, found, settings, worded)
        sure = probability(weighed.evidence, twice=True)
    rated, evidence, rivals = weighed.rated, weighed.evidence, weighed.rivals
    words = rated[0].words
    limits = thresholds(words)
    if sure >= limits.ask:
        evidence = replace(evidence, beyond=_beyond(heard, language, weighed, settings))
        sure = probability(evidence, twice=len(heard) > 1)
    return Verdict(
        words=words if sure >= limits.ask else None,
        confidence=sure,
        unsure=sure >= limits.ask and (sure < limits.act or evidence.lead < CLOSE),
        nothing_longer=not language.means_more(words, settled, adds_nothing),
        best=words,
        evidence=evidence,
        rivals=rivals,
        sentences=_odds(rated),
    )


def _odds(rated: Sequence[Rated]) -> tuple[tuple[str, float], ...]:
    """How likely each sentence is among them all."""
    shares = [exp((one.joint - rated[0].joint) / EVENED) for one in rated]
    return tuple((one.words, share / sum(shares)) for one, share in zip(rated, shares, strict=True))


def likely(
    passage: Passage, language: Language, vocabulary: Vocabulary, settings: BeamSettings, *,
    worded: Worded = MappingProxyType({}), nearest: tuple[Part | None, ...] = (),
) -> Found:  # fmt: skip
    """The sentences worth judging, by text, best first: of the part of the language that fits the phones, at most
    RIVALS of different meaning, and of each the TWINS likeliest ways to say it.

    What the phones can tell nothing of the network searches by itself: the sentences with a word of unknown sound, or
    the whole language.
    """

    def meaning(words: str) -> Hashable:
        return language.meaning(words, worded)

    def by_text(whole: Language) -> Found:
        every = _by_words(search(passage, whole, vocabulary, settings), whole)
        return list(apart(every, lambda one: meaning(one[0])))

    if language.phone_net is None:
        return by_text(language)
    unsounded = by_text(language.unsounded) if language.unsounded is not None else []
    found: Found = []
    for within in (FAR, FAR_FROM_NUMBERS):
        part = nearest[0] if nearest and within == FAR else near(passage, language, within)
        if part is None:
            return unsounded
        found = _in_part(passage, language, part, vocabulary, settings=settings, meaning=meaning)
        if not is_number(part[1]) or len({meaning(words) for words, _ in found}) > 1:
            break
    return [*found, *unsounded]


def near(passage: Passage, language: Language, within: float = FAR) -> Part | None:
    """What of the language is no more than so many nats further from the phones than its best sentence; None where the
    phones can tell nothing of it, or the sound is no sentence of it at all."""
    net = language.phone_net
    return None if net is None else net.part(passage.phones()[0], within=within, most=MOST_WORDS)


def _in_part(
    passage: Passage, language: Language, part: Part, vocabulary: Vocabulary, *,
    settings: BeamSettings, meaning: Callable[[str], Hashable],
) -> Found:  # fmt: skip
    """What the network makes of a part of the language, the best sentence by phones always among it."""
    automaton, best = part
    narrow = replace(settings, first_widths=())
    few = language.part(automaton)

    def among(every: Candidates) -> Candidates:
        ranked = sorted(every, key=lambda one: -one.score)
        return apart(ranked, lambda one: meaning(" ".join(few.spelling.words(one.text) or ())))

    found = _by_words(search(passage, few, vocabulary, narrow, among), few)
    if all(words != best for words, _ in found):
        alone = language.part(one_sentence(best))
        found += _by_words(search(passage, alone, vocabulary, narrow), alone)
    return found


def apart(ranked: Sequence[T], meaning: Callable[[T], Hashable]) -> list[T]:
    """Of those ranked, best first, the first TWINS of each of the first RIVALS meanings.

    Merged before they are cut, not after: twins would fill the list, no true rival would be left to doubt the first by.
    """
    kept: list[T] = []
    ways: Counter[Hashable] = Counter()
    for one in ranked:
        mean = meaning(one)
        if 0 < ways[mean] < TWINS or (mean not in ways and len(ways) < RIVALS):
            ways[mean] += 1
            kept.append(one)
    return kept


def own_best(passage: Passage, language: Language, vocabulary: Vocabulary, settings: BeamSettings) -> Candidates:
    """What the network would write of the whole language by itself, at most one: the phones may have hidden it. Wanted
    only where there is doubt, for it takes as long as all the rest. `settings`: those `for_length`."""
    narrow = replace(settings, width=OWN_WIDTH, first_widths=())
    every = sentences_in(passage, language.unweighed, vocabulary, narrow)
    return sorted(every, key=lambda one: -one.score)[:1]


def with_own(found: Found, own: Candidates, language: Language, settings: BeamSettings) -> Found:
    """The sentences found, and with them what `own_best` found."""
    whole = language.unweighed
    known = {words for words, _ in found}
    return [*found, *(one for one in _by_words(whole.weighed(own, settings), whole) if one[0] not in known)]


@dataclass(frozen=True, slots=True, kw_only=True)
class _Weighed:
    """The sentences, best first, what speaks for the first, its close rivals, and the words outside the grammar nearest
    to the sound of a short one without a number, each with its fall."""

    rated: list[Rated]
    evidence: Evidence
    rivals: tuple[str, ...]
    outside: list[tuple[Outsider, float]]


def _weigh(
    heard: Sequence[Passage], language: Language, found: Found, settings: BeamSettings, worded: Worded
) -> _Weighed:
    """Two ways to say the same need no question which of them it was."""
    best, *others = rate(heard, language, found, settings)
    rivals = [one for one in others if not language.mean_the_same(best.words, one.words, worded)]
    close = tuple(one.words for one in rivals if one.joint > best.joint - RIVALS_WITHIN)
    number = is_number(best.words)
    outsiders = _nearest_of(heard, language.outsiders(best.words)) if best.fall is not None and not number else []
    outside = None
    if outsiders and best.fall is not None and best.phones is not None and best.phones <= MOST_PHONES:
        outside = best.fall - max(fall for _, fall in outsiders)
    evidence = evidence_of(best, rivals, outside=outside, number=number)
    return _Weighed(rated=[best, *others], evidence=evidence, rivals=close, outside=outsiders)


def _nearest_of(heard: Sequence[Passage], outsiders: Sequence[Outsider]) -> list[tuple[Outsider, float]]:
    """Those that are nearest, each with its fall."""
    places = nearest(heard[0].phones(), [each.readings for each in outsiders], OUTSIDERS)
    kept = [outsiders[place] for place in places]
    readings = [each.readings for each in kept]
    return list(zip(kept, _means([fits(passage.phones(), readings) for passage in heard]), strict=True))


def _beyond(heard: Sequence[Passage], language: Language, weighed: _Weighed, settings: BeamSettings) -> float | None:
    """How much better the best sentence fits than any of these, by text and phones together; None where that is clear
    by phones alone, or cannot be told."""
    best, outsiders = weighed.rated[0], weighed.outside
    if best.fall is None or not outsiders or not may_be_held(language, best.words):
        return None
    if best.fall - max(fall for _, fall in outsiders) >= CLEAR_BY_PHONES:
        return None
    outside = best_outside(heard, language, best.words, outsiders, phone_share=PHONE_SHARE, settings=settings)
    return None if outside is None else best.score + PHONE_SHARE * best.fall - outside


def rate(heard: Sequence[Passage], language: Language, found: Found, settings: BeamSettings) -> list[Rated]:
    """The sentences with their scores by text and by phones together, best first. `heard`: the passage in which they
    were found, and others of the same sound; all count alike.

    Where the sound of a word is unknown the phones say nothing for it: among others it counts as UNSOUNDED says.
    """
    readings = [language.readings(words) for words, _ in found]
    falls = [0.0] * len(found)
    if any(readings):
        told = _means([fits(passage.phones(), readings) for passage in heard])
        least = min(fall for fall, each in zip(told, readings, strict=True) if each) - UNSOUNDED
        falls = [fall if each else least for fall, each in zip(told, readings, strict=True)]
    if len(heard) > 1:
        spoken = [passage.spoken([candidate.tokens for _, candidate in found]) for passage in heard[1:]]
        speech = _means([[candidate.speech for _, candidate in found], *spoken])
        found = [(words, heard_as(one, log, settings)) for (words, one), log in zip(found, speech, strict=True)]
    rated = [
        Rated(
            words=words,
            score=candidate.score,
            fall=fall if each else None,
            phones=min(map(len, each)) if each else None,
            joint=candidate.score + PHONE_SHARE * fall + LIKELY_SHARE * language.likelihood(words),
        )
        for (words, candidate), fall, each in zip(found, falls, readings, strict=True)
    ]
    return sorted(rated, key=lambda one: -one.joint)


def _means(rows: Sequence[Sequence[float]]) -> list[float]:
    return [sum(column) / len(rows) for column in zip(*rows, strict=True)]


def for_length(settings: BeamSettings, seconds: float) -> BeamSettings:
    """Fewer hypotheses for long sound: each keeps its own copy of what the network remembers of the sound."""
    share = min(1.0, FULL_WIDTH_S / max(seconds, 0.1))
    return replace(
        settings,
        width=max(6, round(settings.width * share)),
        first_widths=tuple(max(8, round(width * share)) for width in settings.first_widths),
    )


def _by_words(candidates: Candidates, language: Language) -> Found:
    """The best candidate for each different wording."""
    found: dict[str, Candidate] = {}
    for candidate in candidates:
        words = language.spelling.words(candidate.text)
        if words is not None:
            found.setdefault(" ".join(words), candidate)
    return list(found.items())
