"""The same answers spoken by voices never learnt from, in shop noise, and heard as a live session hears."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from assistant.adapters.recogniser_embedded import EmbeddedRecogniser, make_embedded
from assistant.bench.noises import NOISES
from assistant.bench.sets import at_read_back
from assistant.bench.spread import shards, spread
from assistant.bench.stream import Stream, in_noise
from assistant.bench.talk import announcements
from assistant.bench.understand import Answer, Understood
from assistant.bench.voices import HELD_OUT, available, speak
from assistant.language.model import Heard
from assistant.procedure.model import Procedure
from assistant.session.understood import StepWords
from assistant.wiring import load_libraries, shipped_procedures

LEVELS_DB = (15.0, 9.0)
SEED = 1


@dataclass(frozen=True, slots=True, kw_only=True)
class Wish:
    """These answers, at each noise level. `threads`: cores for one call of the network."""

    chosen: tuple[Answer, ...]
    threads: int


@dataclass(frozen=True, slots=True, kw_only=True)
class Tools:
    """What one process works with. `talk`: what is said in the background."""

    chosen: Sequence[Answer]
    library: Mapping[str, Procedure]
    recogniser: EmbeddedRecogniser
    talk: Sequence[NDArray[np.int16]]


@dataclass(frozen=True, slots=True, kw_only=True)
class Spoken:
    """What was heard of an answer over that noise, and what became of it."""

    heard: Heard
    noise: str
    understood: Understood

    def __str__(self) -> str:
        """For who looks for causes."""
        answer, heard = self.understood.answer, self.heard
        took = f"{self.understood.result or self.understood.offer or 'nothing'} of '{heard.words}'"
        took += f" ({heard.confidence:.2f}) and '{heard.free_text}'"
        return f"  {self.understood.outcome}: '{answer.said}' over {self.noise} means {answer.result}, took {took}"


def drawn(answers: Sequence[Answer], count: int, heard: Sequence[int] = ()) -> tuple[Answer, ...]:
    """`count` answers by chance. `heard`: how many were drawn so at earlier times, each time from all; none of those is
    among them."""
    before = {
        int(place)
        for many in heard
        for place in np.random.default_rng(SEED).choice(len(answers), min(many, len(answers)), replace=False)
    }
    left = [place for place in range(len(answers)) if place not in before]
    random = np.random.default_rng(SEED)
    return tuple(answers[left[place]] for place in random.choice(len(left), min(count, len(left)), replace=False))


def make_tools(wish: Wish) -> Tools:
    """A recogniser of its own, and the procedures."""
    _, library = load_libraries(tuple(shipped_procedures()))
    recogniser, talk = make_embedded(threads=wish.threads), announcements()[1::2]
    return Tools(chosen=wish.chosen, library=library, recogniser=recogniser, talk=talk)


def hear(tools: Tools, task: tuple[float, range]) -> list[Spoken]:
    """The answers of these numbers, said at that level; voices and noises take turns."""
    level, numbers = task
    random = np.random.default_rng([SEED, numbers.start, round(level)])
    speakers, stream = available(HELD_OUT), Stream(tools.recogniser)
    found = []
    for number in numbers:
        answer = tools.chosen[number]
        step = StepWords(tools.library, answer.procedure, answer.step)
        pcm = speak(speakers[number % len(speakers)], answer.said)
        noise = list(NOISES)[number // len(speakers) % len(NOISES)]
        listening = at_read_back(step.expected)
        heard = stream.heard(in_noise(pcm, level, noise, random, tools.talk), listening)
        told = step.made_of(heard)
        understood = Understood(answer=answer, result=told["result"], offer=told["offer"])
        found.append(Spoken(heard=heard, noise=noise, understood=understood))
    return found


def spoken(chosen: Sequence[Answer], *, jobs: int = 1, misses: int = 0, tell: Callable[[str], None]) -> dict[str, Any]:
    """Shares by noise level. `misses`: so many answers not taken rightly at once are told; -1 for all."""
    wish = Wish(chosen=tuple(chosen), threads=1 if jobs > 1 else 2)
    tasks = [(level, numbers) for level in LEVELS_DB for numbers in shards(len(chosen))]
    parts = list(spread(hear, tasks, make=make_tools, key=wish, jobs=jobs))
    found: dict[str, Any] = {"voices": [f"{one.engine} {one.voice}" for one in available(HELD_OUT)]}
    for level in LEVELS_DB:
        here = [one for (at, _), part in zip(tasks, parts, strict=True) if at == level for one in part]
        outcomes = Counter(one.understood.outcome for one in here)
        found[f"{level:g} dB"] = {name: round(many / len(chosen), 4) for name, many in sorted(outcomes.items())}
        tell(f"{level:g} dB, {len(here)}: {found[f'{level:g} dB']}")
        missed = [str(one) for one in here if one.understood.outcome != "right"]
        for line in missed[: misses if misses >= 0 else None]:
            tell(line)
    return found
