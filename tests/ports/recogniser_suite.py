"""What every recogniser does, whatever is inside. Each engine supplies its own language and how to say it."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np
import pytest
from numpy.typing import NDArray

from assistant.grammar.model import Alternatives, Grammar, Sequence, Word
from assistant.language.model import Heard
from assistant.ports import AudioBlock, Listening, Recogniser

Pcm = NDArray[np.int16]
RATE_HZ = 16_000


def listening_for(*phrases: str, dictation: bool = False) -> Listening:
    """A grammar of just these phrases."""
    choices = tuple(Sequence(tuple(Word(word) for word in phrase.split())) for phrase in phrases)
    return Listening(grammar=Grammar(rules={"said": Alternatives(choices)}, starts=("said",)), dictation=dictation)


def hear(
    recogniser: Recogniser, pcm: Pcm, *, start_s: float = 0.0, block: int = 1600, played: Pcm | None = None
) -> list[Heard]:
    """Everything heard in the sound, the end included. `played`: what our own speaker sent out meanwhile."""
    heard = [
        recogniser.accept(
            AudioBlock(
                pcm=pcm[at : at + block],
                start_s=start_s + at / RATE_HZ,
                played=None if played is None else played[at : at + block],
            )
        )
        for at in range(0, len(pcm), block)
    ]
    return [each for each in (*heard, recogniser.finish()) if each is not None]


class RecogniserSuite:
    """Inherit, set the phrases, and give the fixture `recogniser` and the method `say`."""

    first: str
    """A phrase."""
    second: str
    """A phrase that sounds quite different."""
    outside: str
    """Speech that is neither."""
    refuses = True
    """Whether this engine, or its model, can tell speech outside the grammar from speech inside it."""
    placed = True
    """Whether it knows where in the stream something was said."""

    @pytest.fixture(scope="class")
    @classmethod
    def recogniser(cls) -> Iterator[Recogniser]:
        """The engine under test, one for the class: models take time to load."""
        raise NotImplementedError

    def say(self, words: str) -> Pcm:
        """The words spoken with half a second of quiet around them."""
        raise NotImplementedError

    def test_each_phrase_is_heard_once_as_itself(self, recogniser: Recogniser) -> None:
        """What was said comes back exactly, once, with a confidence, its engine and the work it took."""
        recogniser.expect(listening_for(self.first, self.second))
        for words in (self.first, self.second):
            (heard,) = hear(recogniser, self.say(words))
            assert (heard.words, heard.engine) == (words, recogniser.name)
            assert 0.0 < heard.confidence <= 1.0
            assert heard.took_ms >= 0.0

    def test_it_knows_when_in_the_stream_it_was_said(self, recogniser: Recogniser) -> None:
        """Seconds count from the beginning of the stream, not of the utterance."""
        recogniser.expect(listening_for(self.first, self.second))
        pcm = self.say(self.first)
        (heard,) = hear(recogniser, pcm, start_s=40.0)
        assert 40.0 <= heard.began_s <= heard.ended_s <= 40.0 + len(pcm) / RATE_HZ + 0.1
        assert not self.placed or heard.began_s < heard.ended_s

    @pytest.mark.parametrize("block", [160, 512, 4001, 100_000])
    def test_the_length_of_blocks_does_not_matter(self, recogniser: Recogniser, block: int) -> None:
        """A hundredth of a second at a time or all at once: the same words."""
        recogniser.expect(listening_for(self.first, self.second))
        assert [heard.words for heard in hear(recogniser, self.say(self.first), block=block)] == [self.first]

    def test_silence_is_nothing(self, recogniser: Recogniser) -> None:
        """Three seconds without speech give no answer, not an empty one."""
        recogniser.expect(listening_for(self.first))
        assert hear(recogniser, np.zeros(3 * RATE_HZ, np.int16)) == []

    def test_the_grammar_may_change_between_utterances(self, recogniser: Recogniser) -> None:
        """What was legal a moment ago is not heard any more once something else is expected."""
        recogniser.expect(listening_for(self.first, self.second))
        assert [heard.words for heard in hear(recogniser, self.say(self.first))] == [self.first]
        recogniser.expect(listening_for(self.second))
        assert self.first not in [heard.words for heard in hear(recogniser, self.say(self.first))]
        assert [heard.words for heard in hear(recogniser, self.say(self.second))] == [self.second]

    def test_speech_outside_the_grammar_has_no_words(self, recogniser: Recogniser) -> None:
        """It is heard as speech that was not understood, or not at all; never as a legal phrase to act on."""
        if not self.refuses:
            pytest.skip("this model has no word for the unknown")
        recogniser.expect(listening_for(self.first, self.second))
        assert [heard for heard in hear(recogniser, self.say(self.outside)) if heard.words and not heard.unsure] == []

    def test_finish_takes_the_sound_as_it_stands_and_begins_anew(self, recogniser: Recogniser) -> None:
        """Cut off in the middle of the last silence the words are there; nothing of them is left for the next."""
        recogniser.expect(listening_for(self.first, self.second))
        pcm = self.say(self.first)
        assert [heard.words for heard in hear(recogniser, pcm[: len(pcm) - RATE_HZ * 2 // 5])] == [self.first]
        assert hear(recogniser, np.zeros(RATE_HZ, np.int16)) == []

    def test_dictation_keeps_what_was_said_as_free_text(self, recogniser: Recogniser) -> None:
        """Without a grammar to bind it there is text."""
        recogniser.expect(listening_for(self.first, dictation=True))
        assert any(heard.free_text for heard in hear(recogniser, self.say(self.second)))

    def test_our_own_voice_in_the_microphone_is_not_heard(self, recogniser: Recogniser) -> None:
        """What the speaker plays comes back from the room, a legal phrase; only someone else's saying it gives words.

        In its first second the canceller still learns the room: speech without words may be told then, and is ignored.
        """
        recogniser.expect(listening_for(self.first, self.second))
        played = np.concatenate([self.say(self.outside), self.say(self.first), np.zeros(RATE_HZ, np.int16)])
        echo = from_the_room(played)
        assert [heard.words for heard in hear(recogniser, echo, played=played) if heard.words] == []
        said = np.zeros(len(played))
        word = self.say(self.second)[: len(played) // 2]
        said[len(said) - len(word) - RATE_HZ // 2 :][: len(word)] = word * 0.6
        both = np.clip(echo + said, -32_768, 32_767).astype(np.int16)
        assert self.second in [heard.words for heard in hear(recogniser, both, played=played)]


def from_the_room(played: Pcm) -> Pcm:
    """What comes back of it 40 ms later at a third of its strength, a short tail after it; a little noise beside it."""
    random = np.random.default_rng(5)
    tail = random.standard_normal(3_000) * 10 ** (-3 * np.arange(3_000) / 3_000) * 0.015
    tail[0] = 0.33
    echo = np.convolve(played, np.concatenate([np.zeros(640), tail]))[: len(played)]
    return np.asarray(echo + random.standard_normal(len(echo)) * 20, np.int16)
