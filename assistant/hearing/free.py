"""What the network writes when no grammar binds it, for complaints and notes, and how far each word is to be trusted.

Several texts are written beside each other. Words of the trade are liked a little better than the network alone likes
them, and of the texts that come out the ears for phones have their say too.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass

import numpy as np

from assistant.hearing.beam import Passage, Sounds, log_softmax
from assistant.hearing.phones import Reading, fits, numbered
from assistant.hearing.tokens import Vocabulary

TOKENS_A_SECOND = 8
"""More than anybody speaks; source: fast read speech has about 5 words a second (from memory)."""

WIDTH = 8
"""Texts that are written beside each other."""

FULL_WIDTH_S, LEAST_WIDTH = 10.0, 2
"""Seconds of sound up to which WIDTH texts are written, and how many at least: 40 MB of memory for them."""

LIKED = 1.0
"""Nats by which a word of the trade is liked better than the network alone likes it."""

PHONE_SHARE = 0.4
"""Weight of a nat of the phones against a nat of the text."""

UNSOUNDED = 4.0
"""Nats of the phones by which a text with a word of unknown sound falls short of the worst of the others. Judgement."""

MOST_READINGS = 4
"""Ways to say one text that are tried."""

WEIGHTS = (3.19, 1.0, 0.97, -1.19)
"""Of 1, a word's own log-probability, that of the text a token, and the fall of the phones a phone, in log-odds.

Source: a logistic fit of word right or wrong on 81 made-up complaints (685 words written) by three eSpeak NG voices in
made-up shop noise at 15 dB. On complaints not fitted on, words given 0.8 or more were right in nine of ten."""


@dataclass(frozen=True, slots=True, kw_only=True)
class FreeText:
    """`logs`: log-probability of each token, the end mark last where the text ends by itself. `fall`: nats by which the
    phones fall short of the best that the sound could be, 0 or less; None where a word's sound is unknown."""

    tokens: tuple[int, ...]
    text: str
    logs: tuple[float, ...]
    fall: float | None = None
    phones: int = 0

    @property
    def speech(self) -> float:
        """Log-probability of the text over the sound."""
        return sum(self.logs)


def write_freely(
    passage: Passage,
    vocabulary: Vocabulary,
    *,
    most: int,
    trade: Callable[[str], bool] = lambda word: False,
    width: int = WIDTH,
) -> list[FreeText]:
    """The likeliest texts, best first, at most `most` tokens long (a network that loops is cut short).

    `trade`: whether a word, in small letters, is of the trade.
    """
    logits = passage.begin()
    live: list[tuple[float, FreeText]] = [(0.0, FreeText(tokens=(), text="", logs=()))]
    ended: list[tuple[float, FreeText]] = []
    while live and len(live[0][1].tokens) < most:
        logs = log_softmax(logits)
        grown: list[tuple[float, int, FreeText]] = []
        for row, (score, text) in enumerate(live):
            for token in np.argpartition(-logs[row], width)[:width].tolist():
                log, ends = float(logs[row, token]), token == vocabulary.end
                piece = "" if ends else vocabulary.text([token])
                whole = bool(text.text) and (ends or piece.startswith(" "))
                liked = LIKED if whole and trade(_plain(text.text.rpartition(" ")[2])) else 0.0
                tokens = text.tokens if ends else (*text.tokens, token)
                more = FreeText(tokens=tokens, text=text.text + piece, logs=(*text.logs, log))
                if ends:
                    ended.append((score + log + liked, more))
                else:
                    grown.append((score + log + liked, row, more))
        best = max((score for score, _ in ended), default=-math.inf)
        kept = [one for one in sorted(grown, key=lambda one: -one[0])[:width] if one[0] > best]
        live = [(score, text) for score, _, text in kept]
        if kept:
            logits = passage.step(
                np.array([row for _, row, _ in kept], np.int64),
                np.array([text.tokens[-1] for _, _, text in kept], np.int64),
            )
    return [text for _, text in sorted(ended or live, key=lambda one: -one[0])]


def width_for(seconds: float) -> int:
    """Fewer texts for long sound: each keeps half a megabyte for a second of it."""
    return max(LEAST_WIDTH, min(WIDTH, round(FULL_WIDTH_S * WIDTH / max(seconds, 0.1))))


def best_by_ear(passage: Passage, texts: Sequence[FreeText], sounds: Sounds, trade: Callable[[str], bool]) -> FreeText:
    """Of the texts, best first, the one that text, trade and phones together speak for most, with its fall."""
    texts = texts[:WIDTH]
    readings = [_readings(text.text, sounds) for text in texts]
    known = [number for number, each in enumerate(readings) if each]
    nats = fits(passage.phones(), [readings[number] for number in known]) if known else []
    falls = dict(zip(known, nats, strict=True))
    worst = min(falls.values(), default=0.0) - UNSOUNDED

    def score(number: int) -> float:
        liked = sum(LIKED for word in texts[number].text.split() if trade(_plain(word)))
        return texts[number].speech + liked + PHONE_SHARE * falls.get(number, worst)

    best = max(range(len(texts)), key=score)
    phones = min(map(len, readings[best]), default=0)
    text = texts[best]
    return FreeText(tokens=text.tokens, text=text.text, logs=text.logs, fall=falls.get(best), phones=phones)


def words_right(text: FreeText, vocabulary: Vocabulary) -> tuple[tuple[str, float], ...]:
    """Each word with the probability that it was said just there."""
    if not text.tokens:
        return ()
    mean = text.speech / len(text.logs)
    miss = -text.fall / text.phones if text.fall is not None and text.phones else UNSOUNDED / 2
    found: list[tuple[str, float]] = []
    for token, log in zip(text.tokens, text.logs, strict=False):
        piece = vocabulary.text([token])
        if piece.startswith(" ") or not found:
            found.append((piece.strip(), log))
        else:
            word, before = found[-1]
            found[-1] = (word + piece, before + log)
    constant, own, whole, by_phones = WEIGHTS
    return tuple(
        (word, 1.0 / (1.0 + math.exp(-(constant + own * log + whole * mean + by_phones * miss)))) for word, log in found
    )


def share_right(text: FreeText, vocabulary: Vocabulary) -> float:
    """The share of its words that should be right; 0 for no words at all."""
    chances = [chance for _, chance in words_right(text, vocabulary)]
    return sum(chances) / len(chances) if chances else 0.0


def _readings(text: str, sounds: Sounds) -> tuple[Reading, ...]:
    """The phones of each way to say the text, at most MOST_READINGS; none where a word's sound is unknown."""
    found: tuple[Reading, ...] = ((),)
    for word in text.split():
        ways = [numbered(phones) for phones in sounds(_plain(word))]
        found = tuple(before + after for before in found for after in ways)[:MOST_READINGS]
    return found if found != ((),) else ()


def _plain(word: str) -> str:
    return word.strip(' .,?!;:"').lower()
