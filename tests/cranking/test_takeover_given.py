"""How surely an engine ran on after the starter, where loudness, beat and what turns on are given."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

import numpy as np
import pytest

from assistant.cranking import takeover
from assistant.cranking.edges import Frame
from assistant.cranking.firing import Beat
from assistant.cranking.levels import BANDS, HOP
from assistant.cranking.rate import Pulses
from assistant.cranking.reading import MOST_BY_ENGINE, Reading, Stage

START, STOP = 300, 700
EVEN = np.ones(BANDS)


def stage_of(*parts: tuple[int, float]) -> Stage:
    """Levels: before the starter, while it turns, and what follows, each so long and so loud."""
    levels = np.concatenate([np.full((count, BANDS), db, np.float32) for count, db in parts])
    return Stage(levels=levels, pcm=np.zeros(len(levels) * HOP, np.int16), known=None, cylinders=4)


def turned(strength: float = 0.5, hz: float = 6.0) -> Reading:
    """The starter, and nothing known of what follows."""
    pulses = Pulses(hz=hz, strength=strength, clear=0.3)
    return Reading(start=START, stop=STOP, pulses=pulses, weights=EVEN, score=0.5, rise_db=9.0, fall_db=9.0, votes={})


def followed(
    monkeypatch: pytest.MonkeyPatch,
    louder_db: float = 0.0,
    beat: float = 0.0,
    still: float = 0.12,
    *,
    beat_hz: float = 30.0,
    before: bool = False,
    long: int = 300,
    falls_db: float = 0.0,
    above_db: float = 15.0,
    case: Reading | None = None,
) -> Reading | None:
    """What is made of a sound so long and so much louder than the starter, that falls so much in its second half.

    `beat`: strength of its quick beat, `before`: which was there before. `still`: how strongly starter pulses go on.
    `above_db`: how far the starter stands above what was before.
    """
    half = long // 2
    first, rest_stop = -45.0 + louder_db + falls_db / 2, STOP + 12 + long + 6
    made = stage_of((START, -45.0 - above_db), (400, -45.0), (12 + half, first), (long - half + 6, first - falls_db))
    made._beats[STOP + 25, rest_stop - 6] = Beat(hz=beat_hz, strength=beat)
    made._beats[START - 250, START - 12] = Beat(hz=beat_hz, strength=0.12 if before else 0.1)
    monkeypatch.setattr(takeover, "_still", lambda *_: still)
    return takeover._with_engine(made, case or turned(), rest_stop)


@pytest.mark.parametrize(
    ("louder_db", "beat", "still", "ran"),
    [
        (0.0, 0.0, 0.12, 0.2),
        (3.0, 0.0, 0.12, 0.3),
        (-3.0, 0.0, 0.12, 0.1),
        (9.0, 0.0, 0.12, 0.4),  # louder by 6 dB says no more
        (-7.5, 0.0, 0.08, 0.1),  # nor softer
        (0.0, 0.0, 0.08, 0.3),
        (0.0, 0.0, 0.01, 0.35),
        (0.0, 0.0, 0.16, 0.1),
        (0.0, 0.0, 0.29, 0.0),
        (0.0, 0.06, 0.12, 0.2),  # from half the strength on by which an engine runs
        (0.0, 0.11, 0.12, 0.3),
        (0.0, 0.3, 0.12, 0.68),
        (0.0, 0.5, 0.12, 0.8),
        (6.0, 0.5, 0.01, 1.0),
        (-7.5, 0.31, 0.12, 0.6),  # a plain beat leaves no doubt
        (-7.5, 0.29, 0.12, 0.46),
        (-6.0, 0.34, 0.36, 0.6),
        (9.0, 0.5, 0.4, 0.5 + 0.1),
    ],
)
def test_loudness_beat_and_what_turns_on_say_how_surely(
    monkeypatch: pytest.MonkeyPatch, louder_db: float, beat: float, still: float, ran: float
) -> None:
    """Each up to a most; what an engine adds to the score or takes from it hangs on how surely it ran."""
    found = followed(monkeypatch, louder_db, beat, still)
    assert found is not None and found.rest_stop == STOP + 318
    assert found.ran == pytest.approx(ran, abs=1e-6)
    assert found.score == pytest.approx(0.5 + MOST_BY_ENGINE * (ran - 0.45) / 0.55, abs=1e-6)


@pytest.mark.parametrize(
    ("given", "runs"),
    [
        ({"louder_db": -7.9}, True), ({"louder_db": -8.1}, False), ({"louder_db": 13.9}, True),
        ({"louder_db": 14.1}, False),
        ({"still": 0.3}, True), ({"still": 0.31}, False),
        ({"still": 0.149, "case": turned(0.2)}, True), ({"still": 0.151, "case": turned(0.2)}, False),
        ({"still": 0.42, "beat": 0.31}, True), ({"still": 0.43, "beat": 0.31}, False),
        ({"still": 0.42, "beat": 0.31, "before": True}, False), ({"still": 0.42, "beat": 0.29}, False),
        ({"long": 40}, True), ({"long": 39}, False),
        ({"long": 149, "falls_db": 6.1}, False), ({"long": 149, "falls_db": 5.9}, True),
        ({"long": 150, "falls_db": 6.1}, True), ({"long": 149, "falls_db": -6.1}, True),
        ({"above_db": 1.6}, True), ({"above_db": 1.4}, False),
    ],
)  # fmt: skip
def test_what_cannot_be_an_engine_is_none(
    monkeypatch: pytest.MonkeyPatch, given: dict[str, Any], *, runs: bool
) -> None:
    """Far softer or louder than the starter, dying at once, hardly louder than before; or the starter turns on."""
    assert (followed(monkeypatch, **given) is not None) is runs


@pytest.mark.parametrize(
    ("beat_hz", "hz", "quick"), [(13.1, 6.0, True), (13.0, 6.0, False), (14.1, 10.0, True), (13.9, 10.0, False)]
)
def test_only_a_beat_quicker_than_the_starters_is_an_engines(
    monkeypatch: pytest.MonkeyPatch, beat_hz: float, hz: float, *, quick: bool
) -> None:
    """13 a second at least, and 1.4 times the starter's pulses."""
    found = followed(monkeypatch, beat=0.5, beat_hz=beat_hz, case=turned(hz=hz))
    assert found is not None and found.ran == pytest.approx(0.8 if quick else 0.2, abs=1e-6)


def test_with_too_little_before_it_nothing_is_held_against_that(monkeypatch: pytest.MonkeyPatch) -> None:
    """Less than a third of a second, beside the tenth next to the starter."""
    monkeypatch.setattr(takeover, "_still", lambda *_: 0.0)
    for before, runs in ((51, True), (52, False)):
        made = stage_of((before, -45.0), (400, -45.0), (318, -45.0))
        case = turned()
        moved = Reading(
            **{name: getattr(case, name) for name in Reading.__slots__} | {"start": before, "stop": before + 400}
        )
        assert (takeover._with_engine(made, moved, before + 718) is not None) is runs


@pytest.mark.parametrize(
    ("above_db", "long", "found"),
    [
        (10.0, 200, STOP + 12 + 204),  # down to 35 % of what it was, in a mean of a fifth of a second
        (3.0, 200, STOP + 12 + 200),  # down to 1.5 dB
        (1.4, 200, None),
        (10.0, 66, STOP + 12 + 70),
        (10.0, 65, None),
    ],
)
def test_an_engine_runs_as_long_as_it_is_heard_above_what_was_before(
    monkeypatch: pytest.MonkeyPatch, above_db: float, long: int, found: int | None
) -> None:
    """Half a second at least, from just after the starter on."""
    monkeypatch.setattr(takeover, "_with_engine", lambda _stage, _case, rest_stop: rest_stop)
    made = stage_of((START, -60.0), (412, -45.0), (long, -60.0 + above_db), (300, -60.0))
    assert takeover.engine_after(made, turned()) == found


def test_an_engine_that_goes_on_runs_to_the_end_of_the_sound(monkeypatch: pytest.MonkeyPatch) -> None:
    """Half a second after the starter is needed, and a third before it; another's that ran before is none of ours."""
    monkeypatch.setattr(takeover, "_with_engine", lambda _stage, _case, rest_stop: rest_stop)
    for after, found in ((82, STOP + 82), (81, None), (300, STOP + 300)):
        made = stage_of((START, -60.0), (400, -45.0), (after, -50.0))
        assert takeover.engine_after(made, turned()) == found
    made = stage_of((START, -60.0), (400, -45.0), (300, -50.0))
    made._beats[STOP + 25, STOP + 300] = made._beats[START - 250, START - 12] = Beat(hz=30.0, strength=0.2)
    assert takeover.engine_after(made, turned()) is None
    early = stage_of((51, -60.0), (649, -45.0), (300, -50.0))
    moved = Reading(**{name: getattr(turned(), name) for name in Reading.__slots__} | {"start": 51})
    assert takeover.engine_after(early, moved) is None
    early = stage_of((52, -60.0), (648, -45.0), (300, -50.0))
    moved = Reading(**{name: getattr(turned(), name) for name in Reading.__slots__} | {"start": 52})
    assert takeover.engine_after(early, moved) == STOP + 300


@pytest.mark.parametrize(
    ("long", "hz", "firsts", "width"),
    [
        (600, 6.0, [0, 95, 190, 285, 380], 190),
        (600, 2.0, [0, 125, 250], 250),
        (120, 6.0, [0], 120),
        (190, 6.0, [0], 190),
        (285, 6.0, [0, 95], 190),
    ],
)
def test_starter_pulses_are_looked_for_piece_by_piece(
    monkeypatch: pytest.MonkeyPatch, long: int, hz: float, firsts: Sequence[int], width: int
) -> None:
    """Four pulses in each, one and a half seconds at least, by halves; the better count: three of four are less."""
    looked = list[tuple[int, int]]()

    def likeness(swing: np.ndarray, *_: object, **__: object) -> float:
        looked.append((int(swing[0, 0]), len(swing)))
        return float(swing[0, 0])

    monkeypatch.setattr(takeover, "swings", lambda part: part)
    monkeypatch.setattr(takeover, "likeness", likeness)
    monkeypatch.setattr(takeover, "comb_at", lambda curve, _hz: curve)
    rest = np.arange(float(long))[:, None].repeat(BANDS, 1).astype(np.float32)
    still = takeover._still(stage_of((10, 0.0)), rest, turned(hz=hz))
    assert looked == [(first, width) for first in firsts]
    assert still == pytest.approx(float(np.quantile(firsts, 0.75)))


def test_a_split_tells_how_much_the_sound_changes_there(monkeypatch: pytest.MonkeyPatch) -> None:
    """Mean of the half of the bands that changed most, up or down, each side heard for a second at most."""
    given = list[tuple[Frame, bool]]()

    def measure(_stage: Stage, frame: Frame, *, split: bool) -> Reading:
        given.append((frame, split))
        return turned()

    monkeypatch.setattr(takeover, "measure", measure)
    monkeypatch.setattr(takeover, "_with_engine", lambda *_: None)
    monkeypatch.setattr(
        takeover.edges, "find_step", lambda _levels, _start, near, _stop, *, forward: near if forward else 0
    )
    made = stage_of((START, -60.0), (400, -45.0), (300, -45.0))
    made.levels[STOP:, : BANDS // 2] += np.where(np.arange(BANDS // 2) % 2, 6.0, -6.0)
    made.levels[: STOP - 100] += 50.0  # longer ago, and later, and right beside: all that does not count
    made.levels[STOP - 6 : STOP + 12] += 30.0
    made.levels[STOP + 112 :] += 50.0
    frame = Frame(start=START, stop=1000, weights=EVEN, broad=1.0, rise_db=9.0, fall_db=1.0)
    takeover.split(made, frame, STOP)
    [(first, split)] = given
    assert (first.start, first.stop, first.fall_db, first.rise_db, split) == (
        START,
        STOP,
        pytest.approx(6.0),
        9.0,
        True,
    )


@pytest.mark.parametrize(("louder_db", "cut"), [(-7.9, True), (-8.1, False), (3.0, True)])
def test_what_goes_on_and_is_no_engine_is_told_as_such(
    monkeypatch: pytest.MonkeyPatch, louder_db: float, *, cut: bool
) -> None:
    """Unless it is far softer than the starter; it speaks a little against a reading that does not explain it."""
    monkeypatch.setattr(takeover, "measure", lambda *_, **__: turned())
    monkeypatch.setattr(takeover, "_with_engine", lambda *_: None)
    monkeypatch.setattr(takeover.edges, "find_step", lambda _levels, _start, near, _stop, **_: near)
    made = stage_of((START, -60.0), (412, -45.0), (288, -45.0 + louder_db), (50, -10.0))
    frame = Frame(start=START, stop=1000, weights=EVEN, broad=1.0, rise_db=9.0, fall_db=1.0)
    found = takeover.split(made, frame, STOP)
    assert found is not None and (found.cut, found.score) == (cut, pytest.approx(0.3))


@pytest.mark.parametrize(
    ("asked", "found", "told"),
    [
        (340, 340, True), (339, 500, False), (930, 930, True), (931, 500, False),
        (500, 339, False), (500, 340, True), (500, 960, True), (500, 961, False),
    ],
)  # fmt: skip
def test_each_part_of_a_split_lasts_a_third_of_a_second(
    monkeypatch: pytest.MonkeyPatch, asked: int, found: int, *, told: bool
) -> None:
    """Where it was looked for, with half a second left for the engine, and where it was found."""
    monkeypatch.setattr(takeover, "measure", lambda *_, **__: turned())
    monkeypatch.setattr(takeover, "_with_engine", lambda *_: None)
    monkeypatch.setattr(takeover.edges, "find_step", lambda *_, **__: found)
    frame = Frame(start=START, stop=1000, weights=EVEN, broad=1.0, rise_db=9.0, fall_db=1.0)
    made = stage_of((START, -60.0), (700, -45.0), (50, -60.0))
    assert (takeover.split(made, frame, asked) is not None) is told
