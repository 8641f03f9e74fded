"""Outside check: the forms that the JSpeech Grammar Format note shows, each accepting and refusing what it says.

Source: JSpeech Grammar Format, W3C Note, 5 June 2000: the small examples of its sections on rule expansions and on
recursion. The note's text was not at hand when this was written: the examples are given from memory.
"""

from __future__ import annotations

import pytest

from assistant.grammar.automaton import automaton_of
from assistant.grammar.jsgf import read_jsgf

POLITE = """#JSGF V1.0;
grammar com.acme.politeness;
// Body
public <startPolite> = (please | kindly | could you | oh mighty computer) *;
public <endPolite> = [ please | thanks | thank you ];
"""
COMMANDS = """#JSGF V1.0;
grammar com.acme.commands;
public <basicCmd> = <startPolite> <command> <endPolite>;
<command> = <action> <object>;
<action> = /10/ open |/2/ close |/1/ delete |/1/ move;
<object> = [the | a] (window | file | menu);
<startPolite> = (please | kindly | could you | oh mighty computer) *;
<endPolite> = [ please | thanks | thank you ];
"""
RECURSION = """#JSGF V1.0 ISO8859-1 en;
grammar recursion;
public <command> = <action> | (<action> and <command>);
<action> = stop | start | pause | resume | finish;
"""


@pytest.mark.parametrize(
    ("grammar", "said", "refused"),
    [
        (POLITE, ["", "please", "oh mighty computer kindly", "thank you"], ["thank", "thanks please"]),
        (
            COMMANDS,
            ["open a file", "oh mighty computer please open a menu", "close the window thank you", "delete file"],
            ["open", "the window", "open a the file", "open a file thanks please"],
        ),
        (RECURSION, ["stop", "stop and finish", "start and resume and finish"], ["stop and", "and stop", ""]),
        ("public <x> = <a> <NULL>; <a> = a | <VOID>;", ["a"], [""]),
        ('public <x> = "New York" | "+" | "/";', ["new york", "+", "/"], ["new"]),
        ("public <x> = very* loud {LOUD} {\\{odd\\}};", ["loud", "very very loud"], ["very"]),
    ],
)
def test_the_examples_of_the_note_accept_what_they_should(grammar: str, said: list[str], refused: list[str]) -> None:
    """Each example parses, accepts the sentences that its text names and refuses others."""
    automaton = automaton_of(read_jsgf(grammar))
    assert [words for words in said if not automaton.accepts(words.split())] == []
    assert [words for words in refused if automaton.accepts(words.split())] == []
