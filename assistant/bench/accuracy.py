"""What became of things said to the recogniser: right, wrong, asked and refused, with intervals and confusions."""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import dataclass
from typing import Any, TypeVar

from scipy.stats import chi2

from assistant.adapters.recogniser_embedded import EmbeddedRecogniser
from assistant.bench.sets import Saying, Utterance
from assistant.bench.stream import Stream
from assistant.grammar.model import Grammar
from assistant.language.grammars import WORDED_TAGS
from assistant.ports import Listening

Thing = TypeVar("Thing")

KINDS = ("right", "asked-right", "wrong", "asked-wrong", "refused")


@dataclass(frozen=True, slots=True, kw_only=True)
class Answer:
    """What became of one utterance: right, asked-right, wrong, asked-wrong or refused. `same`: other words were heard,
    and they mean what was said."""

    said: Utterance
    kind: str
    heard: str | None
    same: bool


def answers_to(
    recogniser: EmbeddedRecogniser, sayings: Iterable[Saying], grammar: Grammar | None = None
) -> Iterator[Answer]:
    """The utterances, one after the other in one stream, heard among what is legal where each was said, or in another
    grammar."""
    stream = Stream(recogniser)
    for each in sayings:
        said, legal = each.said, grammar or each.ask.grammar
        heard = stream.heard(each.stretch, Listening(grammar=legal, hazardous=each.ask.expected.hazardous))
        same = heard.words not in (None, said.words) and recogniser.language(legal).mean_the_same(
            said.words, heard.words or "", WORDED_TAGS
        )
        yield Answer(said=said, kind=kind_of(heard.words, said.words, heard.unsure), heard=heard.words, same=same)


def kind_of(heard: str | None, said: str, unsure: bool) -> str:
    """One of KINDS."""
    if heard is None:
        return "refused"
    return ("asked-" if unsure else "") + ("right" if heard == said else "wrong")


def rates(kinds: Iterable[str]) -> dict[str, Any]:
    """Shares of each kind; right and wrong with their 95 % intervals (Wilson's)."""
    counted = Counter(kinds)
    total = counted.total()
    found: dict[str, Any] = {"count": total} | {kind: round(counted[kind] / max(1, total), 4) for kind in KINDS}
    for kind in ("right", "wrong"):
        found[f"{kind}_95"] = [round(end, 4) for end in wilson(counted[kind], total)]
    return found


def wilson(hits: int, total: int, z: float = 1.96) -> tuple[float, float]:
    """95 % interval of a share. Source: Wilson 1927, score interval (from memory)."""
    if total == 0:
        return 0.0, 1.0
    share = hits / total
    middle = share + z * z / (2 * total)
    reach = z * math.sqrt(share * (1 - share) / total + z * z / (4 * total * total))
    return max(0.0, (middle - reach) / (1 + z * z / total)), min(1.0, (middle + reach) / (1 + z * z / total))


def poisson_upper(count: int) -> float:
    """95 % upper bound of a Poisson mean. Source: exact chi-square bound (Garwood 1936, from memory)."""
    return float(chi2.ppf(0.95, 2 * (count + 1)) / 2)


def grouped(answers: Sequence[Answer], key: Callable[[Answer], str]) -> dict[str, Any]:
    """The rates of each group."""
    groups: dict[str, list[str]] = {}
    for answer in answers:
        groups.setdefault(key(answer), []).append(answer.kind)
    return {name: rates(kinds) for name, kinds in sorted(groups.items())}


def grouped_shares(
    things: Iterable[Thing], key: Callable[[Thing], str], holds: Callable[[Thing], bool]
) -> dict[str, Any]:
    """By group the share for which it holds, and how many there are."""
    groups: dict[str, list[bool]] = {}
    for thing in things:
        groups.setdefault(key(thing), []).append(holds(thing))
    return {name: [round(sum(found) / len(found), 4), len(found)] for name, found in sorted(groups.items())}


def confusions(answers: Sequence[Answer], most: int = 20) -> list[dict[str, Any]]:
    """Pairs that were taken for each other, also where it asked, the commonest first."""
    taken = (each for each in answers if each.kind in ("wrong", "asked-wrong"))
    pairs = Counter((each.said.words, each.heard, each.same) for each in taken)
    return [
        {"said": said, "heard": heard, "same_meaning": same, "count": count}
        for (said, heard, same), count in pairs.most_common(most)
    ]


def by_meaning(answers: Sequence[Answer]) -> dict[str, Any]:
    """The rates, and the share that was acted on as something else than was meant."""
    other = sum(each.kind == "wrong" and not each.same for each in answers)
    return rates(each.kind for each in answers) | {"another_meaning": round(other / max(1, len(answers)), 4)}
