"""`hoodside devices --learn`: a minute of reading, what it gains, and whether it is kept."""

from __future__ import annotations

import json
import re
from collections.abc import Callable, Sequence
from contextlib import closing
from pathlib import Path

import click

from assistant.adapters.microphone_wav import read_sound
from assistant.adapters.portaudio import SounddeviceMicrophone
from assistant.adapters.recogniser_embedded.files import find_network
from assistant.adapters.recogniser_embedded.network import Network
from assistant.adapters.recogniser_embedded.own_voice import TO_READ, OwnVoice, Take, learn_voice
from assistant.adapters.voice_profiles import PREFERRED, VoiceProfiles
from assistant.cli._shop_check import record
from assistant.errors import UsageError

READ_S = 1.6
"""For one word; for each further word half a second more."""

MOST_FILES = 500


def learn(
    name: str, *, folder: Path | None, device: int | str | None, profiles: VoiceProfiles, yes: bool, as_json: bool
) -> int:
    """Learn and, where it is better and wanted, keep the voice; exit code 1 where it is not kept."""
    profiles.check(name)
    takes = takes_of(folder) if folder is not None else takes_read(device)
    found = learn_voice(Network(find_network()), takes)
    keep = found.worth_keeping and (yes or as_json or click.confirm(sentence(found), err=True))
    if keep:
        profiles.keep(name, found.corrections)
        profiles.note_used(name, device_name(device))
    told = {"before": found.before, "now": found.now, "of": found.held_out, "misread": found.misread, "kept": keep}
    if as_json:
        click.echo(json.dumps({"name": name} | told))
    elif keep:
        click.echo(f"Before {found.before} of {found.held_out}, now {found.now} of {found.held_out}. Kept as '{name}'.")
    else:
        click.echo(f"Before {found.before} of {found.held_out}, now {found.now} of {found.held_out}. Not kept.")
    return 0 if keep else 1


def sentence(found: OwnVoice) -> str:
    """The question whether to keep it."""
    return f"Before {found.before} of {found.held_out}, now {found.now} of {found.held_out}. Keep it?"


def device_name(device: int | str | None) -> str:
    """What a device is called among the voices last used."""
    return PREFERRED if device is None else str(device)


def takes_of(folder: Path) -> list[Take]:
    """The recordings of a folder, each named by what is said in it: `07 twelve-point-four-volts.wav`. Raises UsageError
    where there are none."""
    paths = sorted(folder.glob("*.wav"))[:MOST_FILES]
    if not paths:
        raise UsageError(f"There is no WAV file in '{folder}'. Name them by their words: '07 no-spark.wav'.")
    return [Take(words=words_of(path.stem), pcm=read_sound(path)) for path in paths]


def words_of(stem: str) -> str:
    """The words that a file's name tells. Raises UsageError where it tells none."""
    words = re.sub(r"[^a-z']+", " ", re.sub(r"^\d+", "", stem).lower()).strip()
    if not words:
        raise UsageError(f"'{stem}.wav' does not tell what is said in it. Name it like '07 no-spark.wav'.")
    return words


def takes_read(device: int | str | None, show: Callable[[str], None] | None = None) -> Sequence[Take]:
    """What is read from the screen. Raises SetupError without a microphone."""
    tell = show or (lambda text: click.echo(text, err=True))
    takes = []
    with closing(SounddeviceMicrophone(device=device)) as microphone:
        tell("Read each line aloud as it comes, as you would at the car. It takes a minute.")
        record(microphone, 1.5)
        for words in TO_READ:
            tell(f"  {words}")
            takes.append(Take(words=words, pcm=record(microphone, READ_S + 0.5 * words.count(" "))))
    return takes
