"""A beam search that writes only what the grammar allows.

Every hypothesis carries the place it has reached in the language; only tokens that lead on from there compete. A
network that writes text has habits of its own: it likes short and common phrases whatever the sound. What the same
network would write over noise alone measures those habits, and most of it is taken off (`prior_share`).
"""

from __future__ import annotations

from collections.abc import Callable, Hashable, Mapping, Sequence
from copy import copy
from dataclasses import dataclass, replace
from functools import cached_property

import numpy as np

from assistant.grammar.automaton import Automaton
from assistant.hearing.candidate import BeamSettings, Candidate, Candidates, score_of
from assistant.hearing.habits import HabitBook
from assistant.hearing.outsiders import MOST_HELD_PHONES, Outsider, parts_of, strangers_to
from assistant.hearing.passage import Floats, Passage, log_sums
from assistant.hearing.phone_search import PhoneNet, phone_net
from assistant.hearing.phones import Reading, numbered
from assistant.hearing.spelling import Place, Spelling, letters_of
from assistant.hearing.tokens import Legal, Vocabulary

Sounds = Callable[[str], Sequence[Sequence[str]]]
"""The pronunciations of a word in ARPAbet; none where they are unknown."""

MOST_READINGS = 6
"""Ways to say one sentence that are tried."""

MOST_LONGER = 24
"""Longer sentences whose meaning is looked at, at most: units behind a number that cannot go on."""

LEAST_LIKELY = -30.0
"""However rare, a sentence is no less likely than this."""

SAYING_NOTHING = frozenset({"a", "an", "the", "uh", "um", "er", "please"})
"""Words without which a sentence that has no tags means the same: articles and pure fillers."""


Reached = dict[tuple[str, int, bool], float]
"""The best score with which letters were written up to a place of the language, a mark last or not, in a search."""


@dataclass(slots=True)
class _Hypothesis:
    tokens: tuple[int, ...]
    letters: str
    place: Place
    speech: float
    habit: float


class Language:
    """One grammar ready to be searched; keeps what the searches learn about it, so make it once.

    `few`: it is so small that habits need not be known to keep the search narrow; they are looked up at its end, of the
    sentences found, which spares a call of the network for each token.
    """

    def __init__(
        self,
        automaton: Automaton,
        vocabulary: Vocabulary,
        habits: HabitBook | None,
        sounds: Sounds | None = None,
        *,
        few: bool = False,
    ) -> None:
        self._automaton = automaton
        self._vocabulary = vocabulary
        self._sounds = sounds
        self._readings: dict[str, tuple[Reading, ...]] = {}
        self.spelling = Spelling(automaton)
        self.beginnings = vocabulary.beginnings(self.spelling.written_words())
        self._habits = habits
        self._few = few
        self._habits_here: dict[tuple[int, ...], tuple[Floats, float]] = {}
        self._tags: dict[str, tuple[str, ...]] = {}

    def habits(self, rows: Sequence[tuple[tuple[int, ...], Legal]]) -> list[tuple[Floats, float]]:
        """For each prefix: log-probabilities over noise of its legal tokens, and of the end; noughts without habits."""
        if self._habits is None or self._few:
            return [(np.zeros(len(legal.tokens), np.float32), 0.0) for _, legal in rows]
        missing = {prefix: legal for prefix, legal in rows if prefix not in self._habits_here}
        if missing:
            self._habits_here |= self._habits.look_up(missing)
        return [self._habits_here[prefix] for prefix, _ in rows]

    def habits_of(self, sentences: Sequence[tuple[int, ...]]) -> list[float]:
        """Log-probability of each sentence of tokens over noise alone, its end included; noughts without habits."""
        return self._habits.of_sentences(sentences) if self._habits else [0.0] * len(sentences)

    def written_as(self, words: str) -> list[tuple[int, ...]]:
        """The tokens of the ways in which the network may write these words, legal or not."""
        ways = (f" {form}{end}" for form in (words, words.capitalize()) for end in ("", "."))
        return [tokens for tokens in map(self._vocabulary.encode, ways) if tokens]

    def part(self, automaton: Automaton) -> Language:
        """A part of it, with what is known of its habits."""
        return Language(automaton, self._vocabulary, self._habits, few=True)

    def weighed(self, found: Candidates, settings: BeamSettings) -> list[Candidate]:
        """The sentences found, best first; where habits were left out of the search they are taken off now."""
        if self._habits is None or not self._few or not found:
            return sorted(found, key=lambda candidate: -candidate.score)
        habits = self._habits.of_sentences([candidate.tokens for candidate in found])
        weighed = [
            replace(candidate, habit=habit, score=score_of(candidate.speech, habit, len(candidate.tokens), settings))
            for candidate, habit in zip(found, habits, strict=True)
        ]
        return sorted(weighed, key=lambda candidate: -candidate.score)

    @cached_property
    def phone_net(self) -> PhoneNet | None:
        """Its words as chains of phones, all but the sentences of `unsounded`; None where phones can tell nothing."""
        whole = self._automaton.without(self._mute) if self._mute else self._automaton
        return phone_net(whole, self._of_word) if self._sounds else None

    @cached_property
    def unsounded(self) -> Language | None:
        """Its sentences with a word whose sound is unknown; None where each word has one, or none at all."""
        beside = self.phone_net is not None and self._mute
        return self.part(self._automaton.with_any(self._mute)) if beside else None

    @cached_property
    def _mute(self) -> frozenset[str]:
        return frozenset(word for word in self._automaton.vocabulary() if not self._of_word(word))

    def made_ready(self) -> Language:
        """Itself, with all that a first search would make: better now than between what is said and the answer."""
        if self.phone_net is not None:
            self._strangers, self.unsounded  # noqa: B018 - remembered from here on
        return self

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
            found = tuple(before + after for before in found for after in self._of_word(word))[:MOST_READINGS]
        return found

    def _of_word(self, word: str) -> tuple[Reading, ...]:
        if word not in self._readings:
            known = self._sounds(word) if self._sounds else ()
            self._readings[word] = tuple(dict.fromkeys(numbered(phones) for phones in known))
        return self._readings[word]

    def outsiders(self, words: str) -> tuple[Outsider, ...]:
        """What a short sentence could be instead when nothing legal was said: parts of it, and common words; none where
        it is long or the sound of a word is unknown."""
        own = self.readings(words)
        if not own or min(map(len, own)) > MOST_HELD_PHONES:
            return ()
        return *parts_of(words, self.readings, self._automaton.accepts), *self._strangers

    @cached_property
    def _strangers(self) -> tuple[Outsider, ...]:
        beginnings = {word for word, _ in self._automaton.next_words(self._automaton.start)}
        legal = [self._of_word(word) for word in beginnings if self._automaton.accepts([word])]
        return strangers_to({reading for each in legal for reading in each}, self._of_word)

    def likelihood(self, words: str) -> float:
        """How likely the grammar's weights make a sentence: nats, 0 or less; LEAST_LIKELY for what is no sentence."""
        return max(self._automaton.likelihood(words.split()), LEAST_LIKELY)

    def tags(self, words: str) -> tuple[str, ...]:
        """The tags on the way through these words."""
        if words not in self._tags:
            self._tags[words] = self._automaton.tags(words.split()) or ()
        return self._tags[words]

    @cached_property
    def unweighed(self) -> Language:
        """The same language, of whose sentences the habits are looked up at the end of a search. What is known of its
        spelling serves both: made anew, each first doubtful answer of a step waits for it, 50 to 100 ms."""
        same = copy(self)
        same._few = True
        return same

    def meaning(self, words: str, worded: Mapping[str, Callable[[str], object]]) -> Hashable:
        """What a sentence means, to be compared: its tags, and of the words what these do not say; where it has no tags
        the words without those that say nothing. `worded`: tags that do not say all, and what of a sentence is meant
        besides: "twelve volt" and "twelve volts" are both twelve volts."""
        tags = self.tags(words)
        if tags:
            return tags, tuple(str(worded[tag](words)) for tag in tags if tag in worded)
        said = tuple(word for word in words.split() if word not in SAYING_NOTHING)
        return said or words

    def mean_the_same(self, one: str, other: str, worded: Mapping[str, Callable[[str], object]]) -> bool:
        """Whether two sentences have one meaning."""
        return self.meaning(one, worded) == self.meaning(other, worded)

    def means_more(
        self, words: str, settled: Callable[[str], bool],
        adds_nothing: Callable[[str, Sequence[str]], bool] = lambda words, longer: False,
    ) -> bool:  # fmt: skip
        """Whether a longer legal sentence that begins with these words means something else: "no spark" after "no", but
        not "yes please" after "yes". `settled`: whether a tag stands for one meaning, whatever the words;
        `adds_nothing`: whether these longer sentences, which are all, say only what goes without saying."""
        meant = self.tags(words)
        is_settled = bool(meant) and all(map(settled, meant))
        if not any(not is_settled or beyond != meant for beyond in self._automaton.tags_beyond(words.split())):
            return False
        longer = self._automaton.longer(words.split(), MOST_LONGER)
        return longer is None or any(self.tags(one) != meant for one in longer) or not adds_nothing(words, longer)


def search(
    passage: Passage, language: Language, vocabulary: Vocabulary, settings: BeamSettings,
    among: Callable[[Candidates], Candidates] = lambda found: found,
) -> list[Candidate]:  # fmt: skip
    """The sentences of the language that best fit the sound, best first; empty when none was reached.

    `among`: those of the sentences found, before their habits are looked up, that matter.
    """
    return language.weighed(among(sentences_in(passage, language, vocabulary, settings)), settings)


def sentences_in(passage: Passage, language: Language, vocabulary: Vocabulary, settings: BeamSettings) -> Candidates:
    """The same, in no order, before habits that were left out of the search are taken off: it asks the network of
    nothing but this passage, so another of the same sound may be searched meanwhile."""
    spelling = language.spelling
    live = [_Hypothesis((), "", spelling.start, 0.0, 0.0)]
    logits = passage.begin()
    ended: dict[str, Candidate] = {}
    best_speech = -np.inf
    reached: Reached = {}
    for depth in range(settings.max_tokens):
        whole = log_sums(logits)
        legals = [vocabulary.legal(spelling, row.place) for row in live]
        known = language.habits([(row.tokens, legal) for row, legal in zip(live, legals, strict=True)])
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
            live, legals, (logits, whole), known, (vocabulary, language.beginnings),
            settings=_at(settings, depth), best_speech=best_speech, reached=reached,
        )  # fmt: skip
        if not chosen:
            break
        logits = passage.step(
            np.array([index for index, _ in chosen], np.int64),
            np.array([row.tokens[-1] for _, row in chosen], np.int64),
        )
        live = [row for _, row in chosen]
    return list(ended.values())


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
    reached: Reached,
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
        hopeless = grown.speech < best_speech - settings.slack_to_whole
        if scores[flat] < floor or not np.isfinite(scores[flat]) or hopeless:
            continue
        # Two spellings of the same letters crowd out other phrases; the better one stands for both, also where the
        # other has more tokens and comes later: half of all steps went into writing anew what stood there already. A
        # mark stands for itself: it costs now what may be won after it.
        here = grown.letters, id(grown.place), not vocabulary.letters(token)
        if grown.letters in taken or reached.get(here, -np.inf) >= scores[flat]:
            continue
        taken.add(grown.letters)
        reached[here] = float(scores[flat])
        chosen.append((index, grown))
        if len(chosen) == settings.width:
            break
    return chosen


def _ended(
    row: _Hypothesis, end_log: float, end_habit: float, vocabulary: Vocabulary, settings: BeamSettings
) -> Candidate:
    speech, habit = row.speech + end_log, row.habit + end_habit
    return Candidate(
        tokens=row.tokens,
        text=vocabulary.text(row.tokens),
        speech=speech,
        habit=habit,
        score=score_of(speech, habit, len(row.tokens), settings),
    )


def _canonical(text: str) -> str:
    return "".join(letter for letter in text.lower() if letter.isalnum())
