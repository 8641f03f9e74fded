"""The tokens of the JSpeech Grammar Format, with their places. One regular expression, one pass, no backtracking."""

from __future__ import annotations

import re
from collections.abc import Iterator
from enum import Enum, auto
from typing import NamedTuple

from assistant.errors import ProcedureError


class Kind(Enum):
    """What a token is. The text of RULE and TAG is what stands inside `<>` and `{}`; of a quoted WORD, inside `""`."""

    HEADER = auto()
    RULE = auto()
    WORD = auto()
    WEIGHT = auto()
    TAG = auto()
    MARK = auto()  # one of ; = | * + ( ) [ ]


class Token(NamedTuple):
    """`line` and `column` count from 1. A named tuple, since a session reads some 75,000 of them before it listens."""

    kind: Kind
    text: str
    line: int
    column: int


_BLANK = r"(?:\s++|//[^\n]*+|/\*[^*]*+\*++(?:[^/*][^*]*+\*++)*+/)*+"
_BLANKS = re.compile(_BLANK)
_PATTERN = re.compile(
    _BLANK
    + r"""(?:
      (?P<header>\#JSGF\b[^;\n]*;)
    | (?P<word>[^\s;=|*+<>()\[\]{}/"]+)
    | (?P<mark>[;=|*+()\[\]])
    | <(?P<rule>[^<>\s]+)>
    | "(?P<quoted>(?:[^"\\\n]|\\.)*)"
    | /(?P<weight>\s*[0-9][0-9.]*(?:[eE][-+]?[0-9]+)?[fFdD]?\s*)/
    | \{(?P<tag>(?:[^}\\]|\\.)*)\}
    )""",
    re.VERBOSE | re.DOTALL,
)
_KINDS = {kind.name.lower(): kind for kind in Kind}
_OPENED = frozenset(("rule", "quoted", "weight", "tag"))
"""Groups that begin after the sign that opens them."""
_ESCAPE = re.compile(r"\\(.)", re.DOTALL)

_UNFINISHED = {
    '"': "a quoted token has no closing '\"' on its line",
    "{": "a tag has no closing '}'",
    "<": "a rule name is written <name>, without blanks",
    "/": "a weight is written /10/ and a comment // or /* */; this is neither",
}


def fault(source: str, token: Token, words: str) -> ProcedureError:
    """The error that says where and what."""
    return ProcedureError(f"{source}:{token.line}:{token.column} {words}")


def tokens_of(text: str, source: str) -> Iterator[Token]:
    """Every token of `text` in order, comments left out. Raises ProcedureError at what is no token."""
    line, line_start, counted, at = 1, 0, 0, 1 if text.startswith("\ufeff") else 0
    while True:
        found = _PATTERN.match(text, at)
        group = found.lastgroup if found is not None else None
        begins = _after_blanks(text, at) if found is None or group is None else found.start(group) - (group in _OPENED)
        newlines = text.count("\n", counted, begins)
        if newlines:
            line += newlines
            line_start = text.rindex("\n", counted, begins) + 1
        counted = begins
        if found is not None and group is not None:
            yield _token(group, found[group], line, begins - line_start + 1, source)
            at = found.end()
        elif begins == len(text):
            return
        else:
            here = Token(Kind.MARK, text[begins], line, begins - line_start + 1)
            raise fault(source, here, _UNFINISHED.get(text[begins], f"'{text[begins]}' has no place here"))


def _after_blanks(text: str, at: int) -> int:
    found = _BLANKS.match(text, at)
    return found.end() if found is not None else at


def _token(group: str, text: str, line: int, column: int, source: str) -> Token:
    if group == "quoted":
        text = _ESCAPE.sub(r"\1", text)
        if not text.strip():
            raise fault(source, Token(Kind.WORD, text, line, column), "a quoted token is empty; use <NULL> for nothing")
        return Token(Kind.WORD, text, line, column)
    if group == "tag":
        return Token(Kind.TAG, _ESCAPE.sub(r"\1", text).strip(), line, column)
    return Token(_KINDS[group], text, line, column)
