"""Which rules come back to themselves other than at their end: a finite automaton cannot follow those.

Right recursion is repetition and is welcome; left and centre recursion need a stack without bound.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from assistant.grammar.model import Alternatives, Expansion, Reference, Repeat, Sequence, Tagged


def misplaced_references(rules: Mapping[str, Expansion]) -> Iterator[tuple[str, str]]:
    """Each (rule, reference in it) that leads back to the rule and does not stand at the rule's end."""
    uses = {name: set(_references(body)) for name, body in rules.items()}
    component = _components({name: {rule for rule, _ in found} for name, found in uses.items()})
    for name, found in uses.items():
        for rule, last in sorted(found):
            if not last and component.get(rule) == component[name]:
                yield name, rule


def _references(body: Expansion) -> Iterator[tuple[str, bool]]:
    """Every rule referred to, and whether the reference stands at the end of the body."""
    pending: list[tuple[Expansion, bool]] = [(body, True)]
    while pending:
        part, last = pending.pop()
        match part:
            case Reference(rule):
                yield rule, last
            case Sequence(parts):
                end = len(parts) - 1
                while end > 0 and parts[end] == Sequence(()):
                    end -= 1
                pending.extend((inner, last and index == end) for index, inner in enumerate(parts))
            case Alternatives(choices):
                pending.extend((choice, last) for choice in choices)
            case Repeat(inner, _, most):
                pending.append((inner, last and most == 1))
            case Tagged(inner, _):
                pending.append((inner, last))
            case _:
                pass


def _components(graph: Mapping[str, set[str]]) -> dict[str, int]:
    """The strongly connected component of each rule that lies on a cycle; others get a number of their own.

    Source: Tarjan's algorithm, written with an explicit stack so that a long chain of rules is no trouble.
    """
    index: dict[str, int] = {}
    low: dict[str, int] = {}
    component: dict[str, int] = {}
    open_rules: list[str] = []
    for root in graph:
        if root in index:
            continue
        work = [(root, iter(sorted(graph[root])))]
        index[root] = low[root] = len(index)
        open_rules.append(root)
        while work:
            name, targets = work[-1]
            target = next(targets, None)
            if target is None:
                work.pop()
                if work:
                    low[work[-1][0]] = min(low[work[-1][0]], low[name])
                if low[name] == index[name]:
                    _close(name, open_rules, component, index[name])
            elif target not in graph:
                continue
            elif target not in index:
                index[target] = low[target] = len(index)
                open_rules.append(target)
                work.append((target, iter(sorted(graph[target]))))
            elif target not in component:
                low[name] = min(low[name], index[target])
    return component


def _close(name: str, open_rules: list[str], component: dict[str, int], number: int) -> None:
    while True:
        member = open_rules.pop()
        component[member] = number
        if member == name:
            return
