"""From the sound of one utterance to its words, the trust in them, and what the network would write freely."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace

from assistant.hearing.beam import BeamSettings, Candidate, Language, Passage, search
from assistant.hearing.free import FreeText, write_freely
from assistant.hearing.tokens import Vocabulary
from assistant.hearing.trust import CLOSE, Evidence, Thresholds, evidence_of, probability

TOKENS_A_SECOND = 8
"""More than anybody speaks; source: fast read speech has about 5 words a second (from memory)."""


FULL_WIDTH_S = 4.0
"""Sound up to this long is searched in full width; 40 hypotheses of it keep 91 MB."""


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
    seconds: float, settings: BeamSettings, thresholds: Callable[[str], Thresholds],
) -> Verdict:  # fmt: skip
    """What was said in `seconds` of sound. `thresholds`: those that hold for a sentence."""
    most = 6 + int(seconds * TOKENS_A_SECOND)
    settings = for_length(settings, seconds)
    free = write_freely(passage, vocabulary, most=most)
    found = _by_words(search(passage, language, vocabulary, settings), language)
    if not found:
        return Verdict(words=None, confidence=0.0, unsure=False, nothing_longer=False, free=free, evidence=None)
    words, _ = found[0]
    evidence = evidence_of([candidate for _, candidate in found], free.speech, free.tokens)
    sure = probability(evidence)
    limits = thresholds(words)
    return Verdict(
        words=words if sure >= limits.ask else None,
        confidence=sure,
        unsure=sure >= limits.ask and (sure < limits.act or evidence.lead < CLOSE),
        nothing_longer=not language.goes_on(words),
        free=free,
        evidence=evidence,
    )


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
