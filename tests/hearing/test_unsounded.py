"""A word whose sound is unknown: its own phrases are heard by text alone, all others by text and phones as ever."""

from __future__ import annotations

import pytest

from assistant.grammar.automaton import automaton_of
from assistant.grammar.jsgf import read_jsgf
from assistant.hearing.beam import Language
from assistant.hearing.candidate import BeamSettings
from assistant.hearing.sentence import Verdict, judge, likely
from assistant.hearing.tokens import Vocabulary
from assistant.hearing.trust import Rated, Thresholds, evidence_of
from tests.hearing.conftest import Dictated

SOUNDS = {"no": [["N", "OW1"]], "spark": [["S", "P", "AA1", "R", "K"]], "my": [["M", "AY1"]]}
SPARKS = "no spark | my spark"


def language_of(grammar: str, vocabulary: Vocabulary) -> Language:
    automaton = automaton_of(read_jsgf(f"public <x> = {grammar};"))
    return Language(automaton, vocabulary, None, lambda word: SOUNDS.get(word, []))


def verdict_of(sound: Dictated, grammar: str, vocabulary: Vocabulary) -> Verdict:
    return judge(
        sound, language_of(grammar, vocabulary), vocabulary, seconds=1.0, settings=BeamSettings(),
        thresholds=lambda words: Thresholds(act=0.3, ask=0.05),
    )  # fmt: skip


def test_other_phrases_keep_their_phones(vocabulary: Vocabulary) -> None:
    """What is made of "no spark" is the same, to the last digit, whether or not a kerplonk may be said too."""
    assert language_of(f"{SPARKS} | the kerplonk", vocabulary).phone_net is not None
    assert language_of("kerplonk", vocabulary).phone_net is None
    sound = Dictated(vocabulary, " no spark", nats=6.0, phones="N OW S P AA R K")
    alone = verdict_of(sound, SPARKS, vocabulary)
    beside = verdict_of(sound, f"{SPARKS} | the kerplonk", vocabulary)
    assert alone.words == beside.words == "no spark"
    assert alone.evidence is not None and beside.evidence is not None
    assert beside.evidence.fall == alone.evidence.fall is not None
    assert beside.confidence == pytest.approx(alone.confidence)


def test_the_phones_decide_where_the_text_cannot(vocabulary: Vocabulary) -> None:
    """Of what is written "mo spark" they tell which it was, beside a word without a sound as well."""
    for phones, words in (("N OW S P AA R K", "no spark"), ("M AY S P AA R K", "my spark")):
        sound = Dictated(vocabulary, " mo spark", nats=5.0, phones=phones)
        verdict = verdict_of(sound, f"me spark | {SPARKS}", vocabulary)
        assert verdict.best == words
        assert verdict.evidence is not None and verdict.evidence.fall is not None


def test_the_phrase_itself_is_heard_by_its_text(vocabulary: Vocabulary) -> None:
    """Trusted no more than text alone deserves; also where by phones the sound is no sentence at all."""
    for grammar in (f"{SPARKS} | spark kerplonk", "kerplonk | spark kerplonk"):
        sound = Dictated(vocabulary, " spark kerplonk", nats=8.0, phones="S P AA R K K ER P L AA NG K")
        verdict = verdict_of(sound, grammar, vocabulary)
        assert verdict.words == "spark kerplonk"
        assert verdict.evidence is not None and verdict.evidence.fall is None
    found = likely(sound, language_of(f"{SPARKS} | spark kerplonk", vocabulary), vocabulary, BeamSettings())
    assert "spark kerplonk" in [words for words, _ in found]


def test_a_phrase_without_a_sound_never_wins_for_want_of_one(vocabulary: Vocabulary) -> None:
    """Where the text likes both alike, what the phones bear out is taken."""
    sound = Dictated(vocabulary, " ", nats=0.0, phones="N OW S P AA R K")
    assert verdict_of(sound, "me spark | no spark", vocabulary).best == "no spark"


def test_how_far_ahead_is_told_of_rivals_with_a_sound_alone() -> None:
    """Of the others no fall is known, and none of nought is put in its place."""

    def rated(words: str, fall: float | None, joint: float) -> Rated:
        return Rated(words=words, score=joint, fall=fall, phones=None if fall is None else 5, joint=joint)

    best, near, mute = rated("no spark", -2.0, -3.0), rated("my spark", -7.0, -9.0), rated("kerplonk", None, -20.0)
    assert evidence_of(best, [near, mute]).ahead == evidence_of(best, [near]).ahead == 5.0
    assert evidence_of(best, [mute]).ahead == evidence_of(best, []).ahead
