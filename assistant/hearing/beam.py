"""A beam search that writes only what the grammar allows.

Every hypothesis carries the place it has reached in the language; only tokens that lead on from there compete. A
network that writes text has habits of its own: it likes short and common phrases whatever the sound. What the same
network would write over noise alone measures those habits, and most of it is taken off (`prior_share`).
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from typing import Protocol

import numpy as np
from numpy.typing import NDArray

from assistant.grammar.automaton import Automaton
from assistant.hearing.phones import Reading, numbered
from assistant.hearing.spelling import Place, Spelling, letters_of
from assistant.hearing.tokens import Legal, Vocabulary

Floats = NDArray[np.float32]


class Passage(Protocol):
    """One stretch of sound, ready to be written down by the network, several hypotheses at a time."""

    def begin(self) -> Floats:
        """Logits of the first token: (1, tokens)."""

    def step(self, parents: NDArray[np.int64], tokens: NDArray[np.int64]) -> Floats:
        """Logits after each of `tokens` was added to the row `parents` of the last call: (rows, tokens)."""

    def phones(self) -> Floats:
        """Log-probability of each phone at each step of the sound: (steps, 40)."""


Sounds = Callable[[str], Sequence[Sequence[str]]]
"""The pronunciations of a word in ARPAbet; none where they are unknown."""

MOST_READINGS = 6
"""Ways to say one sentence that are tried."""

Habits = Callable[[Sequence[tuple[int, ...]]], Floats]
"""Log-probability of each next token after each prefix, over noise alone: (prefixes, tokens)."""


@dataclass(frozen=True, slots=True, kw_only=True)
class BeamSettings:
    """`width`: hypotheses kept; `first_widths`: at the first tokens, which tell little. `prior_share`: how much of the
    habit is taken off, 0 to 1. `length_power`: the score is divided by tokens to this power. `slack`: how far below the
    best, in nats, a hypothesis may be and stay. Source: measured with `hoodside bench hear` on the tuning voices."""

    width: int = 14
    first_widths: tuple[int, ...] = (40, 32, 20)
    prior_share: float = 0.7
    length_power: float = 0.0
    slack: float = 16.0
    max_tokens: int = 64


@dataclass(frozen=True, slots=True, kw_only=True)
class Candidate:
    """A whole sentence of the grammar. `speech`, `habit`: its log-probability over the sound and over noise alone."""

    tokens: tuple[int, ...]
    text: str
    speech: float
    habit: float
    score: float


@dataclass(slots=True)
class _Hypothesis:
    tokens: tuple[int, ...]
    letters: str
    place: Place
    speech: float
    habit: float


class HabitBook:
    """Remembers, for one language, what the network would write over noise after each prefix met so far."""

    def __init__(self, habits: Habits, vocabulary: Vocabulary) -> None:
        self._habits = habits
        self._vocabulary = vocabulary
        self._known: dict[tuple[int, ...], tuple[Floats, float]] = {}

    def look_up(self, rows: Sequence[tuple[tuple[int, ...], Legal]]) -> list[tuple[Floats, float]]:
        """For each prefix: log-probabilities of its legal tokens, and of the end."""
        missing = {prefix: legal for prefix, legal in rows if prefix not in self._known}
        if missing:
            scores = self._habits(list(missing))
            for (prefix, legal), row in zip(missing.items(), scores, strict=True):
                self._known[prefix] = (row[legal.tokens], float(row[self._vocabulary.end]))
        return [self._known[prefix] for prefix, _ in rows]


class Language:
    """One grammar ready to be searched; keeps what the searches learn about it, so make it once."""

    def __init__(
        self, automaton: Automaton, vocabulary: Vocabulary, habits: Habits | None, sounds: Sounds | None = None
    ) -> None:
        self._automaton = automaton
        self._sounds = sounds
        self._readings: dict[str, tuple[Reading, ...]] = {}
        self.spelling = Spelling(automaton)
        self.beginnings = vocabulary.beginnings(self.spelling.written_words())
        self.habits = None if habits is None else HabitBook(habits, vocabulary)

    def unspellable(self, vocabulary: Vocabulary) -> frozenset[str]:
        """Words of the grammar that no tokens of the network write."""
        return frozenset(
            word
            for word in self._automaton.vocabulary()
            if letters_of(word) and not vocabulary.encode(letters_of(word))
        )

    def readings(self, words: str) -> tuple[Reading, ...]:
        """The phones of each way to say these words, at most MOST_READINGS; none where a word's sound is unknown."""
        if self._sounds is None:
            return ()
        found: tuple[Reading, ...] = ((),)
        for word in words.split():
            if word not in self._readings:
                self._readings[word] = tuple(dict.fromkeys(numbered(phones) for phones in self._sounds(word)))
            found = tuple(before + after for before in found for after in self._readings[word])[:MOST_READINGS]
        return found

    def tags(self, words: str) -> tuple[str, ...]:
        """The tags on the way through these words."""
        return self._automaton.tags(words.split()) or ()

    def goes_on(self, words: str) -> bool:
        """Whether a longer legal sentence begins with these words."""
        states = {self._automaton.start}
        for word in words.split():
            states = {
                target for state in states for legal, target in self._automaton.next_words(state) if legal == word
            }
        return any(self._automaton.next_words(state) for state in states)


def search(passage: Passage, language: Language, vocabulary: Vocabulary, settings: BeamSettings) -> list[Candidate]:
    """The sentences of the language that best fit the sound, best first; empty when none was reached."""
    spelling, habits = language.spelling, language.habits
    live = [_Hypothesis((), "", spelling.start, 0.0, 0.0)]
    logits = passage.begin()
    ended: dict[str, Candidate] = {}
    best_speech = -np.inf
    for depth in range(settings.max_tokens):
        whole = log_sums(logits)
        legals = [vocabulary.legal(spelling, row.place) for row in live]
        if habits is None:
            known = [(np.zeros(len(legal.tokens), np.float32), 0.0) for legal in legals]
        else:
            known = habits.look_up([(row.tokens, legal) for row, legal in zip(live, legals, strict=True)])
        for index, row in enumerate(live):
            if row.place.ends and vocabulary.may_end(row.tokens):
                candidate = _ended(
                    row, float(logits[index, vocabulary.end] - whole[index]), known[index][1], vocabulary, settings
                )
                best_speech = max(best_speech, candidate.speech)
                key = _canonical(candidate.text)
                if key not in ended or ended[key].score < candidate.score:
                    ended[key] = candidate
        chosen = _best_moves(
            live,
            legals,
            (logits, whole),
            known,
            (vocabulary, language.beginnings),
            settings=_at(settings, depth),
            best_speech=best_speech,
        )
        if not chosen:
            break
        logits = passage.step(
            np.array([index for index, _ in chosen], np.int64),
            np.array([row.tokens[-1] for _, row in chosen], np.int64),
        )
        live = [row for _, row in chosen]
    return sorted(ended.values(), key=lambda candidate: -candidate.score)


def _at(settings: BeamSettings, depth: int) -> BeamSettings:
    return replace(settings, width=settings.first_widths[depth]) if depth < len(settings.first_widths) else settings


def _best_moves(
    live: Sequence[_Hypothesis],
    legals: Sequence[Legal],
    scores_of: tuple[Floats, Floats],
    known: Sequence[tuple[Floats, float]],
    writing: tuple[Vocabulary, frozenset[tuple[int, ...]]],
    *,
    settings: BeamSettings,
    best_speech: float,
) -> list[tuple[int, _Hypothesis]]:
    vocabulary, beginnings = writing
    logits, whole = scores_of
    speech = [
        np.where(
            vocabulary.may_follow(row.tokens, legal, beginnings),
            row.speech + logits[index, legal.tokens] - whole[index],
            -np.inf,
        )
        for index, (row, legal) in enumerate(zip(live, legals, strict=True))
    ]
    habit = [row.habit + known[index][0] for index, row in enumerate(live)]
    scores = np.concatenate([s - settings.prior_share * h for s, h in zip(speech, habit, strict=True)])
    if not scores.size:
        return []
    starts = np.cumsum([0] + [len(legal.tokens) for legal in legals])
    ranked = np.argsort(-scores)[: 6 * settings.width]
    floor = max(float(scores[ranked[0]]) - settings.slack, -np.inf)
    chosen: list[tuple[int, _Hypothesis]] = []
    taken: set[str] = set()
    for flat in ranked:
        index = int(np.searchsorted(starts, flat, side="right")) - 1
        move = int(flat - starts[index])
        row, token = live[index], int(legals[index].tokens[move])
        grown = _Hypothesis(
            (*row.tokens, token),
            row.letters + vocabulary.letters(token),
            legals[index].places[move],
            float(speech[index][move]),
            float(habit[index][move]),
        )
        if scores[flat] < floor or not np.isfinite(scores[flat]) or grown.speech < best_speech - 2 * settings.slack:
            continue
        # Two spellings of the same letters crowd out other phrases; the better one stands for both.
        if grown.letters in taken:
            continue
        taken.add(grown.letters)
        chosen.append((index, grown))
        if len(chosen) == settings.width:
            break
    return chosen


def _ended(
    row: _Hypothesis, end_log: float, end_habit: float, vocabulary: Vocabulary, settings: BeamSettings
) -> Candidate:
    speech, habit = row.speech + end_log, row.habit + end_habit
    length = float(len(row.tokens) + 1) ** settings.length_power
    return Candidate(
        tokens=row.tokens,
        text=vocabulary.text(row.tokens),
        speech=speech,
        habit=habit,
        score=(speech - settings.prior_share * habit) / length,
    )


def _canonical(text: str) -> str:
    return "".join(letter for letter in text.lower() if letter.isalnum())


def log_softmax(logits: Floats) -> Floats:
    """Log-probabilities of each row."""
    logs: Floats = logits - log_sums(logits)[:, None]
    return logs


def log_sums(logits: Floats) -> Floats:
    """What is taken off the logits of each row to make them log-probabilities.

    Row by row: a row fits the processor's cache, all of them together do not, and take three times as long.
    """
    found = np.empty(len(logits), np.float32)
    for number, row in enumerate(logits):
        top = row.max()
        found[number] = top + np.log(np.exp(row - top).sum())
    return found
