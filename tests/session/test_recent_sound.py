"""The last minute of sound, from which clips are cut."""

import numpy as np

from assistant.ports import SAMPLE_RATE_HZ, AudioBlock
from assistant.session.recent_sound import AROUND_S, KEPT_S, RecentSound

BLOCK = 1_600


def recent(seconds: float, start_s: float = 0.0) -> RecentSound:
    """So much sound whose samples count the tenths of a second."""
    sound = RecentSound()
    for number in range(round(seconds * SAMPLE_RATE_HZ / BLOCK)):
        pcm = np.full(BLOCK, number, dtype=np.int16)
        sound.add(AudioBlock(pcm=pcm, start_s=start_s + number * BLOCK / SAMPLE_RATE_HZ))
    return sound


def test_a_stretch_is_given_with_a_little_around_it() -> None:
    """Across blocks, to the sample."""
    pcm = recent(10.0, start_s=100.0).between(102.05, 103.0)
    assert pcm.size == round((0.95 + 2 * AROUND_S) * SAMPLE_RATE_HZ)
    assert (pcm[0], pcm[-1]) == (17, 32)


def test_what_is_not_there_is_not_given() -> None:
    """Before the first block and after the last there is nothing; an hour needs the memory of a minute."""
    assert recent(1.0).between(-5.0, -4.0).size == 0
    assert recent(1.0).between(-5.0, 99.0).size == SAMPLE_RATE_HZ
    assert recent(200.0).between(0.0, 200.0).size <= (KEPT_S + 0.2) * SAMPLE_RATE_HZ
