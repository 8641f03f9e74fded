"""Picture of how the starter sounded: loudness, where it turned, how fast, and where the engine took over."""

from __future__ import annotations

from collections.abc import Sequence

from assistant.language.model import BurstSound
from assistant.record.model import Burst, JobRecord
from assistant.record.pictures.canvas import (
    AMBER,
    BLUE,
    FAINT,
    GREEN,
    INK,
    PANEL,
    WIDTH,
    Canvas,
    Picture,
    Place,
    Scale,
    parts,
)
from assistant.record.wording import amount

_LEFT, _RIGHT, _HIGH, _LOUD, _SPEED = 66, 16, 138, 52, 40


MOST_BURSTS = 4
"""In one picture."""


def starter_sound(record: JobRecord, family: str) -> tuple[Picture, ...]:
    """Every burst that an ear heard, several to a picture."""
    heard = [(number, one, one.sound) for number, one in enumerate(record.bursts, 1) if one.sound is not None]
    shown = [(number, one, sound) for number, one, sound in heard if sound.loud_db]
    return tuple(_heard(rows, place, family) for place, rows in parts(shown, MOST_BURSTS))


def _heard(shown: Sequence[tuple[int, Burst, BurstSound]], place: Place, family: str) -> Picture:
    alt = "How the starter sounded: " + "; ".join(_said(number, one) for number, one, _ in shown)
    canvas = Canvas(len(shown) * _HIGH + 6, alt, family)
    for row, (number, one, sound) in enumerate(shown):
        _burst(canvas, row * _HIGH, number, one, sound)
    first, last = shown[0][0], shown[-1][0]
    title = f"How the starter sounded{f', bursts {first} to {last}' if place.many else ''}"
    return Picture(name=f"starter-sound{place.after}", title=title, alt=alt, svg=canvas.svg())


def _burst(canvas: Canvas, top: float, number: int, one: Burst, sound: BurstSound) -> None:
    last_s = sound.step_s * len(sound.loud_db) - sound.before_s
    time = Scale(low=-sound.before_s, high=last_s, start=_LEFT, end=WIDTH - _RIGHT)
    low, high = min(sound.loud_db), max(sound.loud_db)
    loud = Scale(low=low - 2, high=max(high, low + 10) + 2, start=top + 20 + _LOUD, end=top + 20)
    bottom = top + 20 + _LOUD + 8 + _SPEED
    canvas.words(_LEFT, top + 13, f"burst {number}", bold=True)
    canvas.box(_LEFT, top + 20, WIDTH - _LEFT - _RIGHT, bottom - top - 20, fill=PANEL)
    canvas.box(time.at(0), top + 20, time.at(one.seconds) - time.at(0), bottom - top - 20, fill=AMBER, opacity=0.18)
    for tick in time.ticks(6):
        canvas.line(time.at(tick), top + 20, time.at(tick), bottom)
        canvas.words(time.at(tick), bottom + 13, amount(tick, "s"), size=11, fill=FAINT, anchor="middle")
    canvas.words(_LEFT - 8, top + 34, "loudness", size=11, fill=FAINT, anchor="end")
    canvas.path(
        [(time.at((at + 0.5) * sound.step_s - sound.before_s), loud.at(db)) for at, db in enumerate(sound.loud_db)],
        stroke=INK,
    )
    _speed(canvas, bottom, time, one, sound)
    if one.caught:
        x = time.at(one.seconds)
        canvas.line(x, top + 20, x, bottom, stroke=GREEN, width=2, dash="5 3")
        ran = "" if one.run_s is None else f", ran {amount(round(one.run_s, 1), 's')}"
        canvas.words(WIDTH - _RIGHT, top + 13, f"caught{ran}", fill=GREEN, anchor="end", bold=True)


def _speed(canvas: Canvas, bottom: float, time: Scale, one: Burst, sound: BurstSound) -> None:
    """Turns a minute where the cylinders are known, else compressions a second."""
    if not sound.pulses_hz:
        return
    mean_hz = sum(sound.pulses_hz) / len(sound.pulses_hz)
    factor, unit = (one.rpm / mean_hz, "rpm") if one.rpm and mean_hz else (1.0, "pulses/s")
    values = [hz * factor for hz in sound.pulses_hz]
    speed = Scale(low=0, high=max(values) * 1.25, start=bottom, end=bottom - _SPEED)
    canvas.words(_LEFT - 8, bottom - _SPEED + 12, unit, size=11, fill=FAINT, anchor="end")
    points = [(time.at(at_s), speed.at(value)) for at_s, value in zip(sound.speed_at_s, values, strict=False)]
    canvas.path(points, stroke=BLUE)
    said = amount(round(one.rpm) if one.rpm else round(mean_hz, 1), unit)
    canvas.words(points[len(points) // 2][0], bottom - 6, said, fill=BLUE, anchor="middle", bold=True)


def _said(number: int, one: Burst) -> str:
    speed = "" if one.rpm is None else f" at {one.rpm:.0f} rpm"
    caught = {True: "caught", False: "did not catch", None: "not sure whether it caught"}[one.caught]
    return f"burst {number} turned {amount(round(one.seconds, 1), 's')}{speed}, {caught}"
