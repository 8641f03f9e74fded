"""Where the fields of the facts' classes are written and read, by the syntax of the program alone."""

from __future__ import annotations

import ast
import dataclasses
from collections.abc import Iterator, Mapping
from functools import cache
from pathlib import Path

from assistant.facts import CLASSES, Said

FOLDER = Path(__file__).parents[2] / "assistant"
ROOM = FOLDER / "facts"

Use = tuple[str, str]
"""A class's name and a field's."""


def modules(having: str = "facts") -> Iterator[ast.Module]:
    """Every module outside the room of the facts in whose text this stands."""
    for path in sorted(FOLDER.rglob("*.py")):
        text = path.read_text(encoding="utf-8")
        if ROOM not in path.parents and having in text:
            yield ast.parse(text, str(path.relative_to(FOLDER)))


@cache
def kinds_of(name: str) -> set[str]:
    """The classes of kinds that a class of this name stands for: itself, or all below it."""
    return {each.__name__ for each in CLASSES.values() if name in {above.__name__ for above in each.__mro__}} - {"Said"}


def fields() -> set[Use]:
    """Each field of each kind."""
    return {(each.__name__, field.name) for each in CLASSES.values() for field in dataclasses.fields(each)}


def written() -> set[Use]:
    """Fields that are given where a class is called, or replaced where an object of it was made."""
    found: set[Use] = set()
    for module in modules():
        makers = makers_in(module)
        for scope in scopes(module):
            known = types_in(scope, makers)
            for call in (each for each in ast.walk(scope) if isinstance(each, ast.Call)):
                name = bare(call.func)
                names = {name} | known.get(name, set())
                if name == "replace" and call.args:
                    names = known.get(ast.unparse(call.args[0]), set()) | made_by(call.args[0], makers)
                given = {each.arg for each in call.keywords if each.arg}
                found |= {(kind, field) for each in names for kind in kinds_of(each) for field in given}
    return found & fields()


def read() -> set[Use]:
    """Fields that are asked for of what is known to be of a class, or of any fact alike."""
    found: set[Use] = set()
    for module in modules():
        makers = makers_in(module)
        for scope in scopes(module):
            known = types_in(scope, makers)
            for node in ast.walk(scope):
                if isinstance(node, ast.Attribute) and isinstance(node.ctx, ast.Load):
                    names = known.get(ast.unparse(node.value), set()) | made_by(node.value, makers)
                    found |= {(kind, node.attr) for each in names - {ANY} for kind in kinds_of(each)}
                    if (ANY in names or whole(node.value)) and node.attr in OF_ANY:
                        found |= {(kind.__name__, node.attr) for kind in CLASSES.values()}
                elif isinstance(node, ast.MatchClass):
                    asked = kinds_of(bare(node.cls))
                    found |= {(kind, field) for kind in asked for field in node.kwd_attrs}
    return found & fields()


OF_ANY = {name for name, each in vars(Said).items() if isinstance(each, property)}
"""What can be asked of a fact of any kind."""


ANY = "any"
"""Stands for the class of a fact of whatever kind."""


def whole(value: ast.expr) -> bool:
    """Whether it is all that a fact says, of whatever kind."""
    return isinstance(value, ast.Attribute) and value.attr in ("said", "legible")


def scopes(module: ast.Module) -> Iterator[ast.AST]:
    """The functions, one by one."""
    yield from (each for each in ast.walk(module) if isinstance(each, ast.FunctionDef))


def makers_in(module: ast.Module) -> dict[str, set[str]]:
    """Function or type variable of the module → the classes that it gives or stands for."""
    found: dict[str, set[str]] = {}
    for node in ast.walk(module):
        if isinstance(node, ast.FunctionDef) and node.returns is not None:
            found[node.name] = names_in(node.returns)
        elif isinstance(node, ast.Assign) and isinstance(node.value, ast.Call):
            bounds = [each.value for each in node.value.keywords if each.arg == "bound"]
            found |= {ast.unparse(node.targets[0]): names_in(bound) for bound in bounds}
    return found


def types_in(scope: ast.AST, makers: Mapping[str, set[str]]) -> dict[str, set[str]]:
    """Expression → names of the classes that it is said to be of, anywhere in the scope."""
    found: dict[str, set[str]] = {}

    def add(subject: ast.AST | str, names: set[str]) -> None:
        text = subject if isinstance(subject, str) else ast.unparse(subject)
        found.setdefault(text, set()).update(*(makers.get(name, {name}) for name in names))

    for node in ast.walk(scope):
        if isinstance(node, ast.arg) and node.annotation is not None:
            add(node.arg, names_in(node.annotation))
        elif isinstance(node, ast.AnnAssign):
            add(node.target, names_in(node.annotation))
        elif isinstance(node, ast.Assign | ast.NamedExpr):
            for target in node.targets if isinstance(node, ast.Assign) else [node.target]:
                both = isinstance(target, ast.Tuple) and isinstance(node.value, ast.Tuple)
                pairs = zip(target.elts, node.value.elts, strict=True) if both else [(target, node.value)]
                for one, value in pairs:
                    add(one, made_by(value, makers))
        elif isinstance(node, ast.Call) and ast.unparse(node.func) == "isinstance":
            subject, kinds = node.args
            add(subject.target if isinstance(subject, ast.NamedExpr) else subject, names_in(kinds))
        elif isinstance(node, ast.comprehension):
            add(node.target, made_by(node.iter, makers))
        elif isinstance(node, ast.Match):
            add(node.subject, {bare(each.cls) for each in ast.walk(node) if isinstance(each, ast.MatchClass)})
    return found


def made_by(value: ast.expr, makers: Mapping[str, set[str]]) -> set[str]:
    """The classes of what this expression makes, reads or names, as far as it says so."""
    if isinstance(value, ast.IfExp):
        return made_by(value.body, makers) | made_by(value.orelse, makers)
    if isinstance(value, ast.Name):
        return {value.id} if kinds_of(value.id) else set()
    if isinstance(value, ast.Attribute) and isinstance(value.value, ast.Name) and value.value.id == "facts":
        return {value.attr}
    if whole(value):
        return {ANY}
    if not isinstance(value, ast.Call):
        return set()
    if isinstance(value.func, ast.Attribute) and value.func.attr in ("says", "shows"):
        return names_in(value.args[0])
    name = bare(value.func)
    if name == "replace":
        return made_by(value.args[0], makers)
    if name == "zip":
        return set().union(*(made_by(each, makers) for each in value.args))
    return {name} if kinds_of(name) else makers.get(name, set())


def names_in(node: ast.AST) -> set[str]:
    """The plain names in an annotation or a class given."""
    names = {each.id for each in ast.walk(node) if isinstance(each, ast.Name)}
    return names | {bare(each) for each in ast.walk(node) if isinstance(each, ast.Attribute)}


def bare(node: ast.AST) -> str:
    """The name of a class, without that of the room that it is taken from."""
    return ast.unparse(node).removeprefix("facts.")
