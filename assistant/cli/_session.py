"""What `start` and `resume` share: the options of a session, and running it to its end."""

from __future__ import annotations

import shlex
import sys
from collections.abc import Callable
from pathlib import Path
from typing import Any

import click

from assistant.cli import _options
from assistant.cli._signals import Ended
from assistant.errors import UsageError
from assistant.language.manner import Manner
from assistant.language.signals import Signal
from assistant.wiring import Session, Wishes, open_session
from assistant.wiring.live import read_say
from assistant.wiring.voices import NATURAL, VOICES

ENGINES = ("auto", "vosk", "embedded")
ALL = "all"


def session_options(command: Callable[..., Any]) -> Callable[..., Any]:
    """How the session hears, speaks and traces."""
    options = (
        click.option(
            "--hear", default="microphone", metavar="microphone|typed|wav:FILE|phone", help="Where words come from."
        ),
        click.option("--say", metavar="speaker|silent|wav:FILE|phone|both", help="Where speech goes."),
        click.option(
            "--voice", type=click.Choice(VOICES), default=NATURAL, help="Who speaks; plain is pyttsx3's voice."
        ),
        click.option(
            "--speak",
            type=click.Choice([each.value for each in Manner]),
            help="How much is said: full at first, brief by voice after three jobs kept here.",
        ),
        click.option("--cut-in", is_flag=True, help="An answer said over a prompt ends it and is asked about."),
        click.option("--knock", is_flag=True, help="Two knocks on the microphone stop, too."),
        click.option(
            "--no-tone",
            multiple=True,
            type=click.Choice([*(each.value for each in Signal), ALL]),
            help="Leave out a tone that stands for words, or all; may be given again.",
        ),
        click.option("--early-tone", is_flag=True, help="A soft tone once you fall silent, before it is worked out."),
        _options.microphone,
        _options.speaker,
        click.option("--engine", type=click.Choice(ENGINES), default="auto", help="The recogniser."),
        click.option(
            "--attention", default="", metavar="WORD", help="Must be said before each command but stop; off by default."
        ),
        click.option("--keep-sound", is_flag=True, help="Keep the sound of what you say with the job; off by default."),
        click.option(
            "--profile", metavar="NAME", help="The learnt voice to hear with, or none; the last used by default."
        ),
        click.option("--models", type=click.Path(path_type=Path), metavar="DIR", help="Where fetched models lie."),
        click.option("--screen", is_flag=True, help="Serve the page to glance at, on this machine alone."),
        _options.screen_port,
        click.option("--phone", is_flag=True, help="Let a phone in, as microphone, speaker and screen; see its page."),
        click.option("--phone-address", metavar="ADDRESS", help="This machine's address in the phone's network."),
        click.option(
            "--phone-port", type=click.IntRange(1, 65_535), metavar="PORT", help="Where the phone asks; 4664 if free."
        ),
        click.option(
            "--trace", type=click.Path(path_type=Path), metavar="FILE", help="Write every turn to FILE as JSON lines."
        ),
    )
    for option in reversed(options):
        command = option(command)
    return command


def read_wishes(
    *,
    hear: str,
    say: str | None,
    voice: str,
    engine: str,
    models: Path | None,
    trace: Path | None,
    attention: str,
    keep_sound: bool,
    microphone: str | None,
    speaker: str | None,
    profile: str | None,
    screen: bool,
    screen_port: int | None,
    speak: str | None,
    cut_in: bool,
    knock: bool,
    no_tone: tuple[str, ...],
    early_tone: bool,
    phone: bool,
    phone_address: str | None,
    phone_port: int | None,
) -> Wishes:
    """The options as one value. Raises UsageError for a way to hear that there is not, or a device not used."""
    kind, _, file = hear.partition(":")
    if hear not in ("microphone", "typed", "phone") and not (kind == "wav" and file):
        raise UsageError(f"--hear takes microphone, typed or wav:FILE, or with --phone also phone, not '{hear}'.")
    if not phone and (hear == "phone" or say in ("phone", "both") or phone_address or phone_port):
        raise UsageError("A phone is let in only with --phone.")
    if phone and kind == "wav":
        raise UsageError("--phone goes with --hear microphone, phone or typed.")
    if phone and hear == "typed" and say in ("phone", "both"):
        raise UsageError("In a typed session the phone is a screen alone.")
    if knock and hear == "typed":
        raise UsageError("--knock listens for knocks on the microphone; a typed session has none.")
    if keep_sound and hear == "typed":
        raise UsageError("--keep-sound keeps the sound of speech; a typed session has none.")
    if microphone is not None and hear != "microphone":
        raise UsageError(f"--microphone goes with --hear microphone, not with --hear {hear}.")
    if speaker is not None and read_say(say, hear) != "speaker":
        raise UsageError("--speaker goes with --say speaker; this session does not speak through one.")
    if screen_port is not None and not (screen or phone):
        raise UsageError("--screen-port goes with --screen.")
    without = set(Signal if ALL in no_tone else map(Signal, no_tone))
    if not early_tone:
        without.add(Signal.HEARD)  # what it costs hearing is not measured
    return Wishes(
        hear=hear,
        say=say,
        voice=voice,
        engine=engine,
        models=models,
        trace=trace,
        attention=attention,
        keep_sound=keep_sound,
        microphone=_options.chosen_device(microphone),
        speaker=_options.chosen_device(speaker),
        profile=profile,
        screen=screen or phone,
        screen_port=screen_port,
        manner=Manner(speak) if speak else None,
        cut_in=cut_in,
        knock=knock,
        without_tones=frozenset(without),
        phone=phone,
        phone_address=phone_address,
        phone_port=phone_port,
    )


def run_session(wishes: Wishes, data: Path | None, open_job: Callable[[Session], None]) -> None:
    """Make a session, open its job, and lead it to the end of the job or of what is heard; nothing where none was
    opened."""
    opened: Session | None = None
    try:
        with open_session(wishes, data, sys.stdin, sys.stdout) as session:
            open_job(session)
            if not session.job:
                return
            opened = session
            if session.page:
                click.echo(f"The page is at {session.page}", err=True)
            if wishes.phone:
                click.echo(f"To let a phone in: {session.page}phone", err=True)
            if not session.fills_terminal:
                _tell_how_to_go_on(session, "open", data)
            session.run()
    except (KeyboardInterrupt, Ended):
        if opened is not None and opened.open:
            _tell_how_to_go_on(opened, "kept", data)
        raise
    if opened is not None and opened.fills_terminal and opened.open:
        _tell_how_to_go_on(opened, "kept", data)


def _tell_how_to_go_on(session: Session, how: str, data: Path | None) -> None:
    folder = "" if data is None else f" --data {shlex.quote(str(data))}"
    quoted = f"'{session.job}'" if "'" not in session.job else shlex.quote(session.job)
    click.echo(f"Job {quoted} is {how}. To go on later: hoodside resume {quoted}{folder}", err=True)
