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
    `sure`: how sure we were of what was heard; None where that is no question.
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


NO_GLANCE = Glance()
"""Where only words are shown."""
