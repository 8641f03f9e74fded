"""`hoodside devices --check`: listens to the shop, asks for a few words, tells how well it hears."""

from __future__ import annotations

import json
import time
from collections.abc import Callable
from contextlib import ExitStack, closing
from dataclasses import asdict
from pathlib import Path

import click
import numpy as np
from numpy.typing import NDArray

from assistant.adapters.microphone_wav import read_sound
from assistant.adapters.portaudio import SounddeviceMicrophone
from assistant.errors import DeviceLost, SetupError, UsageError
from assistant.hearing.exposure import exposure_sentences
from assistant.hearing.shop import ShopCheck, check_shop
from assistant.language.speech import Sentence
from assistant.ports import SAMPLE_RATE_HZ, Microphone, Voice
from assistant.record.wording import fitted
from assistant.wiring.live import make_voice, open_speaker, tell
from assistant.wiring.voices import NATURAL

Pcm = NDArray[np.int16]
Tell = Callable[[str], None]

LISTENING = "I listen to the shop. Please say nothing for a moment."
SPEAK_NOW = "Now speak as you will at the car. Say: no spark, ready, stop."
SPEECH_S = 6.0
WAIT_S = 0.5
PATIENCE_S = 5.0
"""Some devices need a second or two before the first sound comes."""

SETTLE_S = 0.4
"""Our own last word is still in the room."""


def check_live(
    device: int | str | None, noise_s: float, *, silent: bool, dba: float | None = None, as_json: bool
) -> int:
    """Spoken and shown; exit code 1 where a job cannot be led by voice. Raises SetupError without a microphone.

    `dba`: what a sound level meter shows in the shop, where there is one.
    """
    with ExitStack() as stack:
        microphone = stack.enter_context(closing(SounddeviceMicrophone(device=device)))
        voice = None if silent else _voice(stack)

        def tell(text: str) -> None:
            click.echo(fitted(text), err=as_json)
            _speak(voice, text, microphone)

        tell(LISTENING)
        noise = record(microphone, noise_s)
        tell(SPEAK_NOW)
        found = check_shop(noise, record(microphone, SPEECH_S))
        return report(found, tell, dba=dba, as_json=as_json)


def check_file(path: Path, noise_s: float, *, dba: float | None = None, as_json: bool) -> int:
    """The same of a sound file: its first `noise_s` seconds are the shop, the rest is speech. Raises UsageError."""
    pcm = read_sound(path)
    frames = round(noise_s * SAMPLE_RATE_HZ)
    if not 0 < frames < len(pcm):
        raise UsageError(f"'{path}' must last longer than the {noise_s:g} seconds of noise that --seconds asks for.")
    found = check_shop(pcm[:frames], pcm[frames:])
    return report(found, lambda text: click.echo(fitted(text)), dba=dba, as_json=as_json)


def report(found: ShopCheck, tell: Tell, *, dba: float | None = None, as_json: bool) -> int:
    """What was found, sentence by sentence or as one JSON value; the exit code."""
    sentences = (*found.sentences(), *(exposure_sentences(dba) if dba is not None else ()))
    if as_json:
        click.echo(json.dumps(asdict(found) | {"usable": found.usable, "dba": dba, "sentences": sentences}))
    else:
        for sentence in sentences:
            tell(sentence)
    return 0 if found.usable else 1


def record(microphone: Microphone, seconds: float, now_s: Callable[[], float] = time.monotonic) -> Pcm:
    """So many seconds of sound from now on. Raises SetupError when the microphone gives nothing at all."""
    frames, heard = round(seconds * SAMPLE_RATE_HZ), [np.zeros(0, np.int16)]
    ends_s = now_s() + seconds + PATIENCE_S
    while frames > 0 and now_s() < ends_s:
        block = microphone.read(WAIT_S)
        if block is not None:
            heard.append(block.pcm)
            frames -= block.pcm.size
    pcm = np.concatenate(heard)
    if not pcm.size:
        raise SetupError("The microphone gives no sound. Is it connected, and may this program use it?")
    return pcm


def _voice(stack: ExitStack) -> Voice | None:
    """The voice, or None where nothing can be heard of it: what is shown is enough then."""
    try:
        return stack.enter_context(closing(make_voice(open_speaker("speaker"), NATURAL, tell)))
    except SetupError as error:
        click.echo(f"hoodside: {error}", err=True)
        return None


def _speak(voice: Voice | None, text: str, microphone: Microphone) -> None:
    """Speak to the end while the microphone's blocks are let go, so that our own words are not measured."""
    if voice is None:
        return
    try:
        voice.say((Sentence(text=text),))
    except DeviceLost as lost:
        click.echo(f"hoodside: {lost}", err=True)
        return
    ends_s = None
    while ends_s is None or time.monotonic() < ends_s:
        microphone.read(WAIT_S)
        if ends_s is None and not voice.speaking:
            ends_s = time.monotonic() + SETTLE_S
