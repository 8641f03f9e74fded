"""A page as plain values, each ready to be drawn."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True, kw_only=True)
class Band:
    """The caution band. `signal`: danger, warning, caution or notice, which has no mark; `text`: what the instruction
    does not say already; empty where it says all."""

    signal: str
    word: str
    mark: bool
    text: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Button:
    """A phrase to tap. `works`: whether it would be taken now. `means`: what it does, where the words alone may not say
    it; most often empty."""

    words: str
    works: bool
    means: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Group:
    """Phrases of one kind, under a heading."""

    name: str
    buttons: tuple[Button, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Chip:
    """Something that is so of car and bay. `grave`: whether it forbids work."""

    text: str
    grave: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class Clock:
    """A count-down. `tenths`: whether it is short enough to be counted in tenths."""

    label: str
    text: str
    tenths: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class Level:
    """The microphone's level. `share`: of the bar, 0 to 1; `word`: too quiet, good or too loud."""

    share: float
    word: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Heard:
    """What was heard last. `sure`: in words, empty where that is no question."""

    words: str
    sure: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Bar:
    """The odds of one fault. `share`: 0 to 1."""

    name: str
    share: float
    text: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Plot:
    """A reading on a line between `low` and `high`. `at`, `limits`: places on it, 0 to 1, with the limits' texts."""

    name: str
    text: str
    verdict: str
    at: float
    limits: tuple[tuple[float, str], ...]
    cranking: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class Page:
    """Everything on the page at one moment.

    `answers`: what leads on; `hands`: stop, pause and what is reached for most; `more`: all else that can be said, by
    kind; `told_only`: what is an example of a finding of one's own, and so no button.
    `examples`: how something is said that no button can know. `takes`, `unit`: as in Glance.
    `ended`: whether nothing more can happen; then nothing is tapped.
    """

    job: str
    title: str
    step: str
    mode: str
    place: tuple[str, str]
    band: Band | None
    instruction: str
    said: tuple[str, ...]
    answers: tuple[Button, ...]
    examples: tuple[str, ...]
    passes: bool
    hands: tuple[Button, ...]
    more: tuple[Group, ...]
    told_only: tuple[str, ...]
    takes: str
    unit: str
    heard: Heard | None
    clock: Clock | None
    level: Level | None
    path: tuple[str, ...]
    odds: tuple[Bar, ...]
    reason: str
    open_items: tuple[str, ...]
    bay: tuple[Chip, ...]
    plots: tuple[Plot, ...]
    burst: str
    notices: tuple[str, ...]
    speaking: bool
    counting: bool
    asked: int
    ended: bool
