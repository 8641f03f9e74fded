"""What is shown of a moment: the picture of the guide, and what was last said and heard beside it."""

from __future__ import annotations

from dataclasses import KW_ONLY, dataclass, replace

from assistant.guide import Library, State, can_say, picture
from assistant.language.model import Expected
from assistant.ports import Glance, Screen, View
from assistant.session.adviser import Adviser
from assistant.session.glance import glance_of
from assistant.session.keys import keys_now

MOST_ODDS = 5
"""Faults whose odds a page shows. Judgement: what can be taken in at a glance."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Shown:
    """What was last said and heard, and in which turn: it stays on the screen until the next. `sure`: as in Glance."""

    turn: int = 0
    said: tuple[str, ...] = ()
    heard: str | None = None
    sure: float | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class _Thought:
    """What the adviser thinks, and of what: it is worked out anew only once that has changed."""

    about: object = None
    odds: tuple[tuple[str, float], ...] = ()
    reason: str = ""
    places: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Moment:
    """What a view is drawn from. `can_say`: every phrase that does something now; `speaking`: as in View."""

    state: State
    at_s: float
    _: KW_ONLY
    expected: Expected
    can_say: tuple[str, ...]
    speaking: bool = False


class Showing:
    """Draws each moment on the screen. `notices`, `level_db`: as in View; `sure`: how sure we were of what was heard
    last; `has_keys`: whether there is a keyboard."""

    def __init__(self, screen: Screen, library: Library, adviser: Adviser | None, *, glances: bool) -> None:
        """`glances`: whether the screen shows more than words."""
        self._screen = screen
        self._library = library
        self._adviser = adviser
        self._glances = glances
        self._shown = Shown()
        self._question: object = None
        self._thought = _Thought()
        self.asked = 0
        self.sure: float | None = None
        self.has_keys = False
        self.level_db: float | None = None
        self.notices: tuple[str, ...] = ()

    def turn(self, said: tuple[str, ...], heard: str | None) -> None:
        """A turn said this and took these words, as sure as `sure`."""
        sure = self.sure if heard is not None else None
        self._shown = Shown(turn=self._shown.turn + 1, said=said, heard=heard, sure=sure)

    def also(self, text: str) -> None:
        """Show this beside what was last said."""
        self._shown = replace(self._shown, said=(*self._shown.said, text))

    def count(self, question: object, state: State) -> None:
        """Count each question, and whatever else a word may be meant for, so that a tap tells which one it saw."""
        whole = (question, state.acknowledged, state.passed, state.burst_done, state.timed, state.open_items)
        if whole != self._question:
            self._question = whole
            self.asked += 1

    def after_speaking(self, moment: Moment) -> None:
        """What only a page shows, once the voice has begun: nobody waits for it."""
        if not self._glances:
            return
        if self._adviser is not None:
            about = (self._adviser.evidence, moment.state.at, moment.state.bay.conditions)
            if about != self._thought.about:
                self._thought = _Thought(
                    about=about,
                    odds=self._adviser.odds(MOST_ODDS),
                    reason=self._adviser.reason(moment.state),
                    places=self._adviser.places(moment.state),
                )
        self.draw(moment)

    def draw(self, moment: Moment) -> None:
        """Show this moment; what was said and heard stays."""
        self._screen.show(self._view(moment))

    def _view(self, moment: Moment) -> View:
        seen, shown = picture(self._library, moment.state, moment.at_s), self._shown
        return View(
            job=moment.state.job,
            title=seen.title,
            step=seen.step,
            mode=seen.mode,
            instruction=seen.instruction,
            caution_signal=seen.caution_signal,
            caution=seen.caution,
            said=shown.said,
            can_say=moment.can_say,
            heard=shown.heard,
            countdown_s=seen.countdown_s,
            open_items=seen.open_items,
            bay=seen.bay,
            level_db=self.level_db,
            turn=shown.turn,
            keys=self._keys(moment),
            notices=self.notices,
            speaking=moment.speaking,
            asked=self.asked,
            glance=self._glance(moment),
        )

    def _keys(self, moment: Moment) -> tuple[tuple[str, str], ...]:
        if not self.has_keys:
            return ()
        return keys_now(can_say(self._library, moment.state), speaking=moment.speaking)

    def _glance(self, moment: Moment) -> Glance:
        if not self._glances:
            return Glance()
        mind, state, now = self._thought, moment.state, moment.expected
        return glance_of(
            self._library, state, now, odds=mind.odds, reason=mind.reason, places=mind.places, sure=self._shown.sure
        )
