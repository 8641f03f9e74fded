"""What may be said at a moment, worked out once for each state: it is asked with every block of sound."""

from __future__ import annotations

from dataclasses import dataclass, replace

from assistant.guide import Library, Mode, State, can_say, expected
from assistant.guide.other_fuel import DUAL, FUEL, PETROL
from assistant.language.attention import to_say
from assistant.language.model import Expected
from assistant.language.questions import Question
from assistant.ports import Aids
from assistant.session.adviser import Adviser, may_ask
from assistant.session.aids import aids_phrases, widened


@dataclass(frozen=True, slots=True, kw_only=True)
class Moment:
    """What may be said at this state. `about`: what else that depends on. `can_say`: every phrase that does something
    now, or asks something, each to be said as it stands."""

    state: State
    about: object
    expected: Expected
    can_say: tuple[str, ...]


class Legal:
    """What is legal in one job."""

    def __init__(self, library: Library, adviser: Adviser | None, aids: Aids | None) -> None:
        """`adviser`, `aids`: as the conversation has them."""
        self._library = library
        self._adviser = adviser
        self._aids = aids
        self._known: Moment | None = None

    def at(self, state: State, attention: str) -> Moment:
        """At this state, with the attention word before each command."""
        about = (attention, self._aids.controls() if self._aids else frozenset())
        if self._known is None or self._known.state is not state or self._known.about != about:
            now = self._expected(state, attention)
            self._known = Moment(state=state, about=about, expected=now, can_say=self._can_say(state, now))
        return self._known

    def _expected(self, state: State, attention: str) -> Expected:
        fuel = str(state.vehicle.get(FUEL, "")).replace(DUAL, PETROL)
        now = widened(replace(expected(self._library, state), attention=attention, fuel=fuel), self._aids)
        if not may_ask(state, now):
            if self._adviser is None or state.mode is not Mode.TIMING:
                return now
            return replace(now, supposed=self._adviser.supposed(state))  # a danger may be told in the count
        return self._adviser.expected(state, now) if self._adviser else replace(now, questions=True)

    def _can_say(self, state: State, now: Expected) -> tuple[str, ...]:
        asks = self._adviser.can_ask(state) if self._adviser else ()
        record = (Question.RECORD.value,) if now.questions else ()
        return to_say((*can_say(self._library, state), *asks, *record, *aids_phrases(now, self._aids)), now)
