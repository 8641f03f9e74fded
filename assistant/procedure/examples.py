"""What people have answered to the questions of procedures, to understand the next ones by.

A JSON object: procedure -> step -> result -> what was said, in plain lower-case words. What belongs to no step or
result of a procedure, or to two results of a step, is passed over: procedures change, and examples are only examples.
"""

from __future__ import annotations

import json
from collections import Counter, defaultdict
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import replace
from functools import cache
from itertools import chain, islice
from zlib import crc32

from assistant.errors import ProcedureError
from assistant.procedure.affirmed import passes
from assistant.procedure.model import Procedure, Result, Step
from assistant.procedure.remedies import PHRASES

Examples = dict[str, dict[str, dict[str, list[str]]]]

ANY = "*"
"""Stands for every procedure and step."""

TALK, TALKED = "talk", 80
"""Where what answers no question stands, under a step what answers not this one, and how many of that, and of answers
to other questions, a step knows besides."""


def read_examples(text: str, source: str) -> Examples:
    """The examples in a file. Raises ProcedureError where it is no such JSON."""
    try:
        found = json.loads(text)
        whole = all(
            isinstance(said, str)
            for steps in found.values()
            for results in steps.values()
            for told in results.values()
            for said in told
        )
    except (ValueError, AttributeError, TypeError) as error:
        raise ProcedureError(f"{source}: no examples in JSON: {error}") from error
    if not whole:
        raise ProcedureError(f"{source}: an example is no text; expected procedure, step, result and a list of texts")
    examples: Examples = found
    return examples


def with_examples(procedures: Mapping[str, Procedure], examples: Examples) -> dict[str, Procedure]:
    """The procedures with what people have answered to them, and to like questions.

    What was answered where a result of the same id has the same grammar counts for both: the same is asked there. So it
    does where beside it a second one of the same id may be answered ("runs" or "dead"), after the step's own. What
    tells of no test ("missed it", "beats me") is the same everywhere and stands under `*`; where a step has one result
    for it, all of that means this one. Beside it stands talk (`TALK`), which is told apart from answers, as is a part
    of what answers other questions.
    """
    steps = [(procedure, step) for procedure in procedures.values() for step in procedure.steps]
    alike = defaultdict[tuple[str, str], list[str]](list)
    beside = defaultdict[tuple[str, str], list[str]](list)
    others = list[tuple[str, str]]()
    for procedure, step in steps:
        told = examples.get(procedure.id, {}).get(step.id, {})
        for result in step.results:
            alike[_kind(result)] += told.get(result.id, ()) if result.answers else ()
            for other in _told_apart(step, result):
                beside[result.id, other] += told.get(result.id, ())
            others += [(result.id, said) for said in told.get(result.id, ())]
    others.sort(key=lambda one: crc32(one[1].encode()))  # mixed, and the same ones each time
    same = examples.get(ANY, {}).get(ANY, {})
    untold = {name: said for name, said in same.items() if name != TALK}
    talk = [(TALK, said) for said in same.get(TALK, ())]
    found = defaultdict[str, list[Step]](list)
    for procedure, step in steps:
        told = examples.get(procedure.id, {}).get(step.id, {})
        known = _with(step, told, alike, beside, untold)
        elsewhere = (*told.get(TALK, ()), *_elsewhere(known, talk, others))
        found[procedure.id].append(replace(known, elsewhere=elsewhere))
    passing = frozenset(PHRASES)
    for procedure in procedures.values():
        passing |= {words for caution in procedure.cautions for words in passes(caution)}
        passing |= {words for gate in procedure.gates for words in passes(gate)}
    return {
        name: replace(procedure, steps=tuple(found[procedure.id]), passing=passing)
        for name, procedure in procedures.items()
    }


def _elsewhere(step: Step, talk: Sequence[tuple[str, str]], others: Sequence[tuple[str, str]]) -> tuple[str, ...]:
    """Of both as many as TALKED, always the same ones for a step; none where a step knows of no answers."""
    ids = {result.id for result in step.results}
    own = {said for result in step.results for said in (*result.phrases, *result.examples)}
    if not any(result.examples for result in step.results):
        return ()

    def some(others: Sequence[tuple[str, str]]) -> Iterator[str]:
        begin = crc32(step.id.encode()) % max(1, len(others))
        turned = chain(islice(others, begin, None), islice(others, begin))
        return islice((said for name, said in turned if name not in ids and said not in own), TALKED)

    return (*some(talk), *some(others))


def _with(
    step: Step,
    told: Mapping[str, Sequence[str]],
    alike: Mapping[tuple[str, str], Sequence[str]],
    beside: Mapping[tuple[str, str], Sequence[str]],
    untold: Mapping[str, Sequence[str]],
) -> Step:
    untested = [result.id for result in step.results if result.id in untold]
    if len(untested) == 1:  # its own first, for what comes late may not be listened for
        own = untested[0]
        untold = {own: [*untold[own], *(said for name, each in untold.items() if name != own for said in each)]}
    meant = {
        result.id: [
            *told.get(result.id, ()),
            *(alike[_kind(result)] if result.answers else ()),
            *untold.get(result.id, ()),
            *(said for other in _told_apart(step, result) for said in beside[result.id, other]),
        ]
        for result in step.results
    }
    meanings = Counter(said for each in meant.values() for said in set(each))
    results = tuple(
        replace(result, examples=tuple(said for said in dict.fromkeys(meant[result.id]) if meanings[said] == 1))
        for result in step.results
    )
    return replace(step, results=results)


ANYWHERE = frozenset({"yes", "no", "unseen", "unknown", "untested", "not-tested", "no-tool", "unclear"})
"""Ids of results that stand beside any others: what is asked follows from none of them."""


def _told_apart(step: Step, result: Result) -> tuple[str, ...]:
    """The ids from which the step tells this result."""
    if not result.answers or result.id in ANYWHERE:
        return ()
    return tuple(each.id for each in step.results if each.id != result.id and each.id not in ANYWHERE and each.answers)


def _kind(result: Result) -> tuple[str, str]:
    return result.id, _on_one_line(result.answers or "")


@cache
def _on_one_line(grammar: str) -> str:
    return " ".join(grammar.split())
