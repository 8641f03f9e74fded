"""Several facts of the car in one breath, through the real first question of the opening."""

from __future__ import annotations

from dataclasses import replace
from functools import cache

import pytest

from assistant.facts import FactKind
from assistant.grammar.automaton import automaton_of
from assistant.guide import Mode, expected
from assistant.guide.state import NEW, Frame, Position
from assistant.language.grammars import grammar_of
from assistant.language.manner import Manner
from assistant.language.meant import facts_of
from assistant.language.model import Expected, FactAsked, GiveFacts, GiveResult, Heard
from assistant.language.plain import plain_words
from assistant.language.several import several
from assistant.language.understand import understand
from assistant.wiring import load_library
from tests.session.room import Room


@pytest.fixture(scope="module")
def library():
    """The main procedure and all that it calls."""
    return load_library("no-start")[1]


@pytest.fixture(scope="module")
def asked(library):
    """What is understood where the opening asks for the fuel."""
    at = Frame(procedure="vehicle-facts", step="fuel")
    return expected(library, _asking(at))


def _asking(at):
    return replace(NEW, mode=Mode.ASKING, root=at.procedure, position=Position(at=at))


@pytest.mark.parametrize(
    ("said", "told"),
    [
        (
            "It's a petrol four cylinder with coils on the plugs, cranks fine.",
            {"fuel": "petrol", "cylinders": "4", "ignition": "coil-on-plug"},
        ),
        ("petrol and six cylinders", {"fuel": "petrol", "cylinders": "6"}),
        ("diesel ordinary car", {"fuel": "diesel", "hybrid": "no"}),
        ("it's a diesel no wait petrol and four cylinders", {"fuel": "petrol", "cylinders": "4"}),
        ("petrol four cylinders no wait six cylinders", {"fuel": "petrol", "cylinders": "6"}),
        ("three litre v six petrol, automatic", {"fuel": "petrol", "cylinders": "6"}),
        ("two point oh litre petrol, sixteen valve, four cylinder", {"fuel": "petrol", "cylinders": "4"}),
        ("petrol 1.4 four cylinder five door", {"fuel": "petrol", "cylinders": "4"}),
        ("it's an old straight six with points", {"cylinders": "6", "ignition": "distributor"}),
        # the brief question ends "and any hybrid?"
        (
            "petrol, four, coil on plug, no",
            {"fuel": "petrol", "cylinders": "4", "ignition": "coil-on-plug", "hybrid": "no"},
        ),
        ("diesel four cylinders and no it isn't", {"fuel": "diesel", "cylinders": "4", "hybrid": "no"}),
        # one alone, where the question is for another
        ("it's a hybrid", {"hybrid": "yes"}),
        ("four cylinders", {"cylinders": "4"}),
    ],
)
def test_facts_in_one_breath(asked, said, told):
    """Each by its own words, with what people put between."""
    meant = understand(Heard(words=said, confidence=1.0), asked)
    assert isinstance(meant, GiveFacts)
    assert {each.fact: each.value for each in meant.facts} == told


@pytest.mark.parametrize(
    "said",
    [
        "it is not a petrol four cylinder",  # a "not" may stand for anything
        "petrol four cylinders six cylinders",  # one fact twice
        "diesel no petrol four cylinders",  # corrected, or denied
        "petrol four cylinders no six cylinders",
        "petrol four cylinders no problem",  # a denial of nobody knows what
        "petrol four cylinder and I think the battery is flat",  # something else
        "i don't know four cylinder",  # of which fact?
        "petrol hybrid four cylinders no",  # what does it deny?
        "petrol no",
        "five door",
    ],
)
def test_what_is_not_understood_whole_tells_nothing(asked, said):
    """No fact is taken out of a sentence of which a part is not known."""
    assert not isinstance(understand(Heard(words=said, confidence=1.0), asked), GiveFacts)


def test_a_fact_told_unasked_names_what_it_is_of(library):
    """A "yes, there are" answers the question that was asked, not one about glow plugs that is asked later."""
    now = expected(library, _asking(Frame(procedure="fuel-substitute", step="drive")))
    meant = understand(Heard(words="yes there are orange cables", confidence=1.0), now)
    assert isinstance(meant, GiveResult) and meant.result == "yes"


def test_the_recogniser_may_hear_them(asked):
    """The grammar of the moment holds such sentences."""
    said = plain_words("It's a petrol four cylinder with coils on the plugs").split()
    assert automaton_of(grammar_of(asked)).accepts(said)


def test_they_are_read_back_once_and_not_asked_again(library):
    """One yes for all; what was told is passed by, and strike that takes the last of them back."""
    room = Room(library)
    room.type("be brief", "done", "it cranks but it will not start", "nothing changed", "dead next morning")
    heard = room.type("it's a petrol four cylinder with coils on the plugs")[-1]
    assert heard["said"] == ["Petrol, four cylinders and coil on plug. Yes?"]
    assert heard["mode"] == "confirming"
    after = room.type("yes")[-1]
    assert after["step"] == "drive"
    assert room.conversation.state.vehicle == {"fuel": "petrol", "cylinders": "4", "ignition": "coil-on-plug"}
    room.type("ordinary car", "yes")
    assert room.conversation.state.at.procedure == "safety-setup"
    told = [fact for fact in room.facts if fact.kind is FactKind.VEHICLE_NOTED]
    assert len(told) == 4


def test_facts_beside_the_question_are_kept_and_the_question_stays(library):
    """Told without the fuel, the fuel is asked again and nothing else."""
    room = Room(library)
    room.type("be brief", "done", "it cranks but it will not start", "nothing changed", "dead next morning")
    after = room.type("four cylinders with coil on plug", "yes")[-1]
    assert (after["procedure"], after["step"], after["mode"]) == ("vehicle-facts", "fuel", "asking")
    assert room.conversation.state.vehicle == {"cylinders": "4", "ignition": "coil-on-plug"}
    room.type("petrol", "yes", "ordinary car", "yes")
    assert room.conversation.state.at.procedure == "safety-setup"
    assert room.conversation.state.manner is Manner.BRIEF


def test_struck_facts_are_asked_again(library):
    """What was told in one breath falls one by one."""
    room = Room(library)
    room.type(
        "be brief",
        "done",
        "it cranks but it will not start",
        "nothing changed",
        "dead next morning",
        "petrol and four cylinders",
        "yes",
    )
    room.type("strike that", "yes")
    assert room.conversation.state.at.step == "fuel"
    assert room.conversation.state.vehicle == {"cylinders": "4"}


@pytest.mark.parametrize(
    "before", [(), ("done", "it cranks but it will not start"), ("done", "it cranks", "nothing changed")]
)
def test_the_car_may_be_told_before_it_is_asked(library, before):
    """Many begin with what they have before them: it is read back, kept and never asked; the question stays."""
    room = Room(library)
    room.type("be brief", *before)
    at = room.conversation.state.at
    heard = room.type("petrol four cylinder, it's an ordinary car with coils on the plugs")[-1]
    assert heard["said"] == ["Petrol, four cylinders, ordinary car and coil on plug. Yes?"]
    assert room.type("yes")[-1]["mode"] == "asking"
    assert room.conversation.state.at == at
    room.type("done", "it cranks but it will not start", "nothing changed", "dead next morning")
    assert room.conversation.state.at.procedure == "safety-setup"


@pytest.mark.parametrize(
    ("said", "facts"),
    [
        ("petrol four cylinder", ["fuel", "cylinders"]),
        ("petrol four cylinder diesel", []),
        ("petrol four cylinder petrol", []),
        ("petrol", []),
    ],
)
def test_a_fact_that_is_told_twice_in_one_breath_is_asked_again(asked, said, facts):
    """Nobody knows which of the two is meant; one fact alone is an answer as any other."""
    assert [each.fact for each in several(said.split(), asked.several)] == facts


FUEL = FactAsked(fact="fuel", results={"petrol": ("petrol",), "diesel": ("diesel",)})
POTS = FactAsked(fact="cylinders", results={"4": ("four cylinders",), "6": ("six cylinders",)})


@pytest.mark.parametrize(
    "word",
    [
        *("yes", "yeah", "yep", "yup", "aye", "no", "nope", "nah", "not", "none", "any", "one", "sure", "i", "know"),
        *("there", "that", "they", "it", "it's", "is", "isn't", "are", "aren't", "ain't", "do", "don't", "does"),
        *("doesn't", "has", "hasn't", "have", "haven't", "got"),
    ],
)
def test_a_word_that_answers_any_question_tells_no_fact_unasked(word):
    """Though a fact that is still to be asked could be answered by it; with its own name beside it is one."""
    turbo = FactAsked(fact="turbo", results={"yes": (word, f"{word} turbo")})
    told = several(["petrol", "four", "cylinders", word], (FUEL, POTS, turbo))
    assert "turbo" not in {each.fact for each in told}
    named = several([word, "turbo", "petrol"], (FUEL, POTS, turbo))
    assert [each.fact for each in named] == ["turbo", "fuel"]


@pytest.mark.parametrize(
    "between",
    [
        *("it's", "it", "is", "a", "an", "the", "and", "with", "has", "got", "this", "that's", "engine", "car", "its"),
        *("on", "cranks fine", "cranks okay", "turns fine", "cranks but won't start", "and it's a", ""),
        *("manual", "automatic", "turbo", "old", "small", "big", "one litre", "two litre", "three litre"),
        *("one liter", "two liter", "three liter"),
    ],
)
def test_what_people_put_between_facts_tells_nothing_against_them(between):
    """Before, between and behind; a word more that is not known leaves nothing of it."""
    words = between.split()
    for said in ([*words, "petrol", "four", "cylinders"], ["petrol", *words, "four", "cylinders", *words]):
        assert [each.fact for each in several(said, (FUEL, POTS))] == ["fuel", "cylinders"]
        assert several([*said, "maybe"], (FUEL, POTS)) == ()
        assert _listening().accepts(said) == (between != "and it's a")  # two are listened for at once
        assert not _listening().accepts([*said, "maybe"])


@cache
def _listening():
    return automaton_of(grammar_of(Expected(controls=frozenset(), several=(FUEL, POTS))))


DESCRIBING = """auto gearbox transmission stick shift turbocharged turbos supercharged injected injection carburettor
carburetor carb aspirated naturally older newer modern new little large normal ordinary regular standard simple basic
plain hatchback saloon sedan estate wagon van truck pickup coupe convertible suv minivan motor one just only front rear
wheel drive twin single double cam overhead valve valves transverse in of so but she he she's i think well also here
model points leads nothing special fancy my our"""
SIZES = """two point oh litre, fifteen hundred cc, two thousand c c, 2.0, 1998cc, 1.6l, three liters, sixteen valve,
twenty four valves, five doors, five speed, ninety horsepower, oh point nine litre, one hundred ten horse,
one point six, thousand cc, seventeen hundred cc, 1.6 litre"""


@pytest.mark.parametrize("words", [*DESCRIBING.split(), *" ".join(SIZES.split()).split(", ")])
def test_what_only_describes_a_car_tells_nothing_against_its_facts(words):
    """Typed or written freely, its size and doors too, whose numbers count no cylinders; said alone it tells none."""
    said = ["petrol", *words.split(), "four", "cylinders"]
    assert [each.value for each in several(said, (FUEL, POTS))] == ["petrol", "4"]
    assert several(words.split(), (FUEL, POTS), 1) == ()


@pytest.mark.parametrize(
    "no", ["no", "nope", "nah", "and no", "no she isn't", "nope it is not", "no it's not", "nah not"]
)
def test_a_no_at_the_end_answers_the_one_question_for_yes_or_no_that_is_open(no):
    """Where two facts at least were told, and one such question is open; else nobody knows what it denies."""
    hybrid = FactAsked(fact="hybrid", results={"yes": ("hybrid",), "no": ("ordinary car",)})
    turbo = FactAsked(fact="turbo", results={"yes": ("blown",), "no": ("not blown",)})
    said = f"petrol four cylinders {no}".split()
    told = several(said, (FUEL, POTS, hybrid))
    assert [(each.fact, each.value, each.words) for each in told[2:]] == [("hybrid", "no", "ordinary car")]
    assert several(said, (FUEL, POTS, hybrid, turbo)) == several(said, (FUEL, POTS)) == ()
    assert several(f"petrol {no}".split(), (FUEL, POTS, hybrid)) == ()
    rest = several(f"petrol hybrid {no}".split(), (FUEL, POTS, hybrid, turbo))
    assert [each.fact for each in rest] == ["fuel", "hybrid", "turbo"]


def test_a_fact_is_told_in_eight_words_at_most():
    """Longer stretches are talk, whatever they answer."""
    for words, told in (("a b c d e f g h", ["fuel", "odd"]), ("a b c d e f g h k", [])):
        odd = FactAsked(fact="odd", results={"yes": (words,)})
        assert [each.fact for each in several(f"petrol {words}".split(), (FUEL, odd))] == told


def test_a_correction_at_once_counts_and_one_of_nothing_leaves_nothing():
    """Of the fact just told alone."""
    for said, value in (("four cylinders no wait six cylinders petrol", "6"), ("four cylinders petrol", "4")):
        assert {each.fact: each.value for each in several(said.split(), (FUEL, POTS))}["cylinders"] == value
    for said in (
        "petrol four cylinders no wait diesel",
        "petrol four cylinders no wait",
        "sorry petrol four cylinders",
    ):
        assert several(said.split(), (FUEL, POTS)) == ()


def test_what_answers_two_questions_answers_none_unasked():
    """Nobody knows which is meant; a longer stretch that answers one alone does."""
    doors = FactAsked(fact="doors", results={"4": ("four cylinders", "four doors")})
    assert several(["petrol", "four", "cylinders"], (FUEL, POTS, doors)) == ()
    assert [each.fact for each in several(["petrol", "four", "doors"], (FUEL, POTS, doors))] == ["fuel", "doors"]


def test_the_one_fact_that_is_asked_is_an_answer_as_any_other():
    """With what describes the car around it; another fact alone is kept beside the question."""
    now = Expected(controls=frozenset(), results=FUEL.results, several=(FUEL, POTS))
    assert facts_of("a petrol saloon", now) == GiveResult(result="petrol", words="petrol")
    beside = facts_of("an old four cylinders", now)
    assert isinstance(beside, GiveFacts) and [each.value for each in beside.facts] == ["4"]
    assert facts_of("an old saloon", now) is facts_of("petrol", replace(now, several=())) is None
