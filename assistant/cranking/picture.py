"""A drawing of a burst: how loud it was, where the starter turned, how fast, and where the engine caught. Pure SVG."""

from __future__ import annotations

from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from assistant.cranking.levels import HOP, LEVEL_RATE_HZ, levels_of
from assistant.cranking.model import Burst, Hearing
from assistant.cranking.rate import Curve, speed_track

_WIDE, _LEFT, _RIGHT = 900, 84, 24
_TOP, _ENVELOPE, _GAP, _SPEED, _FOOT = 44, 130, 46, 120, 46
_HIGH = _TOP + _ENVELOPE + _GAP + _SPEED + _FOOT
_INK, _FAINT, _BURST, _LINE, _CAUGHT = "#222222", "#8a8a8a", "#f2d9a6", "#1f5a96", "#1b7a3d"


def draw(pcm: NDArray[np.int16], hearing: Hearing, cylinders: int | None = None) -> str:
    """The picture as SVG text. `pcm`: int16, mono, (frames,), 16 000 Hz, what `hearing` was heard in.

    Speed is in rpm when the number of cylinders is known, else in pulses a second.
    """
    seconds = max(len(pcm) / 16_000, 0.1)
    parts = [_frame(seconds, hearing)]
    parts += [_burst_box(burst, seconds) for burst in hearing.bursts]
    parts.append(_envelope(pcm, seconds))
    parts += _speed(pcm, hearing, seconds, cylinders)
    parts += [_caught(burst, seconds) for burst in hearing.bursts if burst.caught]
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {_WIDE} {_HIGH}" width="{_WIDE}" height="{_HIGH}" '
        f'font-family="sans-serif" font-size="13" role="img">\n' + "\n".join(parts) + "\n</svg>\n"
    )


def _x(at_s: float, seconds: float) -> float:
    return _LEFT + (_WIDE - _LEFT - _RIGHT) * min(max(at_s / seconds, 0.0), 1.0)


def _text(x: float, y: float, words: str, *, anchor: str = "start", ink: str = _INK) -> str:
    return f'<text x="{x:.1f}" y="{y:.1f}" text-anchor="{anchor}" fill="{ink}">{words}</text>'


def _frame(seconds: float, hearing: Hearing) -> str:
    count = len(hearing.bursts)
    title = "No cranking heard" if not count else f"{count} burst{'s' * (count != 1)} of the starter"
    parts = [f"<title>{title}</title>", f'<rect width="{_WIDE}" height="{_HIGH}" fill="#ffffff"/>']
    parts.append(f'<g font-size="15" font-weight="bold">{_text(_LEFT, 24, title)}</g>')
    step = next(one for one in (0.5, 1, 2, 5, 10, 30, 60, 300, 1800) if seconds / one <= 16 or one == 1800)
    bottom = _HIGH - _FOOT
    for n in range(int(seconds / step) + 1):
        x = _x(n * step, seconds)
        parts.append(f'<path d="M{x:.1f} {_TOP}V{bottom}" stroke="#e4e4e4"/>')
        parts.append(_text(x, bottom + 18, f"{n * step:g}", anchor="middle", ink=_FAINT))
    parts.append(_text(_WIDE - _RIGHT, bottom + 36, "seconds", anchor="end", ink=_FAINT))
    return "\n".join(parts)


def _burst_box(burst: Burst, seconds: float) -> str:
    left, right = _x(burst.start_s, seconds), _x(burst.end_s, seconds)
    words = f"{burst.end_s - burst.start_s:.1f} s"
    return (
        f'<rect x="{left:.1f}" y="{_TOP}" width="{right - left:.1f}" height="{_HIGH - _FOOT - _TOP}" fill="{_BURST}" '
        f'fill-opacity="0.6"/>' + _text((left + right) / 2, _TOP - 6, words, anchor="middle")
    )


def _envelope(pcm: NDArray[np.int16], seconds: float) -> str:
    columns = min(600, max(1, len(pcm) // HOP))
    edges = np.linspace(0, len(pcm), columns + 1).astype(int)
    loud = [float(np.sqrt(np.mean(pcm[a:b].astype(np.float64) ** 2))) if b > a else 0.0 for a, b in pairwise(edges)]
    level = np.clip((20 * np.log10(np.maximum(loud, 1.0) / 32768) + 70) / 70, 0, 1)
    bottom = _TOP + _ENVELOPE
    points = " ".join(
        f"{_x((n + 0.5) * seconds / columns, seconds):.1f},{bottom - one * _ENVELOPE:.1f}"
        for n, one in enumerate(level)
    )
    return (
        f'<polyline points="{points}" fill="none" stroke="{_INK}" stroke-width="1"/>'
        + _text(_LEFT - 8, _TOP + 10, "loudness", anchor="end", ink=_FAINT)
        + f'<path d="M{_LEFT} {bottom}H{_WIDE - _RIGHT}" stroke="{_FAINT}"/>'
    )


def _speed(pcm: NDArray[np.int16], hearing: Hearing, seconds: float, cylinders: int | None) -> list[str]:
    top, bottom = _TOP + _ENVELOPE + _GAP, _HIGH - _FOOT
    parts = [f'<path d="M{_LEFT} {bottom}H{_WIDE - _RIGHT}" stroke="{_FAINT}"/>']
    unit, factor = ("rpm", 120 / cylinders) if cylinders else ("pulses/s", 1.0)
    tracks: list[tuple[Curve, Curve]] = []
    for burst in hearing.bursts:
        if burst.pulse_hz is not None:
            first, last = int(burst.start_s * LEVEL_RATE_HZ), int(burst.end_s * LEVEL_RATE_HZ)
            levels = levels_of(pcm[first * HOP : last * HOP])
            at, hz = speed_track(levels, burst.pulse_hz)
            tracks.append((burst.start_s + at / LEVEL_RATE_HZ, hz * factor))
    parts.append(_text(_LEFT - 8, top + 10, unit, anchor="end", ink=_FAINT))
    if not tracks:
        return parts
    most = max(float(speed.max()) for _, speed in tracks) * 1.25
    for at_s, speed in tracks:
        points = " ".join(
            f"{_x(float(a), seconds):.1f},{bottom - float(v) / most * (bottom - top):.1f}"
            for a, v in zip(at_s, speed, strict=True)
        )
        parts.append(f'<polyline points="{points}" fill="none" stroke="{_LINE}" stroke-width="2"/>')
        mean = float(speed.mean())
        where = bottom - mean / most * (bottom - top) - 8
        places = 0 if cylinders else 1
        middle = _x(float(at_s[len(at_s) // 2]), seconds)
        parts.append(_text(middle, where, f"{mean:.{places}f} {unit}", anchor="middle", ink=_LINE))
    return parts


def _caught(burst: Burst, seconds: float) -> str:
    x = _x(burst.end_s, seconds)
    ran = "" if burst.run_s is None else f", ran {burst.run_s:.1f} s"
    anchor = "end" if x > _WIDE * 0.7 else "start"
    return (
        f'<path d="M{x:.1f} {_TOP}V{_HIGH - _FOOT}" stroke="{_CAUGHT}" stroke-width="2" stroke-dasharray="5 3"/>'
        + _text(x + (-6 if anchor == "end" else 6), _TOP + _ENVELOPE + 20, f"caught{ran}", anchor=anchor, ink=_CAUGHT)
    )
