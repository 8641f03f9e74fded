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
from assistant.language.guess import Guess
from assistant.language.model import (
    TYPED,
    Expected,
    GiveControl,
    GiveReading,
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
from assistant.session.understood import StepWords
from assistant.wiring import load_library

PUMP = Expected(
    controls=frozenset(Control),
    results={"hum": ("pump hums",), "silent": ("pump is silent",), "no-tool": ("no reader here",)},
    answers={"silent": "[it's] (quiet | silent | dead)", "no-tool": "(i haven't got | no) reader"},
    questions=True,
    supposed={"spark-check=none": ("there is no spark",), "air-filter=clean": ("clean",)},
    places={"spark": ("spark check",), "supply": ("fuel supply", "fuel pressure"), "compression": ("compression",)},
)


def given(words, expected):
    """What a rule makes of them; what is only likely is none."""
    order = ordered(words, expected)
    return order.given if order is not None and order.by_rule else None


HUMS = Guess(result="hum", ahead=0.9, leads=0.95, talk=0.05, like=0.4, untold=False)


def _guessing(monkeypatch, found):
    for where in ("understand", "commanded"):
        monkeypatch.setattr(f"assistant.language.{where}.guess", lambda words, expected: found)


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
    assert understand(_written("what did you say"), PUMP) == GiveControl(control=Control.SAY_AGAIN)
    assert asked(_written("what's your guess"), PUMP) == Ask(question=Question.THINK)
    half = Heard(words="pump hums", confidence=0.3, unsure=True, free_text="How much is left?", engine="")
    assert asked(half, PUMP) == Ask(question=Question.LEFT) and asked(_written("Why."), PUMP) is None
    for said, phrase in (("go back one", "go back"), ("let's check the spark", "take me to the spark check")):
        left = understand(_written(said), PUMP)
        assert isinstance(left, Unclear) and left.offer is None and phrase in left.detail


def test_what_is_only_like_an_order_is_not_heeded_of_free_writing():
    """Others talk in a shop as well; typed it is obeyed."""
    talk = "repeat what he told you about the tyres"
    assert isinstance(understand(_written(talk), PUMP), Unclear) and asked(_written(talk), PUMP) is None
    typed = Heard(words="could it be the ignition instead", confidence=1.0, engine=TYPED)
    assert asked(typed, PUMP) == Ask(question=Question.AGAINST)


def _written(text: str) -> Heard:
    return Heard(words=None, confidence=0.0, free_text=text)


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
    left = understand(_written(said), PUMP)
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
        for heard in (Heard(words=words, confidence=1.0, engine=TYPED), _written(words)):
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


def _typed(words: str, expected: Expected = PUMP) -> object:
    return understand(Heard(words=words, confidence=1.0, engine=TYPED), expected)


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
    assert isinstance(_typed("what is it"), Unclear)  # no command: who asks is answered before
    assert ordered("what is it", mute) is None and given("what is it", bound) is Question.THINK
    assert ordered("pardon", bound) is None and given("pardon", mute) is Control.SAY_AGAIN
    for now in (mute, bound):
        thinks = ordered("give me a minute", now)
        assert thinks is not None and thinks.given is None and thinks.by_rule
    assert place_meant("let's check the spark", bound) is None and place_meant("let's check the spark", mute)
    assert found_meant("there's no spark", mute) is None and found_meant("there's no spark", bound)


@pytest.mark.parametrize(
    ("sure", "told"),
    [
        (0.39, None),
        (0.4, "..."),
        (0.54, "..."),
        (0.55, "c.."),
        (0.79, "c.."),
        (0.8, "cm."),
        (0.89, "cm."),
        (0.9, "cmh"),
    ],
)
def test_how_sure_one_is_decides_what_an_order_may_do(monkeypatch, sure, told):
    """To tell how it is said, to be obeyed, to move the job, and to be heeded where it was only written freely."""
    monkeypatch.setattr("assistant.language.commanded.wanted", lambda words: Wanted(name="go_back", sure=sure))
    order = ordered("qwx zyq", PUMP)
    may = order and "".join(
        letter if each else "." for letter, each in zip("cmh", (order.clear, order.certain, order.heeded), strict=True)
    )
    assert may == told and (order is None or not order.by_rule)
    done = _typed("qwx zyq")
    assert (done == GiveControl(control=Control.GO_BACK)) == (sure >= 0.8)
    assert (isinstance(done, Unclear) and "go back" in (done.detail or "")) == (0.4 <= sure < 0.8)
    monkeypatch.setattr("assistant.language.commanded.wanted", lambda words: Wanted(name="pause", sure=sure))
    assert (_typed("qwx zyq") == GiveControl(control=Control.PAUSE)) == (sure >= 0.55)
    assert (understand(_written("qwx zyq"), PUMP) == GiveControl(control=Control.PAUSE)) == (sure >= 0.9)
    monkeypatch.setattr("assistant.language.commanded.wanted", lambda words: Wanted(name="think", sure=sure))
    typed = Heard(words="qwx zyq", confidence=1.0, engine=TYPED)
    assert (asked(typed, PUMP) == Ask(question=Question.THINK)) == (sure >= 0.55)
    assert (asked(_written("qwx zyq"), PUMP) == Ask(question=Question.THINK)) == (sure >= 0.9)


@pytest.mark.parametrize(
    ("sure", "like", "wins"),
    [
        (0.8, 0.44, True),
        (0.8, 0.45, False),
        (0.79, 0.3, False),
        (0.9, 0.59, True),
        (0.9, 0.6, False),
        (0.89, 0.5, False),
    ],
)
def test_of_an_order_and_an_answer_the_likelier_is_taken(monkeypatch, sure, like, wins):
    """The surer the order, the liker an answer may be and yet be lost to it; an order by rule always wins."""
    monkeypatch.setattr("assistant.language.commanded.wanted", lambda words: Wanted(name="where", sure=sure))
    found = replace(HUMS, ahead=0.9, like=like)
    _guessing(monkeypatch, found)
    taken = _typed("qwx zyq")
    assert taken == GiveControl(control=Control.WHERE) if wins else isinstance(taken, GiveResult)
    assert _typed("pardon me") == GiveControl(control=Control.SAY_AGAIN)


def test_an_answer_that_is_offered_goes_before_an_order_that_is_only_likely(monkeypatch):
    """Where the order moves the job: it is not told how to say it either."""
    found = replace(HUMS, ahead=0.3, like=0.4)
    _guessing(monkeypatch, found)
    for sure in (0.5, 0.7, 0.9):
        monkeypatch.setattr(
            "assistant.language.commanded.wanted", lambda words, sure=sure: Wanted(name="skip", sure=sure)
        )
        offered = _typed("qwx zyq")
        assert isinstance(offered, Unclear) and offered.offer == "pump hums"
    for name, control in (("strike", Control.STRIKE), ("go_back", Control.GO_BACK), ("pause", Control.PAUSE)):
        monkeypatch.setattr("assistant.language.commanded.wanted", lambda words, name=name: Wanted(name=name, sure=0.9))
        assert _typed("qwx zyq") == GiveControl(control=control)  # what takes back or harms nothing is done


@pytest.mark.parametrize(("ahead", "answers"), [(0.94, False), (0.95, True)])
def test_an_answer_far_before_all_else_gives_way_to_no_order_that_is_only_likely(monkeypatch, ahead, answers):
    """ "Already tested yes" was once a question of what can be said."""
    _guessing(monkeypatch, replace(HUMS, ahead=ahead))
    monkeypatch.setattr("assistant.language.commanded.wanted", lambda words: Wanted(name="where", sure=0.95))
    assert isinstance(_typed("qwx zyq"), GiveResult if answers else GiveControl)


def test_an_answer_that_is_taken_is_not_skipped_by_what_is_like_a_skip(monkeypatch):
    """Though the order wins over it, where it moves the job; what takes back is done."""
    found = replace(HUMS, ahead=0.9, like=0.4)
    _guessing(monkeypatch, found)
    for name, done in (("skip", False), ("cannot", False), ("strike", True), ("another", True)):
        monkeypatch.setattr(
            "assistant.language.commanded.wanted", lambda words, name=name: Wanted(name=name, sure=0.95)
        )
        meant = _typed("qwx zyq")
        assert isinstance(meant, GiveControl if done else GiveResult)


@pytest.mark.parametrize(
    ("written", "obeyed"), [("skip", True), ("Skixyz.", True), ("skixyzw", False), ("the pump hums", False), ("", True)]
)
def test_a_command_that_was_heard_must_stand_in_what_was_written(written, obeyed):
    """Six in ten of its letters, where anything was written; a stop is obeyed whatever was written."""
    heard = Heard(words="skip", confidence=0.9, engine="embedded", free_text=written)
    assert (understand(heard, PUMP) == GiveControl(control=Control.SKIP)) is obeyed
    assert understand(replace(heard, engine=TYPED), PUMP) == GiveControl(control=Control.SKIP)
    assert understand(replace(heard, words="stop"), PUMP) == GiveControl(control=Control.STOP)
    doubted = understand(replace(heard, unsure=True), PUMP)
    assert doubted != GiveControl(control=Control.SKIP)


VOLTS = Expected(controls=frozenset(Control), quantity=Quantity.VOLTAGE, unit="V", questions=True)


@pytest.mark.parametrize(
    ("said", "meant"),
    [
        ("back up one", Control.GO_BACK),
        ("go back one, I made a mess of it", Control.GO_BACK),
        ("oh no, I told you wrong there", Control.STRIKE),
        ("say that one more time", Control.SAY_AGAIN),
    ],
)
def test_a_number_word_of_an_order_is_no_reading(said, meant):
    """It was once read back as one volt, or as none; a figure by itself, and one that was corrected, still is one."""
    assert _typed(said, VOLTS) == GiveControl(control=meant)
    left = _typed("one sec", VOLTS)
    assert isinstance(left, Unclear) and left.reason is UnclearReason.THINKS
    for figure, value in (("one point two", 1.2), ("it dropped to one volt", 1.0), ("no wait, twelve one", 12.1)):
        read = _typed(figure, VOLTS)
        assert isinstance(read, GiveReading) and read.value == pytest.approx(value), figure


@pytest.mark.parametrize(
    ("said", "meant"),
    [
        ("hang on, say that again", Control.SAY_AGAIN),
        ("sorry love, the compressor kicked in, what was that", Control.SAY_AGAIN),
        ("oh no that's daft of me isn't it, dear me, go back one step please", Control.GO_BACK),
    ],
)
def test_of_several_things_said_at_once_the_order_is_obeyed(said, meant):
    """Between marks, as it is typed and as the network writes; an answer among them is answered first."""
    assert _typed(said) == GiveControl(control=meant)
    assert not isinstance(_typed("pump hums, say that again"), GiveControl)


UNSEEN = Expected(
    controls=frozenset(Control),
    results={"lit": ("lamp is lit",), "out": ("lamp is out",), "unseen": ("cannot see it",)},
    answers={"lit": "(it's | lamp is) (on | lit)", "out": "(it's | lamp is) (off | out)", "unseen": "<dont_know>"},
    examples={"unseen": ("i missed it", "i don't know", "no idea", "couldn't tell you")},
    questions=True,
)


def test_that_nobody_knows_is_taken_for_no_order_that_is_surely_one():
    """ "Missed that, mate" asks for the words once more; "I missed it" is known to be an answer."""
    assert _typed("missed that, mate", UNSEEN) == GiveControl(control=Control.SAY_AGAIN)
    assert _typed("is there not another test we could do", UNSEEN) == GiveControl(control=Control.ANOTHER)
    known = _typed("i missed it", UNSEEN)
    assert isinstance(known, GiveResult) and known.result == "unseen"


def test_an_order_that_is_only_fairly_likely_is_obeyed_where_that_asks_first(monkeypatch):
    """To leave a step out asks why, to end asks for a yes; going back does neither and must be surer."""
    monkeypatch.setattr("assistant.language.commanded.wanted", lambda words: Wanted(name="end_job", sure=0.77))
    assert _typed("xyzzyx frobs the gronk") == GiveControl(control=Control.END_JOB)
    monkeypatch.setattr("assistant.language.commanded.wanted", lambda words: Wanted(name="go_back", sure=0.77))
    assert not isinstance(_typed("xyzzyx frobs the gronk"), GiveControl)
    monkeypatch.setattr("assistant.language.commanded.wanted", lambda words: Wanted(name="end_job", sure=0.6))
    assert not isinstance(_typed("xyzzyx frobs the gronk"), GiveControl)


def test_on_to_the_next_is_done_only_where_something_is_to_be_done():
    """At a question it leaves the step out, and asks why, or how to say that is told."""
    assert _typed("move on to the next one", UNSEEN) == GiveControl(control=Control.SKIP)
    left = _typed("next one please", UNSEEN)
    assert left == GiveControl(control=Control.SKIP) or (isinstance(left, Unclear) and "say: skip" in left.detail)


@pytest.mark.parametrize("said", ["my hand is not stuck", "my hands are off", "fingers are clear of it", "hands out"])
def test_what_is_said_of_hands_excuses_nothing(said: str) -> None:
    """Keeping clear is no "I can't do that"; "my hand won't go in" is."""
    assert _typed(said) != GiveControl(control=Control.CANNOT)
    assert _typed("my hand will not fit in that gap") == GiveControl(control=Control.CANNOT)


@pytest.mark.parametrize(
    ("said", "meant"),
    [
        ("would you turn those bleeps off for me", Control.NO_TONES),
        ("let me have the bleeps again please", Control.TONES),
        ("i'm happy for you to choose the tests", Control.LEAD),
        ("just work down the list in order please", Control.BY_THE_BOOK),
    ],
)
def test_what_is_seldom_wanted_is_obeyed_in_own_words_too(said: str, meant: Control) -> None:
    """Of tones and of who leads nothing but a phrase was known."""
    assert _typed(said) == GiveControl(control=meant)


def test_what_the_car_is_is_never_taken_from_what_is_only_like_it() -> None:
    """How to say it is told; where the car is asked about, it is an answer or nothing, and a denial is neither."""
    for said, phrase in (
        ("hang on there's orange cables under here", "hybrid"),
        ("sorry she runs on diesel", "diesel"),
    ):
        told = _typed(said)
        assert isinstance(told, Unclear) and phrase in (told.detail or "") and "say: " in (told.detail or "")
    for said in ("there's no orange cables in here", "no it isn't a diesel", "is diesel cheaper in town"):
        assert not isinstance(_typed(said), GiveControl)
        assert "say: " not in (getattr(_typed(said), "detail", "") or "")
    at_drive = StepWords(load_library("no-start")[1], "vehicle-facts", "drive").expected
    order = ordered("hang on there is orange cables under here", at_drive)
    assert order is None or order.given is not Control.HYBRID


@pytest.mark.parametrize("said", ["what would a healthy one show here", "how many volts would you want"])
def test_what_a_figure_should_be_is_asked_in_own_words_where_a_figure_is_asked(said: str) -> None:
    """Elsewhere it is talk as often, and must be surer; and it is never the figure itself ("a healthy one")."""
    volts = replace(PUMP, results={}, answers={}, quantity=Quantity.VOLTAGE, unit="V")
    heard = Heard(words=said, confidence=1.0, engine=TYPED)
    assert asked(heard, volts) == Ask(question=Question.SHOULD_BE)
    assert isinstance(understand(heard, volts), Unclear)
    assert asked(replace(heard, words="how many plugs should there be"), PUMP) is None
