"""The closed list of command phrases."""

import re
from pathlib import Path

import pytest

from assistant.grammar.automaton import automaton_of
from assistant.guide.expect import ITEM_RESULTS
from assistant.language.codes import END_PHRASES
from assistant.language.commands import (
    COMMAND_PHRASES,
    CUTS_SPEECH,
    CommandRow,
    Control,
    Heading,
    Stakes,
    When,
    command_phrases,
    control_of,
    names_of_commands,
    phrase_of,
)
from assistant.language.grammars import grammar_of
from assistant.language.model import Expected

SAID = {"does": "hums", "legal": When.ALWAYS, "offered": When.NEVER, "heading": Heading.ASK}


def test_every_control_has_a_phrase_and_no_phrase_has_two_controls():
    """Nothing that is said can give two commands."""
    phrases = command_phrases()
    assert set(COMMAND_PHRASES) == set(Control)
    assert len(phrases) == len(set(phrases))
    for control in Control:
        assert control_of(phrase_of(control)) is control


def test_phrases_are_plain_words():
    """Lower-case words only, as a recogniser and a grammar need them."""
    assert all(re.fullmatch(r"[a-z]+('[a-z]+)?( [a-z]+('[a-z]+)?)*", phrase) for phrase in command_phrases())


def test_no_answer_of_the_house_equals_a_command():
    """What ends the telling of codes and what settles open items is never a command word, and means one thing."""
    answers = [*END_PHRASES, *(phrase for phrases in ITEM_RESULTS.values() for phrase in phrases)]
    assert len(answers) == len(set(answers))
    assert not set(answers) & set(command_phrases())


def test_each_command_has_one_row_that_names_what_is_at_stake():
    """What reaches from job to job, takes back or ends what was kept is the strictest; only talk is harmless."""
    stakes = {control: control.row.stakes for control in Control}
    strict = {Control.REPAIR_CONFIRMED, Control.SAME_CAR, Control.GO_BACK, Control.STRIKE}
    strict |= {Control.END_JOB, Control.SKIP, Control.ANOTHER, Control.TAKE_TO, Control.CANNOT, Control.REPAIR_DONE}
    strict |= {Control.DIESEL, Control.HYBRID, Control.PHONE_AWAY}
    answers = {Control.YES, Control.NO, Control.DONE, Control.READY, Control.RESUME, Control.NOTE}
    answers |= {Control.LEAD, Control.BY_THE_BOOK, Control.FULL, Control.BRIEF, Control.TERSE, Control.PICTURE}
    assert {control for control in Control if stakes[control] is Stakes.STRICT} == strict
    assert {control for control in Control if stakes[control] is Stakes.ANSWER} == answers
    assert {control for control in Control if stakes[control] is Stakes.HARMLESS} == set(Control) - strict - answers


def test_only_harmless_commands_are_obeyed_unsure():
    """Stop and pause are; a row that would let another one through cannot be written."""
    unsure = {control for control in Control if control.row.obeyed_unsure}
    assert unsure == {Control.STOP, Control.PAUSE, Control.SAY_AGAIN, Control.WHERE, Control.OPTIONS}
    with pytest.raises(ValueError, match="'skip' is obeyed unsure"):
        CommandRow(phrases=("skip",), stakes=Stakes.STRICT, obeyed_unsure=True, **SAID)


def test_what_is_obeyed_while_we_speak_is_a_closed_list():
    """Stop and pause cut us off, answers may where that is wished for, and only stop needs no attention word."""
    assert {Control.STOP, Control.PAUSE} == CUTS_SPEECH
    assert {control for control in Control if control.row.over_prompt} == {Control.YES, Control.NO, Control.DONE}
    assert {control for control in Control if control.row.unaddressed} == {Control.STOP}
    assert {control for control in Control if control.row.alone} == {Control.DONE, Control.READY}


@pytest.mark.parametrize("left_out", ["stakes", "legal", "offered", "heading", "does", "phrases"])
def test_a_command_without_its_class_or_occasion_is_an_error(left_out: str):
    """Nothing is harmless, legal, unexplained or somewhere on the page because nobody said so."""
    whole = {"phrases": ("hum",), "stakes": Stakes.STRICT, **SAID}
    assert CommandRow(**whole)
    with pytest.raises(TypeError, match=left_out):
        CommandRow(**{name: value for name, value in whole.items() if name != left_out})


def test_the_commands_that_are_named_can_be_heard():
    """What the voice names among what can be said is a phrase of the grammar, not only a typed one."""
    automaton = automaton_of(grammar_of(Expected(controls=frozenset(Control))))
    named = names_of_commands().rstrip(".").split(", ")
    assert len(named) > 5
    assert [words for words in named if not automaton.accepts(words.split())] == []


def test_the_handbook_tells_every_command_by_its_row():
    """Its table is the table."""
    text = (Path(__file__).parents[2] / ".docs" / "handbook.md").read_text()
    rows = re.findall(r"^\| ([^|]+) \| ([^|]+) \|$", text.split("| say | it |")[1].split("\n\n")[0], flags=re.M)
    assert rows == [(" · ".join(control.row.phrases), control.row.does) for control in Control]
