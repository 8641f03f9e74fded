"""Whether a sound that the ear took for the starter is one to go by: the one place where that is ruled. Pure.

Rules
1. How sure the ear has to be hangs on what was asked (`NEEDED`): least where the starter turns on our word, more where
   a step waits for it or one said to turn it and nobody times it, most where nobody asked for it and the key was said
   to be off.
2. Where nobody asked for it nothing shorter than UNASKED_S counts.
3. What was somebody's voice for VOICED of its time or more is a word, however sure the ear is. What was no longer than
   a word, A_WORD_S, is one already where ANY_VOICE of it may have been a voice, unless the ear is as sure as it has to
   be unasked.
4. What the recogniser took words from for OWNED of its time or more is a word, however sure the ear is.
5. A beginning is told once it has gone on for longer than a word, BEGINS_S, less than HARDLY_VOICED of it was a voice,
   and nobody speaks: what is told changes what may be said, and a word just being said would be lost to that. Where
   ANY_VOICE of it may have been a voice, it must have gone on for as long without one since, unless the ear is as sure
   as in rule 3: else it is that word and the room's echo. How sure the ear is is asked of the judgement of a whole
   burst, over all that was heard of it by then.
6. A whole burst waits while somebody speaks, and a moment longer where a voice was in it, since the recogniser may own
   it and our reply would cover the word; after WAITS_S it waits no longer, for in some shops somebody always speaks.
7. While somebody speaks nobody is asked whether the starter turned.
8. A release waits for nobody: a key held too long costs a starter, a tone costs no word.
9. An engine that takes over before a beginning was told is told of with it, where hardly anybody spoke in that time and
   the ear is as sure as rules 3 and 5 ask: most engines in order catch within a second, and the key is to be let go.
10. Where a step waits and the ear is only as sure as would do where the starter turns on our word, the technician is
   asked whether it turned: a tool may sound like it, and a false burst is worse than a question. So too, however sure
   it is, about what is no longer than a word, A_WORD_S, where it does not know what came of it, and where it is
   not as sure as it must be unasked: a blow says no more.
11. A knock is told of only where hardly a moment of it was a voice and nobody speaks: our remark would cover the word.
12. In a restless shop the ear must be surer: each time of late that something seemed to begin and was neither starter
   nor voice takes RESTLESS log-odds from its confidence, at most what asking for the starter gives.
13. What is a voice without a break for longer than anybody speaks in one breath, A_BREATH_S, is nobody's, where the ear
   is as sure as it must be unasked: the whine of a starter may pass for a vowel.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass
from enum import StrEnum
from types import MappingProxyType


class Place(StrEnum):
    """What was asked of the starter when it seemed to turn."""

    ASKED = "asked"  # it turns on our word, or was timed
    AWAITED = "awaited"  # a step waits for it, whenever the key is turned
    TOLD = "told"  # a step said to turn it; nobody times it
    UNASKED = "unasked"
    KEY_OFF = "key off"  # unasked, and the key was said to be off


class Ruling(StrEnum):
    """What becomes of a sound."""

    TAKEN = "taken"  # a burst: told, and a fact where it was asked for
    ASKS = "asks"  # perhaps a burst: the technician is asked
    DOUBTED = "doubted"  # perhaps a burst: shown, counted nowhere
    WAITS = "waits"  # ruled on again soon
    WORD = "word"  # somebody's word: nothing of the starter


NEEDED: Mapping[Place, float] = MappingProxyType(
    {Place.ASKED: 0.5, Place.AWAITED: 0.75, Place.TOLD: 0.7, Place.UNASKED: 0.9, Place.KEY_OFF: 0.98}
)
"""Confidence from which a burst counts. Where it is asked for, the asking is in the confidence already (`live`).
Source: judgement; for a step that waits, of 133 made-up sounds that were no starter and were taken for one 48 are as
sure, and 86 % of usual bursts at -2 to 50 dB."""

UNASKED_S = 0.8
"""Source: judgement; words and blows are shorter, and a starter so short wears nothing."""

VOICED = 0.5
"""Source: of 24 made-up bursts in talk, music, tools and idling engines the voiced share is at most 0.33, of six words
that the ear took for bursts at 6 to 38 dB at least 0.96; the sound brought to one level for the detector."""

A_WORD_S = 1.2
"""Source: judgement; a word lasts some half second, with its room and the silence beside it a second."""

OWNED = 0.5
"""Source: judgement."""

A_BREATH_S = 8.0
"""Source: in 40 recordings of a real person's announcements, 4 to 73 s long, the detector hears 5.6 s of voice at most
without a moment's break, and 6.1 s in 514 s of 150 of them one behind the other; of 242 made-up starters of three
makers (seeds 61301 and 61302) two, at 16 and 20 dB, are a voice for all of their 13 and 15 s."""

QUIET_S = 0.3
"""Somebody who was silent for so long does not speak now. Source: judgement; gaps within words are shorter."""

UNDECIDED_S = 0.8
"""So long after a voice the recogniser may still take words from it. Source: it ends an utterance after 0.67 s."""

BEGINS_S = 1.0
"""Source: of 20 people's words in quiet nine were told as a beginning by 0.4 s; a word lasts some half second."""

HARDLY_VOICED = 0.3
"""Source: as VOICED; of words by people, with the silence around them, some 0.4 is heard as voice."""

ANY_VOICE = 0.1
"""Share of voice in a burst from which the recogniser is waited for, and of what may be a voice from which it may be a
word. Source: of 38 words of 640 by people that the ear lost 21 were told as a beginning that was a voice for 0.1 to 0.3
of its time."""

WAITS_S = 3.0
"""Source: judgement."""


RESTLESS, MOST_RESTLESS, OF_LATE_S = 0.3, 2.0, 120.0
"""Source: judgement; in an hour of mixed made-up sounds that are no starter something seems to begin five times in two
minutes, and two of three of the bursts that are none are less sure than these times make doubtful."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Sounding:
    """What is known of a sound that may be the starter.

    `seconds`: of it so far. `confidence`: the ear's, 0 to 1. `voiced`, `maybe_voiced`, `owned`: shares of its time that
    were somebody's voice, that may have been, and that the recogniser took words from. `unbroken_s`: the longest voice
    in it without a break. `quiet_s`: since when nobody speaks. `waited_s`: how long it has waited to be told.
    """

    seconds: float
    confidence: float
    voiced: float = 0.0
    maybe_voiced: float = 0.0
    owned: float = 0.0
    unbroken_s: float = 0.0
    quiet_s: float = UNDECIDED_S
    waited_s: float = 0.0


def _may_be_word(sounding: Sounding) -> bool:
    """Whether a moment of it may have been a voice, and the ear is not sure enough to stand against that (rule 3)."""
    return sounding.maybe_voiced >= ANY_VOICE and sounding.confidence < NEEDED[Place.UNASKED]


def _voiced(sounding: Sounding) -> float:
    """Share of it that was somebody's voice (rule 13)."""
    nobody = sounding.unbroken_s > A_BREATH_S and sounding.confidence >= NEEDED[Place.UNASKED]
    return 0.0 if nobody else sounding.voiced


def rule_sound(sounding: Sounding) -> Ruling:
    """Whether a whole burst is anybody's word, or has to wait (rules 3, 4, 6, 13); where it was asked for is next."""
    short_word = sounding.seconds <= A_WORD_S and _may_be_word(sounding)
    if _voiced(sounding) >= VOICED or sounding.owned >= OWNED or short_word:
        return Ruling.WORD
    enough_s = UNDECIDED_S if sounding.voiced >= ANY_VOICE else QUIET_S
    if sounding.quiet_s < enough_s and sounding.waited_s < WAITS_S:
        return Ruling.WAITS
    return Ruling.TAKEN


def rule_beginning(sounding: Sounding, place: Place) -> Ruling:
    """Whether a beginning may be told (rules 1 and 5)."""
    a_word = sounding.seconds < BEGINS_S or _voiced(sounding) >= HARDLY_VOICED or sounding.owned > 0
    enough_s = BEGINS_S if _may_be_word(sounding) else QUIET_S
    spoken_over = sounding.quiet_s < enough_s and sounding.seconds < BEGINS_S + WAITS_S
    if a_word or spoken_over or sounding.confidence < NEEDED[place]:
        return Ruling.WAITS
    return Ruling.TAKEN


def rule_takeover(sounding: Sounding, place: Place) -> Ruling:
    """Whether the engine may be told to take over from a starter whose beginning was not told (rules 1 and 9)."""
    if _voiced(sounding) >= HARDLY_VOICED or sounding.owned > 0 or _may_be_word(sounding):
        return Ruling.WORD
    asked = place in (Place.ASKED, Place.AWAITED, Place.TOLD)
    return Ruling.TAKEN if asked and sounding.confidence >= NEEDED[place] else Ruling.DOUBTED


def rule_knock(sounding: Sounding) -> Ruling:
    """Whether a knock that stands alone may be told of (rule 11)."""
    if sounding.voiced >= ANY_VOICE or sounding.owned > 0:
        return Ruling.WORD
    return Ruling.TAKEN if sounding.quiet_s >= UNDECIDED_S else Ruling.DOUBTED


def rule_burst(seconds: float, confidence: float, place: Place, *, outcome_known: bool = True) -> Ruling:
    """Whether a burst that is no word counts in this place (rules 1, 2 and 10).

    `outcome_known`: whether the ear is sure if an engine caught.
    """
    a_blow = seconds <= A_WORD_S and (not outcome_known or confidence < NEEDED[Place.UNASKED])
    if place is Place.AWAITED and confidence >= NEEDED[Place.ASKED] and (confidence < NEEDED[place] or a_blow):
        return Ruling.ASKS
    unasked = place in (Place.UNASKED, Place.KEY_OFF)
    if confidence < NEEDED[place] or (unasked and seconds < UNASKED_S):
        return Ruling.DOUBTED
    return Ruling.TAKEN


def in_restless_shop(confidence: float, false_starts: int) -> float:
    """How sure the ear may be where so many beginnings of late were none (rule 12)."""
    if not 0 < confidence < 1:
        return confidence
    odds = math.log(confidence / (1 - confidence)) - min(MOST_RESTLESS, RESTLESS * false_starts)
    return 1 / (1 + math.exp(-odds))


def may_ask(quiet_s: float) -> bool:
    """Whether the technician may be asked now if the starter turned (rule 7)."""
    return quiet_s >= UNDECIDED_S
