"""From the sound of one utterance to its words, the trust in them, and what the network would write freely."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from assistant.hearing.beam import BeamSettings, Candidate, Language, Passage, search
from assistant.hearing.free import FreeText, write_freely
from assistant.hearing.tokens import Vocabulary
from assistant.hearing.trust import Evidence, Thresholds, evidence_of, probability

TOKENS_A_SECOND = 8
"""More than anybody speaks; source: fast read speech has about 5 words a second (from memory)."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Verdict:
    """`words`: the sentence of the grammar, or None when it is refused. `unsure`: ask before acting.
    `nothing_longer`: no legal sentence goes on after these words. `evidence` is None when no sentence was reached."""

    words: str | None
    confidence: float
    unsure: bool
    nothing_longer: bool
    free: FreeText
    evidence: Evidence | None


def judge(
    passage: Passage, language: Language, vocabulary: Vocabulary, *,
    seconds: float, settings: BeamSettings, thresholds: Thresholds,
) -> Verdict:  # fmt: skip
    """What was said in `seconds` of sound."""
    most = 6 + int(seconds * TOKENS_A_SECOND)
    free = write_freely(passage, vocabulary, most=most)
    found = _by_words(search(passage, language, vocabulary, settings), language)
    if not found:
        return Verdict(words=None, confidence=0.0, unsure=False, nothing_longer=False, free=free, evidence=None)
    words, _ = found[0]
    evidence = evidence_of([candidate for _, candidate in found], free.speech, free.tokens)
    sure = probability(evidence)
    return Verdict(
        words=words if sure >= thresholds.ask else None,
        confidence=sure,
        unsure=thresholds.ask <= sure < thresholds.act,
        nothing_longer=not language.goes_on(words),
        free=free,
        evidence=evidence,
    )


def _by_words(candidates: Sequence[Candidate], language: Language) -> list[tuple[str, Candidate]]:
    """The best candidate for each different wording."""
    found: dict[str, Candidate] = {}
    for candidate in candidates:
        words = language.spelling.words(candidate.text)
        if words is not None:
            found.setdefault(" ".join(words), candidate)
    return list(found.items())
