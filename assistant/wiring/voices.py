"""Which voice speaks: the natural one, with the plain one behind it, or the plain one alone."""

from __future__ import annotations

from collections.abc import Callable
from typing import TYPE_CHECKING

from assistant.errors import SetupError

if TYPE_CHECKING:
    from assistant.ports import Synthesiser

NATURAL, PLAIN = "natural", "plain"
VOICES = (NATURAL, PLAIN)
"""By hibari-tts, and by pyttsx3: eSpeak NG on Linux, the system's own voice elsewhere."""


def make_synthesiser(
    voice: str = NATURAL,
    on_change: Callable[[SetupError], None] = lambda _why: None,
    *,
    throat: float = 1.0,
    plain: str = "gmw/en-us",
) -> Synthesiser:
    """The voice of that name, which begins to load at once. It raises SetupError when it first cannot speak.

    `on_change`: told once where the plain voice must stand in for the natural one. `throat`: as HibariSynthesiser has
    it. `plain`: the eSpeak NG voice of the plain one.
    """
    from assistant.adapters.synthesiser_pyttsx3 import Pyttsx3Synthesiser  # sound is loaded only where there is some

    second = Pyttsx3Synthesiser(voice=plain)
    if voice == PLAIN:
        return second
    from assistant.adapters.synthesiser_fallback import FallbackSynthesiser  # as above
    from assistant.adapters.synthesiser_hibari import HibariSynthesiser

    first = HibariSynthesiser(throat=throat)
    first.warm()
    return FallbackSynthesiser(first, second, on_change=lambda why: on_change(_told(why)))


def _told(why: SetupError) -> SetupError:
    return SetupError(f"{why}. The plain voice speaks instead.")
