"""What strangers said in made-up jobs, and was not followed or taken wrongly. The cars are our own invention."""

from __future__ import annotations

import pytest

from assistant.guide import Library, Mode
from assistant.language.complaints import told_in
from assistant.procedure.condition import C
from assistant.reasoning.reasoner import Reasoner
from assistant.session.adviser import Adviser
from tests.session.dialogue_player import Leader
from tests.session.led_jobs import USUAL
from tests.session.room import Room


@pytest.fixture
def fresh(library: Library, reasoner: Reasoner) -> Room:
    """A led job at its first step."""
    return Room(library, adviser=Adviser(reasoner, library), leads=True)


def said(turns: list[dict[str, object]]) -> str:
    """All that was said to a line."""
    return " ".join(text for line in turns for text in line["said"])  # type: ignore[union-attr]


@pytest.mark.parametrize("words", ["what do i do with my eyes", "how tight should it be", "is that the left one"])
def test_a_question_is_no_answer_that_nobody_knows(fresh: Room, words: str) -> None:
    """The first was logged as "nobody knows"."""
    fresh.type("got it", "it cranks but will not start")
    assert "nobody knows" not in said(fresh.type(words))
    assert fresh.conversation.state.at.step == "changed"


def test_that_one_has_heard_is_no_answer(fresh: Room) -> None:
    """ "Got it" was read back as "i don't know" to whether it is a hybrid."""
    fresh.type("got it", "it cranks but will not start", "nothing", "cut out at once", "petrol", "yes")
    assert "I heard" not in said(fresh.type("got it"))


def test_who_is_out_passes_the_question_for_it(fresh: Room, library: Library) -> None:
    """ "He's out" was not understood where it was asked whether everybody is clear."""
    Leader(fresh, library, USUAL).until("no-start/fuel-level")
    fresh.type("plenty of fuel, and my mate's just under it looking at the sump", "resume")
    assert fresh.conversation.state.mode is Mode.GATING
    fresh.type("is he out")
    assert C.SOMEBODY_NEAR in fresh.conversation.state.bay.conditions
    fresh.type("okay he's out")
    assert C.SOMEBODY_NEAR not in fresh.conversation.state.bay.conditions


def test_who_corrects_what_was_read_back_says_no_to_it(fresh: Room, library: Library) -> None:
    """It was asked to log it once more, and the next yes logged the wrong one."""
    Leader(fresh, library, USUAL | {"no-start/security": "keeps flashing"}).until("no-start/other-key")
    fresh.type("I've only got the one key")
    assert "Not logged." in said(fresh.type("no sorry the other one was the valet key, I've got that too"))
    assert "lamp goes out" in said(fresh.type("it goes out with that one"))


def test_who_corrects_what_was_logged_is_told_how(library: Library) -> None:
    """At a finding it was not understood."""
    room = Room(library, "charging")
    leader = Leader(room, library, USUAL | {"charging/belt": "belt is torn"})
    while room.conversation.state.mode is not Mode.CLOSING:
        leader.next_line()
    assert "strike that" in said(room.type("no wait it's tight, it was the other belt that was loose"))


@pytest.mark.parametrize(
    ("words", "answer"),
    [
        ("can I spray easy start", "Never on a diesel"),
        ("what if I use some brake cleaner", "Spray only where I ask for it."),
        ("should I jump it", "never a high voltage battery"),
        ("is it ok to boost it", "Boost only where I ask for it"),
    ],
)
def test_who_asks_whether_to_spray_or_boost_is_answered(fresh: Room, words: str, answer: str) -> None:
    """At the end of a diesel it was not understood."""
    fresh.type("got it", "diesel van, it cranks for ages", "nothing", "worse for weeks", "diesel", "yes")
    assert fresh.conversation.state.mode is Mode.CLOSING
    assert answer in said(fresh.type(words))


def test_a_finding_beside_is_not_told_by_the_odds_of_the_no_start(fresh: Room, library: Library) -> None:
    """Of a car that starts, with a loose belt, it was told that most likely its crank sensor is faulty."""
    own = {"no-start/complaint": "the battery light is on while driving", "charging/belt": "it's a bit loose and shiny"}
    leader = Leader(fresh, library, USUAL | own)
    while fresh.conversation.state.mode is not Mode.CLOSING:
        leader.next_line()
    told = said(fresh.trace[-1:])
    assert "The finding. The belt is the fault." in told and "crank sensor" not in told


def test_a_long_stand_told_in_the_complaint_is_offered(fresh: Room) -> None:
    """It was asked what came before, though it had been told."""
    told = fresh.type("got it", "stood in the shed all winter and won't fire now, cranks fine")
    assert "You said: stood for weeks." in said(told)


@pytest.mark.parametrize(
    ("words", "told"),
    [
        ("starts fine but the battery's flat every couple of mornings", "drains"),
        ("the battery light flickers when I put the headlights on, it starts ok", "uncharged"),
    ],
)
def test_a_complaint_tells_it_in_more_words(words: str, told: str) -> None:
    """Both led through the first steps of a car that does not start."""
    assert told in told_in(words)


@pytest.mark.parametrize(
    ("words", "kept"),
    [("note fuse twelve", "fuse twelve"), ("take a note that the belt is shiny", "the belt is shiny")],
)
def test_a_note_may_be_told_in_one_breath(fresh: Room, words: str, kept: str) -> None:
    """What followed the word was lost, and the next answer was kept as the note."""
    fresh.type("got it", "it cranks but will not start")
    assert f"I kept: {kept}." in said(fresh.type(words))
    assert fresh.conversation.state.mode is Mode.ASKING and fresh.conversation.state.at.step == "changed"


@pytest.mark.parametrize("words", ["note", "take a note please", "note that down", "can you take a note for me"])
def test_the_word_for_a_note_alone_asks_for_it(fresh: Room, words: str) -> None:
    """Nothing is to be kept yet."""
    fresh.type("got it", "it cranks but will not start", words)
    assert fresh.conversation.state.mode is Mode.NOTING


@pytest.mark.parametrize(
    "words", ["dash cam went in last week", "someone fitted a dash cam last week", "he put in a tow bar"]
)
def test_what_was_fitted_is_a_repair_and_no_crash(fresh: Room, words: str) -> None:
    """ "Did you say a crash?" was asked of the first."""
    fresh.type("got it", "it cranks but will not start")
    assert "recent repair" in said(fresh.type(words))
