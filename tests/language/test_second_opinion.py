"""A result that was heard is held against what was written freely of the same sound."""

from __future__ import annotations

from dataclasses import replace
from itertools import product
from math import log

import pytest

from assistant.language.commands import ALWAYS
from assistant.language.guess import shares_of
from assistant.language.meant import resulting
from assistant.language.model import Expected, GiveControl, GiveReading, GiveResult, Heard, Unclear, Written
from assistant.language.opposites import alike
from assistant.language.second_opinion import (
    ASKED,
    LEAST_ODDS,
    LEAST_SHARE,
    TAKEN,
    TAKEN_READ_BACK,
    USUALLY_LIKELY,
    WEIGHTS,
    Opinion,
    odds_of,
    opinion_of,
    plainly_written,
    traits_of,
)
from assistant.language.understand import asked, meaning_of_offer, understand
from assistant.procedure.model import Quantity
from tests.language.test_guess import LAMP


def _heard(words: str, sure: float, written: str, *, unsure: bool = False) -> Heard:
    return Heard(words=words, confidence=sure, unsure=unsure, engine="embedded", free_text=written)


def _sure(heard: Heard, result: str = "out") -> float:
    """How likely the result is by all that was heard."""
    traits = traits_of(plainly_written(heard), LAMP, resulting(LAMP))
    return odds_of(traits, WEIGHTS)[list(LAMP.results).index(result)]


def test_free_writing_speaks_for_or_against_a_result() -> None:
    """For the same sentence of the grammar and the same trust."""
    of = {written: _sure(_heard("lamp is out", 0.6, written)) for written in ("the lamp went out", "lamp is burning")}
    nothing = _sure(_heard("lamp is out", 0.6, "pass me the screwdriver"))
    assert of["the lamp went out"] > nothing
    assert of["the lamp went out"] > of["lamp is burning"]


@pytest.mark.parametrize(
    ("words", "sure", "written", "out", "lit"),
    [
        ("lamp is out", 0.6, "the lamp went out", 0.9835, 0.0121),
        ("lamp is out", 0.6, "lamp is burning", 0.0476, 0.9464),
        ("lamp is out", 0.95, "no light at all", 0.9943, 0.0033),
        ("lamp is lit", 0.3, "bright red it is", 0.0058, 0.9808),
        ("lamp is lit", 0.8, "pass me the ten mil", 0.0204, 0.3081),
        ("", 0.1, "dark as night", 0.9759, 0.0129),
    ],
)
def test_an_opinion_is_what_its_weights_were_fitted_for(
    words: str, sure: float, written: str, out: float, lit: float
) -> None:
    """Whoever fits them anew measures anew, and writes these anew: each weight moves one of them."""
    heard = _heard(words, sure, written)
    if not words:
        heard = replace(heard, words=None, sentences=(("the lamp is dark", 0.7), ("lamp is lit", 0.2)))
    assert (_sure(heard), _sure(heard, "lit")) == pytest.approx((out, lit), abs=5e-4)


def test_each_text_counts_as_likely_as_it_is() -> None:
    """Two texts that say the same speak for it more than one of them beside another."""
    dark, bright = (Written(text=text, odds=0.5, likely=-0.5) for text in ("the lamp went dark", "bright red"))
    other = replace(dark, text="lamp is dark")
    refused = replace(_heard("", 0.05, "the lamp went dark"), words=None)
    agreed, divided = (_sure(replace(refused, written=(dark, each))) for each in (other, bright))
    assert agreed > divided
    assert _sure(replace(refused, written=(dark, bright)), "lit") > _sure(
        replace(refused, written=(dark, other)), "lit"
    )


def test_what_the_grammar_refused_tells_something_too() -> None:
    """The likelier the sentence that it came nearest to, the likelier is what it means."""
    refused = replace(_heard("", 0.1, "lamb is dark"), words=None)
    near = replace(refused, sentences=(("the lamp is dark", 0.9), ("lamp is lit", 0.1)))
    far = replace(refused, sentences=(("the lamp is dark", 0.5), ("lamp is lit", 0.5)))
    assert _sure(near) > _sure(far)


def test_what_was_surely_written_is_taken_though_the_grammar_refused_it() -> None:
    """To be read back as guessed; where a step can hurt someone it is offered."""
    texts = tuple(Written(text=text, odds=0.5, likely=-0.2) for text in ("The lamp went dark.", "Lamp went dark"))
    heard = replace(_heard("", 0.1, texts[0].text), words=None, written=texts, sentences=(("the lamp went dark", 1.0),))
    taken = understand(heard, LAMP)
    assert isinstance(taken, GiveResult) and (taken.result, taken.guessed) == ("out", True)
    offered = understand(heard, replace(LAMP, hazardous=True))
    assert isinstance(offered, Unclear) and offered.offer == "lamp is out"


def test_what_both_say_is_taken_though_it_was_unsure() -> None:
    """It is read back all the same."""
    taken = understand(_heard("lamp is out", 0.3, "The lamp went out", unsure=True), LAMP)
    assert isinstance(taken, GiveResult) and taken.result == "out"


@pytest.mark.parametrize("words", ["lamp is out", None])
def test_what_was_cut_is_asked_about_though_both_say_it(words: str | None) -> None:
    """Both heard the same rest of the sound: neither knows what was missing. Read back or not."""
    heard = replace(_heard("lamp is out", 0.97, "The lamp went out", unsure=True), words=words, cut=True)
    for read_back in (False, True):
        meant = understand(heard, replace(LAMP, read_back=read_back))
        assert isinstance(meant, Unclear) and meant.detail
        whole = replace(heard, cut=False)
        assert isinstance(understand(whole, replace(LAMP, read_back=read_back)), GiveResult)


def test_what_free_writing_contradicts_is_not_taken() -> None:
    """However sure the grammar was, for it knows no other sentences; nor is the opposite offered."""
    unclear = understand(_heard("lamp is out", 0.93, "It is burning, bright red."), LAMP)
    assert isinstance(unclear, Unclear)
    assert unclear.offer != "lamp is out"


def test_nothing_becomes_surer_where_it_can_hurt_someone() -> None:
    """An unsure answer of a hazardous step stays unsure."""
    unclear = understand(_heard("lamp is out", 0.5, "the lamp went out", unsure=True), replace(LAMP, hazardous=True))
    assert isinstance(unclear, Unclear)


def test_where_nothing_could_be_written_the_grammar_is_not_believed() -> None:
    """It turns whatever is said into one of its sentences; what was asked for and came out empty bears none out."""
    for unsure in (False, True):
        unclear = understand(_heard("lamp is out", 0.93, "", unsure=unsure), LAMP)
        assert isinstance(unclear, Unclear) and unclear.offer is None
    assert isinstance(understand(replace(_heard("lamp is out", 0.93, ""), free_text=None), LAMP), GiveResult)


def test_what_the_grammar_surely_heard_gives_way_only_where_all_waits_for_a_yes() -> None:
    """Free writing alone may take what the grammar refused or doubted; against a sentence of it, it must be surer, and
    where nothing waits for a yes it asks."""
    sure = Written(text="it is bright red and burning", odds=1.0, likely=-0.1)
    heard = replace(_heard("lamp is out", 0.6, sure.text), written=(sure,), sentences=(("lamp is out", 1.0),))
    now = replace(LAMP, read_back=True)
    found = opinion_of(heard, now, resulting(now))
    assert found is not None and found.result == "lit" and found.sure >= TAKEN
    assert isinstance(understand(replace(heard, unsure=True), now), GiveResult)
    assert isinstance(understand(heard, now), GiveResult)
    offered = understand(heard, LAMP)
    assert isinstance(offered, Unclear) and offered.offer == "lamp is lit"
    less = replace(
        heard, written=(replace(sure, text="lamp is lit still", likely=-0.9),), free_text="lamp is lit still"
    )
    doubted = opinion_of(less, now, resulting(now))
    assert doubted is not None and doubted.result == "lit" and ASKED <= doubted.sure < TAKEN
    assert isinstance(understand(less, now), Unclear)


def test_typed_words_need_no_second() -> None:
    """They stand as they were written."""
    typed = Heard(words="lamp is out", confidence=1.0, free_text="it is burning")
    assert isinstance(understand(typed, LAMP), GiveResult)


def test_a_command_that_free_writing_does_not_bear_out_is_said_again() -> None:
    """Where an answer is waited for; a stop is obeyed all the same, and what was not written freely stands."""
    skip = understand(_heard("skip", 0.85, "Just make."), LAMP)
    assert isinstance(skip, Unclear) and skip.offer is None
    assert isinstance(understand(_heard("skip", 0.85, "Skip this"), LAMP), GiveControl)
    assert isinstance(understand(_heard("stop", 0.6, "So,"), LAMP), GiveControl)
    assert isinstance(understand(replace(_heard("skip", 0.95, ""), free_text=None), LAMP), GiveControl)


@pytest.mark.parametrize("words", ["skip", "why is that", "say again"])
def test_a_command_or_question_over_an_answer_is_that_answer(words: str) -> None:
    """What free writing does not bear out was something else, mostly an answer to what was asked."""
    sure = Written(text="it is bright red and burning", odds=1.0, likely=-0.1)
    heard = replace(_heard(words, 0.7, sure.text), written=(sure,))
    now = replace(LAMP, read_back=True, questions=True)
    assert asked(heard, now) is None
    assert isinstance(understand(heard, now), GiveResult)
    borne = replace(heard, free_text=words, written=(replace(sure, text=words),))
    assert asked(borne, now) is not None or isinstance(understand(borne, now), GiveControl)


def test_a_reading_that_only_free_writing_holds_is_offered_as_it_was_shown() -> None:
    """Never taken: the grammar refused it."""
    volts = Expected(controls=ALWAYS, quantity=Quantity.VOLTAGE, unit="V")
    unclear = understand(replace(_heard("", 0.0, "Drop to 7.9."), words=None), volts)
    assert isinstance(unclear, Unclear) and unclear.offer == "seven point nine volts"
    assert meaning_of_offer(unclear.offer, volts) == GiveReading(
        value=7.9, unit="V", words="seven point nine volts", spoken="seven point nine volts"
    )
    assert isinstance(understand(replace(_heard("", 0.0, "Not far."), words=None), volts), Unclear)


def test_where_each_answer_waits_for_its_yes_it_is_likelier_an_answer_than_talk() -> None:
    """What was only offered is taken there, to be read back all the same, where a step can hurt someone too."""
    back = replace(LAMP, read_back=True)
    moved = 0
    for text, odds in product(("dark now", "no right at all", "gone out there"), (0.1, 0.3, 0.6)):
        heard = replace(_heard("", 0.1, text), words=None, sentences=(("the lamp is dark", odds),))
        plain, likelier = (opinion_of(heard, now, resulting(now)) for now in (LAMP, back))
        assert plain is not None and likelier is not None and plain.result == likelier.result == "out"
        assert plain.sure < likelier.sure
        assert plain.taken == (plain.sure >= TAKEN) and likelier.taken == (likelier.sure >= TAKEN_READ_BACK)
        if ASKED <= plain.sure < TAKEN and likelier.taken:
            moved += 1
            assert isinstance(understand(heard, LAMP), Unclear)
            taken = understand(heard, back)
            assert isinstance(taken, GiveResult) and taken.guessed
            assert understand(heard, replace(back, hazardous=True)) == taken
        offered = understand(heard, replace(LAMP, hazardous=True))
        assert isinstance(offered, Unclear) and offered.offer in ("lamp is out", None)
    assert moved


def test_of_two_results_that_are_as_likely_neither_is_taken_for_that() -> None:
    """It weighs answers against talk, not one answer against another."""
    heard = replace(_heard("", 0.1, "lamp"), words=None, sentences=(("lamp is out", 0.5), ("lamp is lit", 0.5)))
    found = opinion_of(heard, replace(LAMP, read_back=True), resulting(LAMP))
    assert found is not None and found.sure < ASKED


def test_where_nothing_is_known_of_what_people_answer_a_phrase_stands_as_it_was_heard() -> None:
    """Another procedure has phrases alone; what was weighed with answers known would doubt each of them."""
    bare = replace(LAMP, examples={})
    heard = _heard("lamp is out", 0.99, "Lamp is out.")
    assert understand(heard, bare) == GiveResult(result="out", words="lamp is out")
    asked = understand(replace(heard, unsure=True), bare)
    assert isinstance(asked, Unclear) and asked.offer == "lamp is out"


WEIGHED = (
    # heard, of the same result or another, how sure, taken | unsure, hazardous, read back | what comes of it
    ("same", 0.95, True, "", "taken"),
    ("same", 0.95, True, "unsure", "taken"),
    ("same", 0.95, True, "hazardous", "taken"),
    ("same", 0.95, True, "unsure hazardous", "offered"),
    ("same", 0.95, True, "unsure hazardous read_back", "taken"),
    ("same", 0.65, False, "", "offered"),
    ("same", 0.65, False, "read_back", "offered"),
    ("same", 0.59, False, "", "open"),
    ("other", 0.95, True, "", "offered other"),
    ("other", 0.95, True, "unsure", "taken other"),
    ("other", 0.95, True, "unsure hazardous", "offered other"),
    ("other", 0.95, True, "unsure hazardous read_back", "taken other"),
    ("other", 0.9, True, "read_back", "taken other"),
    ("other", 0.89, True, "read_back", "offered other"),
    ("other", 0.65, False, "", "offered other"),
    ("other", 0.59, False, "", "open"),
)


@pytest.mark.parametrize(("result", "sure", "taken", "now", "told"), WEIGHED)
def test_how_sure_an_opinion_is_decides_what_comes_of_it(
    monkeypatch: pytest.MonkeyPatch, result: str, sure: float, now: str, told: str, *, taken: bool
) -> None:
    """Taken, offered or left open: never surer where a step can hurt, unless all waits for a yes."""
    found = Opinion(result="out" if result == "same" else "lit", sure=sure, taken=taken)
    monkeypatch.setattr("assistant.language.understand.opinion_of", lambda *_: found)
    step = replace(LAMP, hazardous="hazardous" in now, read_back="read_back" in now)
    meant = understand(_heard("lamp is out", 0.6, "lamp is out", unsure="unsure" in now), step)
    if isinstance(meant, GiveResult):
        came = "taken" if meant.result == "out" else "taken other"
        assert meant.guessed is (meant.result == "lit") and meant.words == f"lamp is {meant.result}"
    else:
        assert isinstance(meant, Unclear)
        came = {None: "open", "lamp is out": "offered", "lamp is lit": "offered other"}[meant.offer]
    assert came == told


def _traits(heard: Heard) -> dict[str, tuple[float, ...]]:
    return dict(zip(LAMP.results, traits_of(heard, LAMP, resulting(LAMP)), strict=True))


def test_what_is_weighed_is_what_the_weights_were_fitted_on() -> None:
    """Trust counts for what the grammar heard alone; its odds, the letters shared, and what all speak for, for each."""
    sentences = (("lamp is out", 0.5), ("the lamp is dark", 0.2), ("lamp is lit", 0.1))
    text = Written(text="dark as night", odds=0.9, likely=-0.3)
    heard = replace(_heard("lamp is out", 0.8, "unread"), sentences=sentences, written=(text,))
    by_text, like = shares_of(text.text, LAMP)
    itself, itself_like = shares_of("lamp is out", LAMP)
    letters = [alike(sentence, text.text) for sentence in ("lamp is out", "lamp is lit")]
    for result, trust, grammar, same in (("out", log(4.0), 0.7, letters[0]), ("lit", 0.0, 0.1, letters[1])):
        ahead = log(3 * (0.9 * by_text[result] + LEAST_SHARE))
        own = log(3 * (itself[result] + LEAST_SHARE)) * itself_like
        free, taken = 0.9 * like * ahead, float(result == "out")
        assert _traits(heard)[result] == pytest.approx((
            1.0, trust, taken, log(grammar + LEAST_ODDS), free, ahead, own, 0.9 * like, same, -0.3, log(3),
            same * 0.9 * like, trust * same, same * same, -0.3 * same, -0.3 * free, free * same, trust * taken,
            0.0, 0.0, 0.0, 0.0, log(4), 0.0,
        ))  # fmt: skip


def test_what_tells_of_nothing_seen_is_weighed_by_itself() -> None:
    """Talk is like "I could not see" before it is like any other answer."""
    unseen = {"unseen": ("did not see",)}
    now = replace(LAMP, results={**LAMP.results, **unseen}, answers={**LAMP.answers, "unseen": "<dont_know>"})
    text = Written(text="i never saw it", odds=1.0, likely=-0.3)
    heard = replace(_heard("", 0.1, text.text), words=None, written=(text,), sentences=(("did not see", 1.0),))
    lit, _, blind = (traits_of(heard, now, resulting(now))[place] for place in (1, 0, 2))
    by_text, like = shares_of(text.text, now)
    same, ahead = alike("did not see", text.text), log(4 * (by_text["unseen"] + LEAST_SHARE))
    assert blind[-6:] == pytest.approx((1.0, like, same, ahead, log(5), log(5)))
    assert lit[-6:] == pytest.approx((0.0, 0.0, 0.0, 0.0, log(5), 0.0))


def test_where_nothing_was_heard_or_written_little_is_weighed() -> None:
    """Only how sure the hearing was, within bounds, and how many results there are."""
    heard = Heard(words="lamp is out", confidence=1.0, engine="embedded")
    known = _traits(heard)["out"]
    assert known[1:5] == pytest.approx((log(0.999 / 0.001), 1.0, log(1.01), 0.0))
    assert known[8:11] == pytest.approx((0.0, -0.5, log(3)))
    nothing = _traits(replace(heard, words=None, confidence=0.0))
    none = log(3 * LEAST_SHARE)
    for each in nothing.values():
        assert each[:11] == pytest.approx((1, 0, 0, log(LEAST_ODDS), 0, none, 0, 0, 0, USUALLY_LIKELY, log(3)))
    assert opinion_of(heard, replace(LAMP, results={"out": ("lamp is out",)}), resulting(LAMP)) is None
