"""What every measurement of hearing works with: a recogniser, the moments of a job, voices, strangers' talk."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from pathlib import Path
from typing import TypeVar

import numpy as np
from numpy.typing import NDArray

from assistant.adapters.recogniser_embedded import EmbeddedRecogniser, make_embedded
from assistant.bench.sets import Ask, Speech, asks_of
from assistant.bench.spread import kept, spread
from assistant.bench.talk import announcements
from assistant.bench.voices import HELD_OUT, TUNING, Speaker, available
from assistant.grammar.model import Grammar
from assistant.language.grammars import grammar_of_procedures
from assistant.procedure.model import Procedure
from assistant.reasoning.reasoner import make_reasoner
from assistant.session.adviser import Adviser
from assistant.wiring import load_library
from assistant.wiring.fault_models import model_for

Pcm = NDArray[np.int16]
Task = TypeVar("Task")
Found = TypeVar("Found")


@dataclass(frozen=True, slots=True, kw_only=True)
class Wish:
    """What was asked for. `count`: phrases for each row; `hours`: of made-up talk; `people`: a folder with recordings
    `commands/WORD/*.flac` of real people; `threads`: cores for one call of the network.
    `rows`: of recorded people and strangers only rows that hold this, as "read-back 15 dB"; `past`: of each word the
    first so many recordings are left out."""

    procedure: str
    count: int
    hours: float
    seed: int
    people: Path | None = None
    threads: int = 2
    rows: str = ""
    past: int = 0


@dataclass(frozen=True, slots=True, kw_only=True)
class Setting:
    """Made ready for the wish. `voices`: in two groups. `talk`: nothing was ever chosen or learnt by it."""

    wish: Wish
    recogniser: EmbeddedRecogniser
    library: Mapping[str, Procedure]
    asks: Sequence[Ask]
    voices: Mapping[str, Sequence[Speaker]]
    talk: Sequence[Pcm]
    speech: Speech = field(default_factory=Speech)

    @property
    def everything(self) -> Grammar:
        """Every phrase of every procedure at once."""
        return grammar_of_procedures(self.library.values())


def make_setting(wish: Wish) -> Setting:
    """Raises UsageError for an unknown procedure, SetupError where the network's wheel is missing."""
    _, library = load_library(wish.procedure)
    model = model_for(wish.procedure, None)
    adviser = Adviser(make_reasoner(model), library) if model else None
    return Setting(
        wish=wish,
        recogniser=make_embedded(threads=wish.threads),
        library=library,
        asks=asks_of(library, adviser),
        voices={"tuning": available(TUNING), "held-out": available(HELD_OUT)},
        talk=announcements()[1::2],
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class Bench:
    """A measurement under way: the setting here, and how many processes may work with others like it."""

    setting: Setting
    jobs: int
    tell: Callable[[str], None]

    def each(self, work: Callable[[Setting, Task], Found], tasks: Sequence[Task]) -> Iterator[Found]:
        """What `work` finds in each task, in their order."""
        return spread(work, tasks, make=make_setting, key=self.setting.wish, jobs=self.jobs)


def make_bench(wish: Wish, *, jobs: int = 1, tell: Callable[[str], None] = lambda words: None) -> Bench:
    """Raises as make_setting does."""
    return Bench(setting=kept(make_setting, wish), jobs=jobs, tell=tell)
