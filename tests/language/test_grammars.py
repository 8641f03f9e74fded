"""What may be said, as a grammar."""

from dataclasses import replace

from assistant.grammar.automaton import automaton_of
from assistant.grammar.model import Alternatives, Repeat, Sequence, Tagged, phrase
from assistant.language.commands import ALWAYS, COMMAND_PHRASES, Stakes
from assistant.language.grammars import (
    SPOKEN,
    called_from,
    evenly,
    grammar_of,
    grammar_of_procedure,
    grammar_of_procedures,
    is_sayable,
    says_all,
)
from assistant.language.model import Control, Expected, Heard, TakeTo, Unclear
from assistant.language.questions import QUESTION_PHRASES
from assistant.language.stakes import Tail, stakes_of, tail_of
from assistant.language.understand import understand
from assistant.procedure.model import Quantity
from tests.guide.conftest import read_library

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
        assert not isinstance(understand(Heard(words=words, confidence=1.0), expected), Unclear), words
    for words in ["weak spark", "twelve volts", "ready", "stop stop stop stop", ""]:
        assert not automaton_of(grammar_of(EXPECTED)).accepts(words.split()), words


def test_a_danger_is_listened_for_but_where_it_is_an_answer_to_what_is_asked():
    """There its words give that answer; and only where a test may tell it."""
    supposed = {"looked-over=leak": ("there is a fuel leak",)}
    asked = Expected(controls=ALWAYS, results={"leak": ("fuel is leaking",)}, supposed=supposed, questions=True)
    automaton = automaton_of(grammar_of(asked))
    assert automaton.tags(["fuel", "is", "leaking"]) == ("leak",)
    assert automaton.tags(["there", "is", "a", "fuel", "leak"]) == ("i found",)
    bare = automaton_of(grammar_of(replace(asked, supposed={})))
    assert not bare.accepts(["there", "is", "a", "fuel", "leak"])


def test_words_that_are_no_words_are_not_listened_for():
    """Figures among them: one would make the whole grammar deaf to sounds."""
    assert all(map(is_sayable, ("no spark", "it's dark", "spark"))) and not any(map(is_sayable, ("v6", "6", "qwxz")))


def test_two_marks_of_a_code_may_be_said_as_a_number():
    """The first two or the last two of the three behind the digit; letters one by one."""
    codes = automaton_of(grammar_of(CODES))
    for words in ("p zero three thirty five", "p zero thirty three five", "charlie one alfa two foxtrot"):
        assert codes.tags(words.split()) == ("code",), words
    for words in ("p zero thirty thirty", "p zero three", "p thirty three three five", "golf zero three three five"):
        assert not codes.accepts(words.split()), words


def test_every_command_legal_now_is_tagged_with_its_control():
    """A recogniser can tell which command a phrase gives."""
    places = {"spark": ("spark check",)}
    automaton = automaton_of(grammar_of(Expected(controls=frozenset(Control), places=places)))
    for control, phrases in COMMAND_PHRASES.items():
        for words in phrases:
            said = f"{words} the spark check" if control.row.followed else words
            assert automaton.tags(said.split()) == (control.value,)


def test_a_place_is_named_behind_its_command_alone_and_heard_as_strictly_as_can_be():
    """Neither the command without a place nor a place without it is legal, nor is any where there are none."""
    expected = Expected(controls=frozenset({Control.TAKE_TO}), places={"spark": ("spark check",)})
    automaton = automaton_of(grammar_of(expected))
    for words in ("take me to spark check", "take me to the spark check"):
        tags = automaton.tags(words.split())
        assert stakes_of(words, tags, hazardous=False) is Stakes.STRICT
        assert tail_of(words, tags, read_back=True) is Tail.WHOLE
        told = understand(Heard(words=words, confidence=1.0), expected)
        assert told == TakeTo(block="spark", name="spark check")
        assert isinstance(understand(Heard(words=words, confidence=0.5, unsure=True), expected), Unclear)
    for words in ("take me to", "spark check", "take me to the pump"):
        assert not automaton.accepts(words.split())
    without = automaton_of(grammar_of(Expected(controls=frozenset(Control))))
    assert not without.accepts(["take", "me", "to", "the", "spark", "check"])
    unled = automaton_of(grammar_of(replace(expected, controls=frozenset())))
    assert not unled.accepts(["take", "me", "to", "the", "spark", "check"])


def test_what_is_told_by_a_number_or_a_clause_is_not_told_by_its_kind_alone():
    """A reading, a code, facts, what is supposed, found or gone to: more words may make another of them."""
    worded = {"reading", "code", "several facts", "what if", "i found", "take me to"}
    assert not any(map(says_all, worded)) and all(map(says_all, ("none", "stop", "acknowledge", "done", "why")))


def test_the_number_grammar_is_not_an_enumeration():
    """Readings cost a few hundred words of grammar at most, however wide their range."""
    automaton = automaton_of(grammar_of(Expected(controls=frozenset(), quantity=Quantity.RESISTANCE, unit="ohm")))
    assert len(automaton.vocabulary()) < 100


def test_questions_are_let_through_where_they_may_be_asked():
    """Each question is tagged as itself; what if takes only what can be supposed."""
    supposing = Expected(controls=ALWAYS, questions=True, supposed={"a=b": ("there is no spark",)})
    automaton = automaton_of(grammar_of(supposing))
    for question, phrases in QUESTION_PHRASES.items():
        for words in phrases:
            assert automaton.tags(words.split()) == (question.value,)
    assert automaton.tags(["what", "if", "there", "is", "no", "spark"]) == ("what if",)
    assert automaton.tags(["i", "found", "there", "is", "no", "spark"]) == ("i found",)
    for words in ["what if", "i found", "there is no spark", "what if why"]:
        assert not automaton.accepts(words.split()), words
    assert not automaton_of(grammar_of(Expected(controls=ALWAYS))).accepts(["why"])


def test_hesitation_and_politeness_are_heard_around_answers_and_harmless_commands_alone():
    """What passes a caution or a gate, begins something, is a reading or a code has its own words and no others."""
    now = replace(EXPECTED, controls=ALWAYS | {Control.READY, Control.DONE}, answers={"none": "[there is] no spark"})
    automaton, codes = automaton_of(grammar_of(now)), automaton_of(grammar_of(CODES))
    for words in ("no spark", "there is no spark", "stop", "yes", "no", "say again"):
        meant = automaton.tags(words.split())
        assert meant is not None and automaton.tags(f"uh {words} please".split()) == meant, words
    for words in ("ready", "done", "area is clear", "bolt is out", "three bar", "go back", "end job"):
        assert automaton.accepts(words.split()), words
        for around in (f"okay {words}", f"{words} please"):
            assert not automaton.accepts(around.split()), around
    assert not codes.accepts(["uh", "p", "zero", "three", "three", "five"])


def test_what_people_have_answered_is_listened_for_and_plain_phrases_are_likeliest():
    """A sentence out of many choices is rarer than a plain phrase; words of unknown sound are left out."""
    now = replace(
        EXPECTED,
        answers={"none": "[there is | i see] [really | just] no spark [here | at all]"},
        examples={"none": ("dark as night", "nae sparkle qwxz"), "present": ("lovely blue",)},
    )
    automaton = automaton_of(grammar_of(now))
    assert automaton.tags(["dark", "as", "night"]) == ("none",)
    assert not automaton.accepts(["nae", "sparkle", "qwxz"])
    plain, chatty = (automaton.likelihood(words.split()) for words in ("no spark", "i see just no spark here"))
    assert plain > chatty + 3


def test_only_so_many_answers_of_people_are_listened_for():
    """The first ones, which are a step's own, whatever else is known to be said: a search grows with each."""
    numbers = [f"{one} and {two}" for one in ("red", "green", "blue", "white", "black") for two in "abcdefgh"]
    automaton = automaton_of(grammar_of(replace(EXPECTED, examples={"none": ("qwxz qwxz", *numbers)})))
    known = [words for words in numbers if automaton.accepts(words.split())]
    assert known == numbers[:SPOKEN]


def test_a_procedure_is_heard_with_all_that_it_calls():
    """Its own phrases and those of what it calls, acknowledgements, done phrases, readings and codes."""
    library = read_library()
    assert called_from("no-start", library)[0] == "no-start"
    assert {"recheck-start", "spark-check-coil-on-plug", "vehicle-facts"} <= set(called_from("no-start", library))
    assert called_from("not-there", library) == ("not-there",)
    automaton = automaton_of(grammar_of_procedure("spark-check-coil-on-plug", library))
    steps = library["spark-check-coil-on-plug"].steps
    heard = [phrase for step in steps for result in step.results for phrase in result.phrases]
    heard += [phrase for gate in library["spark-check-coil-on-plug"].gates for phrase in gate.acknowledge]
    heard += [words for step in steps for words in step.done] + ["what do you think", "skip", "leak is mended"]
    assert [words for words in heard if not automaton.accepts(words.split())] == []
    assert not automaton.accepts(["twelve", "point", "four", "volts"])
    assert automaton_of(grammar_of_procedure("battery-state", library)).accepts(["twelve", "point", "four", "volts"])
    whole = automaton_of(grammar_of_procedures(library.values()))
    assert whole.accepts(["p", "zero", "three", "three", "five"])


def test_evenly_keeps_the_language_and_makes_long_ways_rare():
    """What may be left out mostly is; each choice is as likely as the next unless weights were given."""
    part = Sequence((Repeat(phrase("the"), 0, 1), Alternatives((phrase("fuse"), phrase("lamp")))))
    even = evenly(part)
    assert even.parts[0].weights == (0.25, 0.75)
    assert even.parts[1].weights == (1.0, 1.0)
    assert evenly(Alternatives((phrase("a"), phrase("b")), (3.0, 1.0))).weights == (3.0, 1.0)
    assert evenly(Repeat(part, 1, 3)) == Repeat(even, 1, 3)
    assert evenly(Tagged(part, "x")) == Tagged(even, "x")
