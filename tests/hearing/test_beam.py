"""The search inside the grammar, on a made-up network."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from assistant.grammar.automaton import automaton_of
from assistant.grammar.jsgf import read_jsgf
from assistant.hearing.beam import Language, search
from assistant.hearing.candidate import BeamSettings
from assistant.hearing.free import write_freely
from assistant.hearing.habits import HabitBook
from assistant.hearing.sentence import judge
from assistant.hearing.tokens import Vocabulary
from assistant.hearing.trust import Thresholds
from assistant.language.reading import amount_said
from tests.hearing.conftest import END, Dictated, MadeHabits, no_habits


def any_trust(words: str) -> Thresholds:
    """Everything is acted on."""
    return Thresholds(act=0.0, ask=0.0)


def language(grammar: str, vocabulary: Vocabulary) -> Language:
    return Language(automaton_of(read_jsgf(grammar)), vocabulary, HabitBook(MadeHabits(no_habits), vocabulary))


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
    with_habits = Language(automaton, vocabulary, HabitBook(MadeHabits(habits), vocabulary))
    for legal in (with_habits, with_habits.part(automaton)):
        assert search(sound, legal, vocabulary, BeamSettings(prior_share=0.0))[0].text == " no"
        found = search(sound, legal, vocabulary, BeamSettings(prior_share=0.7))
        assert found[0].text.rstrip(".") == " no spark"


SOUNDS = {
    "no": [["N", "OW1"]],
    "spark": [["S", "P", "AA1", "R", "K"]],
    "my": [["M", "AY1"]],
    "read": [["R", "IY1", "D"], ["R", "EH1", "D"]],
}


def test_the_phones_decide_between_sentences_that_the_text_cannot_tell(vocabulary: Vocabulary) -> None:
    """The network would write either; what it hears phone by phone is one of them."""
    automaton = automaton_of(read_jsgf("public <x> = no spark | my spark;"))
    legal = Language(automaton, vocabulary, None, lambda word: SOUNDS.get(word, []))
    for phones, words in (("N OW S P AA R K", "no spark"), ("M AY S P AA R K", "my spark")):
        sound = Dictated(vocabulary, "", nats=0.0, phones=phones)
        verdict = judge(sound, legal, vocabulary, seconds=1.0, settings=BeamSettings(), thresholds=any_trust)
        assert verdict.words == words
        assert verdict.evidence is not None and verdict.evidence.fall is not None
        assert verdict.evidence.fall > -2.0


def test_other_phones_take_the_trust_away(vocabulary: Vocabulary) -> None:
    """The text fits as well as ever, but a stranger's phones were heard."""
    automaton = automaton_of(read_jsgf("public <x> = no spark | my spark;"))
    legal = Language(automaton, vocabulary, None, lambda word: SOUNDS.get(word, []))

    def trust(phones: str) -> float:
        sound = Dictated(vocabulary, " no spark", nats=6.0, phones=phones)
        return judge(
            sound, legal, vocabulary, seconds=1.0, settings=BeamSettings(), thresholds=any_trust
        ).confidence  # fmt: skip

    assert trust("N OW S P AA R K") > 0.8
    assert trust("F IH SH K EY K M AE") < 0.1


def test_a_word_of_unknown_sound_is_judged_by_its_text_alone(vocabulary: Vocabulary) -> None:
    """Where one sentence has a word that no dictionary has, the phones say nothing about any."""
    automaton = automaton_of(read_jsgf("public <x> = no spark | zorp spark;"))
    legal = Language(automaton, vocabulary, None, lambda word: SOUNDS.get(word, []))
    verdict = judge(
        Dictated(vocabulary, " zorp spark", phones="N OW S P AA R K"), legal, vocabulary,
        seconds=1.0, settings=BeamSettings(), thresholds=any_trust,
    )  # fmt: skip
    assert (verdict.words, verdict.evidence and verdict.evidence.fall) == ("zorp spark", None)


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
    texts = write_freely(Dictated(vocabulary, " a" * 200), vocabulary, most=5, width=1)
    assert [len(one.tokens) for one in texts] == [5]


def test_a_language_finds_the_habits_that_another_has_learnt(vocabulary: Vocabulary) -> None:
    """The same phrase in another grammar asks the network nothing new; other phrases do."""
    habits = MadeHabits(no_habits)
    asked, book = habits.asked, HabitBook(habits, vocabulary)
    sound = " no spark"
    scores = []
    for grammar in ("public <x> = no spark | no;", "public <y> = no | no spark;", "public <z> = no | no spark | yes;"):
        before = len(asked)
        legal = Language(automaton_of(read_jsgf(grammar)), vocabulary, book)
        scores.append(search(Dictated(vocabulary, sound), legal, vocabulary, BeamSettings())[0].score)
        scores.append(len(asked) - before)
    assert scores[0] == scores[2] == scores[4]
    assert scores[1] > scores[5] > scores[3] == 0


def test_of_a_part_the_habits_are_looked_up_once_a_sentence(vocabulary: Vocabulary) -> None:
    """Not token by token; and not again when it is said again."""
    habits = MadeHabits(no_habits)
    whole = Language(automaton_of(read_jsgf("public <x> = no | no spark;")), vocabulary, HabitBook(habits, vocabulary))
    part = whole.part(automaton_of(read_jsgf("public <x> = no | no spark;")))
    found = search(Dictated(vocabulary, " no spark"), part, vocabulary, BeamSettings())
    assert sorted(habits.asked) == sorted(candidate.tokens for candidate in found)
    before = len(habits.asked)
    assert search(Dictated(vocabulary, " no spark"), part, vocabulary, BeamSettings()) == found
    assert len(habits.asked) == before


def test_it_need_not_wait_for_more_of_a_phrase_that_means_the_same() -> None:
    """ "Yes" goes on to "yes please", which is the same; "no" to "no spark", which is not; a number to another."""
    grammar = "public <x> = (yes [please]) {yes} | no {no} | no spark {none} | (one [two]) {number} | stop;"
    legal = Language(automaton_of(read_jsgf(grammar)), Vocabulary([None] * 3, begin=1, end=2), None)
    settled = {"yes", "no", "none"}.__contains__
    assert [legal.means_more(words, settled) for words in ("yes", "no", "no spark", "one", "stop")] == [
        False, True, False, True, False,
    ]  # fmt: skip


def test_a_unit_that_goes_without_saying_is_not_waited_for() -> None:
    """All longer sentences are looked at together, also those of another tag; without end there are too many."""
    grammar = "public <x> = (one [volt | volts] | two [ohms] | three (six)*) {number} | two cars {cars};"
    legal = Language(automaton_of(read_jsgf(grammar)), Vocabulary([None] * 3, begin=1, end=2), None)
    asked: list[tuple[str, list[str]]] = []

    def adds_nothing(words: str, longer: Sequence[str]) -> bool:
        asked.append((words, sorted(longer)))
        return True

    more = [legal.means_more(words, lambda tag: False, adds_nothing) for words in ("one", "two", "three")]
    assert more == [False, True, True]
    assert asked == [("one", ["one volt", "one volts"])]
    assert legal.means_more("one", lambda tag: False)


def test_two_ways_to_say_the_same_are_no_rivals() -> None:
    """The same result, or the same amount in other words; not another amount. Without tags articles say nothing."""
    grammar = (
        "public <x> = ((weak | poor) spark) {weak} | no spark {none} | one (volt | volts) {number} | two {number};"
    )
    legal = Language(automaton_of(read_jsgf(grammar)), Vocabulary([None] * 3, begin=1, end=2), None)
    same = {
        pair
        for pair in (
            ("weak spark", "poor spark"), ("weak spark", "no spark"), ("one volt", "one volts"), ("one volt", "two"),
        )
        if legal.mean_the_same(*pair, {"number": amount_said})
    }  # fmt: skip
    assert same == {("weak spark", "poor spark"), ("one volt", "one volts")}
    yeses = automaton_of(read_jsgf("public <x> = yes | yeah | a yes;"))
    untold = Language(yeses, Vocabulary([None] * 3, begin=1, end=2), None)
    assert not untold.mean_the_same("yes", "yeah", {})
    assert untold.mean_the_same("yes", "a yes", {})
