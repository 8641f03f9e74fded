"""Whether a short sentence was said at all: the network, too, holds it against what is not legal. Pure.

A grammar gives whatever is said one of its sentences, and where nothing else is like it, that one has no rival: "go"
was "go back", six nats ahead of all that is legal. What the network itself would write of the same sound, "go", is no
rival, for it is not legal. So the words outside that are nearest by phones are judged by the network as well.
"""

from __future__ import annotations

from collections.abc import Sequence

from assistant.hearing.beam import SAYING_NOTHING, Language
from assistant.hearing.candidate import BeamSettings, score_of
from assistant.hearing.outsiders import Outsider
from assistant.hearing.passage import Passage
from assistant.hearing.stop_ear import WORDS as STOPPING

NEAREST, PARTS = 4, 6
"""Words outside that the network judges, and parts of the sentence, at most."""

CLEAR_BY_PHONES = 4.0
"""Nats by which a sentence that is so much ahead of all outside by phones alone needs no look: it takes a tenth of a
second. Source: of 179 phrases by the tuning voices, 15 to 3 dB, one is looked at; of people's other words, taken for
something, none is missed by it."""


LEAST_PHONES = 4
"""Of a word that has fewer nothing is told so: "yes" is like "guess", and "no" like "low", when they were said."""


def may_be_held(language: Language, words: str) -> bool:
    """Whether a sentence is long enough for that, without what says nothing. Not one word that stops us: of 120 "stop"
    by people in noise one would be lost, and of 33 other words that are taken for it only four are told."""
    said = " ".join(word for word in words.split() if word not in SAYING_NOTHING)
    if " " in said:
        return True
    return said not in STOPPING and min(map(len, language.readings(said)), default=0) >= LEAST_PHONES


def best_outside(
    heard: Sequence[Passage], language: Language, words: str, outsiders: Sequence[tuple[Outsider, float]], *,
    phone_share: float, settings: BeamSettings,
) -> float | None:  # fmt: skip
    """The score of the likeliest of the sentence's parts and of the nearest others, by text and phones together, as
    `Rated` has it without what a grammar makes likely; None where the network can write none of them. `words`: the
    sentence; `heard`: the passages, which count alike; `outsiders`: each with its fall."""
    ranked = sorted(outsiders, key=lambda one: -one[1])
    parts = [one for one in ranked if f" {one[0].words} " in f" {words} "]
    others = [one for one in ranked if one not in parts]
    judged = {outsider.words: fall for outsider, fall in (*others[:NEAREST], *parts[:PARTS])}
    ways = [(tokens, fall) for said, fall in judged.items() for tokens in language.written_as(said)]
    if not ways:
        return None
    sentences = [tokens for tokens, _ in ways]
    rows = [passage.spoken(sentences) for passage in heard]
    speech = [sum(column) / len(rows) for column in zip(*rows, strict=True)]
    habits = language.habits_of(sentences)
    return max(
        score_of(said, habit, len(tokens), settings) + phone_share * fall
        for (tokens, fall), said, habit in zip(ways, speech, habits, strict=True)
    )
