"""An instruction that is told to be carried out by what it is about."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from assistant.language.commands import Control
from assistant.language.model import TYPED, Expected, GiveControl, Heard, Unclear
from assistant.language.plain import plain_words
from assistant.language.understand import understand
from assistant.language.work_told import MOST_WORDS, is_done, may_be_done, tells_it_is_mended
from assistant.wiring import load_libraries, shipped_procedures

OWN_WORDS = Path(__file__).parents[1] / "own_words"

DRESS = "Put on safety glasses and close gloves. Take off rings, watch and cords. Roll up loose sleeves."
LEADS = "Key out. Take the meter leads off."
SPRAYED = "Carry the can ten steps away. Close the duct. Then take the pedal prop out."
PROP_IN = "Key on, engine stopped. Pedal prop in, half down."


def said_to(work: str, words: str, *, typed: bool = True):
    expected = Expected(controls=frozenset({Control.DONE}), work=work)
    heard = Heard(words=words, confidence=1.0, engine=TYPED)
    return understand(heard if typed else Heard(words=None, confidence=0.0, free_text=words), expected)


@pytest.mark.parametrize(
    ("work", "words"),
    [
        (LEADS, "meter leads are off"),
        (LEADS, "okay, key's out and leads off"),
        (DRESS, "rings and watch off, sleeves up"),
        (SPRAYED, "can's away, duct's closed, prop is out"),
        (PROP_IN, "pedal prop is in"),
        (SPRAYED, "everything closed and away"),
    ],
)
def test_things_of_the_instruction_and_how_they_are_now_end_it(work, words):
    """Typed; of free writing, which others may have said, it is told how to say it."""
    assert said_to(work, words) == GiveControl(control=Control.DONE)
    left = said_to(work, words, typed=False)
    assert isinstance(left, Unclear) and "done" in left.detail


@pytest.mark.parametrize(
    ("work", "words"),
    [
        (SPRAYED, "can's away"),  # and the duct still open
        (LEADS, "i unhooked the meter from her"),
        (DRESS, "gloves and glasses on"),
        (LEADS, "it's unhooked"),
    ],
)
def test_a_part_of_it_or_other_words_are_told_how_to_be_said(work, words):
    """Seen from here it may be all of it, or not."""
    left = said_to(work, words)
    assert may_be_done(words, work) and isinstance(left, Unclear) and "done" in left.detail


@pytest.mark.parametrize(
    ("work", "words"),
    [
        (LEADS, "taking the leads off now"),
        (LEADS, "leads off yet"),
        (LEADS, "which leads are off"),
        (LEADS, "are the leads off"),
        (LEADS, "leads won't come off"),
        (LEADS, "the red lead is off but the black one hangs"),
        (LEADS, "one lead off"),
        (LEADS, "leads off, two to go"),
        (LEADS, "key's in"),
        (LEADS, "meter leads are off, key's on"),
        (PROP_IN, "pedal prop is out"),
        (DRESS, "gloves are out in the van"),
        (DRESS, "glasses fog up on me"),
        (LEADS, "the fan is off"),  # nothing of the instruction
        (LEADS, "meter leads"),  # nothing about how they are
        (LEADS, "off"),
        (LEADS, " ".join(["leads", "off"] * (MOST_WORDS // 2 + 1))),
    ],
)
def test_what_is_asked_missing_or_still_to_come_is_not_done(work, words):
    """Nor what is the other way, and nobody is asked whether it is."""
    assert not may_be_done(words, work) and not is_done(words, work)
    assert said_to(work, words) != GiveControl(control=Control.DONE)


def test_what_denies_only_what_should_not_be_there_is_done_all_the_same():
    """ "No leaks" after a line was closed."""
    assert is_done("line is closed no leaks", "Close the line. Wipe up. Key on, look for leaks at the line.")
    assert not may_be_done("no line closed", "Close the line at the rail.")


def test_elsewhere_it_ends_nothing():
    """Without an instruction that waits for its end nothing is done."""
    heard = Heard(words="leads off", confidence=1.0, engine=TYPED)
    assert not isinstance(understand(heard, Expected(controls=frozenset({Control.DONE}))), GiveControl)


def test_unseen_reports_are_understood_and_hardly_another_thing_is():
    """Of a writer's 220 reports and 220 other sentences at the same instructions, on whom nothing was chosen: 25 % end
    the instruction, one in 220 wrongly; 57 and 5 % are taken or told how to be said. Before none was."""
    works = {
        (id_, step.id): step.say for id_, each in load_libraries(shipped_procedures())[1].items() for step in each.steps
    }

    def shares(name, looks):
        said = [json.loads(line) for line in (OWN_WORDS / name).read_text(encoding="utf-8").splitlines()]
        found = [looks(plain_words(one["said"]), works[one["procedure"], one["step"]]) for one in said]
        return sum(found) / len(found)

    assert shares("done.jsonl", is_done) > 0.2 and shares("not-done.jsonl", is_done) < 0.01
    assert shares("done.jsonl", may_be_done) > 0.5 and shares("not-done.jsonl", may_be_done) < 0.06


@pytest.mark.parametrize(
    "words",
    [
        "new sensor's in, repair's done",
        "dealer coded a fresh key",
        "i've fitted a new pump",
        "it's fixed",
        "swapped the relay and it's fine now",
        "all mended mate",
    ],
)
def test_that_it_is_repaired_is_told(words: str) -> None:
    """At a finding it was not understood; which command it is is told."""
    now = Expected(controls=frozenset({Control.REPAIR_DONE, Control.DONE}))
    said = understand(Heard(words=words, confidence=1.0, engine="typed"), now)
    assert isinstance(said, Unclear) and "repair done" in said.detail


@pytest.mark.parametrize("words", ["it's not fixed", "when it is replaced", "needs to be replaced", "how is it fitted"])
def test_what_is_to_be_repaired_is_not(words: str) -> None:
    """Nor what is asked or denied."""
    assert not tells_it_is_mended(words)
