"""What is told whatever is asked: a danger is a fact of car and bay, so is an engine that runs, and fire and smoke stop
everything."""

from __future__ import annotations

import re
from collections.abc import Callable
from dataclasses import replace

from assistant.english import heard as texts
from assistant.language.banged import (
    BANGED,
    BINDS,
    FREE,
    LIGHT,
    binds_by_hand,
    light_by_hand,
    tells_a_bang,
    turns_freely,
)
from assistant.language.carburettor import CARBURETTOR, pump_told, tells_a_carburettor
from assistant.language.dangers import (
    FUEL_LEAK,
    FUEL_SMELL,
    WRONG_FUEL,
    FuelOutside,
    danger_told,
    fuel_told_in,
    has_aired,
    leaks_anywhere,
    so_of_the_bay,
    spelled_out,
    tells_a_fuel_leak,
    tells_a_smell,
    tells_some_leak,
    tells_the_pack_is_on,
    tells_the_wrong_fuel,
)
from assistant.language.guess import guess, said_for
from assistant.language.helpers import GONE, HERE, has_gone, is_here
from assistant.language.model import (
    Command,
    Control,
    Expected,
    FactAsked,
    FactTold,
    GiveControl,
    GiveFacts,
    GiveResult,
    TellTest,
    Unclear,
    UnclearReason,
)
from assistant.language.own_words import meant_by
from assistant.language.perils import (
    CLEAR,
    has_an_implant,
    is_on_fire,
    smokes_somewhere,
    tells_a_fire,
    tells_all_are_clear,
    tells_it_moves,
    tells_it_runs_on,
    tells_of_somebody,
    tells_of_somebody_near,
)
from assistant.language.plain import plain_words
from assistant.language.runs_now import RUNS_NOW, is_asked, tells_it_runs
from assistant.language.several import NAMES_NOTHING

CAR_AND_BAY = "car-and-bay"
"""Stands in place of a test where what is so was told and none showed it."""

AIRED = "aired"
"""The result of what is told where somebody says that the vapour is gone. It makes nothing so and clears nothing."""

_LEADS = frozenset(("lead", "leads", "cable", "cables"))
_HELPS = frozenset(("jump", "jumper", "jumping", "boost", "booster", "boosting", "pack", "charger", "donor", "other"))
"""What says of leads that they help the battery."""

ASKED_NEXT = "told-early"
"""Stands in place of a test where the next question was answered before it was asked."""

OF_NO_TEST = frozenset((CAR_AND_BAY, ASKED_NEXT))
"""What is told that moves no odds."""

MAKES = {
    FUEL_LEAK: ("leak",),
    FUEL_SMELL: ("leak",),
    WRONG_FUEL: ("wrong-fuel",),
    RUNS_NOW: ("engine-runs", "key-on", "pressure-up", "engine-hot"),
    CARBURETTOR: ("no-engine-computer", "no-electric-pump"),
    BINDS: ("binds",),
}
"""By the clause: what it makes so of car and bay."""


def told_test(clause: str, expected: Expected) -> TellTest | None:
    """The result of a test by its clause; None where no such test may be told."""
    found = (key for key, clauses in expected.supposed.items() if clause in clauses)
    test, _, result = next(found, "").partition("=")
    return TellTest(test=test, result=result, words=clause) if test else None


def wrong_fuel(words: str, expected: Expected) -> TellTest | GiveResult | None:
    """That the wrong fuel went in, whatever else the words answer: "just filled up, with diesel by mistake". Where that
    is what is asked, and the words are like its answer far before all others, it is the answer."""
    if not tells_the_wrong_fuel(words, expected.fuel):
        return None
    found = guess(words, expected)
    if found is not None and found.sure:
        known = expected.examples.get(found.result, ())
        if any(tells_the_wrong_fuel(each, expected.fuel) for each in known):
            return GiveResult(result=found.result, words=expected.results[found.result][0], guessed=True)
    is_answer = any(words in phrases for phrases in expected.results.values())
    return told_test(WRONG_FUEL, expected) if is_answer else _told(WRONG_FUEL, expected)


def fuel_outside(words: str, expected: Expected) -> TellTest | None:
    """Fuel that runs out or is smelt, told in the same breath as something else: "it hums, and I smell petrol". None
    where the step asks about it."""
    told = fuel_told_in(words)
    if told is FuelOutside.SMELLS and not _asks_about(FUEL_SMELL, expected):
        return _told(FUEL_SMELL, expected)
    leaks = told is FuelOutside.RUNS or leaks_anywhere(words)
    return _told(FUEL_LEAK, expected) if leaks and not _asks_about(FUEL_LEAK, expected) else None


def pack_left_on(words: str, expected: Expected) -> TellTest | None:
    """That what helped the battery is still on it, told in the same breath as something else. None where people are
    known to tell of it as an answer."""
    known = (said for answers in (expected.results, expected.examples) for each in answers.values() for said in each)
    if not tells_the_pack_is_on(words) or any(tells_the_pack_is_on(each) for each in known):
        return None
    if _of_the_meter(words, expected):
        return None
    words, condition = PACK_ON
    return TellTest(test=CAR_AND_BAY, result=condition, words=words, makes=(condition,))


def _of_the_meter(words: str, expected: Expected) -> bool:
    """Whether bare leads or cables are those that the instruction at hand is about: "leads are on" carries it out."""
    work = frozenset(plain_words(expected.work).split())
    meant = frozenset(words.split())
    return not _LEADS.isdisjoint(meant) and not _LEADS.isdisjoint(work) and _HELPS.isdisjoint(meant | work)


def danger(words: str, expected: Expected, *, asked: bool = False) -> TellTest | None:
    """A danger that these plain words, as a whole, tell of. None where the step asks about it, unless it is `asked` for
    all the same: there its own answers come first."""
    so = so_of_the_bay(words.split())
    if so is not None and not (so[0] == PACK_ON[0] and _of_the_meter(words, expected)):
        return TellTest(test=CAR_AND_BAY, result=so[1][0], words=so[0], makes=so[1])
    clause = danger_told(words.split())
    if clause is None or (not asked and _asks_about(clause, expected)):
        return None
    return _told(clause, expected)


def besides(words: str, expected: Expected) -> TellTest | None:
    """What is no danger by itself and no answer: the engine runs, it has no computer, somebody came to help or left."""
    told = all_clear(words, expected) or it_runs(words, expected) or carburettor(words, expected)
    return told or helper(words, expected) or bang(words, expected)


def all_clear(words: str, expected: Expected) -> TellTest | None:
    """That whoever was told to be at the car is clear. None where that is asked: there its phrases pass."""
    if not expected.somebody_near or expected.acknowledge or not tells_all_are_clear(words.split()):
        return None
    return TellTest(test=CAR_AND_BAY, result=CLEAR[1], words=CLEAR[0], makes=(CLEAR[1],))


def it_runs(words: str, expected: Expected) -> TellTest | None:
    """That the engine runs, said while nothing asks for it. None where it may be an answer to what the step asks."""
    if not tells_it_runs(words.split()) or is_asked(words, expected):
        return None
    return _told(RUNS_NOW, expected)


def of_a_carburettor(words: str) -> tuple[str, ...]:
    """What these words, which tell of a carburettor, make so: with how its pump is driven, where they say."""
    pump = pump_told(words)
    return (*MAKES[CARBURETTOR], pump[1]) if pump else MAKES[CARBURETTOR]


def carburettor(words: str, expected: Expected) -> TellTest | None:
    """That the engine has no computer and no injectors, and how its pump is driven. Whether it is an answer comes
    first."""
    if tells_a_carburettor(words):
        return replace(_told(CARBURETTOR, expected), makes=of_a_carburettor(words))
    pump = pump_told(words)
    if pump is None or any(map(pump_told, said_for(expected))):
        return None
    return TellTest(test=CAR_AND_BAY, result=pump[1], words=pump[0], makes=(pump[1],))


def helper(words: str, expected: Expected) -> TellTest | None:
    """That a second person is here, or gone again. None where people are known to answer so: there it is an answer."""
    told = HERE if is_here(words.split()) else GONE if has_gone(words.split()) else None
    if told is None:
        return None
    known = map(str.split, said_for(expected))
    if any(is_here(each) or has_gone(each) for each in known):
        return None
    return TellTest(test=CAR_AND_BAY, result=told[1], words=told[0], makes=(told[1],))


def bang(words: str, expected: Expected) -> TellTest | None:
    """That it stopped with a bang, or was turned by hand since: it turns freely, binds or spins too lightly. None where
    it answers this question or the next: there it is kept with that."""
    if binds_by_hand(words) and not any(map(binds_by_hand, said_for(expected))):
        return _told(BINDS, expected)
    if light_by_hand(words) and not any(map(light_by_hand, said_for(expected))):
        return told_test(LIGHT, expected)
    told = BANGED if tells_a_bang(words) else FREE if turns_freely(words) else None
    if told is None:
        return None
    follows = (each for asked in expected.asked_next for said in asked.results.values() for each in said)
    if any(tells_a_bang(each) or turns_freely(each) for each in (*said_for(expected), *follows)):
        return None
    return TellTest(test=CAR_AND_BAY, result=told[1], words=told[0], makes=(told[1],))


def _told(clause: str, expected: Expected) -> TellTest:
    """As the result of a test, or where none may be told, as what is so of car and bay."""
    makes = MAKES[clause]
    return told_test(clause, expected) or TellTest(test=CAR_AND_BAY, result=makes[0], words=clause, makes=makes)


def alarm(words: str, expected: Expected) -> Command | None:
    """Fire, smoke, a car that moves and somebody in the way, which stop everything and stay so until they are put
    right; somebody hurt, and who begins with "stop"; and a leak of something, which is of fuel until it is known to be
    of something else."""
    said = words.split()
    if tells_a_fire(said):
        return _so(BURNED)
    if tells_it_moves(said):
        return _so(ROLLS)
    if tells_of_somebody_near(said):
        return _so(NEAR)
    if tells_of_somebody(said) or tells_it_runs_on(said) or words.startswith("stop "):
        return GiveControl(control=Control.STOP) if Control.STOP in expected.controls else None
    return _told(FUEL_LEAK, expected) if tells_some_leak(said) else None


def smoke(words: str, expected: Expected) -> TellTest | None:
    """Smoke from a part of the car, told in the same breath as an answer: "twelve four, and smoke off the alternator".
    None where people are known to answer so."""
    return _so(BURNED) if smokes_somewhere(words) and not any(map(smokes_somewhere, said_for(expected))) else None


def implant(words: str, expected: Expected) -> Unclear | None:
    """What whoever has a pacemaker is told. None where the step asks whether one can do it: there it is an answer."""
    known = (*expected.examples.values(), tuple(expected.answers.values()))
    if not has_an_implant(words.split()) or any("pacemaker" in each for said in known for each in said):
        return None
    return Unclear(reason=UnclearReason.WARNED, words=words, detail=texts.PACEMAKER)


_MAY = re.compile(
    r"\b(?:can|could|may|should|shall|do|is it (?:ok|okay|safe|all right) to|what if|how about if)\b"
    r"(?:\s+[a-z']+){0,4}?\s+(?P<what>spray\w*|easy start|quick start|starting fluid|starter fluid|start fluid|ether"
    r"|(?:brake|carb|carburettor) cleaner|jump(?:ing|start)?|boost(?:ing)?)\b"
)


def may_it(words: str) -> Unclear | None:
    """What is answered to who asks whether to spray or to boost of their own accord."""
    asked = _MAY.search(" ".join(spelled_out(words.split())))
    if asked is None:
        return None
    detail = texts.MAY_BOOST if re.match("jump|boost", asked["what"]) else texts.MAY_SPRAY
    return Unclear(reason=UnclearReason.WARNED, words=words, detail=detail)


def other_question(words: str, expected: Expected) -> Unclear | TellTest | GiveFacts | None:
    """What is answered to who answers another question word for word: one that was asked before, whose answer stands,
    or one for a fact of the car that comes yet, which is read back as that fact where it can be of no other. It is not
    guessed to answer this one. What follows, and takes what was told before it, is kept for it."""
    if (told := told_ahead(words, expected) or _for_the_next(words, expected)) is not None:
        return told
    later = [each for each in expected.several if each.results != expected.results and _answers(words)(each)]
    if later and not NAMES_NOTHING.issuperset(words.split()):
        fact = _the_one_fact(words, later)
        return fact or Unclear(reason=UnclearReason.UNSURE, words=words, detail=texts.ASKED_LATER)
    if " " in words and any(map(_answers(words), expected.asked_before)):
        return Unclear(reason=UnclearReason.UNSURE, words=words, detail=texts.ASKED_BEFORE)
    return None


def _the_one_fact(words: str, asked: list[FactAsked]) -> GiveFacts | None:
    """The fact of the car that these words tell, where one question alone has them and they say more than a word."""
    (only, *others) = asked
    value = meant_by(words, only.results, only.answers)
    if others or value is None or " " not in words:
        return None
    return GiveFacts(facts=(FactTold(fact=only.fact, value=value, words=only.results[value][0]),))


def _for_the_next(words: str, expected: Expected) -> TellTest | None:
    told = ((asked, meant_by(words, asked.results, asked.answers)) for asked in expected.asked_next)
    asked, result = next((each for each in told if each[1] is not None), (None, None))
    return None if asked is None or result is None or " " not in words else keep_ahead(asked, result)


_APPROVES = frozenset(
    (
        "all", "alright", "clear", "done", "everything", "fine", "good", "looks", "ok", "okay", "ready", "right",
        "safe", "seems", "set", "still", "sure", "the", "this", "now", "nothing", "and", "at", "a", "thing",
    )
)  # fmt: skip
"""Words that may be said of what a caution asks as well."""


def told_ahead(words: str, expected: Expected) -> TellTest | None:
    """What the step asks behind the caution or gate that is asked now, told before it: kept for the question, and it
    passes nothing. None where it may be the phrase of the caution, said otherwise, or what approves of anything."""
    asked = expected.behind
    named = frozenset(words.split()) - NAMES_NOTHING - _APPROVES
    if asked is None or " " not in words or not named.isdisjoint(" ".join(expected.acknowledge).split()):
        return None
    result = meant_by(words, asked.results, asked.answers) if named else None
    return None if result is None else keep_ahead(asked, result)


def keep_ahead(asked: FactAsked, result: str) -> TellTest:
    """What keeps this answer for its own question, where it is offered."""
    return TellTest(test=ASKED_NEXT, result=f"{asked.fact}={result}", words=asked.results[result][0])


def _answers(words: str) -> Callable[[FactAsked], bool]:
    return lambda asked: meant_by(words, asked.results, asked.answers) is not None


def fire_dictated(words: str) -> TellTest | None:
    """Fire cried where anything that is said is kept as text."""
    return _so(BURNED) if is_on_fire(words.split()) else None


def aired(words: str, expected: Expected) -> TellTest | None:
    """That nothing smells any more, said unasked. None where the step asks about it: there it is an answer."""
    known = (said for answers in (expected.results, expected.examples) for each in answers.values() for said in each)
    if not has_aired(words.split()) or any(has_aired(each.split()) for each in known):
        return None
    return TellTest(test=CAR_AND_BAY, result=AIRED, words="the air is clear")


BURNED, ROLLS = ("something burned or smoked", "burned"), ("the car may roll", "can-roll")
NEAR = ("somebody is at the car", "somebody-near")
PACK_ON = ("the jump pack is on", "pack-on")


def _so(told: tuple[str, str]) -> TellTest:
    words, condition = told
    return TellTest(test=CAR_AND_BAY, result=condition, words=words, makes=(condition,), stops=True)


def _asks_about(clause: str, expected: Expected) -> bool:
    """Whether people are known to tell of such a thing where this is asked."""
    known = tuple(
        each for answers in (expected.results, expected.examples) for said in answers.values() for each in said
    )
    if clause == FUEL_SMELL:
        return any(map(tells_a_smell, known))
    runs = (tells_a_fuel_leak(each.split()) or fuel_told_in(each) is FuelOutside.RUNS for each in known)
    return clause == FUEL_LEAK and any(runs)
