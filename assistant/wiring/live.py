"""The ears, the mouth and the screen of a session."""

from __future__ import annotations

import sys
from pathlib import Path
from typing import TextIO

from rich.console import Console

from assistant.adapters.microphone_wav import WavMicrophone
from assistant.adapters.portaudio import SounddeviceMicrophone, SounddeviceSpeaker
from assistant.adapters.screen_plain import PlainScreen
from assistant.adapters.screen_terminal import TerminalScreen
from assistant.adapters.speaker_wav import WavSpeaker
from assistant.adapters.synthesiser_pyttsx3 import Pyttsx3Synthesiser
from assistant.adapters.voice_silent import SilentVoice
from assistant.adapters.voice_spoken import SpokenVoice
from assistant.errors import DeviceLost, UsageError
from assistant.ports import Screen, Speaker, Voice
from assistant.session.live import Ears
from assistant.wiring.engines import make_recogniser

SILENT = "silent"


def read_say(say: str | None, hear: str) -> str:
    """Where speech goes: `speaker`, `silent` or `wav:FILE`; a speaker unless told where a microphone is heard.

    Raises UsageError for anything else.
    """
    chosen = say or ("speaker" if hear == "microphone" else SILENT)
    kind, _, file = chosen.partition(":")
    if chosen not in ("speaker", SILENT) and not (kind == "wav" and file):
        raise UsageError(f"--say takes speaker, silent or wav:FILE, not '{chosen}'.")
    return chosen


def open_speaker(say: str, device: int | str | None = None) -> Speaker | None:
    """The speaker or the sound file, None for silence. Raises SetupError without PortAudio or device, UsageError."""
    if say == SILENT:
        return None
    return SounddeviceSpeaker(device=device) if say == "speaker" else WavSpeaker(Path(say.partition(":")[2]))


def make_voice(speaker: Speaker | None) -> Voice:
    """The voice that speaks through it; a file is written at once, since nobody waits for it."""
    if speaker is None:
        return SilentVoice()
    live = isinstance(speaker, SounddeviceSpeaker)
    return SpokenVoice(synthesiser=Pyttsx3Synthesiser(), speaker=speaker, threaded=live, on_lost=_tell)


def open_ears(
    hear: str, engine: str, models: Path | None, speaker: Speaker | None, device: int | str | None = None
) -> Ears | None:
    """What listens, or None where lines are typed. Raises SetupError for a missing model, PortAudio or microphone."""
    if hear == "typed":
        return None
    if hear != "microphone":
        microphone: SounddeviceMicrophone | WavMicrophone = WavMicrophone(Path(hear.partition(":")[2]))
    else:
        played = speaker.played if isinstance(speaker, SounddeviceSpeaker) else None
        microphone = SounddeviceMicrophone(device=device, played=played)
    try:
        return Ears(microphone=microphone, recogniser=make_recogniser(engine, models))
    except BaseException:
        microphone.close()
        raise


def make_screen(shown: TextIO, *, heard: bool) -> Screen:
    """The whole terminal for a session by voice, where there is one; plain lines elsewhere."""
    if heard and shown.isatty():
        return TerminalScreen(Console(file=shown))
    return PlainScreen(shown, show_heard=heard)


def _tell(lost: DeviceLost) -> None:
    sys.stderr.write(f"hoodside: {lost} I wait for it.\n")
