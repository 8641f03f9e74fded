"""Commands and questions in one's own words: "run that by me again", "what's your guess", "let's check the spark".

One rule a command, what people say for it, in a grammar of the JSpeech Grammar Format. They are understood of what is
typed and of what the network wrote freely, never listened for: so no grammar grows, and no talk is heard as one.
Nothing that passes a caution or a gate, begins a burst or confirms stands here.
"""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import cache, lru_cache
from importlib import resources

from assistant.grammar.automaton import Automaton, automaton_of
from assistant.grammar.jsgf import read_jsgf
from assistant.grammar.model import Alternatives, Grammar, Tagged
from assistant.language.clauses import parts_of
from assistant.language.command_guess import NOTHING, Wanted, wanted
from assistant.language.commands import Control, control_of
from assistant.language.dialect import in_common_words
from assistant.language.guess import guess
from assistant.language.model import Expected, TakeTo, TellTest
from assistant.language.out_of_turn import told_test
from assistant.language.own_words import meant_by, without_surroundings
from assistant.language.plain import plain_words
from assistant.language.questions import UNLISTENED, Question
from assistant.language.work_told import is_done, may_be_done

OWN_WORDS = "own_commands.jsgf"
"""The rows, beside the phrases of `commands` and `questions`."""

_SHORT = (
    (r"\bcan't\b", "cannot"), (r"\bwon't\b", "will not"), (r"\bain't\b", "have not"), (r"n't\b", " not"),
    (r"\blet's\b", "let us"), (r"'s\b", " is"), (r"'re\b", " are"), (r"'ve\b", " have"), (r"'ll\b", " will"),
    (r"'m\b", " am"), (r"'d\b", " would"), (r"\bgimme\b", "give me"), (r"\blemme\b", "let me"),
    (r"\bgonna\b", "going to"), (r"\bgotta\b", "got to"), (r"\bwanna\b", "want to"),
)  # fmt: skip
"""How what is drawn together is written out, in what was said and in the rows alike."""

AFTER_A_PLACE = frozenset(("first", "next", "now", "please", "instead", "then", "test", "check", "again"))
MOST_WORDS = 12
"""Longer sentences are talk, no command. Source: judgement."""

_ON = re.compile(r"\b(?:next|move on)\b")
"""Said of going on."""

_LOOKS_BACK = re.compile(
    r"(?:and |so |uh |sorry )?(?:"
    r"what (?:did|would) (?:i|we) (?:say|tell you|measure|get|put(?: in| down)?|log|read|find|note|answer)"
    r"(?: [a-z]+){1,6}"
    r"|what (?:was|were) (?:it |the |my |that |our )(?:[a-z]+ ){0,3}"
    r"(?:voltage|volts|readings?|pressure|resistance|figures?|answers?|results?|current|compression)(?: [a-z]+){0,5})"
)
"""What asks for what was told or measured, whatever of: "what did I say for the battery"."""

MOST_CLAUSES = 4
"""Who says more than so many things tells a story. Source: judgement."""

OF_THE_CAR = frozenset((Control.DIESEL, Control.HYBRID))
"""What is known of the car by its whole phrase alone; of what is only like it one is told how to say it."""

SELDOM = UNLISTENED | {Control.TONES, Control.NO_TONES}
"""What few ask for, and talk in a shop sounds like: "the prop keeps slipping off"."""

_CONFIRMING = frozenset(
    (Control.REPAIR_DONE, Control.REPAIR_CONFIRMED, Control.SAME_CAR, Control.DIESEL, Control.HYBRID, Control.TAKE_TO)
)
"""What is obeyed by its whole phrase alone."""

LEAST_TOLD = 2
"""Words of a result that is told unasked: one alone may be of anything."""

_BEFORE_A_RESULT = re.compile(
    r"^(?:(?:there (?:is|are)|it is|(?:i|we) have(?: got)?|i (?:got|see|found)) )?(?:the |a |an )?"
)

_BEFORE_MORE = re.compile(
    r" (?:at all|whatsoever|already|(?:and |cause |because )?(?:i|we|he)(?: have|'ve|'d)?|had) .*$| at all$"
)
"""What follows a result that stands first: how it was tested. "No spark when it is wet" is another."""

_DOUBTED = re.compile(
    r"\b(?:if|when|whenever|unless|maybe|perhaps|might|may|think|guess|not sure|sometimes|or|says?|said)\b"
)

_BETWEEN = re.compile(r"[,.;:!?]+(?=\s|$)")
"""Where one thing said may end and the next begin, in what is typed and in what the network writes."""

_BEGINS = frozenset(("sorry", "please", "and", "but"))
"""What a question or an order may begin with besides hesitations."""

IN_PART = 0.85
"""How sure one is of what a clause wants, whatever stands beside it. As sure an order wins over the guess that nobody
knows, for which talk is taken before all else. Source: judgement, by 1,718 answers of three writers."""

LIKELY, CLEAR, FAIR, CERTAIN, WRITTEN = 0.4, 0.55, 0.75, 0.8, 0.9
"""How sure one is of what was learnt, to tell how it is said, to do what does no harm, to ask about what does some, to
move the job, and to heed what was written freely, which others may have said: "repeat what he told you about the
tyres" once had 0.79."""

WINS = ((0.8, 0.45), (0.9, 0.6))
"""As sure as this of an order, what is less than so like a known answer is the order. Source: 23 of 3,477 answers of
three writers that no grammar knows are like an order too, one of them lost; of 20 orders taken for one 8 are won."""

ALL_BUT_SAID = 0.95
"""So far ahead of all else, talk among it, an answer gives way to no order that is only likely. Source: judgement, by
"already tested yes", once taken for a question."""

THINKS, LEADS = "thinks", "leads_to"
"""The rules that are no command."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Order:
    """What is wanted by a command or a question, or that somebody thinks (None). `sure`: 1 where all words are of its
    rule, else what is learnt of such sentences gives it, 0 to 1."""

    given: Control | Question | None
    sure: float

    @property
    def by_rule(self) -> bool:
        """Whether all its words are known, not only likely."""
        return self.sure == 1.0

    @property
    def clear(self) -> bool:
        """Whether it is obeyed where it does no harm."""
        return self.sure >= CLEAR

    @property
    def fair(self) -> bool:
        """Whether it is obeyed where that asks first."""
        return self.sure >= FAIR

    @property
    def heeded(self) -> bool:
        """Whether it is heeded though only free writing has it."""
        return self.sure >= WRITTEN

    @property
    def certain(self) -> bool:
        """Whether it may move the job."""
        return self.sure >= CERTAIN


def ordered(words: str, expected: Expected, text: str = "") -> Order | None:
    """The legal command or question that these plain words want; None where they answer what is asked, or want none.

    `text`: the same with its marks, which part "hang on, I can't reach that".
    """
    said = words.split()
    if not said or expected.dictation:
        return None
    if len(said) > MOST_WORDS:
        return _in_a_clause(text, expected)
    if meant_by(words, expected.results, expected.answers) is not None:
        return None
    rule = _rule_of(tuple(said))
    if rule == Control.DONE.name.lower() and not expected.work and _ON.search(words):
        rule = None  # "next one please" where nothing is to be done leaves the step out
    if not rule and expected.work and may_be_done(words, expected.work):
        return Order(given=Control.DONE, sure=1.0 if is_done(words, expected.work) else CLEAR)
    told = Wanted(name=rule, sure=1.0) if rule else wanted(words)
    if told.name != NOTHING and told.sure >= CERTAIN:
        return _legal(told, expected)
    return _in_a_clause(text, expected) or (_legal(told, expected) if told.name != NOTHING else None)


def _legal(told: Wanted, expected: Expected) -> Order | None:
    if told.sure < LIKELY:
        return None
    given = GIVEN.get(told.name)
    if given is Control.DONE and not expected.work:
        return None
    if given is Control.STRIKE and expected.waiting is not None:
        given = Control.NO
    if told.sure < _least_sure(given, expected):
        return None
    legal = given is None or (expected.questions if isinstance(given, Question) else given in expected.controls)
    return Order(given=given, sure=told.sure) if legal else None


def _least_sure(given: Control | Question | None, expected: Expected) -> float:
    """How sure one must be of what is seldom wanted: "how many plugs should there be" is talk as often."""
    if given in OF_THE_CAR:
        return 1.0 if expected.several else CERTAIN  # what the car is may be what is asked
    if given is Question.SHOULD_BE and expected.quantity is None:
        return WRITTEN
    return CERTAIN if given in SELDOM else 0.0


def _in_a_clause(text: str, expected: Expected) -> Order | None:
    """What one clause wants beside others that want nothing: "skip it, I've got no gauge". Of two the one that is
    known before the one that is likely, else the latter; None where a clause answers what is asked."""
    clauses = [each for part in _BETWEEN.split(text) if (each := plain_words(part))]
    if len(clauses) < 2 or len(clauses) > MOST_CLAUSES or len(text.split()) > 2 * MOST_WORDS:
        return None
    if any(meant_by(each, expected.results, expected.answers) is not None for each in clauses):
        return None
    found = [order for each in clauses if (order := _clause_wants(each, expected)) is not None]
    found = [each for each in found if each.given not in (None, Control.STOP)] or found
    known = [each for each in found if each.by_rule] or found
    whole = GIVEN.get(wanted(plain_words(text)).name)
    best = next((each for each in known if each.given is whole), known[-1] if known else None)
    return Order(given=best.given, sure=IN_PART) if best is not None else None


def _clause_wants(clause: str, expected: Expected) -> Order | None:
    control = control_of(clause, expected.controls)
    if control is not None:
        barred = control in (Control.YES, Control.NO, Control.DONE, Control.READY, *_CONFIRMING)
        return None if barred or control not in expected.controls else Order(given=control, sure=1.0)
    if " " not in clause:
        return None
    rule = _rule_of(tuple(clause.split()))
    told = Wanted(name=rule, sure=1.0) if rule else wanted(clause)
    return _legal(told, expected) if told.name != NOTHING and told.sure >= CERTAIN else None


def wins(order: Order, words: str, expected: Expected) -> bool:
    """Whether it wins over the answer that these words would be taken for."""
    answer = None if order.by_rule else guess(words, expected)
    if answer is None or not answer.sure or (answer.untold and order.sure >= IN_PART):
        return True
    return answer.ahead < ALL_BUT_SAID and any(order.sure >= sure and answer.like < like for sure, like in WINS)


def gives_way(order: Order, words: str, expected: Expected) -> bool:
    """Whether an answer that is guessed gives way to a skip or an excuse, which the answers of many steps sound like:
    only that nobody knows, to what is surely one."""
    answer = guess(words, expected)
    return answer is not None and answer.untold and order.sure >= IN_PART


@lru_cache(maxsize=256)  # the same words are asked about twice a turn
def _rule_of(said: tuple[str, ...]) -> str | None:
    for part in (list(said), *without_surroundings(list(said), opinion=False)):
        for begun in (part, part[1:] if part[0] in _BEGINS else ()):
            tags = _rows().tags(written_out(in_common_words(" ".join(begun))).split())
            if tags:
                return tags[0]
    return Question.RECORD.name.lower() if _LOOKS_BACK.fullmatch(written_out(" ".join(said))) else None


def place_meant(words: str, expected: Expected) -> TakeTo | None:
    """The block that was named after "let's check" or the like; its name may lack its "check"."""
    if Control.TAKE_TO not in expected.controls:
        return None
    said = words.split()
    for end in range(len(said), 1, -1):
        if any(word not in AFTER_A_PLACE for word in said[end:]):
            break
        for begin in range(1, end):
            if _leads().accepts(written_out(" ".join(said[:begin])).split()):
                for name in (" ".join(said[begin:end]), " ".join((*said[begin:end], "check"))):
                    block = next((block for block, names in expected.places.items() if name in names), None)
                    if block is not None:
                        return TakeTo(block=block, name=name)
    return None


def found_meant(words: str, expected: Expected) -> TellTest | None:
    """The result of a test, told as nothing but its clause, with or without its "there is"."""
    if not expected.questions or len(words.split()) < LEAST_TOLD:
        return None
    bare = bare_result(words)
    begun = bare_result(_BEFORE_MORE.sub("", words)) if not _DOUBTED.search(words) else bare
    clauses = {bare_result(each): each for said in expected.supposed.values() for each in said}
    clause = clauses.get(bare) or (clauses.get(begun) if len(begun.split()) >= LEAST_TOLD else None)
    return told_test(clause, expected) if clause else None


def found_among(words: str, supposed: Mapping[str, Sequence[str]]) -> str | None:
    """The clause of the one test whose result stands among these free words, between commas or "and"; else None."""
    parts = {bare_result(part) for part in parts_of(words, "then") if not _DOUBTED.search(part)}
    found = {key: each for key, said in supposed.items() for each in said if bare_result(each) in parts and " " in each}
    return next(iter(found.values())) if len(found) == 1 else None


@lru_cache(maxsize=4096)  # each clause of a model is asked about in each turn
def bare_result(clause: str) -> str:
    """A result without what stands before any, written out."""
    return _BEFORE_A_RESULT.sub("", written_out(clause))


def written_out(text: str) -> str:
    """The same with what is drawn together in full: "what's" as "what is"."""
    for short, whole in _SHORT:
        text = re.sub(short, whole, text)
    return text


GIVEN: Mapping[str, Control | Question] = {each.name.lower(): each for each in (*Control, *Question)}


@cache
def own_grammar() -> Grammar:
    return read_jsgf(
        written_out(resources.files("assistant.english").joinpath(OWN_WORDS).read_text("utf-8")), OWN_WORDS
    )


@cache
def _rows() -> Automaton:
    rows = Alternatives(tuple(Tagged(rule, name) for name, rule in own_grammar().rules.items() if name != LEADS))
    return automaton_of(Grammar(rules={"row": rows}, starts=("row",), name="rows"))


@cache
def _leads() -> Automaton:
    return automaton_of(Grammar(rules=own_grammar().rules, starts=(LEADS,), name="leads"))
