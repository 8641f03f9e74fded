"""The picture of how the starter sounded, from what the ear kept of each burst."""

from __future__ import annotations

from dataclasses import replace
from xml.etree import ElementTree as ET

import pytest

from assistant.language.model import BurstSound
from assistant.record.model import JobRecord
from assistant.record.pictures import draw_pictures
from assistant.record.pictures.starter_sound import starter_sound

SOUND = BurstSound(
    before_s=1.0,
    step_s=0.1,
    loud_db=(-60.0,) * 10 + (-30.0,) * 30 + (-60.0,) * 10,
    speed_at_s=(0.5, 1.5, 2.5),
    pulses_hz=(6.2, 6.4, 6.3),
)


def heard(record: JobRecord, *, caught: bool) -> JobRecord:
    """The record with an ear's account of its last burst."""
    last = replace(record.bursts[-1], seconds=3.0, caught=caught, run_s=2.5 if caught else None, sound=SOUND)
    return replace(record, bursts=(*record.bursts[:-1], last))


def words(svg: str) -> list[str]:
    """Everything written in a picture."""
    return [each.text or "" for each in ET.fromstring(svg).iter() if each.text and each.tag.endswith("text")]


def test_loudness_speed_and_the_mark_where_the_engine_took_over(record):
    """Two lines, the burst's length as a band, the speed in rpm, and how long the engine ran."""
    (picture,) = starter_sound(heard(record, caught=True), "sans-serif")
    assert picture.svg.count("<polyline") == 2
    assert "caught, ran 2.5 s" in " ".join(words(picture.svg)).replace("\u00a0", " ")
    assert "rpm" in words(picture.svg)


def test_an_engine_that_caught_for_nobody_knows_how_long(record):
    """It is marked, and no time is made up."""
    seen = heard(record, caught=True)
    last = replace(seen.bursts[-1], run_s=None)
    (picture,) = starter_sound(replace(seen, bursts=(*seen.bursts[:-1], last)), "sans-serif")
    assert "caught" in words(picture.svg)


def test_no_mark_where_it_did_not_catch_and_no_picture_without_an_ear(record):
    """A burst that did not catch has no mark; bursts timed by tones leave no picture, and the report none."""
    (picture,) = starter_sound(heard(record, caught=False), "sans-serif")
    assert "caught" not in " ".join(words(picture.svg))
    assert starter_sound(record, "sans-serif") == ()
    assert "starter-sound" not in draw_pictures(record, "sans-serif")
    assert "starter-sound" in draw_pictures(heard(record, caught=True), "sans-serif")


def test_without_a_speed_the_loudness_is_drawn_alone(record):
    """Compressions a second where the cylinders are not known; no line where the ear found no rhythm at all."""
    heard_once = heard(record, caught=False)
    last = heard_once.bursts[-1]
    for change, lines, unit in (
        ({"rpm": None}, 2, "pulses/s"),
        ({"sound": replace(SOUND, pulses_hz=(), speed_at_s=())}, 1, None),
    ):
        shown = replace(heard_once, bursts=(*heard_once.bursts[:-1], replace(last, **change)))
        (picture,) = starter_sound(shown, "sans-serif")
        assert picture.svg.count("<polyline") == lines
        assert {"rpm", "pulses/s"} & set(words(picture.svg)) == ({unit} if unit else set())


def test_a_sound_that_hardly_changes_is_drawn_nearly_flat(record):
    """Over ten decibels at least, and two more at either end; a lively one fills the height that it has."""
    for db, height in ((-58.0, 52 * 2 / 14), (-50.0, 52 * 10 / 14), (-30.0, 52 * 30 / 34)):
        seen = heard(record, caught=False)
        sound = replace(SOUND, loud_db=(-60.0,) * 10 + (db,) * 30)
        last = replace(seen.bursts[-1], sound=sound)
        (picture,) = starter_sound(replace(seen, bursts=(*seen.bursts[:-1], last)), "sans-serif")
        line = next(each for each in ET.fromstring(picture.svg).iter() if each.tag.endswith("polyline"))
        down = [float(pair.split(",")[1]) for pair in (line.get("points") or "").split()]
        assert max(down) - min(down) == pytest.approx(height, abs=0.15)
