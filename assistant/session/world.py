"""Lines of a typed session that stand for the world: `@wait`, `@crank`, `@unclear`."""

from __future__ import annotations

import math
from dataclasses import dataclass

from assistant.language.model import BurstHeard

LONGEST_WAIT_S = 30 * 24 * 3600.0
LONGEST_BURST_S = 600.0
FASTEST_RPM = 10_000.0

HELP = "I know @wait SECONDS, @crank SECONDS rpm=N caught=yes or no run_s=SECONDS, and @unclear."


@dataclass(frozen=True, slots=True, kw_only=True)
class Wait:
    """So many seconds pass."""

    seconds: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Crank:
    """The ear hears this burst, from its beginning to its end."""

    burst: BurstHeard


@dataclass(frozen=True, slots=True, kw_only=True)
class NotUnderstood:
    """Speech that was not understood."""


class WorldLine(ValueError):
    """A line that begins with @ and says nothing of the world; the message is one clear sentence."""


def parse_world(line: str) -> Wait | Crank | NotUnderstood:
    """What a line beginning with @ stands for. Raises WorldLine."""
    name, *parts = line[1:].split()[:20] or [""]
    if name == "unclear" and not parts:
        return NotUnderstood()
    if name == "wait" and len(parts) == 1:
        return Wait(seconds=_number(parts[0], "@wait", "seconds", least=0.0, most=LONGEST_WAIT_S))
    if name == "crank" and parts:
        return Crank(burst=_burst(parts))
    raise WorldLine(f"I do not understand '{_short(line)}': {HELP}")


def _burst(parts: list[str]) -> BurstHeard:
    seconds = _number(parts[0], "@crank", "seconds", least=0.05, most=LONGEST_BURST_S)
    rpm, caught, run_s = None, None, None
    for part in parts[1:]:
        name, _, value = part.partition("=")
        if name == "rpm":
            rpm = _number(value, "@crank", "rpm", least=0.0, most=FASTEST_RPM)
        elif name == "run_s":
            run_s = _number(value, "@crank", "run_s", least=0.0, most=LONGEST_WAIT_S)
        elif name == "caught" and value in ("yes", "no", "unknown"):
            caught = {"yes": True, "no": False}.get(value)
        else:
            raise WorldLine(f"@crank does not know '{_short(part)}': {HELP}")
    return BurstHeard(seconds=seconds, rpm=rpm, caught=caught, run_s=run_s)


def _number(text: str, line: str, name: str, *, least: float, most: float) -> float:
    try:
        value = float(text)
    except ValueError:
        value = math.nan
    if not least <= value <= most:  # NaN fails this too
        raise WorldLine(f"{line} needs {name} from {least:g} to {most:g}, not '{_short(text)}'.")
    return value


def _short(text: str) -> str:
    return text if len(text) <= 40 else f"{text[:40]}…"
