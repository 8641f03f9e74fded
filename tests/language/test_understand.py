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
    TakeTo,
    TellTest,
    Unclear,
    UnclearReason,
)
from assistant.language.plain import plain_words
from assistant.language.questions import Ask, Question
from assistant.language.understand import asked, meaning_of_offer, understand
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


CODES = Expected(controls=ALWAYS, codes=True)
FUELS = Expected(controls=ALWAYS, results={"petrol": ("petrol",), "diesel": ("diesel",)})
PLACES = Expected(
    controls=ALWAYS | {Control.TAKE_TO}, places={"spark": ("spark check", "spark test"), "fuel": ("fuel supply",)}
)


@pytest.mark.parametrize(
    ("words", "place"),
    [
        ("take me to the spark check", TakeTo(block="spark", name="spark check")),
        ("take me to spark test", TakeTo(block="spark", name="spark test")),
        ("take me to fuel supply", TakeTo(block="fuel", name="fuel supply")),
        ("take me to the moon", None),
        ("fuel supply", None),
    ],
)
def test_a_place_is_gone_to_by_one_of_its_names(words, place):
    """Where the plan can lead there; half heard it is said once more, and elsewhere it means nothing."""
    meant = understand(Heard(words=words, confidence=1.0), PLACES)
    assert meant == place or (place is None and isinstance(meant, Unclear))
    if place is not None:
        unsure = understand(Heard(words=words, confidence=1.0, unsure=True), PLACES)
        assert isinstance(unsure, Unclear) and words in unsure.detail and unsure.offer is None
        assert isinstance(understand(Heard(words=words, confidence=1.0), ASK), Unclear)


@pytest.mark.parametrize(
    ("words", "expected", "offer"),
    [
        ("no spark", ASK, "no spark"),
        ("twelve point four", READ, "twelve point four"),
        ("P0335", CODES, "p zero three three five"),
        ("area is clear", CAUTION, None),
        ("all done", TASK, None),
        ("i found no spark", SUPPOSING, None),
        ("no more codes", CODES, None),
    ],
)
def test_what_is_half_heard_is_offered_or_said_once_more(words, expected, offer):
    """Answers are offered; what passes a caution, ends work, or was not asked for is never taken by a yes."""
    unsure = understand(Heard(words=words, confidence=1.0, unsure=True), expected)
    assert isinstance(unsure, Unclear) and (unsure.reason, unsure.offer) == (UnclearReason.UNSURE, offer)
    assert not isinstance(understand(Heard(words=words, confidence=1.0), expected), Unclear)


def test_of_two_opposites_it_is_asked_which():
    """A rival in hearing that says the opposite leaves nothing to nod through; one that says the same does."""
    unsure = Heard(words="no spark", confidence=1.0, unsure=True)
    asked_which = understand(replace(unsure, rivals=("Spark present.",)), ASK)
    assert isinstance(asked_which, Unclear) and asked_which.offer is None
    assert asked_which.detail == "I heard no spark or spark present. Say which."
    for rivals in (("no spark",), ("something else",)):
        offered = understand(replace(unsure, rivals=rivals), ASK)
        assert isinstance(offered, Unclear) and offered.offer == "no spark"


@pytest.mark.parametrize(
    ("words", "result"),
    [
        ("petrol not diesel", "petrol"),
        ("diesel not petrol", "diesel"),
        ("petrol not petrol", None),
        ("petrol not sure diesel", None),
        ("not petrol", None),
    ],
)
def test_of_two_with_a_not_between_the_first_counts(words, result):
    """To be read back; with a no between it is asked which."""
    meant = understand(Heard(words=words, confidence=1.0), FUELS)
    assert meant == (GiveResult(result=result, words=result, guessed=True) if result else meant)
    assert isinstance(meant, GiveResult) == (result is not None)
    either = understand(Heard(words="petrol no diesel", confidence=1.0), FUELS)
    assert isinstance(either, Unclear) and either.offer is None and "petrol or diesel" in either.detail


def test_the_other_answer_after_a_no_is_offered():
    """Where a no is waited for; else it may deny what follows."""
    tank = Expected(controls=ALWAYS, results={"full": ("full",), "empty": ("nearly empty",)})
    offered = understand(Heard(words="no nearly empty", confidence=1.0), tank)
    assert isinstance(offered, Unclear) and offered.offer == "nearly empty"
    unasked = understand(Heard(words="no nearly empty", confidence=1.0), replace(tank, controls=frozenset()))
    assert isinstance(unasked, Unclear) and unasked.offer is None


def test_dictation_is_cut_only_where_it_is_too_long_and_silence_is_none():
    """What was cut is told; what only says that we were heard is no text."""
    dictating = Expected(controls=ALWAYS, dictation=True)
    for length, cut in ((2_000, False), (2_001, True)):
        kept = understand(Heard(words="x" * length, confidence=1.0), dictating)
        assert (kept.cut, len(kept.words)) == (cut, 2_000)
    for said in ("  ", "i understand", "Understood."):
        assert isinstance(understand(Heard(words=said, confidence=1.0), dictating), Unclear)
    said = Heard(words="belt squeals", confidence=1.0, free_text="Belt squeals, left.")
    assert understand(said, dictating) == Dictate(words="Belt squeals, left.")


WIPER = Expected(
    controls=ALWAYS,
    results={"new": ("new battery",), "old": ("old battery",)},
    answers={"new": "[it's] new [battery] | just fitted", "old": "[it's] old [battery] | original"},
    examples={"new": ("brand new battery", "fitted last week"), "old": ("the first one", "ten years in there")},
)


@pytest.mark.parametrize(
    ("words", "result"),
    [
        ("fitted last week i think", "new"),
        ("never fitted last week", None),
        ("no new battery in there", None),
        ("no it's been fitted last week", "new"),
    ],
)
def test_what_denies_is_not_guessed_as_what_it_denies(words, result):
    """A no before a sentence denies nothing of it."""
    meant = understand(Heard(words=words, confidence=1.0), WIPER)
    found = meant.result if isinstance(meant, GiveResult) else None
    offered = meant.offer if isinstance(meant, Unclear) else None
    assert found == result or (result is not None and offered == WIPER.results[result][0])
    assert result is not None or offered != "new battery"


def test_where_nothing_is_known_of_what_people_say_free_writing_decides_nothing():
    """The grammar's own trust stands; where a second opinion is weighed, it may leave open what was heard."""
    sure = Heard(words="no spark", confidence=0.99, engine="embedded", free_text="It is cold outside.")
    assert understand(sure, ASK) == GiveResult(result="none", words="no spark")
    weighed = replace(ASK, examples={"none": ("nothing there at all",), "present": ("blue and fat",)})
    assert isinstance(understand(replace(sure, confidence=0.5), weighed), Unclear)
    unsaid = Heard(words=None, confidence=0.1, free_text="Twelve point four.")
    offered = understand(unsaid, READ)
    assert isinstance(offered, Unclear) and offered.offer == "twelve point four volts"
    for nothing in ("", None, "let me think"):
        left = understand(Heard(words=None, confidence=0.1, free_text=nothing), weighed)
        assert isinstance(left, Unclear) and left.offer is None


@pytest.mark.parametrize("words", ["no spark", "Good spark.", "uh no spark please"])
def test_what_was_plainly_said_is_not_guessed(words):
    """Only what is guessed is read back as such."""
    assert understand(Heard(words=words, confidence=1.0), ASK).guessed is False
