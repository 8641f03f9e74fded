"""A bang as it stopped is known anywhere in the words; what bangs besides, and an engine that was turned, are not."""

import pytest

from assistant.language.banged import tells_a_bang, turns_freely

BANGS = (
    "loud bang on the motorway and it stopped dead, now it spins over way too fast",
    "there was a bang and then nothing",
    "bang and it stopped, that's all",
    "it died with a big bang",
    "customer heard a crunch and it cut out",
    "it stopped after a loud snap",
    "cranks fine, the timing belt snapped last year on the other one",
    "i think the belt let go",
)
NONE = (
    "it cranks but won't start",
    "no bang, it just stopped",
    "there was never a bang, it died at the lights",
    "it backfired with a bang and died",
    "a bang from the exhaust and it stopped",
    "banged on the starter and it went once",
    "the drive belt snapped and it overheated",
    "the alternator belt is torn",
    "he banged the door and it didn't start",
    "hit a bump and it cut out",
    "there was a bang but it ran fine and stopped a week later",
)
FREE = (
    "i turned it over by hand and it's free",
    "it turns freely by hand",
    "turned the crank twice with a spanner, all smooth",
    "turns fine by hand",
)
NOT_FREE = (
    "it won't turn by hand",
    "it turns by hand but binds once a turn",
    "turned it by hand and it's not free",
    "turns too easily by hand",
    "it turns over fine",
)


@pytest.mark.parametrize("words", BANGS)
def test_a_bang_is_told(words):
    """However it is told."""
    assert tells_a_bang(words)


@pytest.mark.parametrize("words", NONE)
def test_what_is_no_bang_of_the_engine(words):
    """A backfire, a belt outside the engine and a bang that is denied tell nothing of the timing."""
    assert not tells_a_bang(words)


@pytest.mark.parametrize("words", FREE)
def test_turned_by_hand(words):
    """That it turns as it should."""
    assert turns_freely(words)


@pytest.mark.parametrize("words", NOT_FREE)
def test_what_binds_is_not_free(words):
    """Nor what was not turned by hand."""
    assert not turns_freely(words)
