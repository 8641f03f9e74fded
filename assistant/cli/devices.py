"""`hoodside devices`: microphones and speakers, and how loud it is at the microphone."""

from __future__ import annotations

import json
import time
from collections.abc import Callable, Iterator
from contextlib import closing, contextmanager
from dataclasses import asdict
from pathlib import Path

import click
import numpy as np
from rich.console import Console
from rich.live import Live
from rich.text import Text

from assistant.adapters.portaudio import SoundDevice, SounddeviceMicrophone, list_devices
from assistant.adapters.voice_profiles import VoiceProfiles
from assistant.cli import _options
from assistant.cli._shop_check import check_file, check_live
from assistant.errors import SetupError, UsageError
from assistant.hearing.level import SILENCE_DBFS, peak_dbfs, rms_dbfs
from assistant.ports import SAMPLE_RATE_HZ, Microphone
from assistant.record.wording import fitted
from assistant.wiring.profiles import voice_profiles

_CELLS = 40
_QUIETEST_DBFS = -72.0
_LEAST_NOISE_S = 1.0
_WAIT_S = 0.5
_PATIENCE_S = 5.0
"""Some devices need a second or two before the first sound comes."""


@click.command("devices", epilog="Example: hoodside devices --check")
@click.option("--seconds", type=click.FloatRange(0, 3600), default=3.0, show_default=True, help="How long to meter.")
@click.option("--check", is_flag=True, help="Listen to the shop, ask you to speak, tell how well you are heard.")
@click.option("--silent", is_flag=True, help="With --check: show what is asked, do not speak it.")
@click.option(
    "--wav",
    type=click.Path(path_type=Path),
    metavar="FILE",
    help="With --check: a recording in place of the microphone; its first --seconds are the shop, then speech.",
)
@click.option(
    "--dba",
    type=click.FloatRange(30, 140),
    metavar="LEVEL",
    help="With --check: what a sound level meter shows in the shop, A-weighted; tells how long that may be borne.",
)
@click.option("--learn", metavar="NAME", help="Learn your voice from a minute of reading, and keep it by this name.")
@click.option(
    "--from",
    "folder",
    type=click.Path(path_type=Path, exists=True, file_okay=False),
    metavar="DIR",
    help="With --learn: WAV files in place of reading, each named by its words: '07 no-spark.wav'.",
)
@click.option("--yes", is_flag=True, help="With --learn: keep what is better without asking.")
@click.option("--profiles", "list_voices", is_flag=True, help="List the voices that are kept.")
@click.option("--forget-profile", metavar="NAME", help="Remove a voice.")
@click.option("--export-profile", metavar="NAME", help="Copy a voice to --out.")
@click.option("--out", type=click.Path(path_type=Path), metavar="FILE", help="With --export-profile: the file.")
@_options.data
@_options.microphone
@click.option("--json", "as_json", is_flag=True, help="JSON lines: each device, then the level.")
def command(
    *,
    seconds: float,
    check: bool,
    silent: bool,
    wav: Path | None,
    dba: float | None,
    learn: str | None,
    folder: Path | None,
    yes: bool,
    list_voices: bool,
    forget_profile: str | None,
    export_profile: str | None,
    out: Path | None,
    data: Path | None,
    microphone: str | None,
    as_json: bool,
) -> int:
    """List microphones and speakers (* marks those used unless told otherwise), then meter the microphone."""
    if (folder is not None or yes) and learn is None:
        raise UsageError("--from and --yes go with --learn.")
    if learn or list_voices or forget_profile or export_profile or out:
        voices = voice_profiles(data)
        if learn:
            from assistant.cli._learn import learn as learn_name  # noqa: PLC0415 - loads the network's runtime

            chosen = _options.chosen_device(microphone)
            return learn_name(learn, folder=folder, device=chosen, profiles=voices, yes=yes, as_json=as_json)
        return _voices(voices, forget_profile, export_profile, out, as_json=as_json)
    if wav is not None and not check:
        raise UsageError("--wav goes with --check.")
    if dba is not None and not check:
        raise UsageError("--dba goes with --check.")
    if check:
        if seconds < _LEAST_NOISE_S:
            raise UsageError(f"--check needs --seconds of {_LEAST_NOISE_S:g} at least, to know the shop.")
        if wav is not None:
            return check_file(wav, seconds, dba=dba, as_json=as_json)
        return check_live(_options.chosen_device(microphone), seconds, silent=silent, dba=dba, as_json=as_json)
    devices = list_devices()
    for device in devices:
        click.echo(json.dumps(asdict(device)) if as_json else fitted(_line(device)))
    if not any(device.inputs for device in devices):
        raise SetupError("There is no microphone. Connect one, or use --hear typed.")
    if seconds > 0:
        with closing(SounddeviceMicrophone(device=_options.chosen_device(microphone))) as opened, _needle() as show:
            level = meter(opened, seconds, show)
        click.echo(json.dumps(level) if as_json else fitted(_words(level)))
    return 0


def _voices(
    voices: VoiceProfiles, forgotten: str | None, exported: str | None, out: Path | None, *, as_json: bool
) -> int:
    """Remove or copy a voice; without either list them all."""
    if (out is None) != (exported is None):
        raise UsageError("--export-profile and --out go together.")
    if forgotten:
        voices.forget(forgotten)
    if exported and out is not None:
        voices.export(exported, out)
    for name in () if forgotten or exported else voices.names():
        click.echo(json.dumps({"name": name}) if as_json else name)
    return 0


def meter(
    microphone: Microphone, seconds: float, show: Callable[[float], None], now_s: Callable[[], float] = time.monotonic
) -> dict[str, float]:
    """Listen so long; gives seconds heard, mean and peak level in dBFS, and frames lost.

    `show` is told the mean level of each block. Raises SetupError when the microphone gives nothing at all.
    """
    heard, lost, frames = [np.zeros(0, dtype=np.int16)], 0, round(seconds * SAMPLE_RATE_HZ)
    ends_s = now_s() + seconds + _PATIENCE_S
    while frames > 0 and now_s() < ends_s:
        block = microphone.read(_WAIT_S)
        if block is not None:
            heard.append(block.pcm)
            frames -= block.pcm.size
            lost += block.lost_frames
            show(rms_dbfs(block.pcm))
    pcm = np.concatenate(heard)
    if not pcm.size:
        raise SetupError("The microphone gives no sound. Is it connected, and may this program use it?")
    return {
        "seconds": round(pcm.size / SAMPLE_RATE_HZ, 3),
        "rms_dbfs": round(rms_dbfs(pcm), 1),
        "peak_dbfs": round(peak_dbfs(pcm), 1),
        "lost_frames": lost,
    }


@contextmanager
def _needle() -> Iterator[Callable[[float], None]]:
    """A bar on the terminal that follows the level; nothing where there is no terminal."""
    with Live(console=Console(stderr=True), transient=True, refresh_per_second=15) as live:
        yield lambda level_dbfs: live.update(_bar(level_dbfs))


def _bar(level_dbfs: float) -> Text:
    filled = round(_CELLS * min(1.0, max(0.0, 1.0 - level_dbfs / _QUIETEST_DBFS)))
    return Text("█" * filled + "·" * (_CELLS - filled) + f" {level_dbfs:4.0f} dBFS")


def _line(device: SoundDevice) -> str:
    roles = [
        f"{'*' if preferred else ''}{role}"
        for role, channels, preferred in (
            ("microphone", device.inputs, device.preferred_input),
            ("speaker", device.outputs, device.preferred_output),
        )
        if channels
    ]
    return f"{device.number:3}  {device.name} ({device.system}, {device.rate_hz} Hz): {', '.join(roles)}"


def _words(level: dict[str, float]) -> str:
    if level["peak_dbfs"] <= SILENCE_DBFS:
        return "The microphone gives only silence: is it muted?"
    lost = f" {level['lost_frames']} frames were lost." if level["lost_frames"] else ""
    return (
        f"Over {level['seconds']:.1f} s the level was {level['rms_dbfs']:.0f} dBFS on average, "
        f"{level['peak_dbfs']:.0f} dBFS at its peak.{lost}"
    )
