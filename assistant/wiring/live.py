"""The ears, the mouth and the screen of a session."""

from __future__ import annotations

import sys
from collections.abc import Callable, Sequence
from pathlib import Path
from typing import TextIO

from assistant.adapters.screen_plain import PlainScreen
from assistant.adapters.voice_silent import SilentVoice
from assistant.errors import DeviceLost, HoodsideError, SetupError, UsageError
from assistant.hearing.correction import Correction
from assistant.ports import Keys, Microphone, Recogniser, Screen, Speaker, Voice
from assistant.session.keys import KEYS
from assistant.session.live import Ears
from assistant.wiring.phone import Phone

SILENT = "silent"
PHONES = ("phone", "both")
"""Ways to speak for which there must be a phone: on it alone while it is here, or on this machine as well."""


def read_say(say: str | None, hear: str) -> str:
    """Where speech goes: `speaker`, `silent`, `wav:FILE`, `phone` or `both`; a speaker unless told where a
    microphone is heard.

    Raises UsageError for anything else.
    """
    chosen = say or ("speaker" if hear == "microphone" else SILENT)
    kind, _, file = chosen.partition(":")
    if chosen not in ("speaker", SILENT, *PHONES) and not (kind == "wav" and file):
        raise UsageError(f"--say takes speaker, silent or wav:FILE, with --phone phone or both, not '{chosen}'.")
    return chosen


def open_speaker(say: str, device: int | str | None = None) -> Speaker | None:
    """The speaker or the sound file, None for silence. Raises SetupError without PortAudio or device, UsageError."""
    if say == SILENT:
        return None
    if say == "speaker":
        from assistant.adapters.portaudio import SounddeviceSpeaker  # sound is loaded only where there is some

        return SounddeviceSpeaker(device=device)
    from assistant.adapters.speaker_wav import WavSpeaker  # as above

    return WavSpeaker(Path(say.partition(":")[2]))


def make_voice(speaker: Speaker | None, voice: str, tell: Callable[[HoodsideError], None]) -> Voice:
    """The voice that speaks through it; a file is written at once, since nobody waits for it.

    `voice`: one of `voices.VOICES`. `tell`: told on the voice's thread each time the speaker goes away, and once when
    another voice must speak than the one wished for.
    """
    if speaker is None:
        return SilentVoice()
    from assistant.adapters.speaker_wav import WavSpeaker  # as above
    from assistant.adapters.voice_spoken import SpokenVoice
    from assistant.wiring.voices import make_synthesiser

    if isinstance(speaker, WavSpeaker):
        return SpokenVoice(synthesiser=make_synthesiser(voice, tell), speaker=speaker, threaded=False, on_lost=tell)

    def tell_slow(why: SetupError) -> None:
        spoken.sound_trouble()
        tell(why)

    spoken = SpokenVoice(
        synthesiser=make_synthesiser(voice, tell, on_slow=tell_slow), speaker=speaker, threaded=True, on_lost=tell
    )
    return spoken


def open_ears(
    hear: str, engine: str, models: Path | None, speaker: Speaker | None, device: int | str | None = None,
    *, own_voice: Callable[[], Sequence[Correction]] = tuple, phone: Phone | None = None,
) -> Ears | None:  # fmt: skip
    """What listens, or None where lines are typed. `own_voice`: as `make_recogniser` takes it. `phone`: that may
    come as well.

    Raises SetupError for a missing model, PortAudio or microphone.
    """
    if hear == "typed":
        return None
    from assistant.adapters.microphone_wav import WavMicrophone  # as above
    from assistant.adapters.portaudio import SounddeviceMicrophone, SounddeviceSpeaker
    from assistant.wiring.engines import make_recogniser

    if phone is not None:
        microphone: Microphone = phone.microphone(hear, device)
    elif hear != "microphone":
        microphone = WavMicrophone(Path(hear.partition(":")[2]))
    else:
        played = speaker.played if isinstance(speaker, SounddeviceSpeaker) else None
        microphone = SounddeviceMicrophone(device=device, played=played)
    try:
        recogniser: Recogniser
        if not isinstance(microphone, WavMicrophone):
            from assistant.adapters.recogniser_watched import WatchedRecogniser  # as above

            recogniser = WatchedRecogniser(lambda: make_recogniser(engine, models, own_voice))
        else:
            recogniser = make_recogniser(engine, models, own_voice)
        return Ears(microphone=microphone, recogniser=recogniser)
    except BaseException:
        microphone.close()
        raise


def fills_terminal(shown: TextIO, *, heard: bool) -> bool:
    """Whether the whole terminal is the screen: for a session by voice, where there is one."""
    return heard and shown.isatty()


def make_screen(shown: TextIO, *, heard: bool) -> Screen:
    """The whole terminal for a session by voice, where there is one; plain lines elsewhere."""
    if fills_terminal(shown, heard=heard):
        from rich.console import Console  # a typed session prints lines

        from assistant.adapters.screen_terminal import TerminalScreen

        return TerminalScreen(Console(file=shown))
    return PlainScreen(shown, show_heard=heard)


def make_keys(typed: TextIO) -> Keys | None:
    """The keys of the terminal; None where there is none, or none that gives them one by one."""
    try:
        from assistant.adapters.keys_terminal import TerminalKeys

        return TerminalKeys(typed, KEYS) if typed.isatty() else None
    except SetupError:
        return None


def tell(wrong: HoodsideError) -> None:
    """Print that the speaker went away or another voice speaks, where no screen can show it."""
    waits = " I wait for it." if isinstance(wrong, DeviceLost) else ""
    sys.stderr.write(f"hoodside: {wrong}{waits}\n")
