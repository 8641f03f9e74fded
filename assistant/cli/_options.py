"""Options that several commands share, and what their values mean."""

from __future__ import annotations

from pathlib import Path

import click

from assistant.errors import UsageError

LONGEST_VALUE = 200

data = click.option(
    "--data",
    type=click.Path(path_type=Path, file_okay=False),
    metavar="DIR",
    help="Where records are kept; the user's data folder unless given.",
)
vehicle = click.option(
    "--vehicle",
    multiple=True,
    metavar="KEY=VALUE",
    help="A vehicle fact that need not be asked, a limit of this vehicle by its id, or vin, plate, mileage …",
)

microphone = click.option(
    "--microphone", metavar="DEVICE", help="Number or name of the microphone, as hoodside devices lists it."
)
speaker = click.option(
    "--speaker", metavar="DEVICE", help="Number or name of the speaker, as hoodside devices lists it."
)
screen_port = click.option(
    "--screen-port", type=click.IntRange(1, 65_535), metavar="PORT", help="Where the page is served; 4663 if free."
)


def chosen_device(device: str | None) -> int | str | None:
    """The device as PortAudio takes it: by number, or by name or a part of it; None for the one preferred."""
    return int(device) if device is not None and device.isdecimal() else device


def short(key: str, value: str) -> str:
    """The value, if it may stand on a record. Raises UsageError: too long, or with signs that cannot be seen."""
    if len(value) > LONGEST_VALUE or not value.isprintable():
        raise UsageError(f"--{key} has at most {LONGEST_VALUE} characters that can be seen.")
    return value
