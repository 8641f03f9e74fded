"""The small grammars of a step's results: one meaning each, far enough apart by ear, and open to what the step asks."""

from __future__ import annotations

import re
from collections.abc import Callable, Collection, Iterator
from functools import cache

from assistant.errors import ProcedureError
from assistant.grammar.automaton import Automaton, automaton_of
from assistant.grammar.model import Alternatives, Expansion, Grammar, phrase, references
from assistant.procedure.answers import answers_of, rules_for, shared_rules
from assistant.procedure.asked import options_of, questions_in
from assistant.procedure.checks.book import Page, at
from assistant.procedure.model import Result, Step
from assistant.procedure.near import Sounds, nearest
from assistant.procedure.sound import LEAST_DISTANCE, sounds_of

_PLAIN = re.compile(r"[a-z]+(?:'[a-z]+)*")
_POLAR = re.compile(
    r"(?:is|are|was|were|does|do|did|has|have|had|can|could|will|would|any|anything|same)\b(?!.*\bor\b)", re.DOTALL
)
_NAMED = re.compile(r"<([^<>\s]+)>")
Accepts = Callable[[str], bool]

POLAR = ("yes", "no")
"""Shared rules that are commands too: where a step takes them as answers nothing waits for the command."""

_MOST_COMMON = 400_000
"""Pairs of states looked at for a sentence that two results share."""


def check_answers(page: Page, command_phrases: Collection[str], *, by_ear: bool = True) -> None:
    """Every result that has `answers`, against the other results of its step and the commands.

    `by_ear` False only reads them, since holding them against each other takes seconds that a session has not.
    """
    free = [words for words in command_phrases if not _is_polar(words)] if by_ear else []
    for step in page.procedure.steps:
        if not any(result.answers for result in step.results):
            continue
        fit = {result.id: result for result in step.results if _check_grammar(page, step, result, by_ear)}
        if by_ear:
            _check_step(page, step, fit, free)


def _check_step(page: Page, step: Step, fit: dict[str, Result], free: Collection[str]) -> None:
    said = {id_: whole_answers(result) for id_, result in fit.items()}
    for number, (id_, automaton) in enumerate(said.items()):
        for words in free:
            if automaton.accepts(words.split()):
                _fault(page, step, fit[id_], f"'{words}' is a command; expected words that no command has")
        for other in list(said)[:number]:
            shared = shared_sentence(automaton, said[other])
            if shared is not None:
                _fault(
                    page, step, fit[id_],
                    f"'{shared}' is also an answer of '{other}'; expected one meaning for each answer",
                )  # fmt: skip
    _check_asked(page, step, said)
    _check_apart(page, step, fit, said, free)


def whole_answers(result: Result, *, without: Collection[str] = ()) -> Automaton:
    """All that gives a result: its phrases and its answers; `without` these shared rules."""
    ways = [phrase(words) for words in result.phrases] + ([answers_of(result.answers)] if result.answers else [])
    rules = rules_for({"answer": Alternatives(tuple(ways))})
    nothing: dict[str, Expansion] = {name: Alternatives(()) for name in without if name in rules}
    return automaton_of(Grammar(rules=rules | nothing, starts=("answer",)))


def shared_sentence(one: Automaton, other: Automaton) -> str | None:
    """A sentence of both, the shortest; None where there is none."""
    waiting: list[tuple[int, int, tuple[str, ...]]] = [(one.start, other.start, ())]
    seen = {(one.start, other.start)}
    for left, right, words in waiting:  # grows while it is walked: nearest first
        if words and one.may_end(left) and other.may_end(right):
            return " ".join(words)
        for word, to_left in one.next_words(left):
            for against, to_right in other.next_words(right):
                if word == against and (to_left, to_right) not in seen and len(seen) < _MOST_COMMON:
                    seen.add((to_left, to_right))
                    waiting.append((to_left, to_right, (*words, word)))
    return None


def _check_grammar(page: Page, step: Step, result: Result, by_ear: bool) -> bool:
    """Whether its answers can be read and heard; without any, its phrases are checked elsewhere."""
    if not result.answers:
        return True
    try:
        body = answers_of(result.answers)
    except ProcedureError as error:
        _fault(page, step, result, re.sub(r"^answers:\d+:\d+ ", "", str(error)))
        return False
    unknown = []
    if not shared_rules().keys() >= set(_NAMED.findall(result.answers)):  # cheap, and may name one in a quoted word
        unknown = sorted(references(body) - shared_rules().keys())
    if unknown:
        known = ", ".join(f"<{name}>" for name in shared_rules())
        _fault(page, step, result, f"no rule <{unknown[0]}>; expected one of {known}")
        return False
    if not by_ear:
        return True
    words = whole_answers(result).vocabulary()
    odd = sorted(word for word in words if not _PLAIN.fullmatch(word))
    odd += sorted(word for word in words if by_ear and not odd and not sounds_of(word))
    for word in odd:
        _fault(page, step, result, f"the word '{word}'; expected lower-case words of the pronouncing dictionary")
    return not odd


def _is_polar(words: str) -> bool:
    return any(_rule(name).accepts(words.split()) for name in POLAR)


def _names_polar(result: Result) -> bool:
    """Whether a shared rule of its answers is a yes or a no."""
    return bool(result.answers) and not references(answers_of(result.answers)).isdisjoint(POLAR)


@cache
def _rule(name: str) -> Automaton:
    return automaton_of(Grammar(rules={name: shared_rules()[name]}, starts=(name,)))


def _check_asked(page: Page, step: Step, said: dict[str, Automaton]) -> None:
    """What the step itself offers is understood: each option it names, or yes and no."""
    takes = [automaton.accepts for automaton in said.values()]
    for key, text in step.texts():
        for words in unanswered(text, lambda answer: any(accept(answer.split()) for accept in takes)):
            page.step_fault(
                step,
                "results",
                f"found that '{words}', as the step asks it, is no answer; expected that each option named in '{key}' "
                "is one; do add it to the 'answers' of a result",
            )


def unanswered(asked: str, accepts: Accepts) -> Iterator[str]:
    """What a question offers and none of its results takes: "yes" or "no" of a polar one, else options named in it."""
    questions = questions_in(asked)
    if not questions:
        return
    last = questions[-1]
    if _POLAR.match(last):
        yield from (word for word in ("yes", "no") if not accepts(word))
        return
    if " or " in last:
        yield from (option for option, said in options_of(last) if not any(map(accepts, said)))


def _check_apart(
    page: Page, step: Step, fit: dict[str, Result], said: dict[str, Automaton], commands: Collection[str]
) -> None:
    sounds = {id_: Sounds(automaton) for id_, automaton in said.items()}
    obeyed = _sounds_of(tuple(commands)) if commands else None
    for number, (id_, sound) in enumerate(sounds.items()):
        pairs = [(f"of '{other}'", sound, sounds[other]) for other in list(sounds)[:number]]
        if obeyed is not None:
            plain = sound if not _names_polar(fit[id_]) else Sounds(whole_answers(fit[id_], without=POLAR))
            pairs.append(("the command", plain, obeyed))
        for name, here, against in pairs:
            near = nearest(here, against, most=LEAST_DISTANCE)
            if near is not None and near.one != near.other:
                _fault(
                    page, step, fit[id_],
                    f"'{near.one}' too close in sound to '{near.other}', {name} ({near.apart:g}); expected more than "
                    f"{LEAST_DISTANCE:g} phone of difference",
                )  # fmt: skip


@cache
def _sounds_of(commands: tuple[str, ...]) -> Sounds:
    """The same for each step, so made once."""
    said = Alternatives(tuple(phrase(words) for words in commands))
    return Sounds(automaton_of(Grammar(rules={"said": said}, starts=("said",))))


def _fault(page: Page, step: Step, result: Result, found: str) -> None:
    page.faults.add(
        at(result.spots, "answers", result.spot),
        f"found in the answers of '{result.id}': {found}; do change them",
        step=step.id,
    )


_UNSEEN = (
    (
        re.compile(r"\b(?:not fitted|no such|none fitted|not there|never had one)\b|<not_fitted>"),
        frozenset(("none", "not-fitted", "no-tool", "unfit", "unknown", "unseen", "other", "leave")),
    ),
    (
        re.compile(
            r"\b(?:not sure|do not know|don't know|no idea|not tested|rather not|"
            r"(?:cannot|can't) (?:tell|see|say|reach))\b|<dont_know>|<cannot_see>"
        ),
        frozenset(
            ("unseen", "unclear", "unknown", "unproved", "untested", "not-seen", "other", "leave", "unfit", "no-tool")
        ),
    ),
)  # fmt: skip
"""Words that say that nothing was seen, and the ids of results that may mean that."""


def check_unseen(page: Page) -> None:
    """No result of what was seen takes words that say that nothing was: the record would keep the one for the other."""
    for step in page.procedure.steps:
        for result in step.results:
            _check_unseen(page, step, result)


def _check_unseen(page: Page, step: Step, result: Result) -> None:
    for words in (*result.phrases, result.answers or ""):
        for unseen, ids in _UNSEEN:
            found = unseen.search(words)
            if found is not None and result.id not in ids:
                page.faults.add(
                    at(result.spots, "phrases", result.spot),
                    f"found '{found[0]}' under '{result.id}'; expected that what could not be seen is a result of its "
                    f"own, with one of the ids {', '.join(sorted(ids))}; do give it one",
                    step=step.id,
                )
