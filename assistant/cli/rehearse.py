"""`hoodside rehearse`: the demo that needs no sound hardware."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

import click

from assistant.ports import Recogniser
from assistant.rehearsal.cars import DEAD_PUMP, EMPTY_TANK, MadeUpCar
from assistant.rehearsal.play import Exchange
from assistant.rehearsal.run import SNR_DB, Alter, Outcome, rehearse
from assistant.wiring import make_recogniser

DIFFERENT = 1
"""Exit code when the record is not what was said."""


@click.command(epilog="Example: hoodside rehearse --fast --out rehearsal")
@click.argument("procedure", default="no-start")
@click.option("--fast", is_flag=True, help="One made-up car with a short job, in place of two.")
@click.option(
    "--out",
    type=click.Path(path_type=Path, file_okay=False),
    default=Path("rehearsal"),
    show_default=True,
    help="The folder for the sound, the record and the report.",
)
def command(procedure: str, fast: bool, out: Path) -> int:
    """Let a made-up technician work on a made-up car, by voice, in the noise of a made-up shop.

    Only the noisy samples are heard, by the real recogniser. Prints what was said, what was heard and what was asked
    again; ends with 1 when the record is not what was said. All cars, voices and answers are invented.
    """
    return play_cars(procedure, (EMPTY_TANK,) if fast else (EMPTY_TANK, DEAD_PUMP), out)


def play_cars(procedure: str, cars: Sequence[MadeUpCar], out: Path, *, alter: Alter | None = None) -> int:
    """Rehearse each car in a folder of its own; the exit code, 1 when one record is not what was said."""
    recogniser = make_recogniser("embedded")
    try:
        right = [_play(procedure, car, out / car.name, recogniser, alter) for car in cars]
    finally:
        recogniser.close()
    return 0 if all(right) else DIFFERENT


def _play(procedure: str, car: MadeUpCar, out: Path, recogniser: Recogniser, alter: Alter | None) -> bool:
    click.echo(f"{car.story} Shop noise {SNR_DB:g} dB below the voice.")
    outcome = rehearse(procedure, car, out, recogniser, _tell, alter=alter)
    again = sum(exchange.heard != exchange.meant for exchange in outcome.exchanges)
    took = sorted(exchange.took_ms for exchange in outcome.exchanges)
    click.echo(
        f"{len(outcome.exchanges)} things said in {outcome.sound_s / 60:.1f} minutes of sound, "
        f"{again} not heard as said; half took at most {took[len(took) // 2]:.0f} ms of work."
    )
    for difference in outcome.differences:
        click.echo(f"Different: {difference}.")
    for one in outcome.dictated:
        right = f"{one.wrong} of {len(one.said.split())} words wrong" if one.wrong else "word for word"
        click.echo(f"Dictated: said {one.said!r}, kept {one.kept!r}: {right}{'' if one.proofed else ', not proofed'}.")
    click.echo(_sum(outcome))
    click.echo(f"Finding: {car.finding}. Listen to {out / 'session.wav'}; see {out / 'report.html'}.")
    return not outcome.differences


def _sum(outcome: Outcome) -> str:
    """The last word on the record: no surer than it is."""
    if outcome.differences:
        return "The record differs from what was said."
    unread = sum(not one.proofed for one in outcome.dictated)
    if not unread:
        return "The record is what was said."
    return f"The record holds what was said; {unread} dictated text{'s are' if unread > 1 else ' is'} not proofed."


def _tell(exchange: Exchange) -> None:
    heard = exchange.heard or "(asked again)"
    mark = " " if exchange.heard == exchange.meant else "!"
    minutes, seconds = divmod(int(exchange.at_s), 60)
    click.echo(
        f"{mark} {minutes:3d}:{seconds:02d}  {exchange.procedure}/{exchange.step:<18} "
        f"said {exchange.meant!r:<34} heard {heard!r} ({exchange.confidence:.2f})"
    )
