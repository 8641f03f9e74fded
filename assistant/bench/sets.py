"""Test sets for hearing, made on the spot: what may be said where, who says it, over which noise."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from assistant.bench.noises import NOISES
from assistant.bench.stream import Stretch, in_noise
from assistant.bench.voices import Speaker, speak
from assistant.grammar.model import Grammar
from assistant.guide import expected
from assistant.guide.state import Frame, Mode, Position, State
from assistant.language.commands import COMMAND_PHRASES
from assistant.language.grammars import dangers_of, grammar_of
from assistant.language.guess import said_for
from assistant.language.model import Control, Expected
from assistant.language.questions import QUESTION_PHRASES, WHAT_IF
from assistant.ports import Listening
from assistant.procedure.model import Kind, Procedure
from assistant.session.adviser import Adviser
from assistant.session.listening import listening_for

Pcm = NDArray[np.int16]
Library = Mapping[str, Procedure]

ASKED = (Kind.ASK, Kind.CRANK, Kind.READING, Kind.CODES, Kind.INSTRUCT)
"""Steps that wait for an answer out of a grammar."""

PHRASES_A_MOMENT = 6
"""So many phrases are said at one moment of a job before the next."""


def at_read_back(now: Expected) -> Listening:
    """What is listened for where each answer waits for its yes and what the grammar refuses has a second chance."""
    return Listening(grammar=grammar_of(now), read_back=True, second_chance=True, said=said_for(now))


@dataclass(frozen=True)
class Ask:
    """A moment of a job at which something may be said: `expected` is just what the live session expects there.
    `state`: the job's at it, where it is known."""

    step: str
    expected: Expected
    state: State | None = None

    @cached_property
    def grammar(self) -> Grammar:
        """All that is legal there."""
        return grammar_of(self.expected)

    @cached_property
    def listening(self) -> Listening:
        """What a live session asks its recogniser to listen for there."""
        return listening_for(self.expected, self.grammar)

    @cached_property
    def answers(self) -> tuple[str, ...]:
        """Phrases that move the job on."""
        now = self.expected
        results = [phrase for phrases in now.results.values() for phrase in phrases]
        ready = COMMAND_PHRASES[Control.READY] if Control.READY in now.controls else ()
        return tuple(dict.fromkeys((*results, *now.acknowledge, *now.done, *ready)))

    @cached_property
    def others(self) -> tuple[str, ...]:
        """Commands and questions."""
        commands = [phrase for control in sorted(self.expected.controls) for phrase in COMMAND_PHRASES[control]]
        asked = [phrase for phrases in QUESTION_PHRASES.values() for phrase in phrases]
        supposed = [f"{WHAT_IF} {clause}" for clauses in self.expected.supposed.values() for clause in clauses]
        questions = asked + supposed if self.expected.questions else []
        return tuple(phrase for phrase in dict.fromkeys((*commands, *questions)) if phrase not in self.answers)


@dataclass(frozen=True, slots=True, kw_only=True)
class Utterance:
    """One phrase said once: what, by whom, over which noise."""

    words: str
    speaker: str
    noise: str
    snr_db: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Saying:
    """An utterance at its moment of a job, and the stretch of the stream in which it is said."""

    ask: Ask
    said: Utterance
    stretch: Stretch


def asks_of(library: Library, adviser: Adviser | None = None) -> list[Ask]:
    """Every moment of the procedures at which a phrase or a reading moves the job on: answers, cautions, gates."""
    asks = []
    for procedure in library.values():
        for step in procedure.steps:
            at = State(position=Position(at=Frame(procedure=procedure.id, step=step.id)), mode=Mode.ASKING)
            before = (frozenset(step.cautions[:number]) for number in range(len(step.cautions)))
            states = [replace(at, mode=Mode.CAUTIONING, acknowledged=told) for told in before]
            before = (frozenset(step.gates[:number]) for number in range(len(step.gates)))
            states += [replace(at, mode=Mode.GATING, passed=passed) for passed in before]
            states += [at] if step.kind in ASKED else []
            asks += [_ask(library, state, adviser) for state in states]
    return [ask for ask in asks if ask.answers or ask.expected.quantity]


def _ask(library: Library, state: State, adviser: Adviser | None) -> Ask:
    supposed = adviser.supposed(state) if adviser else {}
    now = replace(expected(library, state), questions=True, supposed=supposed)
    return Ask(f"{state.at.procedure}/{state.at.step}", now, replace(state, root=state.at.procedure))


class Speech:
    """Who said what, kept: a phrase is spoken once by each voice."""

    def __init__(self) -> None:
        self._said: dict[tuple[Speaker, str], Pcm] = {}

    def __call__(self, speaker: Speaker, words: str) -> Pcm:
        if (speaker, words) not in self._said:
            self._said[speaker, words] = speak(speaker, words)
        return self._said[speaker, words]


def said_somewhere(
    asks: Sequence[Ask],
    speakers: Sequence[Speaker],
    *,
    snr_db: float,
    numbers: range,
    random: np.random.Generator,
    talk: Sequence[Pcm],
    speech: Speech,
    legal: Callable[[str], bool] = lambda words: True,
) -> Iterator[Saying]:
    """Phrases of these `numbers` by all speakers in turn over all noises in turn, half answers, half commands, all
    `legal`.

    The same moment of a job is kept for a few phrases, as a session does not jump about either.
    """
    asks = [ask for ask in asks if ask.answers]
    ask = asks[0]
    sayable: tuple[list[str], list[str]] = ([], [])
    for number in numbers:
        if (number - numbers.start) % PHRASES_A_MOMENT == 0:
            ask = asks[int(random.integers(len(asks)))]
            sayable = [*filter(legal, ask.answers)], [*filter(legal, ask.others)]
        phrases = sayable[number % 2]
        words = phrases[int(random.integers(len(phrases)))]
        yield _said(ask, words, speakers, number, snr_db=snr_db, random=random, talk=talk, speech=speech)


def every_phrase(asks: Sequence[Ask]) -> list[tuple[str, Ask]]:
    """Each phrase that moves a job on, and where it first may be said."""
    places: dict[str, Ask] = {}
    for ask in asks:
        for words in ask.answers:
            places.setdefault(words, ask)
    return list(places.items())


def dangers_told(asks: Sequence[Ask], *, count: int, random: np.random.Generator) -> list[tuple[str, Ask]]:
    """So many dangers that are told out of turn, each at a moment of its own at which it is listened for."""
    places = [ask for ask in asks if any(dangers_of(ask.expected))]
    chosen = [places[int(random.integers(len(places)))] for _ in range(count if places else 0)]
    told = ((ask, list(dangers_of(ask.expected))) for ask in chosen)
    return [(words[number % len(words)], ask) for number, (ask, words) in enumerate(told)]


def said_in_turn(
    places: Sequence[tuple[str, Ask]],
    speakers: Sequence[Speaker],
    *,
    snr_db: float,
    numbers: range,
    random: np.random.Generator,
    talk: Sequence[Pcm],
    speech: Speech,
) -> Iterator[Saying]:
    """The phrases of these `numbers`, each at its place, by one speaker and in one noise after the other."""
    for number in numbers:
        words, ask = places[number]
        yield _said(ask, words, speakers, number, snr_db=snr_db, random=random, talk=talk, speech=speech)


def _said(
    ask: Ask,
    words: str,
    speakers: Sequence[Speaker],
    number: int,
    *,
    snr_db: float,
    random: np.random.Generator,
    talk: Sequence[Pcm],
    speech: Speech,
) -> Saying:
    speaker = speakers[number % len(speakers)]
    noise = list(NOISES)[(number // len(speakers)) % len(NOISES)]
    stretch = in_noise(speech(speaker, words), snr_db, noise, random, talk)
    return Saying(
        ask=ask, said=Utterance(words=words, speaker=speaker.name, noise=noise, snr_db=snr_db), stretch=stretch
    )
