"""Writes down what a stretch of sound says, inside the grammar and, where that is not clear, also freely; at once, or
on a thread of its own while the next sound is taken in."""

from __future__ import annotations

from concurrent.futures import Future
from contextlib import suppress
from dataclasses import dataclass, replace
from functools import partial

import numpy as np
from numpy.typing import NDArray

from assistant.adapters.recogniser_embedded import limits
from assistant.adapters.recogniser_embedded.again import HeardAgain, on_a_thread
from assistant.adapters.recogniser_embedded.at_stake import AtStake
from assistant.adapters.recogniser_embedded.freely import FreeWriting, Writing, dictated, with_second
from assistant.adapters.recogniser_embedded.look import Look, goes_alone, look_at, since, told_by
from assistant.adapters.recogniser_embedded.network import GivenUp, Network, SpeechPassage
from assistant.adapters.recogniser_embedded.second import says_else, usual, wants_second
from assistant.hearing.beam import Language
from assistant.hearing.candidate import BeamSettings
from assistant.hearing.endpoint import FRAME_S
from assistant.hearing.gate import FRAME
from assistant.hearing.sentence import Part, Verdict, judge, near
from assistant.hearing.sound import cleaned
from assistant.language.commands import COMMAND_PHRASES, CUTS_SPEECH
from assistant.language.grammars import READING_TAG, WORDED_TAGS, says_all
from assistant.language.model import Heard, Written
from assistant.language.reading import only_names_the_unit
from assistant.language.stakes import Tail
from assistant.ports import SAMPLE_RATE_HZ, Listening

Pcm = NDArray[np.int16]

CUTTING = tuple(frozenset(phrase.split()) for each in CUTS_SPEECH for phrase in COMMAND_PHRASES[each])
"""The words of each phrase that stops us."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Sound:
    """`pcm`: int16, mono, (frames,), 16 000 Hz, from `began_s` of the stream on. `part`: the frames of it that stand
    out; where the whole says nothing that is sure, they alone may. `later`: what is not clear is looked at again in a
    moment. `hurried`: sound waits, so it is heard once and nothing is written freely. `sure`: somebody surely spoke to
    us. `amid`: as in `Heard`. `started`: as `since` has it."""

    pcm: Pcm
    began_s: float
    started: float
    part: slice | None = None
    later: bool = False
    hurried: bool = False
    sure: bool = False
    amid: bool = False

    @property
    def seconds(self) -> float:
        """How long it is."""
        return len(self.pcm) / SAMPLE_RATE_HZ


@dataclass(frozen=True, slots=True, kw_only=True)
class WrittenDown:
    """`nothing_longer`: no longer sentence of another meaning is legal. `look`: None where somebody dictates. `amid`:
    of the sound."""

    heard: Heard
    nothing_longer: bool
    look: Look | None = None
    amid: bool = False


class UnderWay:
    """Sound that is being worked out on another thread. `reads`: to the phones it is a reading."""

    def __init__(self, found: Future[WrittenDown], passage: SpeechPassage, *, reads: bool = False) -> None:
        self._found, self._passage, self.reads = found, passage, reads

    def result(self) -> WrittenDown:
        """Wait until it is."""
        return self._found.result()

    def give_up(self) -> None:
        """Speech goes on, or the answer has come: wait until nothing works on it any more, a call of the network at
        most, for what the grammar remembers is made for one at a time."""
        self._passage.give_up()
        with suppress(GivenUp):
            self._found.result()


class Scribe:
    """One sound at a time."""

    def __init__(self, network: Network, *, settings: BeamSettings, trade: frozenset[str], name: str) -> None:
        """`trade`: words, in small letters, that are liked a little better where somebody dictates. `name`: of the
        engine that is told to have heard it."""
        self._network: Network | None = network
        self._vocabulary = network.vocabulary
        self._settings, self._trade, self._name = settings, trade, name
        self._free = FreeWriting(network.vocabulary)
        self._listening: Listening | None = None
        self._language: Language | None = None
        self._at_stake = AtStake(tags=lambda _: ())

    def expect(self, listening: Listening, language: Language | None, at_stake: AtStake) -> None:
        """What may be said from now on. Not while something is under way."""
        self._free.expect(listening.said)
        self._listening, self._language, self._at_stake = listening, language, at_stake

    def close(self) -> None:
        """Free memory; may be called twice."""
        self._free.close()
        self._network = None

    def freely(self, pcm: Pcm) -> tuple[Written, ...]:
        """What it says bound to no grammar, likeliest first."""
        return self._free.write(self._passage(pcm))

    def write(self, sound: Sound) -> WrittenDown:
        """What it says."""
        passage, language = self._passage(sound.pcm), self._language
        writing = None if sound.later else self._beside_it(sound, passage)
        if language is None or self._listening is None or self._listening.dictation:
            return self._written(sound, passage, writing)
        part = near(passage, language)
        if sound.later:
            writing = self._beside_it(sound, passage, part)
        return self._written(sound, passage, writing, (part,))

    def begin(self, sound: Sound) -> UnderWay | WrittenDown:
        """The same on another thread; at once where it could be a word that stops us, or is nothing at all."""
        passage, language = self._passage(sound.pcm), self._language
        if language is None:
            return self._written(sound, passage, None)
        part = near(passage, language)
        if part is None or may_stop(part):
            return self._written(sound, passage, self._beside_it(sound, passage, part), (part,))
        return self._under_way(sound, passage, language, part)

    def begin_early(self, sound: Sound) -> UnderWay | None:
        """The same where speech may go on in a moment; None for what is not worked out on another thread."""
        passage, language = self._passage(sound.pcm), self._language
        part = near(passage, language) if language is not None else None
        if language is None or part is None or may_stop(part):
            return None
        return self._under_way(sound, passage, language, part)

    def _under_way(self, sound: Sound, passage: SpeechPassage, language: Language, part: Part) -> UnderWay:
        writing = self._beside_it(sound, passage, part)
        work = partial(self._written, sound, passage, writing, (part,))
        return UnderWay(on_a_thread(work, "works-out"), passage, reads=is_reading(part, language))

    def _beside_it(self, sound: Sound, passage: SpeechPassage, part: Part | None = None) -> Writing | None:
        """Free writing, begun before it is known whether it is wanted, where mostly it is. `part`: what fits the
        phones; at a first look that of no command, question or reading is, nor where nothing fits."""
        asks = self._listening is not None and self._listening.second_chance and not self._listening.dictation
        if not asks or sound.hurried:
            return None
        wanted = part is not None and wants_second(usual(part[1]), self._at_stake.tags(part[1]))
        return None if sound.later and not sound.amid and not wanted else self._free.begin(passage)

    def _passage(self, pcm: Pcm) -> SpeechPassage:
        if self._network is None:
            raise RuntimeError("the recogniser is closed")
        return SpeechPassage(self._network, cleaned(pcm))

    def _written(
        self, sound: Sound, passage: SpeechPassage, writing: Writing | None, nearest: tuple[Part | None, ...] = ()
    ) -> WrittenDown:
        """`writing`: what is written freely meanwhile, if it is; `nearest`: as `judge` has it."""
        if self._listening is None:
            raise RuntimeError("the recogniser expects nothing yet")
        began_s, ended_s, language, part = sound.began_s, sound.began_s + sound.seconds, self._language, sound.part
        if self._listening.dictation or language is None:
            heard = dictated(passage, self._trade.__contains__)
            took_ms = since(sound.started)
            heard = replace(heard, began_s=began_s, ended_s=ended_s, took_ms=took_ms, engine=self._name)
            return WrittenDown(heard=heard, nothing_longer=False, amid=sound.amid)
        asks = self._listening.second_chance and not sound.hurried
        again = self._heard_again(language, passage, sound, nearest)
        try:
            verdict = self._judged(language, passage, sound, nearest=nearest, again=again)
        finally:
            if again is not None:
                again.give_up()
        nearer = self._nearer(language, sound, part, verdict) if part is not None else None
        if part is not None and nearer is not None:
            if writing is not None:
                writing.give_up()
            writing, (passage, verdict) = None, nearer
            began_s += part.start * FRAME_S
            ended_s = began_s + (part.stop - part.start) * FRAME_S
        heard = told_by(verdict, began_s, ended_s, self._name, sound.started)
        clear = heard.words is not None and not heard.unsure and verdict.nothing_longer
        stops = self._at_stake.stops(heard.words)
        second = sound.amid or wants_second(heard, language.tags(heard.words or ""))
        wanted = heard.unsure or (asks and second and not (stops and self._at_stake.timed))
        if wanted and (clear or not sound.later):
            # what is offered for a yes must not be the opposite of what was said
            written = writing.texts() if writing is not None else self._free.write(passage)
            heard = replace(with_second(heard, written, verdict), took_ms=since(sound.started))
            if asks and stops and self._at_stake.asked and says_else(written):
                heard = replace(heard, words=None)
        elif writing is not None:
            writing.give_up()
        look = look_at(verdict, began_s, ended_s, sure=sound.sure)
        return WrittenDown(heard=heard, nothing_longer=verdict.nothing_longer, look=look, amid=sound.amid)

    def _heard_again(
        self, language: Language, passage: SpeechPassage, sound: Sound, nearest: tuple[Part | None, ...]
    ) -> HeardAgain | None:
        """Begun where to the phones it is a reading, which will be heard a second time now."""
        part = nearest[0] if nearest else None
        if part is None or sound.hurried or not is_reading(part, language):
            return None
        if sound.later and language.means_more(part[1], says_all, only_names_the_unit):
            return None
        return HeardAgain(passage, language, self._settings)

    def _judged(
        self, language: Language, passage: SpeechPassage, sound: Sound, *,
        nearest: tuple[Part | None, ...] = (), again: HeardAgain | None = None,
    ) -> Verdict:  # fmt: skip
        return judge(
            passage, language, self._vocabulary,
            seconds=sound.seconds, settings=self._settings, thresholds=self._at_stake.thresholds, settled=says_all,
            worded=WORDED_TAGS, twice=not sound.hurried, adds_nothing=only_names_the_unit, nearest=nearest,
            later=sound.later, own=None if again is None else again.own,
        )  # fmt: skip

    def _nearer(
        self, language: Language, sound: Sound, part: slice, whole: Verdict
    ) -> tuple[SpeechPassage, Verdict] | None:
        """What stands out by itself, where that is surer than the whole."""
        if sound.hurried or (whole.acts and whole.confidence >= limits.WHOLE_AT):
            return None
        out = replace(sound, pcm=sound.pcm[part.start * FRAME : part.stop * FRAME])
        passage = self._passage(out.pcm)
        alone = self._judged(language, passage, out)
        surer = not whole.acts or alone.confidence > whole.confidence
        surer = surer and alone.confidence >= limits.STANDS_OUT_AT and self._at_stake.tail(alone.words) is not Tail.NONE
        return (passage, alone) if surer and goes_alone(alone, whole, language, WORDED_TAGS) else None


def is_reading(part: Part, language: Language) -> bool:
    """Whether the best sentence of that part of the grammar, by phones, is a reading."""
    return READING_TAG in language.tags(part[1])


def may_stop(part: Part) -> bool:
    """Whether a word that stops us can be said with the words of that part of the grammar."""
    words = part[0].vocabulary()
    return any(each <= words for each in CUTTING)
