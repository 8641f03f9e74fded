"""What is doubtful is heard a second time."""

from __future__ import annotations

import numpy as np

from assistant.grammar.automaton import automaton_of
from assistant.grammar.jsgf import read_jsgf
from assistant.hearing.beam import Language
from assistant.hearing.candidate import BeamSettings
from assistant.hearing.habits import HabitBook
from assistant.hearing.sentence import RIVALS, TWINS, Verdict, apart, judge, likely
from assistant.hearing.tokens import Vocabulary
from assistant.hearing.trust import Thresholds
from assistant.hearing.unasked_for import may_be_held
from tests.hearing.conftest import PIECES, Dictated, MadeHabits

SOUNDS = {"no": [["N", "OW1"]], "spark": [["S", "P", "AA1", "R", "K"]], "my": [["M", "AY1"]]}


class HeardTwice(Dictated):
    """A passage that sounds like `second` when it is heard again. `times`: how often it was."""

    def __init__(self, first: Dictated, second: Dictated) -> None:
        self.__dict__.update(first.__dict__)
        self.second = second
        self.times = 0

    def again(self) -> Dictated:
        """Counted."""
        self.times += 1
        return self.second


def verdict_of(sound: Dictated, vocabulary: Vocabulary, *, twice: bool = True) -> Verdict:
    """What is made of the sound where "no spark" and "my spark" may be said."""
    automaton = automaton_of(read_jsgf("public <x> = no spark | my spark;"))
    legal = Language(automaton, vocabulary, None, lambda word: SOUNDS.get(word, []))
    return judge(
        sound, legal, vocabulary, seconds=1.0, settings=BeamSettings(),
        thresholds=lambda words: Thresholds(act=0.3, ask=0.05), twice=twice,
    )  # fmt: skip


def test_a_doubtful_sentence_is_decided_by_both_hearings(vocabulary: Vocabulary) -> None:
    """The first hearing leans to one sentence, the second is sure of the other."""
    faint = Dictated(vocabulary, " mo spark", nats=5.0, phones="M AY S P AA R K")
    clear = Dictated(vocabulary, " no spark", nats=6.0, phones="N OW S P AA R K")
    same, other = HeardTwice(faint, faint), HeardTwice(faint, clear)
    assert verdict_of(same, vocabulary).best == "my spark"
    assert verdict_of(other, vocabulary).best == "no spark"
    assert (same.times, other.times) == (1, 1)


def test_what_is_sure_or_hopeless_is_heard_once(vocabulary: Vocabulary) -> None:
    """A second time would only cost time."""
    clear = Dictated(vocabulary, " no spark", nats=6.0, phones="N OW S P AA R K")
    stranger = Dictated(vocabulary, " my spark", nats=0.1, phones="F IH SH K EY K M AE L IY")
    for sound, trusted in ((clear, True), (stranger, False)):
        once = HeardTwice(sound, sound)
        assert (verdict_of(once, vocabulary).words is not None) == trusted
        assert once.times == 0


def test_twins_are_merged_before_rivals_are_cut() -> None:
    """Twenty ways to say one thing leave room for other meanings; of each the likeliest ways stay, in their order."""
    ranked = [f"a{number}" for number in range(20)] + ["b0", "b1", "b2"] + [f"{letter}0" for letter in "cdefghijk"]
    kept = apart(ranked, lambda words: words[0])
    assert kept[: 2 * TWINS] == ["a0", "a1", "b0", "b1"]
    assert len({words[0] for words in kept}) == RIVALS


def test_articles_leave_a_true_rival(vocabulary: Vocabulary) -> None:
    """ "a spark" and "the spark" are one meaning without tags; "her spark" rivals both."""
    automaton = automaton_of(read_jsgf("public <x> = (a | an | the) spark | her spark;"))
    sounds = SOUNDS | {"a": [["AH0"]], "an": [["AE1", "N"]], "the": [["DH", "AH0"]], "her": [["HH", "ER0"]]}
    legal = Language(automaton, vocabulary, None, lambda word: sounds.get(word, []))
    sound = Dictated(vocabulary, " the spark", nats=4.0, phones="DH AH S P AA R K")
    found = [words for words, _ in likely(sound, legal, vocabulary, BeamSettings())]
    assert "the spark" in found
    assert {"the spark", "her spark"} <= set(found)
    assert legal.mean_the_same("the spark", "a spark", {})
    assert not legal.mean_the_same("the spark", "her spark", {})


def test_a_number_never_stands_without_another_value(vocabulary: Vocabulary) -> None:
    """However far the phones of another number are, it is there to doubt the first by; of other sentences it is not."""
    sounds = {
        "six": [["S", "IH1", "K", "S"]], "nine": [["N", "AY1", "N"]],
        "dark": [["D", "AA1", "R", "K"]], "clear": [["K", "L", "IH1", "R"]],
    }  # fmt: skip
    for grammar, text, phones, meanings in (
        ("six | nine", " six", "S IH K S", 2),
        ("dark | clear", " dark", "D AA R K", 1),
    ):
        automaton = automaton_of(read_jsgf(f"public <x> = {grammar};"))
        legal = Language(automaton, vocabulary, None, lambda word: sounds.get(word, []))
        sound = Dictated(vocabulary, text, nats=4.0, phones=phones)
        found = {words for words, _ in likely(sound, legal, vocabulary, BeamSettings())}
        assert len(found) == meanings


def test_a_word_outside_the_grammar_is_not_taken_for_one_inside(vocabulary: Vocabulary) -> None:
    """Of "time left" only "left" was said: what is legal fits best, but less well than the word alone."""
    sounds = {"time": [["T", "AY1", "M"]], "left": [["L", "EH1", "F", "T"]], "why": [["W", "AY1"]]}
    automaton = automaton_of(read_jsgf("public <x> = time left | why;"))
    legal = Language(automaton, vocabulary, None, lambda word: sounds.get(word, []))

    def sure(phones: str) -> float:
        sound = Dictated(vocabulary, " time left", nats=5.0, phones=phones)
        return judge(
            sound, legal, vocabulary, seconds=1.0, settings=BeamSettings(),
            thresholds=lambda words: Thresholds(act=0.3, ask=0.05),
        ).confidence  # fmt: skip

    assert sure("L EH F T") < 0.4
    assert sure("T AY M L EH F T") > 0.8


def test_what_sounds_legal_is_no_outsider(vocabulary: Vocabulary) -> None:
    """ "know" sounds as "no" does, and parts that are legal themselves are rivals already."""
    sounds = {"no": [["N", "OW1"]], "know": [["N", "OW1"]], "go": [["G", "OW1"]], "note": [["N", "OW1", "T"]]}
    automaton = automaton_of(read_jsgf("public <x> = no | no note;"))
    legal = Language(automaton, vocabulary, None, lambda word: sounds.get(word, []))
    outside = {reading for each in legal.outsiders("no note") for reading in each.readings}
    assert outside == {legal.readings("note")[0], legal.readings("go")[0]}


def test_in_a_hurry_nothing_is_heard_twice(vocabulary: Vocabulary) -> None:
    """What is doubtful is then decided by the first hearing alone."""
    faint = Dictated(vocabulary, " mo spark", nats=5.0, phones="M AY S P AA R K")
    clear = Dictated(vocabulary, " no spark", nats=6.0, phones="N OW S P AA R K")
    once = HeardTwice(faint, clear)
    assert verdict_of(once, vocabulary, twice=False).best == "my spark"
    assert once.times == 0


def test_what_may_go_on_is_heard_twice_only_where_it_is_not_looked_at_again(vocabulary: Vocabulary) -> None:
    """A doubtful "no", of which "no spark" may become, counts for nothing at the first look; "no spark" may."""
    automaton = automaton_of(read_jsgf("public <x> = no | no spark | my spark;"))
    legal = Language(automaton, vocabulary, None, lambda word: SOUNDS.get(word, []))
    begun = Dictated(vocabulary, " mo", nats=4.0, phones="N OW")
    whole = Dictated(vocabulary, " mo spark", nats=5.0, phones="M AY S P AA R K")
    for sound, best, times in ((begun, "no", 0), (whole, "my spark", 1)):
        for later in (True, False):
            once = HeardTwice(sound, sound)
            found = judge(
                once, legal, vocabulary, seconds=1.0, settings=BeamSettings(), later=later,
                thresholds=lambda words: Thresholds(act=0.3, ask=0.05),
            )  # fmt: skip
            assert found.best == best
            assert once.times == (times if later else 1)


def test_a_rare_sentence_has_its_price(vocabulary: Vocabulary) -> None:
    """Of two that fit the sound alike the one that the grammar makes likelier is heard; a clear sound decides alone."""

    def best(grammar: str, text: str, phones: str) -> str | None:
        legal = Language(automaton_of(read_jsgf(grammar)), vocabulary, None, lambda word: SOUNDS.get(word, []))
        return judge(
            Dictated(vocabulary, text, nats=4.0, phones=phones), legal, vocabulary, seconds=1.0,
            settings=BeamSettings(), thresholds=lambda words: Thresholds(act=0.3, ask=0.0),
        ).best  # fmt: skip

    between = (" xx spark", "S P AA R K")
    assert best("public <x> = /100/ no spark | /1/ my spark;", *between) == "no spark"
    assert best("public <x> = /1/ no spark | /100/ my spark;", *between) == "my spark"
    assert best("public <x> = /1/ no spark | /100/ my spark;", " no spark", "N OW S P AA R K") == "no spark"


def test_a_word_that_the_network_writes_alone_is_no_phrase_that_holds_it(vocabulary: Vocabulary) -> None:
    """Where "go" is said and half of "back" seems to be in the noise, nothing legal rivals "go back", and the network,
    which likes short texts over noise, gives it much; of "go" alone it is surer still."""
    sounds = {"go": [["G", "OW1"]], "back": [["B", "AE1", "K"]], "why": [["W", "AY1"]]}
    automaton = automaton_of(read_jsgf("public <x> = go back | why;"))
    habits = HabitBook(MadeHabits(lambda prefixes: np.full((len(prefixes), len(PIECES)), -4.0, np.float32)), vocabulary)
    legal = Language(automaton, vocabulary, habits, lambda word: sounds.get(word, []))

    def judged(text: str, phones: str) -> Verdict:
        return judge(
            Dictated(vocabulary, text, nats=4.0, phones=phones), legal, vocabulary, seconds=1.0,
            settings=BeamSettings(), thresholds=lambda words: Thresholds(act=0.3, ask=0.1),
        )  # fmt: skip

    assert judged(" go", "G OW K").best == "go back"
    assert judged(" go", "G OW K").words is None
    assert judged(" go back", "G OW K").acts


def test_what_is_short_and_what_stops_us_is_not_held_against_words_outside(vocabulary: Vocabulary) -> None:
    """ "yes" is like "guess" when it was said, and a missed stop may hurt; a phrase is held."""
    sounds = {
        "yes": [["Y", "EH1", "S"]], "stop": [["S", "T", "AA1", "P"]], "skip": [["S", "K", "IH1", "P"]],
        "hold": [["HH", "OW1", "L", "D"]], "on": [["AA1", "N"]], "uh": [["AH1"]],
    }  # fmt: skip
    automaton = automaton_of(read_jsgf("public <x> = [uh] (yes | stop | skip | hold on);"))
    legal = Language(automaton, vocabulary, None, lambda word: sounds.get(word, []))
    held = [words for words in ("yes", "uh yes", "stop", "uh stop", "skip", "hold on") if may_be_held(legal, words)]
    assert held == ["skip", "hold on"]
