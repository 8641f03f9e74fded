"""What two knocks do in a session."""

from __future__ import annotations

import numpy as np

from assistant.bench.knock import BLOCK, scene, thump
from assistant.facts import FactKind
from assistant.guide import Mode
from assistant.ports import AudioBlock
from assistant.record.build import build_record
from assistant.session.knocks import Knocks
from tests.session.live_shop import Shop


def knock(shop, first=None):
    """Two knocks in the session's own sound."""
    pcm = scene((1.5, 1.8), thump, "fan", -41.0, np.random.default_rng(7))
    heard = Knocks(shop.conversation, shop.clock.now_s, first)
    for at in range(0, pcm.size, BLOCK):
        heard(AudioBlock(pcm=pcm[at : at + BLOCK], start_s=at / 16_000))


def test_two_knocks_while_we_speak_stop_us(library):
    """As a key does; the job is held, and nobody is said to have spoken."""
    shop = Shop(library)
    assert shop.voice.speaking
    knock(shop)
    assert shop.voice.cuts == 1 and shop.conversation.state.mode is Mode.HELD
    assert shop.kinds().count(FactKind.STOPPED) == 1
    assert build_record(shop.journal.entries("job"), library).engine is None


def test_two_knocks_in_a_silence_mean_nothing(library):
    """A tool laid beside the microphone holds no job up."""
    shop = Shop(library)
    shop.fall_silent()
    before = shop.conversation.state
    knock(shop)
    assert shop.conversation.state == before


def test_who_else_is_told_of_each_block_is_told_first(library):
    """As the clock of a file is."""
    shop, told = Shop(library), []
    knock(shop, told.append)
    assert len(told) == 200
