"""Reads a grammar in the JSpeech Grammar Format (W3C Note, 5 June 2000).

Source: the Note's sections 2 to 4. Beyond the Note, and harmless: the header and the grammar's name may be left out.
One pass over the text, an explicit stack for groups, so length and number of alternatives cost time in proportion only.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, field
from functools import lru_cache
from math import inf

from assistant.errors import ProcedureError
from assistant.grammar.jsgf_tokens import Kind, Token, fault, tokens_of
from assistant.grammar.model import Alternatives, Expansion, Grammar, Reference, Repeat, Sequence, Tagged, Word
from assistant.grammar.recursion import misplaced_references

MAX_DEPTH = 100
"""Groups inside groups; deeper nesting is a slip of the author or an attack, and is refused."""


def read_jsgf(text: str, source: str = "grammar") -> Grammar:
    """The grammar that `text` describes; `source` stands at the head of every fault's `source:line:column`.

    Raises: ProcedureError at the first thing that is not JSGF, that names an unknown rule, that imports from
    elsewhere, or that recurses other than at the end of a rule.
    """
    return _Reader(tokens_of(text, source), source).grammar()


def read_expansion(text: str, source: str = "words") -> Expansion:
    """What one right-hand side of a rule may say, such as `[the] lamp (is | went) out`; references stay as they are.

    Raises: ProcedureError at the first thing that may not stand there.
    """
    reader = _Reader(tokens_of(f"<{_SAID}> = {text}\n;", source), source)
    return reader.single()


_SAID = "said"


@dataclass(slots=True)
class _Level:
    """One open group: the finished alternatives and the parts of the one being read."""

    closer: str
    opened: Token
    choices: list[Expansion] = field(default_factory=list)
    parts: list[Expansion] = field(default_factory=list)
    weights: list[float] = field(default_factory=list)
    weight: float | None = None

    def close_alternative(self, at: Token, source: str) -> None:
        if not self.parts:
            raise fault(source, at, "an alternative is empty; write words, or <NULL> for nothing")
        self.choices.append(self.parts[0] if len(self.parts) == 1 else Sequence(tuple(self.parts)))
        self.weights.append(1.0 if self.weight is None else self.weight)
        self.parts, self.weight = [], None

    def expansion(self) -> Expansion:
        told = len(set(self.weights)) > 1 and max(self.weights) < inf
        weights = tuple(self.weights) if told else ()
        return self.choices[0] if len(self.choices) == 1 else Alternatives(tuple(self.choices), weights)


class _Reader:
    def __init__(self, tokens: Iterator[Token], source: str) -> None:
        self._tokens = tokens
        self._source = source
        self._name = ""
        self._rules: dict[str, Expansion] = {}
        self._defined_at: dict[str, Token] = {}
        self._used_at: dict[str, Token] = {}
        self._starts: list[str] = []
        self._imports: list[Token] = []

    def grammar(self) -> Grammar:
        for token in self._tokens:
            self._statement(token)
        self._check_whole()
        return Grammar(rules=self._rules, starts=tuple(self._starts), name=self._name)

    def single(self) -> Expansion:
        self._statement(next(self._tokens))
        after = next(self._tokens, None)
        if after is not None:
            raise self._fault(after, f"found '{after.text}' after the end; expected words, groups and <rules> only")
        return self._rules[_SAID]

    def _fault(self, token: Token, words: str) -> ProcedureError:
        return fault(self._source, token, words)

    def _next(self, wanted: str, kind: Kind | None = None, text: str | None = None) -> Token:
        token = next(self._tokens, None)
        if token is None:
            raise ProcedureError(f"{self._source}: the file ends where {wanted} is expected")
        if (kind is not None and token.kind is not kind) or (text is not None and token.text != text):
            raise self._fault(token, f"found '{token.text}' where {wanted} is expected")
        return token

    def _statement(self, token: Token) -> None:
        if token.kind is Kind.HEADER:
            if self._name or self._rules:
                raise self._fault(token, "the #JSGF header must be the first line")
        elif token.kind is Kind.RULE:
            self._rule(token, public=False)
        elif token.kind is Kind.WORD and token.text == "public":
            self._rule(self._next("a rule such as <name>", Kind.RULE), public=True)
        elif token.kind is Kind.WORD and token.text == "grammar":
            self._name = self._next("the grammar's name", Kind.WORD).text
            self._next("';' after the grammar's name", Kind.MARK, ";")
        elif token.kind is Kind.WORD and token.text == "import":
            self._imports.append(self._next("a rule such as <package.grammar.rule>", Kind.RULE))
            self._next("';' after the import", Kind.MARK, ";")
        else:
            raise self._fault(
                token, f"found '{token.text}'; expected 'grammar NAME;', 'import <RULE>;' or '[public] <RULE> = …;'"
            )

    def _rule(self, name: Token, *, public: bool) -> None:
        if name.text in ("NULL", "VOID"):
            raise self._fault(name, f"<{name.text}> has a fixed meaning and cannot be defined")
        if name.text in self._rules:
            raise self._fault(name, f"rule <{name.text}> is defined twice; first at line {self._line(name.text)}")
        self._next(f"'=' after <{name.text}>", Kind.MARK, "=")
        self._defined_at[name.text] = name
        self._rules[name.text] = self._expansion(name)
        if public:
            self._starts.append(name.text)

    def _line(self, rule: str) -> int:
        return self._defined_at[rule].line

    def _expansion(self, name: Token) -> Expansion:
        levels = [_Level(";", name)]
        for token in self._tokens:
            if token.kind is Kind.WORD:
                levels[-1].parts.append(_words(token.text))
            elif token.kind is Kind.MARK and token.text in ";)]":
                closed = self._close(levels, token)
                if closed is not None:
                    return closed
            elif token.kind is Kind.MARK and token.text in "([":
                levels.append(_Level(")" if token.text == "(" else "]", token))
                if len(levels) > MAX_DEPTH:
                    raise self._fault(token, f"groups are nested deeper than {MAX_DEPTH}")
            else:
                self._part(levels[-1], token)
        raise self._fault(name, f"rule <{name.text}> has no ';' at its end")

    def _close(self, levels: list[_Level], token: Token) -> Expansion | None:
        level = levels[-1]
        if token.text != level.closer:
            if token.text == ";":
                raise self._fault(level.opened, f"'{level.opened.text}' is never closed by '{level.closer}'")
            raise self._fault(token, f"'{token.text}' closes nothing")
        level.close_alternative(token, self._source)
        done = level.expansion()
        if token.text == ";":
            return done
        levels.pop()
        levels[-1].parts.append(Repeat(done, 0, 1) if token.text == "]" else done)
        return None

    def _part(self, level: _Level, token: Token) -> None:
        if token.kind is Kind.RULE:
            level.parts.append(self._reference(token))
        elif token.kind is Kind.WEIGHT:
            if level.parts or level.weight is not None:
                raise self._fault(token, "a weight stands before its alternative, once")
            level.weight = self._weight(token)
        elif token.text == "|":
            level.close_alternative(token, self._source)
        elif not level.parts:
            raise self._fault(token, f"'{token.text}' follows nothing")
        elif token.kind is Kind.TAG:
            level.parts[-1] = Tagged(level.parts[-1], token.text)
        elif token.text in ("*", "+"):
            level.parts[-1] = Repeat(level.parts[-1], 0 if token.text == "*" else 1, None)
        else:
            raise self._fault(token, f"'{token.text}' may not stand inside a rule")

    def _weight(self, token: Token) -> float:
        try:
            return float(token.text.strip().rstrip("fFdD"))
        except ValueError:
            raise self._fault(token, f"'{token.text.strip()}' is no number") from None

    def _reference(self, token: Token) -> Expansion:
        if token.text == "NULL":
            return Sequence(())
        if token.text == "VOID":
            return Alternatives(())
        self._used_at.setdefault(token.text, token)
        return Reference(token.text)

    def _check_whole(self) -> None:
        for token in self._imports:
            package, _, rule = token.text.rpartition(".")
            if package != self._name or not (rule == "*" or rule in self._rules):
                raise self._fault(token, f"<{token.text}> stands in another file; put its rules into this one")
        if not self._rules:
            raise ProcedureError(f"{self._source}: no rule; expected 'public <NAME> = …;'")
        if not self._starts:
            raise ProcedureError(f"{self._source}: no public rule, so nothing may be said; write 'public' before one")
        self._resolve_own_names()
        for name, token in self._used_at.items():
            if name not in self._rules:
                raise self._fault(token, f"rule <{name}> is not defined")
        for rule, reference in misplaced_references(self._rules):
            words = f"rule <{rule}> comes back through <{reference}> other than at its end; recurse at the end"
            raise self._fault(self._used_at.get(reference, self._defined_at[rule]), words)

    def _resolve_own_names(self) -> None:
        """A reference may carry the grammar's own name, full or last part of it: `<com.shop.orders.digit>`."""
        full, last = self._name, self._name.rpartition(".")[2]
        short = {
            name: name.rpartition(".")[2]
            for name in self._used_at
            if name not in self._rules and name.rpartition(".")[0] in (full, last) and "." in name
        }
        if not short:
            return
        for name, own in short.items():
            self._used_at.setdefault(own, self._used_at.pop(name))
        self._rules = {rule: _renamed(body, short) for rule, body in self._rules.items()}


@lru_cache(maxsize=4096)
def _words(text: str) -> Expansion:
    words = tuple(Word(word) for word in text.lower().split())
    return words[0] if len(words) == 1 else Sequence(words)


def _renamed(body: Expansion, short: dict[str, str]) -> Expansion:
    match body:
        case Reference(rule):
            return Reference(short.get(rule, rule))
        case Sequence(parts):
            return Sequence(tuple(_renamed(part, short) for part in parts))
        case Alternatives(choices, weights):
            return Alternatives(tuple(_renamed(choice, short) for choice in choices), weights)
        case Repeat(part, least, most):
            return Repeat(_renamed(part, short), least, most)
        case Tagged(part, tag):
            return Tagged(_renamed(part, short), tag)
        case Word():
            return body
