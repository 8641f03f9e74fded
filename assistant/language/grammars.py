"""What may be said, as a grammar for a recogniser: controls, results, acknowledgements, readings, codes."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping
from functools import lru_cache
from types import MappingProxyType

from assistant.grammar.model import Alternatives, Expansion, Grammar, Reference, Repeat, Sequence, Tagged, phrase
from assistant.language.codes import END_PHRASES, code_rules
from assistant.language.commands import UNADDRESSED, Control, Stakes
from assistant.language.dangers import SAYABLE
from assistant.language.model import Expected, FactAsked
from assistant.language.number_grammar import number_rules
from assistant.language.own_words import HESITATIONS, POLITENESS, meant_by, tagged_answers, tagged_phrases
from assistant.language.perils import CLEAR
from assistant.language.quantities import Unit, spoken_span, unit_named, units_of
from assistant.language.questions import I_FOUND, QUESTION_PHRASES, WHAT_IF, Question
from assistant.language.reading import amount_said
from assistant.language.runs_now import RUNS_NOW, SAYABLE_RUNS, is_asked
from assistant.language.several import LEAST, SAID_BETWEEN
from assistant.procedure.affirmed import passes
from assistant.procedure.answers import rules_for
from assistant.procedure.model import Kind, Procedure, Quantity, Step
from assistant.procedure.remedies import PHRASES
from assistant.procedure.sound import sounds_of

START = "said"
TOLD_TAG = I_FOUND
TAKE_TAG = Control.TAKE_TO.value
ANSWER = "answer"
ACKNOWLEDGE_TAG = "acknowledge"
DONE_TAG = Control.DONE.value
READING_TAG = "reading"
CODE_TAG = "code"
SEVERAL_TAG = "several facts"
MOST_FACTS = 5
WORDED_TAGS: Mapping[str, Callable[[str], object]] = MappingProxyType(
    {
        READING_TAG: amount_said,
        CODE_TAG: str,
        SEVERAL_TAG: str,
        Question.IF.value: str,
        TOLD_TAG: str,
        TAKE_TAG: str,
    }
)
"""Tags that do not say everything, and what of the words is meant besides; all other tags say all that the words do."""


def says_all(tag: str) -> bool:
    """Whether a tag stands for one meaning, whatever the words."""
    return tag not in WORDED_TAGS


LOOSE = "loose"
LOOSE_TAGS = frozenset(each.value for each in Control if each.row.stakes is not Stakes.STRICT and not each.row.alone)
"""Commands around which hesitations and politeness may be said, as around answers. What passes a caution or a gate,
codes, done, ready and what takes back or ends what was kept are heard by their own words alone."""

AROUND = 0.002
"""How often they are: less than people say them, since a breath or a noise sounds like one. Source: judgement."""

TAKEN = 0.25
"""How often words are said that may be left out."""

Weighed = tuple[tuple[Expansion, float], ...]
"""Alternatives, each with its weight."""

OF_PHRASES, OF_SUPPOSED, OF_NUMBERS = 1.0, 10.0, 20.0
OF_EXAMPLES, OF_GRAMMAR = 0.3, 5.0
"""Weights beside each other: of each plain phrase, of all that may be supposed, of all numbers; of each answer that
people have given, and of the grammar of each result. Source: judgement."""

SPOKEN = 30
"""Answers that people have given to which one listens for each result: more would make each search longer; what they
mean is compared with all. Source: judgement, about as many as one writer in six voices gives."""


def grammar_of(expected: Expected) -> Grammar:
    """Everything that may be said now; each alternative is tagged with its control, result id, question or kind."""
    readings: dict[str, Expansion] = {}
    if expected.quantity and expected.unit:
        readings = _readings_of(expected.quantity, expected.unit)
    grammar = _grammar(
        controls=expected.controls,
        tagged=[(phrase, ACKNOWLEDGE_TAG) for phrase in expected.acknowledge]
        + [(phrase, DONE_TAG) for phrase in expected.done]
        + [(phrase, TOLD_TAG) for phrase in dangers_of(expected)],
        answers=_answers_of(expected),
        readings=readings,
        codes=expected.codes,
        questions=expected.questions,
        supposed=[clause for clauses in expected.supposed.values() for clause in clauses],
        several=expected.several,
        places=[name for names in expected.places.values() for name in names],
    )
    return _addressed(grammar, expected.attention) if expected.attention else grammar


def dangers_of(expected: Expected) -> Iterator[str]:
    """What is listened for whatever is asked, but where it is an answer to it."""
    told = {clause for clauses in expected.supposed.values() for clause in clauses}
    for clause, sentences in SAYABLE.items():
        if clause in told:
            yield from (each for each in sentences if meant_by(each, expected.results, expected.answers) is None)
    if RUNS_NOW in told:
        yield from (each for each in SAYABLE_RUNS if not is_asked(each, expected))
    if expected.somebody_near and CLEAR[0] not in expected.acknowledge:
        yield CLEAR[0]


def _answers_of(expected: Expected) -> Weighed:
    found = [(each, OF_PHRASES) for each in tagged_phrases(expected.results)]
    found += [(each, OF_GRAMMAR) for each in tagged_answers({}, expected.answers)]
    for result, said in expected.examples.items():
        spoken = [words for words in said if is_sayable(words)][:SPOKEN]
        found += [(Tagged(phrase(words), result), OF_EXAMPLES) for words in spoken]
    return tuple(found)


@lru_cache(maxsize=8192)
def is_sayable(words: str) -> bool:
    """Whether the sound of every word is known: one that is not would make the whole grammar deaf to sounds."""
    return all(sounds_of(word) for word in words.split()) and words.replace("'", "").replace(" ", "").isalpha()


def _perhaps(words: tuple[str, ...]) -> Expansion:
    """One of these, or none of them, which is likelier."""
    spoken = Alternatives(tuple(map(phrase, words)), (1.0,) * len(words))
    return Alternatives((Sequence(()), spoken), (1.0 - AROUND, AROUND))


def evenly(part: Expansion) -> Expansion:
    """The same language in which each choice is as likely as the next: what takes many choices to say is rare."""
    match part:
        case Alternatives(choices, weights):
            return Alternatives(tuple(map(evenly, choices)), weights or (1.0,) * len(choices))
        case Sequence(parts):
            return Sequence(tuple(map(evenly, parts)))
        case Repeat(inner, 0, 1):
            return Alternatives((evenly(inner), Sequence(())), (TAKEN, 1.0 - TAKEN))
        case Repeat(inner, least, most):
            return Repeat(evenly(inner), least, most)
        case Tagged(inner, tag):
            return Tagged(evenly(inner), tag)
        case _:
            return part


def grammar_of_procedure(procedure_id: str, library: Mapping[str, Procedure]) -> Grammar:
    """Every phrase legal somewhere in the procedure or in one that it calls, all commands included."""
    return grammar_of_procedures([library[each] for each in called_from(procedure_id, library)])


def grammar_of_procedures(procedures: Iterable[Procedure]) -> Grammar:
    """Every phrase legal somewhere in any of these procedures, all commands and plain questions included."""
    tagged: list[tuple[str, str]] = []
    quantities: set[Quantity] = set()
    codes = False
    tagged += [(words, ACKNOWLEDGE_TAG) for words in PHRASES]
    for procedure in procedures:
        acknowledged = [passes(caution) for caution in procedure.cautions]
        acknowledged += [passes(gate) for gate in procedure.gates]
        tagged += [(words, ACKNOWLEDGE_TAG) for phrases in acknowledged for words in phrases]
        for step in procedure.steps:
            tagged += _phrases_of(step)
            quantities |= {step.quantity} if step.quantity else set()
            codes = codes or step.kind is Kind.CODES
    readings = _any_readings(quantities) if quantities else {}
    return _grammar(controls=frozenset(Control), tagged=tagged, readings=readings, codes=codes, questions=True)


def called_from(procedure_id: str, library: Mapping[str, Procedure]) -> tuple[str, ...]:
    """The procedure and every one that can be called from it, that checks its repairs or may be gone to from it, each
    once, those not at hand among them."""
    found: dict[str, None] = {}
    waiting = [procedure_id]
    while waiting:
        current = waiting.pop(0)
        if current not in found:
            found[current] = None
            procedure = library.get(current)
            waiting += [step.calls for step in procedure.steps if step.calls] if procedure else []
            led = procedure.led if procedure else None
            waiting += [led.recheck, *(each.procedure for each in led.beside)] if led else []
    return tuple(found)


def _phrases_of(step: Step) -> list[tuple[str, str]]:
    results = [(words, result.id) for result in step.results for words in result.phrases]
    return results + [(words, DONE_TAG) for words in step.done]


def _grammar(
    *,
    controls: Iterable[Control],
    tagged: list[tuple[str, str]],
    readings: Mapping[str, Expansion],
    codes: bool,
    answers: Weighed = (),
    questions: bool = False,
    supposed: Iterable[str] = (),
    several: Iterable[FactAsked] = (),
    places: Iterable[str] = (),
) -> Grammar:
    choices = [
        (words, control.value)
        for control in Control
        if control in controls and not control.row.followed
        for words in control.row.phrases
    ]
    choices += tagged + [(words, DONE_TAG) for words in END_PHRASES if codes]
    asked = QUESTION_PHRASES if questions else {}
    choices += [(words, question.value) for question, phrases in asked.items() for words in phrases]
    first_tags: dict[str, str] = {}
    for words, tag in choices:
        first_tags.setdefault(words, tag)
    exact: dict[Expansion, float] = {}
    loose: dict[Expansion, float] = {}
    for words, tag in first_tags.items():
        (loose if tag in LOOSE_TAGS else exact)[Tagged(phrase(words), tag)] = OF_PHRASES
    rules: dict[str, Expansion] = {}
    clauses = tuple(phrase(clause) for clause in dict.fromkeys(supposed)) if questions else ()
    if clauses:
        rules["supposed"] = Alternatives(clauses)
        for begin, tag in ((WHAT_IF, Question.IF.value), (I_FOUND, TOLD_TAG)):
            exact[Tagged(Sequence((*phrase(begin).parts, Reference("supposed"))), tag)] = OF_SUPPOSED
    names = tuple(phrase(name) for name in dict.fromkeys(places))
    if names and Control.TAKE_TO in controls:
        rules["place"] = Alternatives(names)
        for words in Control.TAKE_TO.row.phrases:
            named = Sequence((*phrase(words).parts, Repeat(phrase("the"), 0, 1), Reference("place")))
            exact[Tagged(named, TAKE_TAG)] = OF_PHRASES
    if codes:
        rules |= number_rules() | code_rules()
        exact[Tagged(Reference("code"), CODE_TAG)] = OF_NUMBERS
    if readings:
        rules |= readings
        exact[Tagged(Reference(READING_TAG), READING_TAG)] = OF_NUMBERS
    if answers:
        spoken = rules_for({ANSWER: Alternatives(*zip(*answers, strict=True))})
        rules |= {name: evenly(rule) for name, rule in spoken.items()}
        loose[Reference(ANSWER)] = sum(weight for _, weight in answers)
    if loose:
        rules[LOOSE] = Alternatives(tuple(loose), tuple(loose.values()))
        exact[Sequence((_perhaps(HESITATIONS), Reference(LOOSE), _perhaps(POLITENESS)))] = sum(loose.values())
    phrases = dict.fromkeys(words for fact in several for told in fact.results.values() for words in told)
    if phrases:
        rules |= _rules_of_several(phrases)
        exact[Tagged(Reference("facts"), SEVERAL_TAG)] = OF_SUPPOSED
    rules[START] = Alternatives(tuple(exact), tuple(exact.values()))
    return Grammar(rules=rules, starts=(START,), name="hoodside")


def _rules_of_several(phrases: Iterable[str]) -> dict[str, Expansion]:
    """Two facts or more, each by a phrase of its own, with what may stand between."""
    between = Repeat(Alternatives(tuple(phrase(" ".join(words)) for words in SAID_BETWEEN)), 0, 2)
    one = Sequence((between, Reference("fact")))
    return {
        "fact": Alternatives(tuple(phrase(words) for words in phrases)),
        "facts": Sequence((Repeat(one, LEAST, MOST_FACTS), between)),
    }


def _readings_of(quantity: Quantity, unit: str) -> dict[str, Expansion]:
    """Rules of what a meter can show of the quantity in each of its units; the unit that is asked need not be said."""
    rules: dict[str, Expansion] = {}
    choices = []
    for each in units_of(quantity):
        name = f"number-{each.symbol}"
        rules |= number_rules(spoken_span(quantity, each.symbol), name)
        words: Expansion = _unit_words([each])
        words = Repeat(words, 0, 1) if each is unit_named(unit) else words
        choices.append(Sequence((Reference(name), words)))
    return rules | {READING_TAG: Alternatives(tuple(choices))}


def _any_readings(quantities: Iterable[Quantity]) -> dict[str, Expansion]:
    """Rules of any number with or without a unit of any of the quantities."""
    units = dict.fromkeys(unit for quantity in sorted(quantities) for unit in units_of(quantity))
    reading = Sequence((Reference("number"), Repeat(_unit_words(units), 0, 1)))
    return number_rules() | {READING_TAG: reading}


def _addressed(grammar: Grammar, attention: str) -> Grammar:
    """The same after the attention word; what needs none also without it."""
    free = [Tagged(phrase(words), each.value) for each in UNADDRESSED for words in each.row.phrases]
    called = Sequence((*phrase(attention).parts, Reference("command")))
    rules = {**grammar.rules, "command": grammar.rules[START], START: Alternatives((*free, called))}
    return Grammar(rules=rules, starts=(START,), name=grammar.name)


def _unit_words(units: Iterable[Unit]) -> Alternatives:
    words = dict.fromkeys(words for unit in units for words in unit.spoken)
    return Alternatives(tuple(phrase(each) for each in words))
