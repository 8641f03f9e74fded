"""What makes a fault model fit to use beyond its spelling: no cycle, no dead row, nothing that can never be."""

from __future__ import annotations

from math import prod

import numpy as np

from assistant.procedure.fault import Faults
from assistant.reasoning.model import NONE_OF_THESE, Model
from assistant.reasoning.network import MAX_CORE, compile_network, single_table

MAX_CELLS = 20_000_000
"""Most numbers in one table of the compiled network (160 MB). Judgement."""


def find_faults(model: Model, faults: Faults) -> None:
    """Note every fault of a model whose names and sums are right already."""
    cycle = _find_cycles(model, faults)
    _find_closed_tests(model, faults)
    if cycle or _find_size(model, faults):
        return
    by_id = {variable.id: variable for variable in model.variables}
    index = {NONE_OF_THESE: 0} | {fault.id: number for number, fault in enumerate(model.faults, start=1)}
    for variable in model.variables:
        parents = [by_id[name] for name in variable.depends]
        table, which = single_table(variable, parents, index)
        noun = "condition" if variable.work is None else "test"
        for number, row in enumerate(variable.rows):
            if not (which == number).any():
                faults.add(
                    row.spot,
                    "found a row that never applies; expected a case that no earlier row takes; do move or delete it",
                    step=variable.id,
                    noun=noun,
                )
        for number, value in enumerate(variable.values):
            if not table[..., number].any():
                faults.add(
                    value.spot,
                    f"found '{value.id}' with likelihood 0 everywhere; expected a case where it can be; "
                    "do give it a share or delete it",
                    step=variable.id,
                    noun=noun,
                )
    _find_wrong_parents(model, faults)
    if not len(faults):
        _find_unseen_faults(model, faults)


def _find_cycles(model: Model, faults: Faults) -> bool:
    found = _circles({variable.id: variable.depends for variable in model.variables})
    by_id = {variable.id: variable for variable in model.variables}
    for circle in found:
        variable = by_id[circle[0]]
        row = next(row for row in variable.rows if circle[1] in row.given)
        faults.add(
            row.spot,
            f"found a cycle of dependence {' → '.join(circle)}; expected none; do delete one 'given'",
            step=variable.id,
            noun="condition" if variable.work is None else "test",
        )
    return bool(found)


def _find_closed_tests(model: Model, faults: Faults) -> None:
    """A test whose openings all wait for each other could never begin."""
    reached: set[str] = set()
    while True:
        more = {
            test.id
            for test in model.tests
            if test.work is not None
            and test.id not in reached
            and (not test.work.opened_by or any(opening.test in reached for opening in test.work.opened_by))
        }
        if not more:
            break
        reached |= more
    for test in model.tests:
        if test.id not in reached and test.work is not None:
            faults.add(
                test.work.opened_by[0].spot,
                f"found the test '{test.id}' that can never begin; expected an opening that needs no other; "
                "do mend 'opened_by'",
                step=test.id,
                noun="test",
            )


def _circles(follows: dict[str, tuple[str, ...]]) -> list[list[str]]:
    """Each circle once, as a → b → a, by depth-first search."""
    done: set[str] = set()
    found: list[list[str]] = []

    def visit(name: str, path: list[str]) -> None:
        if name in path:
            found.append([*path[path.index(name) :], name])
            return
        if name in done:
            return
        for other in follows[name]:
            visit(other, [*path, name])
        done.add(name)

    for name in follows:
        visit(name, [])
    return found


def _find_size(model: Model, faults: Faults) -> bool:
    """Whether the network would be too large to answer in time."""
    wanted = {name for variable in model.variables for name in variable.depends}
    core = prod(len(variable.values) for variable in model.variables if variable.id in wanted)
    count = len(model.faults)
    hypotheses = 1 + count + count * (count - 1) // 2
    if core <= MAX_CORE and core * hypotheses <= MAX_CELLS:
        return False
    names = ", ".join(sorted(wanted))
    first = next((variable for variable in model.variables if variable.id in wanted), model.variables[0])
    faults.add(
        first.spot,
        f"found {core} combinations of the variables that others depend on ({names}) with {count} faults; "
        f"expected at most {MAX_CORE} and {MAX_CELLS} numbers in all; do let fewer variables depend on them",
    )
    return True


def _find_wrong_parents(model: Model, faults: Faults) -> None:
    """What was told wrong must not drag along what follows from the truth."""
    if not model.settings.wrong_answers:
        return
    wanted = {name for variable in model.variables for name in variable.depends}
    for test in model.tests:
        if test.id in wanted:
            faults.add(
                test.spot,
                "found a test that others depend on, though answers may be wrong; expected a condition there; "
                "do make a condition of it and let this test see it",
                step=test.id,
                noun="test",
            )


def _find_unseen_faults(model: Model, faults: Faults) -> None:
    """A fault that no test can tell from none of these could never be found."""
    network = compile_network(model)
    alone = slice(0, 1 + len(model.faults))
    core = network.core_given[alone]
    told = np.concatenate(
        [
            (core[..., None] * network.nodes[test.id].table[alone]).reshape(len(core), -1, len(test.values)).sum(axis=1)
            for test in model.tests
        ],
        axis=1,
    )
    for number, fault in enumerate(model.faults, start=1):
        if np.allclose(told[number], told[0], atol=1e-9):
            faults.add(
                fault.spot,
                f"found no test that tells '{fault.id}' from none of these; expected one; do name it 'under' a row",
                step=fault.id,
                noun="fault",
            )
