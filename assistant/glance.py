"""What a page shows beside the words of a moment. Types only."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True, kw_only=True)
class Gauge:
    """A reading against the limits that parted its answers. `limits`: in the unit of `value`, rising. `verdict`: what
    was said of it. `cranking`: whether it is of the battery while the starter turned."""

    name: str
    value: float
    unit: str
    limits: tuple[float, ...] = ()
    verdict: str = ""
    cranking: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class Turned:
    """The latest burst of the starter: how long, how fast and whether the engine caught, as far as that is known."""

    seconds: float
    rpm: float | None = None
    caught: bool | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Glance:
    """What a page shows beside the words of the moment; all of it empty where only words are shown.

    `answers`: the phrases of `can_say` that move the job on; `examples`: those among it that only show how to say a
    reading, a code or words of one's own. `passes`: whether these pass a caution or a question of
    safety. `takes`: what may be given letter by letter: reading, codes or words; empty for nothing. `unit`: of the
    reading. `clock`: what the count-down counts: action, rest or wait. `place`: procedure and step. `path`: what was
    done so far, oldest first. `odds`: fault and probability, likeliest first. `reason`: the next test and why.
    `sure`: how sure we were of what was heard; None where that is no question. `places`: tests that may be gone to by
    name now, as that is said. `dangers`: how the words begin that say what of car and bay forbids work.
    """

    answers: tuple[str, ...] = ()
    examples: tuple[str, ...] = ()
    passes: bool = False
    takes: str = ""
    unit: str = ""
    clock: str = ""
    place: tuple[str, str] = ("", "")
    path: tuple[str, ...] = ()
    gauges: tuple[Gauge, ...] = ()
    turned: Turned | None = None
    odds: tuple[tuple[str, float], ...] = ()
    reason: str = ""
    sure: float | None = None
    places: tuple[str, ...] = ()
    dangers: tuple[str, ...] = ()


NO_GLANCE = Glance()
"""Where only words are shown."""


@dataclass(frozen=True, slots=True, kw_only=True)
class View:
    """One picture of where the job stands.

    `instruction`: the words that are largest: what to do now, or the caution or question that comes before it.
    `said` and `heard` stay until the next turn; `turn` counts the turns, so that who prints knows what is new.
    `keys`: each key that does something now with the phrase that it stands for; empty where there are none.
    `notices`: short sentences that hold at the moment beside what was said: that speech was not understood, that the
    microphone gives no sound, that the machine is slow; most often none.
    `bay`: what is so of car and bay, in a few words each: key on, vapour about for 3 min.
    `speaking`: whether our voice still sounds, or is about to. `asked`: counts the questions asked, so that a tap tells
    which one it answers. `glance`: what a page shows besides.
    """

    job: str
    title: str
    step: str
    mode: str
    instruction: str
    caution_signal: str | None
    caution: str | None
    said: tuple[str, ...]
    can_say: tuple[str, ...]
    heard: str | None
    countdown_s: float | None
    open_items: tuple[str, ...]
    level_db: float | None = None
    turn: int = 0
    keys: tuple[tuple[str, str], ...] = ()
    notices: tuple[str, ...] = ()
    bay: tuple[str, ...] = ()
    speaking: bool = False
    asked: int = 0
    glance: Glance = NO_GLANCE
