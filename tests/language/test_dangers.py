"""What is told of running fuel and of fire, out of turn."""

from dataclasses import replace

import pytest

from assistant.grammar.automaton import automaton_of
from assistant.language.attention import addressed
from assistant.language.commands import ALWAYS
from assistant.language.dangers import (
    FUEL_LEAK,
    FUEL_SMELL,
    SAYABLE,
    WRONG_FUEL,
    FuelOutside,
    fuel_told_in,
    tells_a_fuel_leak,
    tells_of_a_spray,
    tells_the_wrong_fuel,
)
from assistant.language.grammars import grammar_of
from assistant.language.model import Dictate, Expected, GiveResult, Heard, TellTest
from assistant.language.out_of_turn import CAR_AND_BAY
from assistant.language.understand import understand
from assistant.procedure.condition import WORDS
from tests.language.told import TOLD


@pytest.mark.parametrize(
    "words",
    [
        "There's petrol leaking from the rail!",
        "hang on, there is fuel running down the engine",
        "I can see gas dripping under the car",
        "a puddle of petrol under the car",
        "the hose is leaking fuel",
        "we have a fuel leak",
        "I smell petrol, there is a puddle under the car",
        "I'll just spray it while it leaks",
        "the fuel line is leaking",
        "hose is dripping",
        "fuel's pouring out",
        "it's wet with petrol here",
        "fuel is running out",
        "there's fuel dripping off the back of the rail",
    ],
)
def test_running_fuel_is_told_without_i_found(words):
    """Whatever is asked, a told leak is a fact at once, so that what could light it is not led to."""
    assert understand(Heard(words=words, confidence=1.0), TOLD) == TellTest(
        test="looked-over", result="leak", words=FUEL_LEAK
    )


@pytest.mark.parametrize(
    "words", ["no fuel leak", "no petrol leaking", "it smells of fuel", "fuel pressure", "is fuel there"]
)
def test_what_denies_or_only_smells_is_no_leak(words):
    """Only whole sentences that say it are taken."""
    assert not tells_a_fuel_leak(words.split())


@pytest.mark.parametrize(
    "words",
    [
        "The car is on fire!", "there's a fire", "it is on fire", "there is smoke from under the dash",
        "smoke coming from the dashboard", "there's a burning smell", "I can smell burnt plastic", "wires are melting",
        "flames coming out of the carb", "it backfired and the air filter caught fire",
    ],
)  # fmt: skip
def test_a_fire_stops_everything(words):
    """Who says so is not told that nothing was understood; and no key is turned until it is put right."""
    heard = understand(Heard(words=words, confidence=1.0), TOLD)
    assert isinstance(heard, TellTest) and heard.stops and heard.makes == ("burned",)


def test_a_fire_is_no_text_to_keep():
    """Smoke may be what a customer tells of; who cries fire dictates nothing."""
    kept = Expected(controls=ALWAYS, dictation=True)
    assert understand(Heard(words="it's on fire", confidence=1.0), kept).makes == ("burned",)
    assert understand(Heard(words="there was smoke and it died", confidence=1.0), kept) == Dictate(
        words="there was smoke and it died"
    )


@pytest.mark.parametrize(
    ("words", "told"),
    [
        ("there was petrol dripping under the car and now it will not start", FuelOutside.RUNS),
        ("Customer says fuel is leaking somewhere, cranks only.", FuelOutside.RUNS),
        ("it left a puddle of gas on the drive", FuelOutside.RUNS),
        ("it was losing fuel for weeks", FuelOutside.RUNS),
        ("gas under the car this morning", FuelOutside.RUNS),
        ("strong smell of petrol under the bonnet", FuelOutside.SMELLS),
        ("it smells like gas and won't fire", FuelOutside.SMELLS),
        ("petrol fumes in the cabin", FuelOutside.SMELLS),
        ("it cranks but won't start and petrol is dripping from the rail", FuelOutside.RUNS),
        ("it never starts but fuel is leaking", FuelOutside.RUNS),
        ("i don't smell any petrol", FuelOutside.NONE),
        ("no fuel leak, no smell of fuel", FuelOutside.NONE),
        ("it does not smell of petrol", FuelOutside.NONE),
        ("it cranks all day but it will not start", FuelOutside.NONE),
        ("ran out of gas, put five litres of fuel in", FuelOutside.NONE),
        ("coolant leak last month, new fuel pump", FuelOutside.NONE),
        ("leaks oil everywhere", FuelOutside.NONE),
    ],
)
def test_fuel_outside_is_seen_in_free_words(words, told):
    """The customer's complaint may be the first to tell of it; what is denied is not there."""
    assert fuel_told_in(words) is told


@pytest.mark.parametrize(
    "words",
    ["I smell petrol here", "I can smell fuel", "it stinks of gas", "there's a strong smell of fuel", "fuel fumes"],
)
def test_a_smell_is_told_whatever_is_asked(words):
    """It keeps the key off until somebody has looked."""
    told = TellTest(test="looked-over", result="smell", words=FUEL_SMELL)
    assert understand(Heard(words=words, confidence=1.0), TOLD) == told


def test_a_smell_is_an_answer_where_it_is_asked_about():
    """A wet plug smells of fuel: there it is what was asked."""
    asked = replace(
        TOLD,
        results={"wet": ("it is wet",), "dry": ("it is dry",)},
        answers={"wet": "wet", "dry": "dry"},
        examples={"wet": ("stinks of petrol",), "dry": ("bone dry",)},
    )
    assert understand(Heard(words="stinks of petrol", confidence=1.0), asked) == GiveResult(
        result="wet", words="it is wet"
    )


@pytest.mark.parametrize(
    "words",
    [
        "somebody put diesel in it instead of petrol",
        "just filled up, with diesel by mistake",
        "the wrong fuel went in",
        "she accidentally pumped diesel into it",
        "there's petrol in a diesel",
        "we misfuelled it",
    ],
)
def test_the_wrong_fuel_is_told_whatever_is_asked(words):
    """Also where the words answer something else besides."""
    asked = replace(TOLD, results={"fuel": ("just filled up",), "no": ("nothing changed",)})
    told = TellTest(test="fuel-level", result="wrong", words=WRONG_FUEL)
    assert understand(Heard(words=words, confidence=1.0), asked) == told


@pytest.mark.parametrize(
    "words",
    [
        "there is diesel in it actually, the customer just rang",
        "the tank is full of diesel",
        "somebody filled it with diesel",
        "his wife filled it up with diesel yesterday",
        "there is water in the fuel",
    ],
)
def test_the_other_fuel_is_the_wrong_one_where_the_own_is_known(words):
    """In a car that burns petrol."""
    told = TellTest(test="fuel-level", result="wrong", words=WRONG_FUEL)
    assert understand(Heard(words=words, confidence=1.0), replace(TOLD, fuel="petrol")) == told


@pytest.mark.parametrize(
    "words", ["it is a diesel", "it's a diesel engine", "no diesel in it", "half a tank of petrol"]
)
def test_what_the_car_burns_is_not_the_wrong_fuel(words):
    """That it is a diesel after all is another command."""
    assert not tells_the_wrong_fuel(words, "petrol")


@pytest.mark.parametrize(
    ("words", "result"),
    [
        ("it hums and it leaks", "leak"),
        ("it hums and it's leaking", "leak"),
        ("hums, and I smell petrol", "smell"),
        ("hums but fuel sprays out of the hose", "leak"),
        ("it smells of fuel when she cranks", "smell"),
        ("petrol dripping off the filter when the pump runs", "leak"),
        ("leaking from the rail", "leak"),
        ("there's a puddle under the tank", "leak"),
        ("fuel drips when she cranks", "leak"),
    ],
)
def test_a_danger_told_in_one_breath_with_an_answer_counts(words, result):
    """The answer can be given once more; the leak cannot wait."""
    asked = replace(
        TOLD, results={"hum": ("it hums", "hums"), "silent": ("it is silent",)}, answers={"hum": "[it] hums"}
    )
    heard = understand(Heard(words=words, confidence=1.0), asked)
    assert isinstance(heard, TellTest) and heard.result == result


@pytest.mark.parametrize(
    "words",
    [
        "nobody misfuelled it",
        "it's not the wrong fuel",
        "didn't put diesel in by mistake",
        "filled it up with diesel yesterday",
        "hit the gas by mistake",
        "full of water after the wash",
    ],
)
def test_what_denies_or_only_fills_is_no_wrong_fuel(words):
    """Diesel goes into diesels every day."""
    assert not tells_the_wrong_fuel(words)


@pytest.mark.parametrize(
    "words", ["fire", "there's smoke", "it's smoking", "something's burning", "the starter is smoking"]
)
def test_smoke_stops_as_fire_does(words):
    """Told to leave off at once for smoke, one may say that there is some."""
    heard = understand(Heard(words=words, confidence=1.0), TOLD)
    assert isinstance(heard, TellTest) and heard.stops and heard.makes == ("burned",)


@pytest.mark.parametrize("words", ["it's leaking", "there is a leak", "got a leak"])
def test_a_leak_of_something_is_of_fuel_until_it_is_struck(words):
    """Asked "is that fuel?", a yes might have been taken for the answer to the step: the safe side costs a word."""
    told = TellTest(test="looked-over", result="leak", words=FUEL_LEAK)
    assert understand(Heard(words=words, confidence=1.0), TOLD) == told


@pytest.mark.parametrize("clause", sorted(SAYABLE))
def test_what_we_ask_to_be_told_may_be_said_by_voice(clause):
    """At any step, without "I found" before it; each such sentence is taken for what it tells."""
    for words in SAYABLE[clause]:
        assert automaton_of(grammar_of(TOLD)).accepts(words.split())
        heard = understand(Heard(words=words, confidence=1.0), TOLD)
        assert isinstance(heard, TellTest) and heard.words == clause


def test_a_danger_that_was_written_freely_counts():
    """Where the grammar refused what was said, free writing may have it."""
    heard = Heard(words=None, confidence=0.0, free_text="The fuel line is leaking.")
    assert isinstance(understand(heard, TOLD), TellTest)


def test_where_no_test_may_be_told_a_danger_counts_all_the_same():
    """While it is counted, with an engine of unmeasured accuracy, or without a fault model."""
    alone = replace(TOLD, questions=False, supposed={})
    heard = understand(Heard(words="there is a fuel leak", confidence=1.0), alone)
    assert isinstance(heard, TellTest) and (heard.test, heard.makes) == (CAR_AND_BAY, ("leak",))


@pytest.mark.parametrize(
    "words", ["the coil pack is still on it", "no jump pack is on it", "the plug leads are still on"]
)
def test_no_other_pack_or_lead_is_taken_for_what_helps_the_battery(words):
    """Nor one that is denied."""
    asked = replace(TOLD, results={"unknown": ("nobody knows",), "known": ("it is known",)})
    assert not isinstance(understand(Heard(words=words, confidence=1.0), asked), TellTest)


def test_a_danger_needs_no_attention_word():
    """As stop needs none."""
    heard = Heard(words="there is a fuel leak", confidence=1.0)
    assert addressed(heard, replace(TOLD, attention="workshop")) == heard


@pytest.mark.parametrize(
    ("words", "noted", "makes"),
    [
        ("I left the fuel line open", "a fuel line is open", ("line-open",)),
        ("the jump pack is still on", "the jump pack is on", ("pack-on",)),
        ("I sprayed some starting fluid already", "starting fluid was sprayed", ("vapour", "can-out")),
        ("the battery is cracked", "the battery is damaged", ("battery-unsafe",)),
        ("I sprayed some starting fluid in it a minute ago", "starting fluid was sprayed", ("vapour", "can-out")),
        (
            "I put a splash of ether in the carb and it ran for a second",
            "starting fluid was sprayed",
            ("vapour", "can-out"),
        ),
        ("the engine is red hot", "the engine is hot", ("engine-hot", "overheated")),
        ("the engine is still hot and steaming", "the engine is hot", ("engine-hot", "overheated")),
        ("there is steam coming out", "the engine is hot", ("engine-hot", "overheated")),
        ("it's boiling over", "the engine is hot", ("engine-hot", "overheated")),
        ("coolant is spraying out", "the engine is hot", ("engine-hot", "overheated")),
        ("it overheated", "the engine is hot", ("engine-hot", "overheated")),
        ("she has boiled over", "the engine is hot", ("engine-hot", "overheated")),
        ("the key is still on", "the key is on", ("key-on",)),
        ("a fuel hose popped off", "a fuel line is open", ("line-open",)),
        ("I pulled the fuel line", "a fuel line is open", ("line-open",)),
        ("I've disconnected the fuel line", "a fuel line is open", ("line-open",)),
        ("the rail is off", "a fuel line is open", ("line-open",)),
        ("booster's still connected", "the jump pack is on", ("pack-on",)),
        ("the booster cables are still connected", "the jump pack is on", ("pack-on",)),
        ("the jumper leads are still on", "the jump pack is on", ("pack-on",)),
        (
            "battery went flat, we've boosted it off another car and the pack's still clamped on",
            "the jump pack is on",
            ("pack-on",),
        ),
        ("I've left the charger on", "the jump pack is on", ("pack-on",)),
        ("the cables are still on", "the jump pack is on", ("pack-on",)),
        ("I've just put ether in", "starting fluid was sprayed", ("vapour", "can-out")),
        ("I gave it a shot of easy start", "starting fluid was sprayed", ("vapour", "can-out")),
        ("brake clean sprayed in the intake", "starting fluid was sprayed", ("vapour", "can-out")),
        ("battery frozen", "the battery is damaged", ("battery-unsafe",)),
        ("the battery's hissing", "the battery is damaged", ("battery-unsafe",)),
    ],
)
def test_what_is_so_of_car_and_bay_is_told_at_any_step(words, noted, makes):
    """It is no "I do not know": what it forbids waits until it is put right."""
    asked = replace(TOLD, results={"unknown": ("nobody knows",), "known": ("it is known",)})
    heard = understand(Heard(words=words, confidence=1.0), asked)
    assert isinstance(heard, TellTest) and (heard.words, heard.makes) == (noted, makes)
    assert {word for each in makes for word in each.split()} <= set(WORDS)


@pytest.mark.parametrize(
    "words",
    [
        "there's diesel in it", "customer says he put diesel in", "he filled diesel", "somebody filled it with diesel",
        "the tank is full of diesel", "she put the wrong stuff in", "the wife filled it up with diesel yesterday",
        "there is water in the fuel", "contaminated fuel", "there's ad blue in the tank",
        "there is diesel in it actually, the customer just rang",
    ],
)  # fmt: skip
def test_diesel_in_a_petrol_car_is_the_wrong_fuel(words):
    """Told late, whatever is asked, but for what a question for the fuel of the car is answered by."""
    petrol = replace(TOLD, fuel="petrol")
    meant = understand(Heard(words=words, confidence=1.0, engine="typed"), petrol)
    assert meant == TellTest(test="fuel-level", result="wrong", words=WRONG_FUEL)
    fuel = replace(TOLD, results={"petrol": ("petrol engine",), "diesel": ("diesel engine",)})
    assert not isinstance(
        understand(Heard(words="there's diesel in it", confidence=1.0, engine="typed"), fuel), TellTest
    )
    denied = understand(Heard(words="there is no diesel in it", confidence=1.0, engine="typed"), petrol)
    assert not isinstance(denied, TellTest)


@pytest.mark.parametrize("words", ["diesel went in", "no, he put diesel in it", "I reckon he put diesel in"])
def test_diesel_that_was_put_in_is_the_wrong_fuel_before_the_own_is_known(words):
    """Asked for the fuel of the car it was once its answer, and the job closed as of a diesel."""
    asked = replace(TOLD, results={"petrol": ("petrol", "petrol engine"), "diesel": ("diesel", "diesel engine")})
    meant = understand(Heard(words=words, confidence=1.0, engine="typed"), asked)
    assert meant == TellTest(test="fuel-level", result="wrong", words=WRONG_FUEL)
    for known in ("it burns diesel", "diesel", "we put diesel injectors in", "nobody put diesel in it"):
        assert not tells_the_wrong_fuel(known), known


def test_that_it_has_aired_is_told_but_where_the_smell_is_asked_about():
    """Unasked it is told and makes nothing so; as an answer to the smell it is the answer."""
    for words in ("the air is clear now", "it has aired", "nothing smells any more", "the fumes are gone"):
        told = understand(Heard(words=words, confidence=1.0), TOLD)
        assert told == TellTest(test=CAR_AND_BAY, result="aired", words="the air is clear"), words
        asked = replace(TOLD, results={"clean": ("air is clear",), "smell": ("still smells",)})
        assert not isinstance(understand(Heard(words=words, confidence=1.0), asked), TellTest), words
    for words in ("the air filter is clear", "it smells", "the air is not clear"):
        assert not isinstance(understand(Heard(words=words, confidence=1.0), TOLD), TellTest), words


@pytest.mark.parametrize(
    ("words", "sprayed"),
    [
        ("coughs on a sniff of easy start but won't run", True),
        ("it runs on easy start alone", True),
        ("cranks but won't start and i used some ether", True),
        ("never used any easy start on it", False),
        ("i sprayed ether last week", False),
    ],
)
def test_a_spray_that_a_complaint_tells_of_is_known(words, sprayed):
    """A sniff of it was none, and a spark tester was asked for at once."""
    assert tells_of_a_spray(words) is sprayed
