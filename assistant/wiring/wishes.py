"""What the user wishes a session to be like."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

from assistant.language.manner import Manner
from assistant.language.signals import Signal
from assistant.wiring.voices import NATURAL


@dataclass(frozen=True, slots=True, kw_only=True)
class Wishes:
    """How a session hears, speaks and traces. `hear`: microphone, typed, wav:FILE. `say`: speaker, silent, wav:FILE.
    `attention`: what must be said before each command; empty for nothing. `keep_sound`: whether the sound of what is
    said is kept with the job. `voice`: natural or plain. `microphone`, `speaker`: number or name of the device; None
    for the one preferred. `profile`: the learnt voice to hear with, or none; None for the one last used with the
    microphone. `screen`: whether a page is served, at `screen_port`; None for the usual one. `phone`: whether a phone
    may be let in; `hear` is then microphone, typed or phone, and `say` phone, both, speaker or silent. `phone_address`,
    `phone_port`: where it asks; None for this machine's address in its network, and the usual port.
    `without_tones`: never sounded."""

    hear: str = "microphone"
    say: str | None = None
    engine: str = "auto"
    trace: Path | None = None
    models: Path | None = None
    attention: str = ""
    keep_sound: bool = False
    voice: str = NATURAL
    microphone: int | str | None = None
    speaker: int | str | None = None
    profile: str | None = None
    screen: bool = False
    screen_port: int | None = None
    manner: Manner | None = None
    cut_in: bool = False
    knock: bool = False
    without_tones: frozenset[Signal] = frozenset({Signal.HEARD})
    phone: bool = False
    phone_address: str | None = None
    phone_port: int | None = None
