"""The closed list of command phrases."""

import re

import pytest

from assistant.guide.expect import ITEM_RESULTS
from assistant.language.codes import END_PHRASES
from assistant.language.commands import (
    COMMAND_PHRASES,
    CUTS_SPEECH,
    OBEYED_UNSURE,
    ROWS,
    CommandRow,
    Stakes,
    command_phrases,
    control_of,
    phrase_of,
)
from assistant.language.model import Control


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
    assert [row.control for row in ROWS] == list(dict.fromkeys(row.control for row in ROWS))
    stakes = {row.control: row.stakes for row in ROWS}
    strict = {Control.REPAIR_CONFIRMED, Control.SAME_CAR, Control.GO_BACK, Control.STRIKE}
    strict |= {Control.END_JOB, Control.SKIP, Control.ANOTHER, Control.TAKE_TO, Control.CANNOT, Control.REPAIR_DONE}
    strict |= {Control.DIESEL, Control.PHONE_AWAY}
    answers = {Control.YES, Control.NO, Control.DONE, Control.READY, Control.RESUME, Control.NOTE}
    answers |= {Control.LEAD, Control.BY_THE_BOOK, Control.FULL, Control.BRIEF, Control.TERSE, Control.PICTURE}
    assert {control for control in Control if stakes[control] is Stakes.STRICT} == strict
    assert {control for control in Control if stakes[control] is Stakes.ANSWER} == answers
    assert {control for control in Control if stakes[control] is Stakes.HARMLESS} == set(Control) - strict - answers


def test_only_harmless_commands_are_obeyed_unsure():
    """Stop and pause are; a row that would let another one through cannot be written."""
    assert {Control.STOP, Control.PAUSE} == CUTS_SPEECH and CUTS_SPEECH < OBEYED_UNSURE
    with pytest.raises(ValueError, match="'skip' is obeyed unsure"):
        CommandRow(control=Control.SKIP, phrases=("skip",), stakes=Stakes.STRICT, obeyed_unsure=True)
