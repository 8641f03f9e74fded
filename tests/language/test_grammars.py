"""What may be said, as a grammar."""

from assistant.grammar.automaton import automaton_of
from assistant.language.commands import ALWAYS, COMMAND_PHRASES
from assistant.language.grammars import grammar_of
from assistant.language.model import Control, Expected, Heard, Unclear
from assistant.language.understand import understand
from assistant.procedure.model import Quantity

EXPECTED = Expected(
    controls=ALWAYS,
    results={"present": ("spark present",), "none": ("no spark",)},
    acknowledge=("area is clear",),
    done=("bolt is out",),
    quantity=Quantity.COMPRESSION,
    unit="psi",
)
CODES = Expected(controls=ALWAYS, codes=True)


def test_lets_through_what_is_expected_and_nothing_else():
    """Commands legal now, results, acknowledgements, done phrases, readings and codes are sentences; others are not."""
    legal = {
        "stop": EXPECTED, "no spark": EXPECTED, "area is clear": EXPECTED, "bolt is out": EXPECTED,
        "three bar": EXPECTED,
        "a hundred fifty five p s i": EXPECTED, "one five five": EXPECTED,
        "p zero three three five": CODES, "papa oh three thirty five": CODES, "no more codes": CODES,
    }  # fmt: skip
    for words, expected in legal.items():
        assert automaton_of(grammar_of(expected)).accepts(words.split()), words
        assert not isinstance(understand(Heard(words=words), expected), Unclear), words
    for words in ["weak spark", "twelve volts", "ready", "stop stop stop stop", ""]:
        assert not automaton_of(grammar_of(EXPECTED)).accepts(words.split()), words


def test_every_command_legal_now_is_tagged_with_its_control():
    """A recogniser can tell which command a phrase gives."""
    automaton = automaton_of(grammar_of(Expected(controls=frozenset(Control))))
    for control, phrases in COMMAND_PHRASES.items():
        for words in phrases:
            assert automaton.tags(words.split()) == (control.value,)


def test_the_number_grammar_is_not_an_enumeration():
    """Readings cost a few hundred words of grammar at most, however wide their range."""
    automaton = automaton_of(grammar_of(Expected(controls=frozenset(), quantity=Quantity.RESISTANCE, unit="ohm")))
    assert len(automaton.vocabulary()) < 100
