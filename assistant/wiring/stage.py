"""What the rehearsal needs of this machine: voices without a sound device, the time of day."""

from __future__ import annotations

import sys
from datetime import datetime

from assistant.adapters.voice_spoken import SpokenVoice
from assistant.errors import SetupError
from assistant.ports import Speaker, Synthesiser, Voice
from assistant.wiring.voices import make_synthesiser

TECHNICIANS_THROAT = 1.18
"""How much larger than the assistant's: about what parts men's voices from women's, so that the two are told apart."""


def technicians_synthesiser() -> Synthesiser:
    """The voice of the made-up technician. It raises SetupError when it first cannot speak."""
    return make_synthesiser(on_change=_tell, throat=TECHNICIANS_THROAT, plain="gmw/en-us+m3")


def speak_through(speaker: Speaker) -> Voice:
    """The assistant's voice, rendered at once into a speaker of the caller's."""
    return SpokenVoice(synthesiser=make_synthesiser(on_change=_tell), speaker=speaker, threaded=False)


def local_time(when: datetime) -> datetime:
    """The time of day where this machine stands."""
    return when.astimezone()


def _tell(why: SetupError) -> None:
    sys.stderr.write(f"hoodside: {why}\n")
