"""What the rehearsal needs of this machine: voices without a sound device, the time of day."""

from __future__ import annotations

from datetime import datetime

from assistant.adapters.synthesiser_pyttsx3 import Pyttsx3Synthesiser
from assistant.adapters.voice_spoken import SpokenVoice
from assistant.ports import Speaker, Synthesiser, Voice


def make_synthesiser(voice: str) -> Synthesiser:
    """A synthesiser with that eSpeak NG voice, e.g. `gmw/en-us+m3`. It raises SetupError when it first cannot speak."""
    return Pyttsx3Synthesiser(voice=voice)


def speak_through(speaker: Speaker) -> Voice:
    """The assistant's voice, rendered at once into a speaker of the caller's."""
    return SpokenVoice(synthesiser=Pyttsx3Synthesiser(), speaker=speaker, threaded=False)


def local_time(when: datetime) -> datetime:
    """The time of day where this machine stands."""
    return when.astimezone()
