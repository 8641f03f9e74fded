"""The attention word: what it must be like, what it binds and what it leaves free."""

import pytest

from assistant.english.heard import say_first
from assistant.errors import UsageError
from assistant.grammar.automaton import automaton_of
from assistant.language.attention import addressed, check_attention, to_say
from assistant.language.grammars import grammar_of
from assistant.language.model import Control, Expected, Heard

VOCABULARY = ("stop", "ready", "seven", "spark", "no", "go", "back", "battery", "meter")
BOUND = Expected(
    controls=frozenset({Control.STOP, Control.READY, Control.NO}),
    results={"none": ("no spark",)},
    attention="computer",
)


@pytest.mark.parametrize(
    "text", ["computer", "Computer", "  listen  helper ", "hello workshop", "hello my workshop", "hello"]
)
def test_a_word_that_can_be_heard_is_taken(text):
    """In lower case, with single blanks."""
    assert check_attention(text, VOCABULARY) == " ".join(text.lower().split())


@pytest.mark.parametrize(
    ("text", "told"),
    [
        ("", "plain words"),
        ("r2d2", "plain words"),
        ("one two three four", "plain words"),
        ("xqzvat", "do not know how 'xqzvat' sounds"),
        ("hey", "too short"),
        ("already", "sounds like 'ready'"),
        ("seven", "sounds like 'seven'"),
        ("go back", "may be said in this job"),
        ("meaner", "sounds like 'meter'"),
    ],
)
def test_a_word_that_could_be_missed_or_mistaken_is_refused(text, told):
    """Each in one sentence that says what is wrong with it."""
    with pytest.raises(UsageError, match=told):
        check_attention(text, VOCABULARY)


@pytest.mark.parametrize("words", ["computer ready", "Computer, ready", "COMPUTER READY"])
def test_what_follows_the_word_is_what_was_said(words):
    """However it is written."""
    assert addressed(Heard(words=words, confidence=1.0), BOUND).words.lower() == "ready"


@pytest.mark.parametrize("words", ["ready", "no spark", "computers ready", "the computer ready"])
def test_without_the_word_nothing_was_said(words):
    """Talk in the shop may hold every command there is."""
    assert addressed(Heard(words=words, confidence=1.0), BOUND) is None


@pytest.mark.parametrize("words", ["stop", "Stop!", "stop now", "computer stop"])
def test_stop_is_obeyed_with_and_without_it(words):
    """A hand may be at stake."""
    assert addressed(Heard(words=words, confidence=1.0), BOUND).words.lower().startswith("stop")


@pytest.mark.parametrize(
    "words", ["There is a fuel leak!", "it smells of fuel.", "somebody put diesel in the petrol tank by mistake"]
)
def test_a_danger_is_taken_without_it(words):
    """As it was said; what only begins so is talk."""
    heard = Heard(words=words, confidence=1.0)
    assert addressed(heard, BOUND) == heard
    assert addressed(Heard(words="it smells of paint", confidence=1.0), BOUND) is None


def test_dictated_words_need_none():
    """They are kept as they are said; only a command among them loses the word."""
    taking = Expected(controls=frozenset({Control.NO}), dictation=True, attention="computer")
    for said, kept in (
        ("coolant is low", "coolant is low"),
        ("computer is off", "computer is off"),
        ("computer no", "no"),
    ):
        assert addressed(Heard(words=said, confidence=1.0), taking).words == kept


def test_nothing_changes_where_no_word_was_chosen():
    """Off by default."""
    free = Expected(controls=BOUND.controls, results=BOUND.results)
    assert addressed(Heard(words="ready", confidence=1.0), free).words == "ready"
    assert to_say(["ready", "stop"], free) == ("ready", "stop")


def test_the_grammar_takes_commands_only_after_it():
    """Stop also alone; tags are those of the commands."""
    automaton = automaton_of(grammar_of(BOUND))
    assert automaton.tags(["computer", "no", "spark"]) == ("none",)
    assert automaton.tags(["stop"]) == automaton.tags(["computer", "stop"]) == ("stop",)
    for words in ("no spark", "ready", "computer", "computer computer ready"):
        assert not automaton.accepts(words.split())


def test_what_is_offered_may_be_said_as_it_stands():
    """With the word before all but stop; while words are kept, without it."""
    assert to_say(["no spark", "stop"], BOUND) == ("computer no spark", "stop")
    taking = Expected(controls=BOUND.controls, dictation=True, attention="computer")
    assert to_say(["coolant is low", "no"], taking) == ("coolant is low", "no")


def test_the_rule_is_spoken_in_short():
    """Two short sentences."""
    assert say_first("computer") == "Say computer before each command. Stop needs no computer."
