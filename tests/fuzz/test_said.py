"""Whatever is typed or said at any step: a turn, and never a crash; and every fact folds to where the job stands."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from assistant.adapters.journal_memory import MemoryJournal
from assistant.adapters.screen_plain import PlainScreen
from assistant.adapters.voice_silent import SilentVoice
from assistant.guide import begin, can_say, fold
from assistant.language.code_meanings import meaning_of
from assistant.language.codes import parse_code
from assistant.language.commands import command_phrases
from assistant.language.numbers import parse_number
from assistant.language.quantities import units_of
from assistant.language.reading import parse_reading
from assistant.procedure.model import Quantity
from assistant.session.conversation import Conversation
from assistant.session.trace import Trace
from assistant.session.typed import run_typed
from tests.fuzz.odd import MARKS, bounded, cases
from tests.guide.conftest import read_library

LIBRARY = read_library()
PHRASES = sorted(
    {*command_phrases(), "area is clear", "done", "yes", "no spark", "twelve point four volts", "p 0 3 0 1"}
)
WORLD = (
    "@wait 5",
    "@wait 1e9",
    "@crank 6 rpm=190 caught=no",
    "@crank 2 run_s=9",
    "@unclear",
    "@",
    "@wait nan",
    "@crank",
)
LINES = st.one_of(
    st.sampled_from(PHRASES),
    st.sampled_from(WORLD),
    st.text(max_size=40),
    st.sampled_from(MARKS),
    st.lists(st.sampled_from(PHRASES), min_size=2, max_size=8).map(" ".join),
    st.tuples(st.sampled_from(PHRASES), st.text(max_size=6)).map("".join),
    st.floats().map(lambda number: f"{number} volts"),
)


MOST_CPU_S = 20.0
"""For a whole session: what a step takes for an answer is fitted when it is first needed, up to 1.5 s each."""


class Nowhere:
    """A stream that keeps nothing."""

    def write(self, text):
        """Gone."""
        return len(text)

    def flush(self):
        """Nothing to do."""

    def isatty(self):
        """No terminal."""
        return False


@pytest.mark.parametrize("procedure", ["no-start", "cranking-check", "fuel-substitute"])
@cases(5, share=0.03)
@given(lines=st.lists(LINES, max_size=12), legal=st.lists(st.integers(0, 50), max_size=12))
def test_a_typed_session(procedure: str, lines: list[str], legal: list[int]) -> None:
    """Lines, now and then what is legal just then, so that it comes far into the job."""
    journal = MemoryJournal(lambda: "2031-05-01T09:00:00.000Z")
    conversation = Conversation(
        library=LIBRARY, journal=journal, voice=SilentVoice(), screen=PlainScreen(Nowhere()), trace=Trace()
    )
    conversation.open(begin(LIBRARY, procedure, "made-up", "job", {"fuel": "petrol"}))

    def typed():
        for place in range(max(len(lines), len(legal))):
            if place < len(legal) and (phrases := can_say(LIBRARY, conversation.state)):
                yield phrases[legal[place] % len(phrases)]
            if place < len(lines):
                yield lines[place]

    with bounded(MOST_CPU_S):
        run_typed(conversation, typed())
    assert fold(LIBRARY, journal.facts("job")) == conversation.state


SPOKEN = ["one", "two", "point", "twelve", "minus", "zero", "hundred", "oh", "and", "double", "thousand", "volts", "p"]
WORDS = st.lists(st.sampled_from(SPOKEN))


@cases(100)
@given(st.one_of(st.text(max_size=60), WORDS.map(" ".join)))
def test_numbers_and_codes(words: str) -> None:
    """Any words: numbers and codes in them, or none."""
    with bounded():
        number = parse_number(words.split())
        code = parse_code(words.split())
        for quantity in Quantity:
            parse_reading(words, quantity, units_of(quantity)[0].symbol)
    assert number is None or number.is_finite()
    assert code is None or meaning_of(code)
