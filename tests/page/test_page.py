"""What a page shows of a view: the same words as are spoken, on every walk of the machine, and plain to read."""

from __future__ import annotations

import pytest

from assistant.guide import Mode, advance, can_say, expected
from assistant.guide.expect import answers
from assistant.guide.places import caution_now
from assistant.language.commands import Control, Heading, phrase_of
from assistant.language.questions import I_FOUND
from assistant.language.speech import Sentence
from assistant.page import page_of, text_of
from assistant.ports import Gauge, Glance, Turned, View
from assistant.session.adviser import Adviser
from assistant.session.shown import Moment, Showing
from assistant.session.trace import written
from assistant.simulation.coverage import Coverage
from assistant.simulation.search import search
from tests.guide.conftest import read_library
from tests.session.room import Room

ROOTS = (
    "charging", "battery-load-test", "no-crank", "slow-crank", "flooded", "fuel-substitute", "fuel-pressure",
    "spark-check-wasted-spark",
)  # fmt: skip
"""Of every kind of step; all thirty take half a minute."""


class Last:
    """Keeps the latest view."""

    def show(self, view):
        """Keep it."""
        self.view = view

    def close(self):
        """Nothing to give back."""


def view(**fields):
    """A plain moment."""
    plain = {
        "job": "grey-hatchback", "title": "Made up", "step": "rules", "mode": "asking", "instruction": "Look here.",
        "caution_signal": None, "caution": None, "said": (), "can_say": ("done", "stop"), "heard": None,
        "countdown_s": None, "open_items": (),
    }  # fmt: skip
    return View(**(plain | fields))


def more_of(page):
    """The buttons behind "all words", without their headings."""
    return [button for group in page.more for button in group.buttons]


class Onlooker:
    """Leads on as the guide does, and holds the page of each new kind of moment against what was spoken there."""

    def __init__(self, library):
        self.library = library
        self.seen = set()
        self.cautions = self.readings = self.clocks = 0
        self.wrong = []

    def __call__(self, library, state, said, at_s, /, *, choose=None):
        turn = advance(library, state, said, at_s, choose=choose)
        after = turn.state
        moment = (
            after.at,
            after.mode,
            after.acknowledged,
            after.passed,
            after.burst_done,
            after.under,
            bool(turn.reply),
        )
        if moment not in self.seen and after.mode not in (Mode.NEW, Mode.MOVING):
            self.seen.add(moment)
            self._hold(turn)
        return turn

    def _hold(self, turn):
        state, screen = turn.state, Last()
        now = expected(self.library, state)
        showing = Showing(screen, self.library, None, glances=True)
        showing.turn(written(turn.reply), None)
        showing.draw(Moment(state, state.at_s, expected=now, can_say=can_say(self.library, state)))
        page = page_of(screen.view)
        shown = " ".join(text_of(page))
        where = f"{state.at.procedure}/{state.at.step} {state.mode}"
        spoken = [each.text for each in turn.reply if isinstance(each, Sentence)]
        flat = shown.lower().replace(".", "").replace(",", "")
        for text in spoken:
            if any(part not in flat for part in _sentences(text)):
                self.wrong.append(f"{where}: spoken, not shown: {text}")
        tapped = [button.words for button in (*page.answers, *page.hands, *more_of(page))]
        if sorted([*tapped, *page.examples, *page.told_only]) != sorted(can_say(self.library, state)):
            self.wrong.append(f"{where}: taps are not what can be said")
        if not page.takes and not set(answers(self.library, state)) <= {button.words for button in page.answers}:
            self.wrong.append(f"{where}: what leads on cannot be tapped")
        caution = caution_now(self.library, state)
        if state.mode is Mode.CAUTIONING and caution is not None:
            self.cautions += 1
            parts = (caution.signal.value, caution.hazard, caution.avoid, caution.consequence)
            if page.band is None or any(part not in flat for each in parts for part in _sentences(each)):
                self.wrong.append(f"{where}: a caution is not shown whole")
        self.readings += page.takes == "reading"
        self.clocks += page.clock is not None


def _sentences(text):
    """The sentences of a text in small letters, without signs."""
    return [part.strip() for part in text.lower().replace(",", "").split(".") if part.strip()]


def test_what_is_spoken_is_shown():
    """On every kind of moment that the machine walks through: each sentence spoken, each phrase that can be said,
    each caution in full with its signal word."""
    onlooker = walk(ROOTS)
    assert onlooker.wrong == []
    assert len(onlooker.seen) > 400
    assert min(onlooker.cautions, onlooker.readings, onlooker.clocks) > 20


@pytest.mark.campaign
def test_what_is_spoken_is_shown_on_every_way_through_the_whole_job():
    """As above, from the complaint to every finding; takes a minute."""
    onlooker = walk(["no-start"])
    assert onlooker.wrong == []
    assert len(onlooker.seen) > 500


def walk(roots):
    """An onlooker that saw every walk of these procedures."""
    library = read_library()
    onlooker = Onlooker(library)
    for root in roots:
        search(library, root, Coverage(library), onlooker)
    return onlooker


def test_while_we_speak_only_stop_and_pause_work():
    """All else is shown as not to be tapped yet."""
    phrases = ("understood", "stop", "pause", "say again", "how long")
    page = page_of(view(can_say=phrases, speaking=True, glance=Glance(answers=("understood",), passes=True)))
    working = {one.words for one in (*page.answers, *page.hands, *more_of(page)) if one.works}
    assert working == {"stop", "pause"}
    assert [one.words for one in page.answers] == ["understood"]


@pytest.mark.parametrize(
    ("seconds", "text"), [(4.96, "5.0"), (59.9, "59.9"), (60.0, "1:00"), (125.0, "2:05"), (0.0, "0.0"), (-1.0, "0.0")]
)
def test_a_count_down_is_read_at_a_glance(seconds, text):
    """Tenths below a minute, minutes above."""
    page = page_of(view(mode="timing", countdown_s=seconds, glance=Glance(clock="crank")))
    assert (page.clock.label, page.clock.text) == ("Release the key in", text)


@pytest.mark.parametrize(("level", "word"), [(-70.0, "too quiet"), (-20.0, "good"), (-3.0, "too loud")])
def test_the_level_is_a_word_too(level, word):
    """Never a bar alone."""
    page = page_of(view(level_db=level))
    assert page.level.word == word and 0.0 <= page.level.share <= 1.0


@pytest.mark.parametrize(
    ("sure", "text"), [(None, ""), (1.0, ""), (0.95, "sure, 95 %"), (0.8, "fairly sure, 80 %"), (0.4, "not sure, 40 %")]
)
def test_what_was_heard_says_how_sure(sure, text):
    """Typed and tapped words are no question."""
    assert page_of(view(heard="done", glance=Glance(sure=sure))).heard.sure == text


def test_a_reading_lies_between_its_limits_as_it_should():
    """In the order of the numbers, all on the line, also where value and limit are one."""
    gauge = Gauge(name="battery at rest", value=12.1, unit="V", limits=(11.8, 12.4), verdict="low")
    plot = page_of(view(glance=Glance(gauges=(gauge,)))).plots[0]
    (low, _), (high, _) = plot.limits
    assert 0.0 < low < plot.at < high < 1.0
    assert (plot.text, plot.verdict) == ("12.1 V", "low")
    alone = Gauge(name="x", value=5.0, unit="V", limits=(5.0,))
    assert page_of(view(glance=Glance(gauges=(alone,)))).plots[0].at == 0.5


def test_a_burst_says_what_the_ear_knows_and_no_more():
    """Unknown speed and catching are left out."""
    known = Glance(turned=Turned(seconds=5.2, rpm=190.0, caught=False))
    assert page_of(view(glance=known)).burst == "5.2 s, 190 rpm, did not catch"
    assert page_of(view(glance=Glance(turned=Turned(seconds=5.2)))).burst == "5.2 s"


def test_an_example_of_a_finding_is_no_button():
    """Nobody taps a finding that nobody made."""
    words = f"{I_FOUND} spark is weak"
    page = page_of(view(can_say=("done", words)))
    assert page.told_only == (words,) and words not in [one.words for one in more_of(page)]


def test_odds_are_bars_with_their_figure():
    """Share and words of each."""
    page = page_of(view(glance=Glance(odds=(("a dead fuel pump", 0.423), ("an empty tank", 0.002)), reason="Next.")))
    assert [(bar.share, bar.text) for bar in page.odds] == [(0.423, "42 %"), (0.002, "under 1 %")]


def test_an_ended_job_takes_nothing():
    """No words, no pad."""
    page = page_of(view(mode="ended", can_say=(), glance=Glance(takes="words")))
    assert page.ended and page.takes == "" and page.answers == ()


def test_the_adviser_thinks_once_for_one_place(library_reasoner):
    """The odds are reckoned when evidence, place or bay change, not with every picture."""
    library, reasoner = library_reasoner
    counted = []

    class Counting(Adviser):
        def reason(self, state):
            counted.append(state.at)
            return super().reason(state)

    room = Room(library, adviser=Counting(reasoner, library), glances=True)
    counted.clear()
    room.type("what can i say", "say again", "how long")
    assert counted == []
    room.type("done")
    assert len(counted) == 1


def test_every_mode_has_its_words():
    """None is shown by its name in the program."""
    modes = [mode for mode in Mode if mode not in (Mode.NEW, Mode.MOVING)]
    shown = [page_of(view(mode=mode.value)).mode for mode in modes]
    assert not {mode.value for mode in modes} & set(shown) - {"waiting", "closing"}
    assert len(set(shown)) == len(modes)


def test_each_command_stands_under_the_heading_of_its_row():
    """With an attention word before it too; a place is gone to, a "what if" supposed, and what is no command asked."""
    said = tuple(phrase_of(control) for control in Control if control.row.heading is not Heading.AT_HAND)
    attended = tuple(f"bay one {words}" for words in said)
    odd = ("take me to the spark check", "what if there is no spark", "what is wrong")
    more = {group.name: [one.words for one in group.buttons] for group in page_of(view(can_say=(*attended, *odd))).more}
    assert more.pop("Suppose") == ["what if there is no spark"]
    assert more["Ask"].pop() == "what is wrong"
    assert more["Go to a test"].pop() == "take me to the spark check"
    assert more == {
        heading.value: [f"bay one {phrase_of(each)}" for each in Control if each.row.heading is heading]
        for heading in Heading
        if heading not in (Heading.AT_HAND, Heading.SUPPOSE)
    }


def test_what_is_at_hand_stands_in_one_place():
    """Among the buttons that never move, and under no heading."""
    page = page_of(view(can_say=("stop", "pause", "say again", "go back", "skip")))
    assert [one.words for one in page.hands] == ["stop", "pause", "say again", "go back"]
    assert [one.words for one in more_of(page)] == ["skip"]
