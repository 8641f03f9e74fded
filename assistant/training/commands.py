"""What a sentence wants of the program: fits the weights of `language.command_guess`.

Learnt from commands as made-up writers say them (`own_commands.jsonl` beside this file), sentences of the rules of
`own_commands.jsgf`, and from what wants nothing: answers of the training writers, prose, and mutterings in a shop.
"""

from __future__ import annotations

import json
from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass
from math import log
from pathlib import Path

import click
import numpy as np
from numpy.typing import NDArray
from scipy.optimize import minimize
from scipy.sparse import csr_matrix

from assistant.bench.strangers import printed, sentences
from assistant.grammar.sample import sentences_of
from assistant.language.command_guess import FILE, NOTHING, Learnt, terms_of, weighed
from assistant.language.commanded import LEADS, own_grammar
from assistant.language.commands import Control
from assistant.language.plain import plain_words

SAID = Path(__file__).with_name("own_commands.jsonl")
OUT = Path("assistant", "english", FILE)
ANSWERS = Path("procedures", "own-words.json")
MODULES = ("ast", "bz2", "cmd", "dis", "gzip", "heapq", "hmac", "imaplib", "pdb", "pprint")

OF_RULES = 40
"""Sentences drawn of each rule."""

UNLEARNT = frozenset((LEADS, Control.DONE.name.lower()))
"""Rules that are no want, or one to an instruction alone, where nothing is answered."""

ANSWERS_LEARNT, PROSE_LEARNT = 6_000, 600
OF_NOTHING = 6.0
"""What all that wants nothing counts, where each command counts 1: nearly all that is said is an answer."""

PULL = 12.0
LEAST = 2
"""A term stands in so many sentences at least."""

SHARES = (0.4, 0.5, 0.6, 0.7, 0.8, 0.9)
Floats = NDArray[np.float64]


@dataclass(frozen=True, slots=True, kw_only=True)
class Said:
    """`who`: the writer; empty for what no writer of commands said."""

    words: str
    want: str
    who: str = ""


def read_said(path: Path) -> list[Said]:
    """JSON lines of `said`, `want` and, where known, `who`."""
    rows = [json.loads(line) for line in path.read_text(encoding="utf-8").splitlines()]
    return [Said(words=plain_words(row["said"]), want=row["want"], who=row.get("who", "")) for row in rows]


def of_rules() -> list[Said]:
    """Sentences of the grammar of commands."""
    rules = own_grammar().rules
    return [
        Said(words=words, want=name)
        for name, rule in rules.items()
        if name not in UNLEARNT
        for words in sentences_of(rule, rules, OF_RULES)
    ]


def wanting_nothing(random: np.random.Generator) -> list[Said]:
    """Answers of the training writers and prose of what every Python has."""
    told = json.loads(ANSWERS.read_text(encoding="utf-8"))
    answers = sorted({plain_words(words) for words in _texts(told)})
    prose = sentences(printed(MODULES))
    drawn = [answers[place] for place in random.permutation(len(answers))[:ANSWERS_LEARNT]]
    drawn += [plain_words(prose[place]) for place in random.permutation(len(prose))[:PROSE_LEARNT]]
    return [Said(words=words, want=NOTHING) for words in drawn]


def _texts(part: object) -> list[str]:
    if isinstance(part, str):
        return [part]
    parts = part.values() if isinstance(part, dict) else part if isinstance(part, list) else ()
    return [text for each in parts for text in _texts(each)]


def learn(said: Sequence[Said]) -> Learnt:
    """The weights; each want counts as much as the next, NOTHING more."""
    names = tuple(sorted({each.want for each in said}))
    terms = [terms_of(each.words) for each in said]
    held = Counter(term for one in terms for term in one)
    places = {term: place for place, term in enumerate(term for term, many in held.items() if many >= LEAST)}
    rarity = np.array([*(log((1 + len(said)) / (1 + held[term])) + 1 for term in places), log(1 + len(said)) + 1])
    rows = [weighed(each.words, places, rarity) for each in said]
    begins = np.cumsum([0, *(len(row) for row, _ in rows)])
    values = np.concatenate([value for _, value in rows])
    table = csr_matrix((values, np.concatenate([row for row, _ in rows]).astype(int), begins), (len(said), len(places)))
    classes = np.array([names.index(each.want) for each in said])
    many = np.bincount(classes, minlength=len(names)).astype(float)
    counts = (len(said) / (len(names) * many))[classes] * np.where(classes == names.index(NOTHING), OF_NOTHING, 1.0)
    weights, bias = _fit(table, classes, counts, len(names))
    return Learnt(names=names, places=places, rarity=rarity, weights=weights, bias=bias)


def _fit(table: csr_matrix, classes: NDArray[np.int64], counts: Floats, kinds: int) -> tuple[Floats, Floats]:
    many = table.shape[1]
    goal = np.eye(kinds)[classes]

    def loss(flat: Floats) -> tuple[float, Floats]:
        weights, bias = flat[: many * kinds].reshape(many, kinds), flat[many * kinds :]
        scores = table @ weights + bias
        scores -= scores.max(axis=1, keepdims=True)
        logs = scores - np.log(np.exp(scores).sum(axis=1, keepdims=True))
        off = counts[:, None] * (np.exp(logs) - goal)
        value = -float((counts[:, None] * logs * goal).sum()) + float((weights**2).sum()) / (2 * PULL)
        return value, np.concatenate([(table.T @ off + weights / PULL).ravel(), off.sum(axis=0)])

    found = minimize(loss, np.zeros((many + 1) * kinds), jac=True, method="L-BFGS-B", options={"maxiter": 200}).x
    return found[: many * kinds].reshape(many, kinds), found[many * kinds :]


def keep(learnt: Learnt, path: Path) -> None:
    """The weights as bytes, a scale for each name."""
    scale = np.abs(learnt.weights).max(axis=0) / 127
    np.savez_compressed(
        path,
        names=np.frombuffer("\n".join(learnt.names).encode(), dtype=np.uint8),
        terms=np.frombuffer("\n".join(learnt.places).encode(), dtype=np.uint8),
        rarity=learnt.rarity.astype(np.float16),
        weights=np.round(learnt.weights / scale).astype(np.int8),
        scale=scale.astype(np.float32),
        bias=learnt.bias.astype(np.float32),
    )


def left_out(said: Sequence[Said], beside: Sequence[Said]) -> None:
    """Prints what is right, wrong and taken of nothing from each share on, each writer told by the others."""
    told: list[tuple[str, str, float]] = []
    writers = sorted({each.who for each in said})
    random = np.random.default_rng(7)
    part = random.integers(len(writers), size=len(beside))
    for number, writer in enumerate(writers):
        rest = [each for each in said if each.who != writer]
        learnt = learn(
            [*rest, *(each for each, its in zip(beside, part, strict=True) if its != number or each.want != NOTHING)]
        )
        tried = [each for each in said if each.who == writer]
        tried += [each for each, its in zip(beside, part, strict=True) if its == number and each.want == NOTHING]
        for each in tried:
            found = learnt.wanted(each.words)
            told.append((each.want, found.name, found.sure))
    for share in SHARES:
        orders = [(want, name) for want, name, sure in told if want != NOTHING and sure >= share]
        nothing = [name for want, name, sure in told if want == NOTHING and sure >= share]
        total, other = sum(want != NOTHING for want, _, _ in told), sum(want == NOTHING for want, _, _ in told)
        right = sum(want == name for want, name in orders) / total
        wrong = sum(name not in (want, NOTHING) for want, name in orders) / total
        taken = sum(name != NOTHING for name in nothing) / other
        click.echo(
            f"share {share}: right {right:6.1%}, another {wrong:6.1%} of {total}; of nothing {taken:6.2%} of {other}"
        )


@click.command(epilog="Example: hoodside bench commands --left-out")
@click.option("--left-out", "leaves", is_flag=True, help="Tell each writer by the others, and keep nothing.")
def command(*, leaves: bool) -> None:
    """Learn what commands and questions are in people's own words."""
    said = read_said(SAID)
    beside = [*of_rules(), *wanting_nothing(np.random.default_rng(11))]
    if leaves:
        left_out(said, beside)
        return
    learnt = learn([*said, *beside])
    keep(learnt, OUT)
    click.echo(f"{OUT}: {len(learnt.places)} terms, {len(learnt.names)} names, {OUT.stat().st_size / 1000:.0f} kB")
