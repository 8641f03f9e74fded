"""From the sound of one utterance to its words and the trust in them."""

from __future__ import annotations

from collections.abc import Callable, Container, Mapping, Sequence
from dataclasses import dataclass, replace
from types import MappingProxyType

from assistant.grammar.automaton import one_sentence
from assistant.hearing.beam import BeamSettings, Candidate, Language, Passage, heard_as, search
from assistant.hearing.phones import fits
from assistant.hearing.tokens import Vocabulary
from assistant.hearing.trust import CLOSE, Evidence, Rated, Thresholds, doubtful, evidence_of, probability

FULL_WIDTH_S = 2.0
"""Sound up to this long is searched in full width; each hypothesis keeps a megabyte for two seconds of sound."""

RIVALS = 8
"""Sentences that are judged phone by phone."""

RIVALS_WITHIN = 10.0
"""Nats of joint score by which a sentence may fall short of the best and still be told as its rival. Source: judgement;
wider only makes us name the choices where we would have offered one."""

FAR = 14.0
"""Nats below the best by phones from which on a sentence is not looked at. Source: of the tuning voices at 15 to 3 dB
one in a hundred that was said was further than 10 below."""

MOST_WORDS = 96
"""Words in their places of which the sentences looked at are made, at most."""

PHONE_SHARE = 0.8
"""Weight of a nat of the phones against a nat of the text. Source: the tuning voices gain a little by 1.2 in noise of
3 dB; recorded people lose by it, two of 36 long orders at 15 dB."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Verdict:
    """`words`: the sentence of the grammar, or None when it is refused. `unsure`: ask before acting. `nothing_longer`:
    no legal sentence that goes on after these words means anything else. `evidence` is None when no sentence was
    reached; `best` is the likeliest sentence even when it is refused; `rivals`: those of another meaning that the sound
    could be too, best first."""

    words: str | None
    confidence: float
    unsure: bool
    nothing_longer: bool
    best: str | None
    evidence: Evidence | None
    rivals: tuple[str, ...] = ()


def judge(
    passage: Passage, language: Language, vocabulary: Vocabulary, *,
    seconds: float, settings: BeamSettings, thresholds: Callable[[str], Thresholds], settled: Container[str] = (),
    worded: Mapping[str, Callable[[str], object]] = MappingProxyType({}), twice: bool = True,
) -> Verdict:  # fmt: skip
    """What was said in `seconds` of sound. `thresholds`: those that hold for a sentence. `settled`: see
    `Language.means_more`; `worded`: see `Language.mean_the_same`. `twice`: whether what is doubtful is heard a second
    time; else it is asked about."""
    found = likely(passage, language, vocabulary, for_length(settings, seconds))
    if not found:
        return Verdict(words=None, confidence=0.0, unsure=False, nothing_longer=False, best=None, evidence=None)
    words, evidence, rivals = _weigh(rate([passage], language, found, settings), language, worded)
    sure = probability(evidence)
    if twice and doubtful(evidence, sure):
        both = rate([passage, passage.again()], language, found, settings)
        words, evidence, rivals = _weigh(both, language, worded)
        sure = probability(evidence, twice=True)
    limits = thresholds(words)
    return Verdict(
        words=words if sure >= limits.ask else None,
        confidence=sure,
        unsure=sure >= limits.ask and (sure < limits.act or evidence.lead < CLOSE),
        nothing_longer=not language.means_more(words, settled),
        best=words,
        evidence=evidence,
        rivals=rivals,
    )


def likely(
    passage: Passage, language: Language, vocabulary: Vocabulary, settings: BeamSettings
) -> list[tuple[str, Candidate]]:
    """The sentences worth judging, by text, best first: of the part of the language that fits the phones.

    Where the phones can tell nothing the network searches the whole language by itself.
    """
    net = language.phone_net
    if net is None:
        return _by_words(search(passage, language, vocabulary, settings), language)[:RIVALS]
    found = net.part(passage.phones()[0], within=FAR, most=MOST_WORDS)
    if found is None:
        return []
    part, best = found
    narrow = replace(settings, first_widths=())
    few = language.part(part)
    likely_ones = _by_words(search(passage, few, vocabulary, narrow), few)[:RIVALS]
    if all(words != best for words, _ in likely_ones):
        alone = language.part(one_sentence(best))
        likely_ones += _by_words(search(passage, alone, vocabulary, narrow), alone)
    return likely_ones


def _weigh(
    rated: Sequence[Rated], language: Language, worded: Mapping[str, Callable[[str], object]]
) -> tuple[str, Evidence, tuple[str, ...]]:
    """The best sentence, what speaks for it, and its close rivals. Two ways to say the same need no question which of
    them it was."""
    words = rated[0].words
    rivals = [one for one in rated[1:] if not language.mean_the_same(words, one.words, worded)]
    close = tuple(one.words for one in rivals if one.joint > rated[0].joint - RIVALS_WITHIN)
    return words, evidence_of(rated[0], rivals), close


def rate(
    heard: Sequence[Passage], language: Language, found: Sequence[tuple[str, Candidate]], settings: BeamSettings
) -> list[Rated]:
    """The sentences with their scores by text and by phones together, best first. `heard`: the passage in which they
    were found, and others of the same sound; all count alike.

    Where the sound of a word is unknown the phones say nothing for any of them.
    """
    readings = [language.readings(words) for words, _ in found]
    known = all(readings)
    falls = [0.0] * len(found)
    if known:
        falls = _means([fits(passage.phones(), readings) for passage in heard])
    if len(heard) > 1:
        spoken = [passage.spoken([candidate.tokens for _, candidate in found]) for passage in heard[1:]]
        speech = _means([[candidate.speech for _, candidate in found], *spoken])
        found = [(words, heard_as(one, log, settings)) for (words, one), log in zip(found, speech, strict=True)]
    rated = [
        Rated(
            words=words,
            score=candidate.score,
            fall=fall if known else None,
            phones=min(map(len, each)) if known else None,
            joint=candidate.score + PHONE_SHARE * fall,
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


def _by_words(candidates: Sequence[Candidate], language: Language) -> list[tuple[str, Candidate]]:
    """The best candidate for each different wording."""
    found: dict[str, Candidate] = {}
    for candidate in candidates:
        words = language.spelling.words(candidate.text)
        if words is not None:
            found.setdefault(" ".join(words), candidate)
    return list(found.items())
