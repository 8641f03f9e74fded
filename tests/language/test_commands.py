"""The closed list of command phrases."""

import re

from assistant.guide.expect import ITEM_RESULTS
from assistant.language.codes import END_PHRASES
from assistant.language.commands import COMMAND_PHRASES, command_phrases, control_of, phrase_of
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
    assert all(re.fullmatch(r"[a-z]+( [a-z]+)*", phrase) for phrase in command_phrases())


def test_no_answer_of_the_house_equals_a_command():
    """What ends the telling of codes and what settles open items is never a command word, and means one thing."""
    answers = [*END_PHRASES, *(phrase for phrases in ITEM_RESULTS.values() for phrase in phrases)]
    assert len(answers) == len(set(answers))
    assert not set(answers) & set(command_phrases())
