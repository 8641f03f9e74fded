"""The search inside the grammar, on a made-up network."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from assistant.grammar.automaton import automaton_of
from assistant.grammar.jsgf import read_jsgf
from assistant.hearing.beam import BeamSettings, Language, search
from assistant.hearing.free import write_freely
from assistant.hearing.sentence import judge
from assistant.hearing.tokens import Vocabulary
from assistant.hearing.trust import Thresholds
from tests.hearing.conftest import END, Dictated, no_habits


def any_trust(words: str) -> Thresholds:
    """Everything is acted on."""
    return Thresholds(act=0.0, ask=0.0)


def language(grammar: str, vocabulary: Vocabulary) -> Language:
    return Language(automaton_of(read_jsgf(grammar)), vocabulary, no_habits)


def test_it_writes_only_what_the_grammar_allows(vocabulary: Vocabulary) -> None:
    """The network would write something else; the nearest legal sentence comes out."""
    legal = language("public <x> = no spark | blue spark;", vocabulary)
    found = search(Dictated(vocabulary, " bloo spark"), legal, vocabulary, BeamSettings())
    assert found[0].text == " blue spark"
    assert {candidate.text for candidate in found} <= {" no spark", " blue spark"}


def test_what_the_network_hears_wins_even_deep_in_a_large_language(vocabulary: Vocabulary) -> None:
    """One of 10 to the 8 sentences, by way of rules, groups and repeats."""
    words = "(ab | cd | ef | gh | ij | kl | mn | op | qr | st)"
    legal = language(f"public <x> = {words} <x> | end;", vocabulary)
    said = " ab ij st cd ef ab kl qr end"
    assert search(Dictated(vocabulary, said), legal, vocabulary, BeamSettings())[0].text == said


def test_the_habits_of_the_network_are_taken_off(vocabulary: Vocabulary) -> None:
    """A short phrase that it likes whatever it hears loses against the one in the sound."""
    likes = vocabulary.encode(" no")

    def habits(prefixes: Sequence[tuple[int, ...]]) -> NDArray[np.float32]:
        logs = np.full((len(prefixes), 3 + 38 + 30), -8.0, np.float32)
        for row, prefix in enumerate(prefixes):
            wanted = (*likes, END)
            if prefix == wanted[: len(prefix)] and len(prefix) < len(wanted):
                logs[row, wanted[len(prefix)]] = -0.1
        return logs

    automaton = automaton_of(read_jsgf("public <x> = no | no spark;"))
    sound = Dictated(vocabulary, " no spark", nats=1.0)
    with_habits = Language(automaton, vocabulary, habits)
    assert search(sound, with_habits, vocabulary, BeamSettings(prior_share=0.0))[0].text == " no"
    assert search(sound, with_habits, vocabulary, BeamSettings(prior_share=0.7))[0].text.rstrip(".") == " no spark"


def test_a_verdict_tells_words_rival_and_free_text(vocabulary: Vocabulary) -> None:
    """What fits the sound has no gap to the free text; a stranger's words have one, and less trust."""
    legal = language("public <x> = no spark | blue spark;", vocabulary)
    right = judge(
        Dictated(vocabulary, " no spark"), legal, vocabulary, seconds=1.0, settings=BeamSettings(), thresholds=any_trust
    )
    wrong = judge(
        Dictated(vocabulary, " fishcake"), legal, vocabulary, seconds=1.0, settings=BeamSettings(), thresholds=any_trust
    )
    assert (right.words, right.free.text, right.nothing_longer) == ("no spark", "no spark", True)
    assert right.evidence is not None and wrong.evidence is not None
    assert right.evidence.gap < 0.01 < wrong.evidence.gap
    assert right.confidence > wrong.confidence


def test_a_phrase_that_begins_another_is_not_the_end(vocabulary: Vocabulary) -> None:
    """`no` may go on to `no spark`, so it is no early decision."""
    legal = language("public <x> = no | no spark;", vocabulary)
    verdict = judge(
        Dictated(vocabulary, " no"), legal, vocabulary, seconds=1.0, settings=BeamSettings(), thresholds=any_trust
    )
    assert (verdict.words, verdict.nothing_longer) == ("no", False)


def test_below_the_thresholds_it_asks_or_refuses(vocabulary: Vocabulary) -> None:
    """The same evidence is acted on, asked about or refused by the thresholds alone."""
    legal = language("public <x> = no spark | blue spark;", vocabulary)
    sound = Dictated(vocabulary, " no spark", nats=3.0)

    def verdict(act: float, ask: float) -> tuple[str | None, bool]:
        thresholds = Thresholds(act=act, ask=ask)
        made = judge(
            sound, legal, vocabulary, seconds=1.0, settings=BeamSettings(), thresholds=lambda words: thresholds
        )
        return made.words, made.unsure

    assert verdict(0.0, 0.0) == ("no spark", False)
    assert verdict(1.1, 0.0) == ("no spark", True)
    assert verdict(1.1, 1.1) == (None, False)


def test_a_network_that_loops_is_cut_short(vocabulary: Vocabulary) -> None:
    """Free writing ends after the most tokens that the sound can hold."""
    assert write_freely(Dictated(vocabulary, " a" * 200), vocabulary, most=5).tokens == 5
