"""A session of many hours, in simulated time: it answers at the end as at the beginning, and does not grow."""

from __future__ import annotations

import random
from collections import deque
from pathlib import Path

import pytest

from assistant.guide import Mode, can_say, fold
from assistant.language.model import Heard
from assistant.procedure.model import Procedure
from tests.session.fakes import BLOCK_S
from tests.session.live_shop import Shop

NEVER = {"end job", "stop"}


def resident_mb() -> float:
    """Memory of this program in use now."""
    pages = int(Path("/proc/self/statm").read_text().split()[1])
    return pages * 4096 / 1e6


class Walker:
    """A technician who answers with something legal every now and then, and has long silences."""

    def __init__(self, shop: Shop, library: dict[str, Procedure], seed: int) -> None:
        self.shop, self.library = shop, library
        self.chance = random.Random(seed)
        self.said = 0

    def go_on(self, seconds: float) -> None:
        """For so long; the job is never ended."""
        shop = self.shop
        until_s = shop.now_s + seconds
        while shop.now_s < until_s and not shop.conversation.ended:
            for _ in range(self.chance.choice((5, 20, 100, 600))):
                shop.loop.step()
            shop.fall_silent()
            phrases = [each for each in can_say(self.library, shop.conversation.state) if each not in NEVER]
            shop.recogniser.will_hear.append(Heard(words=self.chance.choice(phrases), confidence=1.0))
            shop.loop.step()
            self.said += 1
            self._forget()

    def _forget(self) -> None:
        """What the stand-ins keep for the test is no part of the program."""
        shop = self.shop
        shop.screen.views = deque(shop.screen.views, maxlen=5)
        del shop.voice.said[:-50], shop.voice.spans[:-5], shop.recogniser.told[:-5]


def walk(library, hours: float, seed: int) -> tuple[Walker, float]:
    """A walk of so many hours, and how many MB it grew in its last nine tenths."""
    shop = Shop(library, blocks=round(hours * 3_600 / BLOCK_S) * 2)
    walker = Walker(shop, library, seed)
    walker.go_on(hours * 360)
    before = resident_mb()
    walker.go_on(hours * 3_240)
    return walker, resident_mb() - before


def check(walker: Walker, library, hours: float) -> None:
    """It still answers, and its facts lead to where it stands."""
    shop = walker.shop
    facts = shop.journal.facts("job")
    assert fold(library, facts) == shop.conversation.state
    assert shop.now_s >= hours * 3_600 or shop.conversation.ended
    if shop.conversation.state.mode is not Mode.ENDED:
        shop.fall_silent()
        asked_s, said = shop.now_s, len(shop.sentences)
        shop.hear("where am i")
        assert len(shop.sentences) > said and shop.now_s - asked_s <= 3.0


def test_ten_minutes(library) -> None:
    """The walk itself works."""
    walker, _ = walk(library, 1 / 6, seed=3)
    check(walker, library, 1 / 6)
    assert walker.said > 5


@pytest.mark.campaign
def test_ten_hours(library, row) -> None:
    """Ten hours of blocks, some 1,500 answers: it grows by less than 60 MB, most of it the facts of the stand-in."""
    walker, grown_mb = walk(library, 10.0, seed=11)
    check(walker, library, 10.0)
    assert grown_mb < 60.0
    row(
        f"a session of {walker.shop.now_s / 3600:.1f} hours (simulated), {walker.said} answers",
        told="as ever",
        within_s=0.1,
        kept=f"{len(walker.shop.kinds())} facts",
        goes_on=f"grew by {grown_mb:.0f} MB",
    )
