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
    on_slow: Callable[[SetupError], None] | None = None,
) -> Synthesiser:
    """The voice of that name, loaded when it first speaks; it remembers what it said. It raises SetupError when it
    first cannot speak.

    `on_change`: told once where the plain voice must stand in for the natural one. `throat`: as HibariSynthesiser has
    it. `plain`: the eSpeak NG voice of the plain one. `on_slow`: told of a sentence that takes long; where it is given
    a voice that hangs is given up.
    """
    from assistant.adapters.synthesiser_pyttsx3 import Pyttsx3Synthesiser  # sound is loaded only where there is some
    from assistant.adapters.synthesiser_remembering import RememberingSynthesiser

    second = _watched(Pyttsx3Synthesiser(voice=plain), on_slow)
    if voice == PLAIN:
        return RememberingSynthesiser(second)
    from assistant.adapters.synthesiser_fallback import FallbackSynthesiser  # as above
    from assistant.adapters.synthesiser_hibari import HibariSynthesiser

    first = _watched(HibariSynthesiser(throat=throat), on_slow)
    return RememberingSynthesiser(FallbackSynthesiser(first, second, on_change=lambda why: on_change(_told(why))))


def _watched(synthesiser: Synthesiser, on_slow: Callable[[SetupError], None] | None) -> Synthesiser:
    if on_slow is None:
        return synthesiser
    from assistant.adapters.synthesiser_watched import WatchedSynthesiser  # as above

    return WatchedSynthesiser(synthesiser, on_slow=on_slow)


def begin_to_load(voice: str) -> None:
    """Load what that voice needs, in the background, so that its first sentence waits less. For when the ears are
    there: beside them it would hold them up."""
    if voice == NATURAL:
        from assistant.adapters.synthesiser_hibari import HibariSynthesiser  # as above

        HibariSynthesiser().warm()


def _told(why: SetupError) -> SetupError:
    return SetupError(f"{why}. The plain voice speaks instead.")
