"""What is doubtful is heard a second time."""

from __future__ import annotations

from assistant.grammar.automaton import automaton_of
from assistant.grammar.jsgf import read_jsgf
from assistant.hearing.beam import BeamSettings, Language
from assistant.hearing.sentence import Verdict, judge
from assistant.hearing.tokens import Vocabulary
from assistant.hearing.trust import Thresholds
from tests.hearing.conftest import Dictated

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


def verdict_of(sound: Dictated, vocabulary: Vocabulary) -> Verdict:
    """What is made of the sound where "no spark" and "my spark" may be said."""
    automaton = automaton_of(read_jsgf("public <x> = no spark | my spark;"))
    legal = Language(automaton, vocabulary, None, lambda word: SOUNDS.get(word, []))
    return judge(
        sound, legal, vocabulary, seconds=1.0, settings=BeamSettings(),
        thresholds=lambda words: Thresholds(act=0.3, ask=0.05),
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
