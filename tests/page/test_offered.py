"""What is offered equals what is legal: on every kind of moment that the machine walks through, by the book and led."""

from __future__ import annotations

from dataclasses import replace

import pytest

from assistant.guide import Mode, advance, can_say, expected
from assistant.guide.leading import block_of
from assistant.guide.occasions import may_lead_elsewhere
from assistant.guide.turn import Led
from assistant.language.codes import END_PHRASES
from assistant.language.commands import phrase_of
from assistant.language.model import Control, GiveControl, Heard
from assistant.language.understand import understand
from assistant.simulation.coverage import Coverage
from assistant.simulation.search import search
from tests.guide.conftest import read_library

ROOTS = ("battery-load-test", "slow-crank", "flooded", "fuel-substitute", "fuel-pressure", "spark-check-wasted-spark")

SAYS_NOTHING_NEW = {
    Control.LEAD: "a procedure without a plan, or one that leads already",
    Control.FULL: "the present way to speak",
    Control.BRIEF: "the present way to speak",
    Control.TERSE: "the present way to speak",
    Control.TONES: "tones that sound",
    Control.NO_TONES: "tones that are mute",
    Control.YES: "a yes to what was noted already",
    Control.RESUME: "only on hold, where it leads on",
}
"""Taken when said, though nothing comes of it, and so no button."""


class AnyTest:
    """A plan that always knows a better test."""

    def __init__(self, library):
        self._library = library

    def __call__(self, state, facts, target):
        """One elsewhere."""
        other = next(step.id for step in self._library[state.root].steps if step.id != block_of(state))
        return None if target is not None else Led(step=other, why="Next that.")

    def rather(self, state, facts, target):
        """As another test."""
        return self(state, facts, None)

    def closed(self, state, facts, block):
        """None is."""
        return ""

    def ended(self, state, facts, target):
        """No test that was named does."""
        return ""

    def known(self, state, facts):
        """Nothing is."""
        return None


class Onlooker:
    """Leads on as the guide does, and tries each command in each new kind of moment."""

    def __init__(self, library):
        self.library = library
        self.seen = set()
        self.offered = set()
        self.wrong = []

    def __call__(self, library, state, said, at_s, /, *, choose=None):
        turn = advance(library, state, said, at_s, choose=choose)
        after = turn.state
        if after.mode not in (Mode.NEW, Mode.MOVING, Mode.ENDED):
            for leads in (False, True):
                self._hold(replace(after, leads=leads, may_plan=leads))
        return turn

    def _hold(self, state):
        asked = (state.at, state.mode, state.acknowledged, state.passed, state.burst_done, state.under)
        about = (bool(state.history), bool(state.open_items), bool(state.vapour), bool(state.strikable), state.leads)
        if (asked, about) in self.seen:
            return
        self.seen.add((asked, about))
        now, listed = expected(self.library, state), can_say(self.library, state)
        where = f"{state.at.procedure}/{state.at.step} {state.mode}{' led' if state.leads else ''}"
        plan = AnyTest(self.library)
        for words in listed:
            heard = Heard(words=words, confidence=1.0)
            turn = advance(self.library, state, understand(heard, now), state.at_s, heard=heard, choose=plan)
            if turn.refused:
                self.wrong.append(f"{where}: offered, but refused: {words}: {turn.refused}")
        for control in now.controls:
            phrase = phrase_of(control)
            said = GiveControl(control=control)
            heard = Heard(words=phrase, confidence=1.0)
            refused = advance(self.library, state, said, state.at_s, heard=heard, choose=plan).refused
            if phrase in listed:
                self.offered.add(control)
            elif control is Control.DONE and END_PHRASES[0] in listed:
                continue  # the words for it where codes are read
            elif not refused and control not in SAYS_NOTHING_NEW:
                self.wrong.append(f"{where}: legal, but not offered: {phrase}")
        if may_lead_elsewhere(self.library, state) != (phrase_of(Control.ANOTHER) in listed):
            self.wrong.append(f"{where}: a test by its name is not offered as another test is")


def walk(roots):
    """An onlooker that saw every walk of these procedures."""
    library = read_library()
    onlooker = Onlooker(library)
    for root in roots:
        search(library, root, Coverage(library), onlooker)
    return onlooker


def test_every_command_that_is_legal_is_offered_and_no_other():
    """Each phrase on the list is obeyed; each command that would be obeyed is on the list."""
    onlooker = walk(ROOTS)
    assert onlooker.wrong[:20] == []
    assert len(onlooker.seen) > 800
    assert {Control.CANNOT, Control.ANOTHER, Control.STRIKE, Control.SKIP, Control.DIESEL} <= onlooker.offered


@pytest.mark.campaign
def test_the_same_on_every_way_through_the_whole_job():
    """From the complaint to every finding and the check of the repair; takes some minutes."""
    onlooker = walk(["no-start"])
    assert onlooker.wrong[:20] == []
    assert {Control.REPAIR_DONE, Control.REPAIR_CONFIRMED, Control.LEAD, Control.BY_THE_BOOK} <= onlooker.offered
