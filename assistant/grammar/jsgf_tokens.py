"""The tokens of the JSpeech Grammar Format, with their places. One regular expression, one pass, no backtracking."""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass
from enum import Enum, auto

from assistant.errors import ProcedureError


class Kind(Enum):
    """What a token is. The text of RULE and TAG is what stands inside `<>` and `{}`; of a quoted WORD, inside `""`."""

    HEADER = auto()
    RULE = auto()
    WORD = auto()
    WEIGHT = auto()
    TAG = auto()
    MARK = auto()  # one of ; = | * + ( ) [ ]


@dataclass(frozen=True, slots=True)
class Token:
    """`line` and `column` count from 1."""

    kind: Kind
    text: str
    line: int
    column: int


_PATTERN = re.compile(
    r"""
      (?P<blank>\s+|//[^\n]*|/\*[^*]*\*+(?:[^/*][^*]*\*+)*/)
    | (?P<header>\#JSGF\b[^;\n]*;)
    | <(?P<rule>[^<>\s]+)>
    | "(?P<quoted>(?:[^"\\\n]|\\.)*)"
    | /(?P<weight>\s*[0-9][0-9.]*(?:[eE][-+]?[0-9]+)?[fFdD]?\s*)/
    | \{(?P<tag>(?:[^}\\]|\\.)*)\}
    | (?P<mark>[;=|*+()\[\]])
    | (?P<word>[^\s;=|*+<>()\[\]{}/"]+)
    """,
    re.VERBOSE | re.DOTALL,
)
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
    line, line_start, at = 1, 0, 1 if text.startswith("\ufeff") else 0
    while at < len(text):
        found = _PATTERN.match(text, at)
        if found is None:
            here = Token(Kind.MARK, text[at], line, at - line_start + 1)
            raise fault(source, here, _UNFINISHED.get(text[at], f"'{text[at]}' has no place here"))
        if found.lastgroup != "blank":
            yield _token(found, line, at - line_start + 1, source)
        newlines = text.count("\n", at, found.end())
        if newlines:
            line += newlines
            line_start = text.rindex("\n", at, found.end()) + 1
        at = found.end()


def _token(found: re.Match[str], line: int, column: int, source: str) -> Token:
    group = found.lastgroup or ""
    text = found[group]
    if group == "quoted":
        text = _ESCAPE.sub(r"\1", text)
        if not text.strip():
            raise fault(source, Token(Kind.WORD, text, line, column), "a quoted token is empty; use <NULL> for nothing")
        return Token(Kind.WORD, text, line, column)
    if group == "tag":
        return Token(Kind.TAG, _ESCAPE.sub(r"\1", text).strip(), line, column)
    return Token(Kind[group.upper()], text, line, column)
