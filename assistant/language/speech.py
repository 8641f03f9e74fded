"""What is said: sentences, tones and silences, in order. Shared by the guide, which words them, and the voices."""

from __future__ import annotations

from dataclasses import dataclass

TONE = "[tone]"
"""How a tone is written where what was said is read."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Tone:
    """A signal tone: `hz`, `seconds`, and its place in the spoken sequence is where it stands.

    `level`: 0 to 1, a share of the loudest tone.
    """

    hz: float
    seconds: float
    level: float = 1.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Pause:
    """Silence of that many seconds inside what is said."""

    seconds: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Sentence:
    """Words to speak. `kind` is for the screen and the trace: caution, instruction, prompt, readback, refusal, info."""

    text: str
    kind: str = "info"


Utterance = Sentence | Tone | Pause
