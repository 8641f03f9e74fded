"""Rules on what is a burst and what is a word, each by its number in `cranking.arbiter`."""

from __future__ import annotations

import itertools
import math
from dataclasses import replace

import pytest

from assistant.cranking.arbiter import (
    A_BREATH_S,
    A_WORD_S,
    ANY_VOICE,
    BEGINS_S,
    HARDLY_VOICED,
    MOST_RESTLESS,
    NEEDED,
    OF_LATE_S,
    UNASKED_S,
    UNDECIDED_S,
    WAITS_S,
    Place,
    Ruling,
    Sounding,
    in_restless_shop,
    may_ask,
    rule_beginning,
    rule_burst,
    rule_knock,
    rule_sound,
    rule_takeover,
)

BURST = Sounding(seconds=3.0, confidence=0.95)


def test_1_the_less_it_was_asked_for_the_surer_the_ear_must_be():
    """In the order of the places; the same sound counts where it was asked for and not where the key is off."""
    needed = [NEEDED[place] for place in (Place.ASKED, Place.TOLD, Place.AWAITED, Place.UNASKED, Place.KEY_OFF)]
    assert needed == sorted(set(needed))
    ruled = [rule_burst(3.0, 0.95, place) for place in (Place.ASKED, Place.TOLD, Place.UNASKED, Place.KEY_OFF)]
    assert ruled == [Ruling.TAKEN, Ruling.TAKEN, Ruling.TAKEN, Ruling.DOUBTED]


@pytest.mark.parametrize("place", list(Place))
def test_1_less_than_needed_is_doubted_everywhere(place):
    """Just below and at the limit; where a step waits it is asked about."""
    below = Ruling.ASKS if place is Place.AWAITED else Ruling.DOUBTED
    assert rule_burst(3.0, NEEDED[place] - 0.01, place) is below
    assert rule_burst(3.0, NEEDED[place], place) is Ruling.TAKEN


def test_2_nothing_as_short_as_a_word_counts_unasked():
    """Asked for, a short one does."""
    assert rule_burst(UNASKED_S - 0.01, 1.0, Place.UNASKED) is Ruling.DOUBTED
    assert rule_burst(UNASKED_S - 0.01, 1.0, Place.KEY_OFF) is Ruling.DOUBTED
    assert rule_burst(UNASKED_S - 0.01, 1.0, Place.ASKED) is Ruling.TAKEN


def test_10_where_a_step_waits_a_doubtful_burst_is_asked_about():
    """As sure as would do where the starter turns on our word; less is doubted as everywhere."""
    assert rule_burst(3.0, NEEDED[Place.ASKED], Place.AWAITED) is Ruling.ASKS
    assert rule_burst(3.0, NEEDED[Place.ASKED] - 0.01, Place.AWAITED) is Ruling.DOUBTED
    assert rule_burst(3.0, NEEDED[Place.ASKED], Place.ASKED) is Ruling.TAKEN


def test_10_so_is_what_may_be_a_blow():
    """As short as a word, and less sure than unasked or not knowing what came of it; else it counts."""
    assert rule_burst(A_WORD_S, 1.0, Place.AWAITED, outcome_known=False) is Ruling.ASKS
    assert rule_burst(A_WORD_S + 0.01, 1.0, Place.AWAITED, outcome_known=False) is Ruling.TAKEN
    assert rule_burst(A_WORD_S, NEEDED[Place.UNASKED], Place.AWAITED) is Ruling.TAKEN
    assert rule_burst(A_WORD_S, NEEDED[Place.UNASKED] - 0.01, Place.AWAITED) is Ruling.ASKS
    assert rule_burst(A_WORD_S + 0.01, NEEDED[Place.UNASKED] - 0.01, Place.AWAITED) is Ruling.TAKEN
    assert rule_burst(A_WORD_S, 1.0, Place.ASKED, outcome_known=False) is Ruling.TAKEN
    assert rule_burst(A_WORD_S, NEEDED[Place.ASKED] - 0.01, Place.AWAITED, outcome_known=False) is Ruling.DOUBTED


def test_3_what_was_a_voice_is_a_word_however_sure_the_ear_is():
    """The confidence .98 of a spoken "done" does not help it."""
    assert rule_sound(replace(BURST, confidence=1.0, voiced=0.5)) is Ruling.WORD
    assert rule_sound(replace(BURST, voiced=0.33)) is Ruling.TAKEN


def test_3_what_is_as_short_as_a_word_and_perhaps_a_voice_counts_only_where_the_ear_is_sure():
    """A word that the detector hardly heard, told with .79; a long burst, and a sure one, stand against as much."""
    word = Sounding(seconds=0.96, confidence=0.79, maybe_voiced=0.17, quiet_s=3.4)
    assert rule_sound(word) is Ruling.WORD
    assert rule_sound(replace(word, maybe_voiced=ANY_VOICE - 0.01)) is Ruling.TAKEN
    assert rule_sound(replace(word, seconds=A_WORD_S + 0.1)) is Ruling.TAKEN
    assert rule_sound(replace(word, confidence=0.95)) is Ruling.TAKEN


def test_4_what_the_recogniser_took_words_from_is_a_word():
    """A short answer within a long burst leaves it a burst."""
    assert rule_sound(replace(BURST, owned=0.5)) is Ruling.WORD
    assert rule_sound(replace(BURST, owned=0.2)) is Ruling.TAKEN


@pytest.mark.parametrize(
    "sounding",
    [
        replace(BURST, seconds=BEGINS_S - 0.1),
        replace(BURST, voiced=HARDLY_VOICED),
        replace(BURST, owned=0.1),
        replace(BURST, quiet_s=0.1),
        replace(BURST, confidence=0.4),
    ],
    ids=["as short as a word", "a voice in it", "words taken from it", "somebody speaks", "not sure"],
)
def test_5_a_beginning_that_may_be_a_word_waits(sounding):
    """So what may be said does not change under somebody who speaks."""
    assert rule_beginning(sounding, Place.ASKED) is Ruling.WAITS


def test_5_a_beginning_is_told_in_the_end():
    """At once where nobody speaks, later where somebody always does."""
    assert rule_beginning(replace(BURST, seconds=BEGINS_S), Place.ASKED) is Ruling.TAKEN
    talked_over = replace(BURST, seconds=BEGINS_S + WAITS_S, quiet_s=0.0, voiced=0.2)
    assert rule_beginning(talked_over, Place.ASKED) is Ruling.TAKEN


def test_5_after_a_word_a_beginning_must_have_gone_on_for_as_long_again():
    """A fifth of it a voice that fell silent 0.4 s ago is that word; a second of silence later, or sure, it is none."""
    word = Sounding(seconds=1.1, confidence=0.8, voiced=0.2, maybe_voiced=0.25, quiet_s=0.4)
    assert rule_beginning(word, Place.ASKED) is Ruling.WAITS
    assert rule_beginning(replace(word, quiet_s=BEGINS_S), Place.ASKED) is Ruling.TAKEN
    assert rule_beginning(replace(word, confidence=0.95), Place.ASKED) is Ruling.TAKEN


def test_6_a_whole_burst_lets_people_finish_but_does_not_wait_for_ever():
    """While somebody speaks it waits; longer where the recogniser may still own it."""
    assert rule_sound(replace(BURST, quiet_s=0.1)) is Ruling.WAITS
    assert rule_sound(replace(BURST, quiet_s=0.4)) is Ruling.TAKEN
    assert rule_sound(replace(BURST, quiet_s=0.4, voiced=0.2)) is Ruling.WAITS
    assert rule_sound(replace(BURST, quiet_s=UNDECIDED_S, voiced=0.2)) is Ruling.TAKEN
    assert rule_sound(replace(BURST, quiet_s=0.1, waited_s=WAITS_S)) is Ruling.TAKEN


def test_7_nobody_is_asked_while_somebody_speaks():
    """Nor before the recogniser has done with what was said."""
    assert not may_ask(UNDECIDED_S - 0.1)
    assert may_ask(UNDECIDED_S)


def test_9_an_engine_that_takes_over_at_once_is_told_of_where_one_was_asked_for():
    """Sooner than a beginning would be; not unasked, not where somebody spoke, not where the ear is unsure."""
    quick = replace(BURST, seconds=0.6)
    assert rule_beginning(quick, Place.ASKED) is Ruling.WAITS
    assert rule_takeover(quick, Place.ASKED) is Ruling.TAKEN
    assert rule_takeover(quick, Place.UNASKED) is Ruling.DOUBTED
    assert rule_takeover(replace(quick, confidence=0.4), Place.ASKED) is Ruling.DOUBTED
    assert rule_takeover(replace(quick, voiced=HARDLY_VOICED), Place.ASKED) is Ruling.WORD
    assert rule_takeover(replace(quick, owned=0.1), Place.ASKED) is Ruling.WORD
    assert rule_takeover(replace(quick, maybe_voiced=ANY_VOICE), Place.ASKED) is Ruling.TAKEN
    assert rule_takeover(replace(quick, maybe_voiced=ANY_VOICE, confidence=0.8), Place.ASKED) is Ruling.WORD


def test_11_a_knock_is_told_only_where_nobody_speaks():
    """Neither in a word nor while somebody speaks."""
    knock = replace(BURST, seconds=0.2)
    assert rule_knock(knock) is Ruling.TAKEN
    assert rule_knock(replace(knock, voiced=ANY_VOICE)) is Ruling.WORD
    assert rule_knock(replace(knock, quiet_s=UNDECIDED_S - 0.1)) is Ruling.DOUBTED


def test_12_in_a_restless_shop_the_ear_must_be_surer():
    """Each false beginning of late takes some, in the end as much as asking gave; a sure burst stands all the same."""
    taken = [in_restless_shop(0.8, count) for count in range(12)]
    assert taken[0] == pytest.approx(0.8)
    assert all(less <= more for more, less in itertools.pairwise(taken))
    assert rule_burst(3.0, in_restless_shop(0.8, 1), Place.AWAITED) is Ruling.ASKS
    assert rule_burst(3.0, in_restless_shop(0.8, 5), Place.AWAITED) is Ruling.DOUBTED
    assert rule_burst(3.0, in_restless_shop(0.99, 100), Place.AWAITED) is Ruling.TAKEN
    assert in_restless_shop(0.5, 100) == pytest.approx(1 / (1 + math.exp(MOST_RESTLESS)))
    assert in_restless_shop(0.0, 3) == 0.0
    assert in_restless_shop(1.0, 3) == 1.0


@pytest.mark.parametrize(
    ("sounding", "ruling"),
    [
        ({"voiced": 0.49}, Ruling.TAKEN), ({"voiced": 0.5}, Ruling.WORD),
        ({"owned": 0.49}, Ruling.TAKEN), ({"owned": 0.5}, Ruling.WORD),
        ({"seconds": 1.2, "maybe_voiced": 0.1, "confidence": 0.89}, Ruling.WORD),
        ({"seconds": 1.21, "maybe_voiced": 0.1, "confidence": 0.89}, Ruling.TAKEN),
        ({"seconds": 1.2, "maybe_voiced": 0.09, "confidence": 0.89}, Ruling.TAKEN),
        ({"seconds": 1.2, "maybe_voiced": 0.1, "confidence": 0.9}, Ruling.TAKEN),
        ({"quiet_s": 0.29}, Ruling.WAITS), ({"quiet_s": 0.3}, Ruling.TAKEN),
        ({"quiet_s": 0.79, "voiced": 0.1}, Ruling.WAITS), ({"quiet_s": 0.79, "voiced": 0.09}, Ruling.TAKEN),
        ({"quiet_s": 0.8, "voiced": 0.1}, Ruling.TAKEN),
        ({"quiet_s": 0.0, "waited_s": 2.9}, Ruling.WAITS), ({"quiet_s": 0.0, "waited_s": 3.0}, Ruling.TAKEN),
    ],
)  # fmt: skip
def test_a_whole_burst_at_the_limits_that_were_measured(sounding, ruling):
    """Half of its time, a word of 1.2 s, a tenth that may be a voice, 0.3 and 0.8 s of quiet, 3 s of waiting."""
    assert rule_sound(replace(BURST, **sounding)) is ruling


@pytest.mark.parametrize(
    ("sounding", "place", "taken"),
    [
        ({"seconds": 1.0}, Place.ASKED, True), ({"seconds": 0.99}, Place.ASKED, False),
        ({"voiced": 0.29}, Place.ASKED, True), ({"voiced": 0.3}, Place.ASKED, False),
        ({"owned": 0.01}, Place.ASKED, False),
        ({"quiet_s": 0.3}, Place.ASKED, True), ({"quiet_s": 0.29}, Place.ASKED, False),
        ({"quiet_s": 0.29, "seconds": 3.99}, Place.ASKED, False),
        ({"quiet_s": 0.29, "seconds": 4.0}, Place.ASKED, True),
        ({"quiet_s": 0.99, "maybe_voiced": 0.1, "confidence": 0.89}, Place.ASKED, False),
        ({"quiet_s": 1.0, "maybe_voiced": 0.1, "confidence": 0.89}, Place.ASKED, True),
        *((({"confidence": needed - less}, place, not less)) for less in (0.0, 0.001) for place, needed in (
            (Place.ASKED, 0.5), (Place.AWAITED, 0.75), (Place.TOLD, 0.7), (Place.UNASKED, 0.9), (Place.KEY_OFF, 0.98))),
    ],
)  # fmt: skip
def test_a_beginning_at_the_limits_that_were_measured(sounding, place, taken):
    """A second of it, less than three tenths of it a voice, and as sure as its place asks for."""
    found = rule_beginning(replace(BURST, **({"seconds": 2.0} | sounding)), place)
    assert found is (Ruling.TAKEN if taken else Ruling.WAITS)


@pytest.mark.parametrize(
    ("sounding", "place", "ruling"),
    [
        ({"voiced": 0.29}, Place.TOLD, Ruling.TAKEN), ({"voiced": 0.3}, Place.TOLD, Ruling.WORD),
        ({"owned": 0.01}, Place.TOLD, Ruling.WORD),
        ({"maybe_voiced": 0.1, "confidence": 0.89}, Place.TOLD, Ruling.WORD),
        ({"maybe_voiced": 0.1, "confidence": 0.9}, Place.TOLD, Ruling.TAKEN),
        ({"confidence": 0.7}, Place.TOLD, Ruling.TAKEN), ({"confidence": 0.69}, Place.TOLD, Ruling.DOUBTED),
        ({"confidence": 0.75}, Place.AWAITED, Ruling.TAKEN), ({"confidence": 0.74}, Place.AWAITED, Ruling.DOUBTED),
        ({"confidence": 0.5}, Place.ASKED, Ruling.TAKEN), ({"confidence": 0.49}, Place.ASKED, Ruling.DOUBTED),
        ({"confidence": 1.0}, Place.UNASKED, Ruling.DOUBTED), ({"confidence": 1.0}, Place.KEY_OFF, Ruling.DOUBTED),
    ],
)  # fmt: skip
def test_an_engine_that_takes_over_at_the_limits_that_were_measured(sounding, place, ruling):
    """Told only where the starter was asked for."""
    assert rule_takeover(replace(BURST, **sounding), place) is ruling


@pytest.mark.parametrize(
    ("sounding", "ruling"),
    [
        ({}, Ruling.TAKEN), ({"voiced": 0.09}, Ruling.TAKEN), ({"voiced": 0.1}, Ruling.WORD),
        ({"owned": 0.01}, Ruling.WORD), ({"quiet_s": 0.8}, Ruling.TAKEN), ({"quiet_s": 0.79}, Ruling.DOUBTED),
    ],
)  # fmt: skip
def test_a_knock_at_the_limits_that_were_measured(sounding, ruling):
    """Hardly a moment of it a voice, and nobody speaks since 0.8 s."""
    assert rule_knock(replace(BURST, **sounding)) is ruling


@pytest.mark.parametrize(
    ("seconds", "confidence", "place", "known", "ruling"),
    [
        (0.8, 0.9, Place.UNASKED, True, Ruling.TAKEN), (0.79, 1.0, Place.UNASKED, True, Ruling.DOUBTED),
        (0.8, 0.98, Place.KEY_OFF, True, Ruling.TAKEN), (0.79, 1.0, Place.KEY_OFF, True, Ruling.DOUBTED),
        (0.1, 0.5, Place.ASKED, False, Ruling.TAKEN), (0.1, 0.7, Place.TOLD, False, Ruling.TAKEN),
        (3.0, 0.5, Place.AWAITED, True, Ruling.ASKS), (3.0, 0.49, Place.AWAITED, True, Ruling.DOUBTED),
        (3.0, 0.74, Place.AWAITED, True, Ruling.ASKS), (3.0, 0.75, Place.AWAITED, True, Ruling.TAKEN),
        (1.2, 0.89, Place.AWAITED, True, Ruling.ASKS), (1.2, 0.9, Place.AWAITED, True, Ruling.TAKEN),
        (1.21, 0.89, Place.AWAITED, True, Ruling.TAKEN), (1.2, 1.0, Place.AWAITED, False, Ruling.ASKS),
        (1.21, 0.9, Place.AWAITED, False, Ruling.TAKEN),
    ],
)  # fmt: skip
def test_a_burst_in_its_place_at_the_limits_that_were_measured(seconds, confidence, place, known, ruling):
    """What is short and says no more than a blow is asked about where a step waits."""
    assert rule_burst(seconds, confidence, place, outcome_known=known) is ruling


@pytest.mark.parametrize(("times", "less"), [(0, 0.0), (1, 0.3), (6, 1.8), (7, 2.0), (20, 2.0)])
def test_a_restless_shop_takes_so_much_confidence(times, less):
    """0.3 of its log-odds each time, 2 at most; what is certain stays so."""
    now = in_restless_shop(0.8, times)
    assert math.log(now / (1 - now)) == pytest.approx(math.log(4) - less)
    assert (in_restless_shop(1.0, times), in_restless_shop(0.0, times), OF_LATE_S) == (1.0, 0.0, 120.0)


@pytest.mark.parametrize(
    ("unbroken_s", "confidence", "nobody"),
    [(A_BREATH_S + 0.1, 0.9, True), (A_BREATH_S, 0.9, False), (A_BREATH_S + 0.1, 0.89, False)],
)
def test_13_nobody_speaks_for_so_long_without_a_breath(unbroken_s, confidence, *, nobody):
    """Where the ear is as sure as unasked: a whine like a vowel. What words were taken from is a word still."""
    whine = Sounding(seconds=10.0, confidence=confidence, voiced=0.97, maybe_voiced=0.98, unbroken_s=unbroken_s)
    assert rule_sound(whine) is (Ruling.TAKEN if nobody else Ruling.WORD)
    assert rule_sound(replace(whine, owned=0.5)) is Ruling.WORD
    assert rule_beginning(whine, Place.ASKED) is (Ruling.TAKEN if nobody else Ruling.WAITS)
    assert rule_takeover(whine, Place.ASKED) is (Ruling.TAKEN if nobody else Ruling.WORD)
