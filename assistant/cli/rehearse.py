"""`hoodside rehearse`: the demo that needs no sound hardware.

The first lines are printed before what it needs is loaded, which takes seconds.
"""

from __future__ import annotations

import sys
from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING

import click

from assistant.cli._time_left import TimeLeft

if TYPE_CHECKING:
    from assistant.ports import Recogniser
    from assistant.rehearsal.cars import MadeUpCar
    from assistant.rehearsal.play import Exchange
    from assistant.rehearsal.run import Alter, Outcome

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
    cars, minutes = ("one made-up car", "about half a minute") if fast else ("two made-up cars", "one to three minutes")
    click.echo(f"Rehearsal: {cars}, a made-up technician's voice, the noise of a made-up shop.", err=True)
    click.echo(f"It takes {minutes} and leaves its sound, records and reports in {out}.", err=True)
    click.echo("Ctrl-C ends it. Loading the recogniser …", err=True)
    from assistant.rehearsal.cars import DEAD_PUMP, EMPTY_TANK  # noqa: PLC0415 - see above

    return play_cars(procedure, (EMPTY_TANK,) if fast else (EMPTY_TANK, DEAD_PUMP), out)


def play_cars(procedure: str, cars: Sequence[MadeUpCar], out: Path, *, alter: Alter | None = None) -> int:
    """Rehearse each car in a folder of its own; the exit code, 1 when one record is not what was said."""
    from assistant.rehearsal.ahead import things_to_say  # noqa: PLC0415 - see above
    from assistant.rehearsal.run import plan_adviser  # noqa: PLC0415 - see above
    from assistant.wiring import load_library, make_recogniser  # noqa: PLC0415 - see above

    procedure_id, library = load_library(procedure)
    ahead = [(car, plan_adviser(procedure_id, procedure, library) if car.led else None) for car in cars]
    left = TimeLeft(sum(things_to_say(library, procedure_id, *each) for each in ahead), sys.stderr)
    recogniser = make_recogniser("embedded")
    try:
        right = [_play(procedure, car, out / car.name, recogniser, left=left, alter=alter) for car in cars]
    finally:
        left.clear()
        recogniser.close()
    return 0 if all(right) else DIFFERENT


def _play(
    procedure: str, car: MadeUpCar, out: Path, recogniser: Recogniser, *, left: TimeLeft, alter: Alter | None
) -> bool:
    from assistant.record.wording import fitted  # noqa: PLC0415 - see above
    from assistant.rehearsal.run import SNR_DB, rehearse  # noqa: PLC0415 - see above

    def tell(exchange: Exchange) -> None:
        left.clear()
        click.echo("\n".join(fitted(line) for line in _lines(exchange)))
        left.step()

    click.echo(fitted(f"{car.story} Shop noise {SNR_DB:g} dB below the voice."))
    outcome = rehearse(procedure, car, out, recogniser, tell, alter=alter)
    left.clear()
    again = sum(exchange.heard != exchange.meant for exchange in outcome.exchanges)
    took = sorted(exchange.took_ms for exchange in outcome.exchanges)
    told = (
        f"{len(outcome.exchanges)} things said in {outcome.sound_s / 60:.1f} minutes of sound, "
        f"{again} not heard as said; half took at most {took[len(took) // 2]:.0f} ms of work."
    )
    click.echo(fitted(told))
    for difference in outcome.differences:
        click.echo(fitted(f"Different: {difference}."))
    for one in outcome.dictated:
        right = f"{one.wrong} of {len(one.said.split())} words wrong" if one.wrong else "word for word"
        proofed = "" if one.proofed else ", not proofed"
        click.echo(fitted(f"Dictated: said {one.said!r}, kept {one.kept!r}: {right}{proofed}."))
    click.echo(fitted(_sum(outcome)))
    click.echo(f"Finding: {car.finding}.\nListen: {out / 'session.wav'}\nSee:    {out / 'report.html'}")
    return not outcome.differences


def _sum(outcome: Outcome) -> str:
    """The last word on the record: no surer than it is."""
    if outcome.differences:
        return "The record differs from what was said."
    unread = sum(not one.proofed for one in outcome.dictated)
    if not unread:
        return "The record is what was said."
    return f"The record holds what was said; {unread} dictated text{'s are' if unread > 1 else ' is'} not proofed."


def _lines(exchange: Exchange) -> tuple[str, ...]:
    """What was said, and a second line where something else was heard, or nothing."""
    minutes, seconds = divmod(int(exchange.at_s), 60)
    begin = f"{minutes:3d}:{seconds:02d}  {exchange.procedure}/{exchange.step:<14}  {exchange.meant!r}"
    if exchange.heard == exchange.meant:
        return (f"  {begin} ({exchange.confidence:.2f})",)
    heard = "asked again" if exchange.heard is None else f"heard {exchange.heard!r} ({exchange.confidence:.2f})"
    return f"! {begin}", f"!         {heard}"
