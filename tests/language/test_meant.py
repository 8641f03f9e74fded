"""What words mean among the things asked now, with what people put around them."""

from dataclasses import replace

import pytest

from assistant.language.command_guess import Wanted
from assistant.language.commands import ALWAYS
from assistant.language.guess import Guess
from assistant.language.model import (
    TYPED,
    Acknowledge,
    Control,
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
from assistant.language.own_words import corrected, correction_ends, without_surroundings
from assistant.language.questions import Ask, Question
from assistant.language.understand import asked, meaning_of_offer, understand
from assistant.wiring import load_library
from tests.language.test_understand import ASK, CAUTION, CODES, READ, TASK


@pytest.mark.parametrize(
    "words",
    ["well i'd say no spark", "uh looks like no spark", "okay so i think there's no spark", "no spark i reckon mate"],
)
def test_hesitation_and_opinion_may_stand_before_an_answer_together(words):
    """A few of them in a row, and behind it too; who only hesitates says nothing."""
    meant = understand(Heard(words=words, confidence=1.0), ASK)
    assert meant == GiveResult(result="none", words="no spark")
    assert isinstance(understand(Heard(words="uh " * 7 + words, confidence=1.0), ASK), Unclear)


@pytest.mark.parametrize(
    ("words", "value", "guessed"),
    [
        ("it dropped to eight point seven by the end", 8.7, False),
        ("looks like twelve point four", 12.4, False),
        ("twelve four no twelve point two", 12.2, False),
        ("twelve four hang on twelve point two", 12.2, True),
        ("twelve four and twelve point two", None, False),
    ],
)
def test_a_reading_among_other_words_is_found(words, value, guessed):
    """The last after a correction; to be read back as a guess where the correction is no word of numbers."""
    meant = understand(Heard(words=words, confidence=1.0), READ)
    found = (meant.value, meant.guessed) if isinstance(meant, GiveReading) else (None, False)
    assert found == (value, guessed)


def test_what_ends_the_codes_ends_nothing_else():
    """Nor is a code denied, or told where none is asked; a brake's set as a brake is set."""
    for words in ("no more codes", "none stored", "that's all"):
        assert understand(Heard(words=words, confidence=1.0), TASK) != GiveControl(control=Control.DONE)
    assert not isinstance(understand(Heard(words="P0335", confidence=1.0), ASK), GiveCode)
    gate = Expected(controls=ALWAYS, acknowledge=("brake is set",))
    assert understand(Heard(words="brake's set", confidence=1.0), gate) == Acknowledge(words="brake's set")
    assert meaning_of_offer("twelve psi", READ) is meaning_of_offer("the moon", READ) is None


@pytest.mark.parametrize(
    ("words", "expected", "meant"),
    [
        ("uh go back please", ASK, "said again"),
        ("uh stop please", ASK, GiveControl(control=Control.STOP)),
        ("okay say again", ASK, GiveControl(control=Control.SAY_AGAIN)),
        ("twelve psi", READ, UnclearReason.WRONG_UNIT),
        ("one hundred twenty four", READ, UnclearReason.IMPOSSIBLE),
        ("the moon", READ, UnclearReason.NOT_HEARD),
        ("p zero three", CODES, UnclearReason.NOT_HEARD),
    ],
)
def test_what_is_half_heard_stays_what_it_is(words, expected, meant):
    """A stop is obeyed, what moves the job is said again, and what was wrong anyhow is told as such."""
    told = understand(Heard(words=words, confidence=0.4, engine="embedded", unsure=True), expected)
    if isinstance(meant, UnclearReason):
        assert isinstance(told, Unclear) and told.reason is meant and told.words in (words, None)
    elif meant == "said again":
        assert isinstance(told, Unclear) and told.offer is None and "say it once more" in told.detail
    else:
        assert told == meant


@pytest.mark.parametrize(
    ("written", "makes"),
    [
        ("It hums and I smell petrol.", ("leak",)),
        ("The hose is leaking fuel.", ("leak",)),
        ("It's smoking!", ("burned",)),
        ("The car moved.", ("can-roll",)),
        ("The key is still on.", ("key-on",)),
        ("The fumes are gone.", ()),
        ("There's diesel in the petrol tank by mistake", None),
    ],
)
def test_what_endangers_counts_though_only_free_writing_has_it(written, makes):
    """Whatever is asked; somebody hurt stops."""
    for now in (ASK, READ, CAUTION, CODES):
        told = understand(Heard(words=None, confidence=0.0, free_text=written), now)
        assert isinstance(told, TellTest) or makes is None
        assert makes is None or told.makes == makes
    hurt = Heard(words=None, confidence=0.0, free_text="My hand is stuck!")
    assert understand(hurt, ASK) == GiveControl(control=Control.STOP)


def test_what_stands_around_an_answer_is_taken_off_as_little_as_possible_first():
    """Three hesitations in a row before it and three politenesses behind it at most; opinions where they are asked."""
    said = ["uh", "um", "er", "ah", "spark", "please", "thanks", "boss", "mate"]
    parts = list(without_surroundings(said, opinion=False))
    assert len(parts) == 15 and {len(part) for part in parts[:2]} == {8}
    assert parts[-1] == ["ah", "spark", "please"] and sorted(map(len, parts), reverse=True) == list(map(len, parts))
    said = ["well", "looks", "like", "no", "spark", "i", "think"]
    assert list(without_surroundings(said, opinion=False))[-1] == ["looks", "like", "no", "spark"]
    assert list(without_surroundings(said, opinion=True))[-1] == ["no", "spark"]
    assert list(without_surroundings(["uh"], opinion=True)) == []


def test_what_was_corrected_last_counts_first_and_a_bare_no_corrects_nothing():
    """With nothing behind it there is no correction either."""
    found = list(corrected(["snug", "no", "wait", "loose", "sorry", "corrosion"]))
    assert found[0] == (["snug", "no", "wait", "loose"], ["corrosion"])
    assert found[-1] == (["snug"], ["loose", "sorry", "corrosion"])
    assert list(corrected(["snug", "no", "loose"])) == list(corrected(["snug", "no", "wait"])) == []
    assert correction_ends(["no", "wait", "no", "spark"], 0) == [2, 1] and correction_ends(["spark"], 0) == []


@pytest.mark.parametrize(
    ("ahead", "like", "sure", "question"),
    [(0.9, 0.9, 0.95, False), (0.49, 0.9, 0.95, True), (0.9, 0.29, 0.95, True), (0.9, 0.5, 0.95, True)],
)
def test_of_a_question_and_an_answer_that_is_taken_the_likelier_counts(monkeypatch, ahead, like, sure, question):
    """An answer that would only be offered gives way."""
    monkeypatch.setattr("assistant.language.commanded.wanted", lambda words: Wanted(name="think", sure=sure))
    found = Guess(result="none", ahead=ahead, leads=0.9, talk=0.0, like=like, untold=False)
    monkeypatch.setattr("assistant.language.commanded.guess", lambda words, expected: found)
    now = replace(ASK, questions=True)
    typed = Heard(words="qwx zyq", confidence=1.0, engine=TYPED)
    assert (asked(typed, now) is not None) is question
    assert (asked(Heard(words=None, confidence=0.0, free_text="Qwx zyq."), now) is not None) is question


def test_a_question_that_free_writing_does_not_bear_out_is_what_was_written():
    """An answer, a danger or nothing; typed, or with nothing written, it is the question."""
    now = replace(ASK, questions=True, examples={"none": ("nothing at all",), "present": ("blue and fat",)})
    heard = Heard(words="why", confidence=0.9, engine="embedded", free_text="Blue and fat.")
    assert asked(heard, now) is None
    told = understand(heard, now)
    assert isinstance(told, GiveResult | Unclear)
    assert (told.result if isinstance(told, GiveResult) else told.offer) in ("present", "spark present")
    again = understand(replace(heard, free_text="Pass me the ten mil"), now)
    assert isinstance(again, Unclear) and again.offer is None and "If you said why" in (again.detail or "")
    for plain in (replace(heard, free_text="why"), replace(heard, free_text=""), replace(heard, engine=TYPED)):
        assert asked(plain, now) == Ask(question=Question.WHY)


@pytest.mark.parametrize(
    ("procedure", "step", "words", "result"),
    [
        ("slow-crank", "held", "I got ten point six on the meter while it turned", "held"),
        ("slow-crank", "held", "10.6 while cranking", "held"),
        ("slow-crank", "held", "it held, 10.6 while cranking", "held"),
        ("slow-crank", "held", "8.9 while cranking", "sagged"),
        ("slow-crank", "held", "it read eight point nine", "sagged"),
        ("slow-crank", "held", "9.5 volts", "sagged"),
        ("vehicle-facts", "fuel", "four cylinder common rail diesel", "diesel"),
        ("comes-and-goes", "when", "dies once it's heat soaked, an hour later she fires right up", "hot"),
    ],
)
def test_what_a_player_of_made_up_cars_said_is_taken_as_it_was_meant(procedure, step, words, result):
    """A figure beside a question with a limit is its answer, in words or digits, and never that of the other side."""
    _, library = load_library(procedure)
    asked = library[procedure].step(step)
    now = Expected(
        controls=frozenset(),
        results={each.id: each.phrases for each in asked.results},
        answers={each.id: each.answers for each in asked.results if each.answers},
    )
    meant = understand(Heard(words=words, confidence=1.0, engine="typed"), now)
    assert isinstance(meant, GiveResult) and meant.result == result
