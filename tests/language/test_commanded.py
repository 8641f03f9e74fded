"""Commands and questions in people's own words: what is obeyed, and what never stands here."""

from __future__ import annotations

from dataclasses import replace

import pytest

from assistant.language.command_guess import Wanted
from assistant.language.commanded import (
    GIVEN,
    LEADS,
    THINKS,
    found_meant,
    ordered,
    own_grammar,
    place_meant,
    written_out,
)
from assistant.language.commands import Control, command_phrases, control_of
from assistant.language.model import (
    TYPED,
    Expected,
    GiveControl,
    GiveResult,
    Heard,
    TakeTo,
    TellTest,
    Unclear,
    UnclearReason,
)
from assistant.language.questions import QUESTION_PHRASES, Ask, Question
from assistant.language.understand import asked, understand
from assistant.procedure.model import Quantity
from tests.language.told import PUMP, typed, written


def given(words, expected):
    """What a rule makes of them; what is only likely is none."""
    order = ordered(words, expected)
    return order.given if order is not None and order.by_rule else None


@pytest.mark.parametrize(
    ("said", "meant"),
    [
        ("pardon", Control.SAY_AGAIN),
        ("sorry, I didn't catch that", Control.SAY_AGAIN),
        ("okay, what was that again mate", Control.SAY_AGAIN),
        ("how do I do that?", Control.SAY_AGAIN),
        ("be quiet", Control.STOP),
        ("I can't hear you", Control.LOUDER),
        ("not so fast", Control.SLOWER),
        ("what step are we on", Control.WHERE),
        ("what are my options", Control.OPTIONS),
        ("I've already checked that", Control.OPTIONS),
        ("how long will this take", Control.HOW_LONG),
        ("go back one", Control.GO_BACK),
        ("scratch that", Control.STRIKE),
        ("that's not what I said", Control.STRIKE),
        ("let's skip this one", Control.SKIP),
        ("I can't get to it", Control.CANNOT),
        ("let's try something else", Control.ANOTHER),
        ("let's call it a day", Control.END_JOB),
        ("any idea what it is", Question.THINK),
        ("what's wrong with it", Question.THINK),
        ("what's that for", Question.WHY),
        ("why do you ask", Question.WHY),
        ("what else could it be", Question.AGAINST),
        ("so what's next", Question.NEXT),
        ("what's left to do", Question.LEFT),
        ("what have we found so far", Question.RECORD),
    ],
)
def test_a_command_is_understood_as_people_say_it(said, meant):
    """Typed at once, whatever it is."""
    heard = Heard(words=said, confidence=1.0, engine=TYPED)
    question = asked(heard, PUMP)
    if isinstance(meant, Question):
        assert question is not None and question.question is meant
    else:
        assert question is None and understand(heard, PUMP) == GiveControl(control=meant)


@pytest.mark.parametrize("said", ["it's quiet", "I haven't got reader", "pump hums"])
def test_an_answer_to_what_is_asked_comes_first(said):
    """Though it is near a command: "quiet" answers here, "no reader" is no "I can't do that"."""
    assert isinstance(understand(Heard(words=said, confidence=1.0, engine=TYPED), PUMP), GiveResult)


@pytest.mark.parametrize("said", ["give me a minute", "hang on a sec", "let me have a look", "not yet"])
def test_who_thinks_is_left_in_peace(said):
    """No answer is made of it, and it is no misunderstanding either; of free writing the same."""
    for heard in (Heard(words=said, confidence=1.0, engine=TYPED), Heard(words=None, confidence=0.0, free_text=said)):
        left = understand(heard, PUMP)
        assert isinstance(left, Unclear) and left.reason is UnclearReason.THINKS and left.detail


def test_of_free_writing_only_what_keeps_nothing_is_obeyed():
    """What moves the job must be said by its own phrase, which the recogniser listens for."""
    assert understand(written("what did you say"), PUMP) == GiveControl(control=Control.SAY_AGAIN)
    assert asked(written("what's your guess"), PUMP) == Ask(question=Question.THINK)
    half = Heard(words="pump hums", confidence=0.3, unsure=True, free_text="How much is left?", engine="")
    assert asked(half, PUMP) == Ask(question=Question.LEFT) and asked(written("Why."), PUMP) is None
    for said, phrase in (("go back one", "go back"), ("let's check the spark", "take me to the spark check")):
        left = understand(written(said), PUMP)
        assert isinstance(left, Unclear) and left.offer is None and phrase in left.detail


def test_what_is_only_like_an_order_is_not_heeded_of_free_writing():
    """Others talk in a shop as well; typed it is obeyed."""
    talk = "repeat what he told you about the tyres"
    assert isinstance(understand(written(talk), PUMP), Unclear) and asked(written(talk), PUMP) is None
    typed = Heard(words="could it be the ignition instead", confidence=1.0, engine=TYPED)
    assert asked(typed, PUMP) == Ask(question=Question.AGAINST)


@pytest.mark.parametrize(
    ("said", "name"),
    [
        ("let's check the spark first", "spark check"),
        ("can we do compression now", "compression"),
        ("go to the fuel pressure", "fuel pressure"),
    ],
)
def test_a_test_is_led_to_by_its_name(said, name):
    """Behind any such lead; a name that nobody knows leads nowhere, and no name alone does."""
    place = understand(Heard(words=said, confidence=1.0, engine=TYPED), PUMP)
    assert isinstance(place, TakeTo) and place.name == name
    assert place_meant("let's check the moon", PUMP) is None and place_meant("compression", PUMP) is None


@pytest.mark.parametrize("said", ["there's no spark", "no spark", "I've got no spark"])
def test_what_was_found_needs_no_i_found(said):
    """Typed it is told; of free writing it is to be said as the grammar knows it, and one word alone tells nothing."""
    told = understand(Heard(words=said, confidence=1.0, engine=TYPED), PUMP)
    assert isinstance(told, TellTest) and (told.test, told.result) == ("spark-check", "none")
    left = understand(written(said), PUMP)
    assert isinstance(left, Unclear) and "i found there is no spark" in left.detail
    assert not isinstance(understand(Heard(words="clean", confidence=1.0, engine=TYPED), PUMP), TellTest)


@pytest.mark.parametrize("said", ["ready", "next", "got it", "that's me sorted", "done already", "all in place"])
def test_an_instruction_is_done_in_many_words(said):
    """To an instruction alone: elsewhere "next" closes no job, and "ready" is the count's own word."""
    working = Expected(controls=frozenset({Control.DONE}), work="Take the cover off.")
    heard = Heard(words=said, confidence=1.0, engine=TYPED)
    assert understand(heard, working) == GiveControl(control=Control.DONE)
    for elsewhere in (Expected(controls=frozenset({Control.DONE, Control.READY})), PUMP):
        assert understand(heard, elsewhere) != GiveControl(control=Control.DONE)


def test_what_is_plainly_meant_is_no_question_however_like_one(monkeypatch):
    """An acknowledgement, a reading, a danger and a command mean what they mean, whatever was learnt."""
    monkeypatch.setattr("assistant.language.commanded.wanted", lambda words: Wanted(name="think", sure=0.999))
    gate = Expected(controls=frozenset(Control), acknowledge=("nothing can roll",), questions=True)
    volts = Expected(controls=frozenset(Control), quantity=Quantity.VOLTAGE, unit="V", questions=True)
    for words, now in (
        ("nothing can roll", gate),
        ("twelve point four volts", volts),
        ("it smells of fuel", PUMP),
        ("petrol is dripping off the rail", PUMP),
        ("it's on fire", PUMP),
        ("done", PUMP),
    ):
        for heard in (Heard(words=words, confidence=1.0, engine=TYPED), written(words)):
            assert asked(heard, now) is None
    assert asked(Heard(words="whats up with her", confidence=1.0, engine=TYPED), PUMP) == Ask(question=Question.THINK)


def test_to_deny_what_was_read_back_is_a_no():
    """Not the striking of the answer before it."""
    waiting = Expected(controls=frozenset(Control), results=PUMP.results, waiting="hum")
    assert given("that's wrong", waiting) is Control.NO and given("that's wrong", PUMP) is Control.STRIKE
    assert given("pardon", waiting) is Control.SAY_AGAIN


def test_no_rule_passes_a_hazard_and_each_names_what_it_gives():
    """What acknowledges, begins, takes or confirms has its own words alone; no listed phrase means another."""
    rules = {name for name in own_grammar().rules} - {THINKS, LEADS}
    assert rules <= set(GIVEN)
    own = {Control.READY, Control.YES, Control.NO, Control.REPAIR_DONE, Control.REPAIR_CONFIRMED}
    own |= {Control.SAME_CAR, Control.DIESEL, Control.HYBRID, Control.TAKE_TO}
    assert not own & {GIVEN[name] for name in rules}
    for words in command_phrases():
        listed = control_of(words) or next(each for each, said in QUESTION_PHRASES.items() if words in said)
        assert given(words, PUMP) in (None, listed)


def test_an_offer_of_an_answer_gives_way_to_what_takes_back():
    """ "Scratch that" is no way of saying "not sure"; "no reader" is likelier an answer than a way out."""
    step = Expected(
        controls=frozenset(Control),
        results={"unsure": ("not sure of that",), "no-tool": ("no reader here",)},
        examples={"unsure": ("i can't judge that", "can't say that"), "no-tool": ("i don't have that one",)},
    )
    typed = understand(Heard(words="scratch that", confidence=1.0, engine=TYPED), step)
    assert typed == GiveControl(control=Control.STRIKE)
    typed = understand(Heard(words="i don't have that tool", confidence=1.0, engine=TYPED), step)
    assert not isinstance(typed, GiveControl)


def test_dictation_and_long_talk_are_no_command():
    """A complaint may hold any words; nobody gives an order in so many."""
    assert ordered("what was that", Expected(controls=frozenset(Control), dictation=True)) is None
    assert ordered("well " * 12 + "hang on a minute", PUMP) is None


@pytest.mark.parametrize("begin", ["sorry", "please", "and", "but", "so", "hey", "well", "okay so", "uh sorry", ""])
def test_a_question_may_begin_as_people_begin(begin):
    """One such word besides hesitations; two are talk."""
    assert given(f"{begin} what's that for".strip(), PUMP) is Question.WHY
    assert given(f"but but {begin} what's that for", PUMP) is None


@pytest.mark.parametrize(
    "then", ["first", "next", "now", "please", "instead", "then", "test", "check", "again", "check first please", ""]
)
def test_what_may_stand_behind_the_name_of_a_test(then):
    """It leads there all the same; behind any other word it does not."""
    place = place_meant(f"let's check the compression {then}".strip(), PUMP)
    assert place == TakeTo(block="compression", name="compression")
    assert place_meant(f"let's check the compression {then} tomorrow", PUMP) is None


@pytest.mark.parametrize(
    ("short", "whole"),
    [
        ("i can't", "i cannot"),
        ("i won't", "i will not"),
        ("i ain't", "i have not"),
        ("it isn't", "it is not"),
        ("let's go", "let us go"),
        ("what's up", "what is up"),
        ("you're off", "you are off"),
        ("i've done", "i have done"),
        ("i'll go", "i will go"),
        ("i'm back", "i am back"),
        ("i'd rather", "i would rather"),
    ],
)
def test_what_is_drawn_together_is_read_in_full(short, whole):
    """So that a sentence of the grammar is written once."""
    assert written_out(short) == whole


def test_only_so_many_words_are_an_order():
    """Twelve; more are talk."""
    said = "well okay so what is the problem with this car please boss"
    assert given(said, PUMP) is Question.THINK and ordered(f"{said} mate", PUMP) is None


def test_what_is_wanted_counts_only_where_it_is_legal():
    """A question where one may be asked, a command where it is obeyed, a place where one can be led to; to think is
    free everywhere."""
    mute, bound = replace(PUMP, questions=False), replace(PUMP, controls=frozenset())
    assert isinstance(typed("what is it"), Unclear)  # no command: who asks is answered before
    assert ordered("what is it", mute) is None and given("what is it", bound) is Question.THINK
    assert ordered("pardon", bound) is None and given("pardon", mute) is Control.SAY_AGAIN
    for now in (mute, bound):
        thinks = ordered("give me a minute", now)
        assert thinks is not None and thinks.given is None and thinks.by_rule
    assert place_meant("let's check the spark", bound) is None and place_meant("let's check the spark", mute)
    assert found_meant("there's no spark", mute) is None and found_meant("there's no spark", bound)
