"""What was said, in the light of what is expected."""

from dataclasses import replace

import pytest

from assistant.language.commands import ALWAYS
from assistant.language.model import (
    Acknowledge,
    Control,
    Dictate,
    Expected,
    GiveCode,
    GiveControl,
    GiveReading,
    GiveResult,
    Heard,
    TellTest,
    Unclear,
    UnclearReason,
)
from assistant.language.questions import Ask, Question
from assistant.language.understand import asked, meaning_of_offer, plain_words, understand
from assistant.procedure.model import Quantity

ASK = Expected(controls=ALWAYS, results={"present": ("spark present", "good spark"), "none": ("no spark",)})
READ = Expected(controls=ALWAYS, quantity=Quantity.VOLTAGE, unit="V")
POTS = Expected(
    controls=ALWAYS,
    results={"6": ("six cylinders",), "8": ("eight cylinders",)},
    answers={"6": "[a | v | inline] six [cylinder]", "8": "[v] eight"},
)
TASK = Expected(controls=ALWAYS | {Control.DONE})
CAUTION = Expected(controls=ALWAYS, acknowledge=("area is clear", "the area is clear"))


@pytest.mark.parametrize(
    ("words", "expected", "command"),
    [
        ("Stop!", ASK, GiveControl(control=Control.STOP)),
        ("say that again", ASK, GiveControl(control=Control.SAY_AGAIN)),
        ("Good spark.", ASK, GiveResult(result="present", words="good spark")),
        ("no spark", ASK, GiveResult(result="none", words="no spark")),
        ("no", ASK, GiveControl(control=Control.NO)),
        ("The area is clear", CAUTION, Acknowledge(words="the area is clear")),
        ("12.4 V", READ, GiveReading(value=12.4, unit="V", words="12.4 v", spoken="twelve point four volts")),
        ("P0335", Expected(controls=ALWAYS, codes=True), GiveCode(code="P0335", words="p0335")),
        ("no more codes", Expected(controls=ALWAYS, codes=True), GiveControl(control=Control.DONE)),
        ("no more", Expected(controls=ALWAYS, codes=True), GiveControl(control=Control.DONE)),
        ("None stored.", Expected(controls=ALWAYS, codes=True), GiveControl(control=Control.DONE)),
        ("that's all", Expected(controls=ALWAYS, codes=True), GiveControl(control=Control.DONE)),
        ("that's done", TASK, GiveControl(control=Control.DONE)),
        ("finished", TASK, GiveControl(control=Control.DONE)),
        ("V6", POTS, GiveResult(result="6", words="six cylinders")),
        ("inline 6", POTS, GiveResult(result="6", words="six cylinders")),
        ("a 6cylinder", POTS, GiveResult(result="6", words="six cylinders")),
        ("1.6", POTS, Unclear(reason=UnclearReason.NOT_HEARD, words="1.6")),
        ("it's a diesel", ASK, GiveControl(control=Control.DIESEL)),
        (
            "it is a diesel",
            Expected(controls=ALWAYS, results={"d": ("diesel",)}, answers={"d": "it is a diesel"}),
            GiveResult(result="d", words="diesel"),
        ),
        ("bolt is out", Expected(controls=ALWAYS, done=("bolt is out",)), GiveControl(control=Control.DONE)),
    ],
)
def test_gives_the_command(words, expected, command):
    """Commands, results, acknowledgements, readings and codes are understood where they are expected."""
    assert understand(Heard(words=words, confidence=1.0), expected) == command


@pytest.mark.parametrize(
    ("words", "expected", "reason"),
    [
        (None, ASK, UnclearReason.NOT_HEARD),
        ("weak spark", ASK, UnclearReason.NOT_HEARD),
        ("done", ASK, UnclearReason.NOT_LEGAL),
        ("spark present", READ, UnclearReason.NOT_HEARD),
        ("one hundred twenty four", READ, UnclearReason.IMPOSSIBLE),
        ("twelve psi", READ, UnclearReason.WRONG_UNIT),
    ],
)
def test_says_why_nothing_was_understood(words, expected, reason):
    """What cannot be acted on is a value with its reason."""
    unclear = understand(Heard(words=words, confidence=1.0), expected)
    assert isinstance(unclear, Unclear)
    assert unclear.reason is reason


def test_dictation_keeps_words_but_obeys_commands():
    """While words are dictated everything is kept as said, except a command alone."""
    dictating = Expected(controls=ALWAYS, dictation=True)
    said = Heard(words="Belt squeals, left side.", confidence=1.0)
    assert understand(said, dictating) == Dictate(words="Belt squeals, left side.")
    unsaid = Heard(words=None, confidence=0.4, free_text="hums at key on")
    assert understand(unsaid, dictating) == Dictate(words="hums at key on")
    assert understand(Heard(words="stop", confidence=1.0), dictating) == GiveControl(control=Control.STOP)
    assert len(understand(Heard(words="x" * 9_999, confidence=1.0), dictating).words) == 2_000


def test_unsure_results_are_offered_and_unsure_acknowledgements_said_again():
    """Near the threshold a result is offered for a yes; a caution is never passed by a yes; stop is always obeyed."""
    offered = understand(Heard(words="good spark", confidence=1.0, unsure=True), ASK)
    assert isinstance(offered, Unclear)
    assert (offered.reason, offered.offer) == (UnclearReason.UNSURE, "good spark")
    assert meaning_of_offer("good spark", ASK) == GiveResult(result="present", words="good spark")
    again = understand(Heard(words="area is clear", confidence=1.0, unsure=True), CAUTION)
    assert isinstance(again, Unclear)
    assert again.offer is None
    assert understand(Heard(words="stop", confidence=1.0, unsure=True), ASK) == GiveControl(control=Control.STOP)
    assert isinstance(understand(Heard(words="skip", confidence=1.0, unsure=True), ASK), Unclear)


CLAMPS = Expected(
    controls=ALWAYS,
    results={"tight": ("tight",), "loose": ("loose",)},
    answers={"tight": "tight | snug", "loose": "loose | corrosion"},
)


@pytest.mark.parametrize(
    ("words", "result"),
    [("snug mate no corrosion", None), ("snug no wait corrosion", "loose"), ("snug sorry corrosion", "loose")],
)
def test_a_bare_no_between_two_answers_denies_and_corrects_nothing(words, result):
    """Of people's answers with a "no" inside none was a correction by it alone; more words make it one."""
    meant = understand(Heard(words=words, confidence=1.0), CLAMPS)
    taken = meant.result if isinstance(meant, GiveResult) else None
    assert taken == result or (result is None and taken == "tight")


def test_words_are_made_plain():
    """Capitals, marks and hyphens between letters go; what belongs to a number stays."""
    assert plain_words("  Spark-present, YES! ") == "spark present yes"
    assert plain_words("12.4 V.") == "12.4 v"
    assert plain_words("\N{MINUS SIGN}0.5") == "-0.5"


SUPPOSING = Expected(
    controls=ALWAYS,
    results={"present": ("spark is present",)},
    questions=True,
    supposed={"spark-check=present": ("spark is present",), "spark-check=none": ("there is no spark", "no spark")},
)


@pytest.mark.parametrize(
    ("words", "ask"),
    [
        ("What do you think?", Ask(question=Question.THINK)),
        ("why", Ask(question=Question.WHY)),
        ("what should I test next", Ask(question=Question.NEXT)),
        ("what if no spark", Ask(question=Question.IF, supposed="spark-check=none")),
        ("what if the moon is full", None),
        ("what if", None),
        ("spark is present", None),
        ("stop", None),
    ],
)
def test_questions_are_told_from_answers(words, ask):
    """A question is one of the list, or what if with something that can be supposed."""
    assert asked(Heard(words=words, confidence=1.0), SUPPOSING) == ask


def test_questions_are_heard_only_where_they_may_be_asked():
    """Where nothing reckons, or words are dictated, they mean nothing."""
    assert asked(Heard(words="why", confidence=1.0), ASK) is None
    assert asked(Heard(words=None, confidence=0.0), SUPPOSING) is None
    assert isinstance(understand(Heard(words="why", confidence=1.0), ASK), Unclear)


@pytest.mark.parametrize(
    ("words", "meaning"),
    [
        ("i found there is no spark", TellTest(test="spark-check", result="none", words="there is no spark")),
        ("I found spark is present.", TellTest(test="spark-check", result="present", words="spark is present")),
        ("spark is present", GiveResult(result="present", words="spark is present")),
    ],
)
def test_a_test_of_own_choice_is_told_from_an_answer(words, meaning):
    """I found, and a clause that can be supposed, tells a test that nobody asked for."""
    assert understand(Heard(words=words, confidence=1.0), SUPPOSING) == meaning


def test_a_test_of_own_choice_that_was_half_heard_must_be_said_again():
    """Nobody asked for it, so a yes could be to something else; where nothing can be supposed it means nothing."""
    unsure = understand(Heard(words="i found no spark", confidence=1.0, unsure=True), SUPPOSING)
    assert isinstance(unsure, Unclear)
    assert (unsure.reason, unsure.offer) == (UnclearReason.UNSURE, None)
    assert isinstance(understand(Heard(words="i found no spark", confidence=1.0), ASK), Unclear)
    assert isinstance(understand(Heard(words="i found the moon", confidence=1.0), SUPPOSING), Unclear)


def test_a_supposed_clause_heard_unsurely_is_said_again():
    """Another clause would be answered as readily; any other question is answered."""
    clauses = {"a=b": ("there is no spark",)}
    now = Expected(controls=ALWAYS, questions=True, supposed=clauses, results={"x": ("no spark",)})
    heard = Heard(words="what if there is no spark", confidence=0.5, engine="embedded", unsure=True)
    assert asked(heard, now) is None
    unclear = understand(heard, now)
    assert isinstance(unclear, Unclear) and unclear.offer is None and "what if" in (unclear.detail or "")
    assert asked(replace(heard, words="why"), now) is not None
    assert asked(replace(heard, unsure=False), now) is not None
