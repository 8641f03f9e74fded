"""From the sound of one utterance to its words and the trust in them."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace

from assistant.hearing.beam import BeamSettings, Candidate, Language, Passage, search
from assistant.hearing.phones import fits
from assistant.hearing.tokens import Vocabulary
from assistant.hearing.trust import CLOSE, Evidence, Rated, Thresholds, evidence_of, probability

FULL_WIDTH_S = 4.0
"""Sound up to this long is searched in full width; 40 hypotheses of it keep 91 MB."""

RIVALS = 8
"""Sentences that are judged phone by phone."""

PHONE_SHARE = 0.2
"""Weight of a nat of the phones against a nat of the text. Source: best of 0 to 1.5 on the tuning voices."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Verdict:
    """`words`: the sentence of the grammar, or None when it is refused. `unsure`: ask before acting.
    `nothing_longer`: no legal sentence goes on after these words. `evidence` is None when no sentence was reached;
    `best` is the likeliest sentence even when it is refused."""

    words: str | None
    confidence: float
    unsure: bool
    nothing_longer: bool
    best: str | None
    evidence: Evidence | None


def judge(
    passage: Passage, language: Language, vocabulary: Vocabulary, *,
    seconds: float, settings: BeamSettings, thresholds: Callable[[str], Thresholds],
) -> Verdict:  # fmt: skip
    """What was said in `seconds` of sound. `thresholds`: those that hold for a sentence."""
    found = _by_words(search(passage, language, vocabulary, for_length(settings, seconds)), language)[:RIVALS]
    if not found:
        return Verdict(words=None, confidence=0.0, unsure=False, nothing_longer=False, best=None, evidence=None)
    rated = rate(passage, language, found)
    words = rated[0].words
    evidence = evidence_of(rated)
    sure = probability(evidence)
    limits = thresholds(words)
    return Verdict(
        words=words if sure >= limits.ask else None,
        confidence=sure,
        unsure=sure >= limits.ask and (sure < limits.act or evidence.lead < CLOSE),
        nothing_longer=not language.goes_on(words),
        best=words,
        evidence=evidence,
    )


def rate(passage: Passage, language: Language, found: Sequence[tuple[str, Candidate]]) -> list[Rated]:
    """The sentences with their scores by text and by phones together, best first.

    Where the sound of a word is unknown the phones say nothing for any of them.
    """
    readings = [language.readings(words) for words, _ in found]
    known = all(readings)
    falls = fits(passage.phones(), readings) if known else [0.0] * len(found)
    rated = [
        Rated(
            words=words,
            score=candidate.score,
            joint=candidate.score + PHONE_SHARE * fall,
            miss=-fall / min(map(len, each)) if known else None,
            tokens=len(candidate.tokens),
        )
        for (words, candidate), fall, each in zip(found, falls, readings, strict=True)
    ]
    return sorted(rated, key=lambda one: -one.joint)


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
