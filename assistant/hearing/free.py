"""What the network writes when no grammar binds it, for complaints and notes, and how far each word is to be trusted.

Several texts are written beside each other. Words of the trade are liked a little better than the network alone likes
them, and of the texts that come out the ears for phones have their say too.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace

import numpy as np

from assistant.hearing.beam import Sounds
from assistant.hearing.nudge import BEGINNING, Nudge
from assistant.hearing.passage import Passage, log_softmax
from assistant.hearing.phones import UNSOUNDED, Reading, fits, numbered
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

SLACK = 2.0
"""Nats by which a text may fall short of one that has ended and still be written on, where several are wanted."""

MOST_READINGS = 4
"""Ways to say one text that are tried."""

WEIGHTS = (3.19, 1.0, 0.97, -1.19)
"""Of 1, a word's own log-probability, that of the text a token, and the fall of the phones a phone, in log-odds.

Source: a logistic fit of word right or wrong on 81 made-up complaints (685 words written) by three eSpeak NG voices in
made-up shop noise at 15 dB. On complaints not fitted on, words given 0.8 or more were right in nine of ten."""


@dataclass(frozen=True, slots=True, kw_only=True)
class FreeText:
    """`logs`: log-probability of each token, the end mark last where the text ends by itself. `fall`: nats by which the
    phones fall short of the best that the sound could be, 0 or less; None where a word's sound is unknown. `liked`:
    nats by which its words are liked better than the network alone likes them."""

    tokens: tuple[int, ...]
    text: str
    logs: tuple[float, ...]
    fall: float | None = None
    phones: int = 0
    liked: float = 0.0

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
    nudge: Nudge | None = None,
) -> list[FreeText]:
    """The likeliest texts, best first, at most `most` tokens long (a network that loops is cut short).

    `trade`: whether a word, in small letters, is of the trade. `nudge`: what is said where something is asked; several
    texts are wanted then.
    """
    logits = passage.begin()
    live, ended = [_Begun(text=FreeText(tokens=(), text="", logs=()))], list[FreeText]()
    slack, enough = (SLACK, 2 * width) if nudge is not None else (0.0, width)
    while live and len(live[0].text.tokens) < most:
        logs = log_softmax(logits)
        grown: list[tuple[int, _Begun]] = []
        for row, begun in enumerate(live):
            likes = nudge.tokens(begun.word)[: logs.shape[1]] if nudge is not None else np.zeros(1, np.float32)
            liked = logs[row] + likes
            for token in np.argpartition(-liked, width)[:width].tolist():
                piece = None if token == vocabulary.end else vocabulary.text([token])
                more = _with(begun, token, piece, float(logs[row, token]), trade)
                if nudge is not None:
                    more = _nudged(more, begun, piece, float(likes[token]), nudge)
                if piece is None:
                    ended.append(more.text)
                else:
                    grown.append((row, more))
        best = max(map(_score, ended), default=-math.inf) - (slack if len(ended) < enough else 0.0)
        grown.sort(key=lambda one: -_score(one[1].text))
        kept = [one for one in grown[:width] if _score(one[1].text) > best]
        live = [begun for _, begun in kept]
        if kept:
            logits = passage.step(
                np.array([row for row, _ in kept], np.int64),
                np.array([begun.text.tokens[-1] for begun in live], np.int64),
            )
    return sorted(ended or [begun.text for begun in live], key=lambda one: -_score(one))


@dataclass(frozen=True, slots=True, kw_only=True)
class _Begun:
    """A text that is being written. `given`: what its last word, one token so far, was liked for beforehand."""

    text: FreeText
    given: float = 0.0

    @property
    def word(self) -> str:
        """The last one so far."""
        return _plain(self.text.text.rpartition(" ")[2]) or BEGINNING

    @property
    def before(self) -> str:
        """The word before it."""
        return _plain(self.text.text.strip().rpartition(" ")[0].rpartition(" ")[2]) or BEGINNING


def _with(begun: _Begun, token: int, piece: str | None, log: float, trade: Callable[[str], bool]) -> _Begun:
    """With one token more; `piece`: what it writes, None for the end."""
    text = begun.text
    whole = bool(text.text) and (piece is None or piece.startswith(" "))
    liked = LIKED if whole and trade(begun.word) else 0.0
    tokens = text.tokens if piece is None else (*text.tokens, token)
    longer = replace(
        text, tokens=tokens, text=text.text + (piece or ""), logs=(*text.logs, log), liked=text.liked + liked
    )
    return _Begun(text=longer)


def _nudged(more: _Begun, begun: _Begun, piece: str | None, likes: float, nudge: Nudge) -> _Begun:
    """What its new token is liked for, and what the word before is now that it is whole, or is no longer."""
    nats, given = 0.0, begun.given
    if piece is None or piece.startswith(" "):
        late = bool(begun.text.text) and not begun.given
        nats = (nudge.ended(begun.before, begun.word) if late else 0.0) + (likes if piece else 0.0)
        given = likes
    elif any(map(str.isalnum, piece)):
        nats, given = -begun.given, 0.0
    return _Begun(text=replace(more.text, liked=more.text.liked + nats), given=given)


def _score(text: FreeText) -> float:
    return text.speech + text.liked


def width_for(seconds: float) -> int:
    """Fewer texts for long sound: each keeps half a megabyte for a second of it."""
    return max(LEAST_WIDTH, min(WIDTH, round(FULL_WIDTH_S * WIDTH / max(seconds, 0.1))))


def by_ear(passage: Passage, texts: Sequence[FreeText], sounds: Sounds) -> list[tuple[FreeText, float]]:
    """The texts with their falls, and the odds of each among them, 0 to 1: by text, liking and phones together."""
    texts = texts[:WIDTH]
    readings = [_readings(text.text, sounds) for text in texts]
    known = [number for number, each in enumerate(readings) if each]
    nats = fits(passage.phones(), [readings[number] for number in known]) if known else []
    falls = dict(zip(known, nats, strict=True))
    worst = min(falls.values(), default=0.0) - UNSOUNDED
    scores = np.array([_score(text) + PHONE_SHARE * falls.get(number, worst) for number, text in enumerate(texts)])
    odds = np.exp(scores - scores.max())
    heard = [
        replace(text, fall=falls.get(number), phones=min(map(len, readings[number]), default=0))
        for number, text in enumerate(texts)
    ]
    return sorted(zip(heard, (odds / odds.sum()).tolist(), strict=True), key=lambda one: -one[1])


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
