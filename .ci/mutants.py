"""Small wrongs of a Python source, one at a time: what a test that means something has to notice.

Left alone are docstrings, annotations, decorators, the words of messages and everything that is only imported.
"""

from __future__ import annotations

import ast
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any

_COMPARE: dict[type[ast.cmpop], type[ast.cmpop]] = {
    ast.Lt: ast.LtE, ast.LtE: ast.Lt, ast.Gt: ast.GtE, ast.GtE: ast.Gt, ast.Eq: ast.NotEq, ast.NotEq: ast.Eq,
    ast.Is: ast.IsNot, ast.IsNot: ast.Is, ast.In: ast.NotIn, ast.NotIn: ast.In,
}  # fmt: skip
_REVERSED: dict[type[ast.cmpop], type[ast.cmpop]] = {
    ast.Lt: ast.Gt, ast.LtE: ast.GtE, ast.Gt: ast.Lt, ast.GtE: ast.LtE,
}  # fmt: skip
_REACHES: dict[type[ast.operator], type[ast.operator]] = {
    ast.Add: ast.Sub, ast.Sub: ast.Add, ast.Mult: ast.Div, ast.Div: ast.Mult, ast.BitOr: ast.BitAnd,
    ast.BitAnd: ast.BitOr,
}  # fmt: skip


@dataclass(frozen=True, slots=True, kw_only=True)
class Mutant:
    """One wrong. `line`: where, from 1 on; `was`, `now`: the piece of code; `text`: the whole source with it."""

    line: int
    was: str
    now: str
    text: str


def mutants_of(text: str) -> Iterator[Mutant]:
    """Each wrong of the source, in the order of its lines."""
    lines = [line.encode() for line in text.splitlines(keepends=True)]
    starts = [0]
    for line in lines:
        starts.append(starts[-1] + len(line))
    content = text.encode()
    for node, now in _wrongs(ast.parse(text)):
        begin = starts[node.lineno - 1] + node.col_offset
        end = starts[(node.end_lineno or node.lineno) - 1] + (node.end_col_offset or 0)
        changed = (content[:begin] + now.encode() + content[end:]).decode()
        yield Mutant(line=node.lineno, was=content[begin:end].decode(), now=now, text=changed)


def statements_of(text: str) -> dict[int, range]:
    """Line -> the lines of the innermost statement that it stands in, of a compound one its head alone.

    What is watched is not told of each line of a statement: a table of constants is one step.
    """
    found: dict[int, range] = {}
    for node in ast.walk(ast.parse(text)):  # outer statements come first
        if isinstance(node, ast.stmt):
            body = getattr(node, "body", None)
            last = max(node.lineno, body[0].lineno - 1) if body else node.end_lineno or node.lineno
            found |= dict.fromkeys(range(node.lineno, last + 1), range(node.lineno, last + 1))
    return found


Place = ast.expr | ast.stmt

_LEFT_ALONE = ("annotation", "returns", "decorator_list", "bases", "slice", "exc", "msg")


def _wrongs(node: ast.AST) -> Iterator[tuple[Place, str]]:
    """Each piece that is replaced, with what stands there instead."""
    if isinstance(node, Place):
        yield from ((node, now) for now in _instead(node))
    for name, value in ast.iter_fields(node):
        if name in _LEFT_ALONE:
            continue
        for each in value if isinstance(value, list) else [value]:
            if isinstance(each, ast.AST) and not _is_words(each):
                yield from _wrongs(each)


def _is_words(node: ast.AST) -> bool:
    """A docstring, or the like beside a constant; a text with values in it, whose places Python 3.11 does not know."""
    return isinstance(node, ast.JoinedStr) or (isinstance(node, ast.Expr) and isinstance(node.value, ast.Constant))


def _instead(node: Place) -> Iterator[str]:
    yield from _other_condition(node)
    yield from _other_value(node)
    yield from _shorter(node)


def _other_condition(node: Place) -> Iterator[str]:
    match node:
        case ast.Compare(ops=[op]):
            for table in (_COMPARE, _REVERSED):
                if type(op) in table:
                    yield f"({ast.unparse(ast.Compare(node.left, [table[type(op)]()], node.comparators))})"
        case ast.BoolOp():
            other = ast.Or() if isinstance(node.op, ast.And) else ast.And()
            yield f"({ast.unparse(ast.BoolOp(other, node.values))})"
            for rest in _without_one(node.values):
                yield f"({ast.unparse(rest[0] if len(rest) == 1 else ast.BoolOp(node.op, rest))})"
        case ast.UnaryOp(op=ast.Not()):
            yield f"({ast.unparse(node.operand)})"
        case ast.IfExp():
            yield f"({ast.unparse(node.body)})"
            yield f"({ast.unparse(node.orelse)})"
        case _:
            pass


def _other_value(node: Place) -> Iterator[str]:
    match node:
        case ast.BinOp() if type(node.op) in _REACHES and not any(map(_is_type, (node.left, node.right))):
            yield f"({ast.unparse(ast.BinOp(node.left, _REACHES[type(node.op)](), node.right))})"
        case ast.Constant(value=bool()):
            yield str(not node.value)
        case ast.Constant(value=int() | float() as number):
            yield repr(number + 1)
        case ast.Call(func=ast.Name(id="min" | "max" | "any" | "all" as name)):
            other = {"min": "max", "max": "min", "any": "all", "all": "any"}[name]
            yield ast.unparse(ast.Call(ast.Name(other), node.args, node.keywords))
        case _:
            pass


def _shorter(node: Place) -> Iterator[str]:
    match node:
        case ast.Set() | ast.Tuple(ctx=ast.Load()) | ast.List(ctx=ast.Load()) if len(node.elts) > 1:
            for rest in _without_one(node.elts):
                yield f"({ast.unparse(type(node)(rest))})"
        case ast.Dict() if len(node.keys) > 1:
            for rest in _without_one(list(zip(node.keys, node.values, strict=True))):
                yield ast.unparse(ast.Dict(*map(list, zip(*rest, strict=True))))
        case ast.Expr(value=ast.Call()) | ast.Raise() | ast.AugAssign():
            yield "pass"
        case _:
            pass


def _without_one(whole: list[Any]) -> Iterator[list[Any]]:
    return (whole[:place] + whole[place + 1 :] for place in range(len(whole)))


def _is_type(node: ast.expr) -> bool:
    """A name in capitals and small letters, or None: "|" between such makes no set."""
    named = isinstance(node, ast.Name) and node.id[:1].isupper() and not node.id.isupper()
    return named or (isinstance(node, ast.Constant) and not isinstance(node.value, int | float))
