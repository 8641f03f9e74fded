"""The voices that were learnt, and which of them a session hears with."""

from __future__ import annotations

import sys
from collections.abc import Sequence
from pathlib import Path

from assistant.adapters.voice_profiles import PREFERRED, VoiceProfiles
from assistant.errors import SetupError
from assistant.hearing.correction import Correction
from assistant.wiring.folders import data_folder
from assistant.wiring.wishes import Wishes

NONE = "none"
"""In place of a name: hear without any."""


def voice_profiles(data: Path | None) -> VoiceProfiles:
    """Those in the data folder. Raises RecordError when it cannot be made."""
    from assistant.adapters.recogniser_embedded.files import layers_digest  # what only hearing needs

    return VoiceProfiles(data_folder(data) / "voices", layers_digest())


def own_voice(name: str | None, device: int | str | None, data: Path | None) -> Sequence[Correction]:
    """The corrections of the voice of that name, which is from now on the one for the device; without a name of the one
    last used with it, if any.

    Raises UsageError and SetupError for a voice asked for; one that was only used last is left out with a word.
    """
    voices = voice_profiles(data)
    called = PREFERRED if device is None else str(device)
    if name == NONE:
        return ()
    if name is not None:
        found = voices.read(name)
        voices.note_used(name, called)
        return found
    last = voices.last_used(called)
    try:
        return voices.read(last) if last is not None else ()
    except SetupError as error:
        sys.stderr.write(f"hoodside: {error} Until then I hear without it.\n")
        return ()


def voice_wished(wishes: Wishes, data: Path | None) -> Sequence[Correction]:
    """Whose voice is heard; in a file nobody's but one that was asked for."""
    if wishes.hear != "microphone" and wishes.profile is None:
        return ()
    return own_voice(wishes.profile, wishes.microphone, data)
