"""Where the pictures of a record put their lines and names: read out of the drawing itself."""

from __future__ import annotations

from xml.etree import ElementTree as ET

import pytest

from assistant.facts import FactKind
from assistant.record.build import build_record
from assistant.record.pictures import draw_pictures
from assistant.record.pictures.canvas import AMBER
from tests.record.sample_job import PROCEDURES, Bench

Place = tuple[float, float]


def words_of(svg: str) -> dict[str, Place]:
    """Each piece of words with its place, across and down."""
    found = (each for each in ET.fromstring(svg).iter() if each.tag.endswith("text"))
    return {"".join(each.itertext()): (float(each.get("x") or 0), float(each.get("y") or 0)) for each in found}


def compression(floor: float, *values: float) -> str:
    """The picture of these cylinders, in psi, with a floor."""
    bench = Bench()
    bench.add(FactKind.JOB_STARTED)
    for number, value in enumerate(values, start=1):
        limits = {"at_least": {"limit": "floor", "value": floor, "unit": "psi"}}
        data = {"name": f"cylinder {number}", "quantity": "compression", "value": value, "unit": "psi"}
        bench.add(FactKind.READING_LOGGED, "x", {**data, "limits": limits})
    return draw_pictures(build_record(bench.entries(), {}), "serif")["compression"].svg


@pytest.mark.parametrize(
    ("floor", "beside"), [(60.0, None), (100.0, None), (116.0, 18.0), (120.0, 18.0), (124.0, -10.0), (150.0, None)]
)
def test_the_names_of_two_near_lines_do_not_cover_each_other(floor: float, beside: float | None) -> None:
    """The line at three quarters of the highest, and the floor: named on its own side of it where they are near."""
    told = words_of(compression(floor, 160.0, 150.0))
    line, named = told["75 % of highest"], told[f"floor {floor:.0f}"]
    at_floor = 190 - floor / (160.0 * 1.15) * (190 - 14)
    assert line[1] == pytest.approx(190 - 120.0 / (160.0 * 1.15) * (190 - 14) + 4, abs=0.1)
    assert named[1] == pytest.approx(at_floor + 4 if beside is None else line[1] - 4 + beside, abs=0.1)
    assert named[0] == line[0]


def test_a_cylinder_below_either_line_is_in_the_colour_of_warning() -> None:
    """Below the floor, or below its share of the highest; the value of a low one stands above its column."""
    for floor, values, warned in ((100.0, (160.0, 150.0), 0), (155.0, (160.0, 150.0), 1), (10.0, (160.0, 110.0), 1)):
        svg = compression(floor, *values)
        boxes = [each for each in ET.fromstring(svg).iter() if each.tag.endswith("rect") and each.get("fill") == AMBER]
        assert len(boxes) == warned
    told = words_of(compression(1.0, 160.0, 20.0, 40.0))
    feet = {value: 190 - value / (160.0 * 1.15) * (190 - 14) for value in (160.0, 20.0, 40.0)}
    shifts = {value: told[f"{value:g}"][1] - feet[value] for value in feet}
    assert shifts == pytest.approx({160.0: 17, 20.0: -6, 40.0: 17}, abs=0.1)


def test_the_length_of_a_burst_stands_behind_the_limit_that_it_nearly_reaches() -> None:
    """Else beside its own end; a speed that nobody heard is told so."""
    bench = Bench()
    bench.add(FactKind.JOB_STARTED)
    for start, seconds, rpm in ((0.0, 3.0, 180.0), (100.0, 9.9, None), (200.0, 14.8, 200.0)):
        bench.add(FactKind.BURST_ENDED, "spark-check", {"start_s": start, "end_s": start + seconds, "rpm": rpm})
    record = build_record(bench.entries(), PROCEDURES)
    told = words_of(draw_pictures(record, "serif")["bursts"].svg)
    scale = (196 - 54) / (record.duty.stop_limit_s * 1.05)
    ends = {seconds: 54 + seconds * scale for seconds in (3.0, 9.9, 14.8)}
    limits = [54 + each * scale for each in (record.duty.burst_limit_s, record.duty.stop_limit_s)]
    for seconds, end in ends.items():
        near = [each for each in limits if end < each]
        behind = max([end, *(each for each in near if each - end < 40)])
        assert told[f"{seconds:g} s"][0] == pytest.approx(behind + 6, abs=0.1), (seconds, limits)
    assert "not heard" in told and {"180", "200"} <= told.keys()


def test_the_battery_is_drawn_and_no_other_voltage() -> None:
    """What was struck is not; a value stands behind the bar of a limit that lies just above it."""
    bench = Bench()
    bench.add(FactKind.JOB_STARTED)
    for name, value, limit in (
        ("battery at rest", 12.5, 12.4),
        ("battery while cranking", 9.5, 9.6),
        ("battery later", 9.4, 12.4),
        ("sensor supply", 5.0, 4.9),
        ("battery again", 8.0, 9.6),
    ):
        limits = {"at_least": {"limit": "least", "value": limit, "unit": "V"}}
        data = {"name": name, "quantity": "voltage", "value": value, "unit": "V", "limits": limits}
        bench.add(FactKind.READING_LOGGED, "x", data)
    bench.add(FactKind.STRUCK, None, {"struck": "q7f3a1-6"})
    svg = draw_pictures(build_record(bench.entries(), {}), "serif")["battery"].svg
    told = [words for words in words_of(svg) if "battery" in words.lower() or "supply" in words.lower()]
    assert [words for words in told if words.startswith("battery")] == [
        "battery at rest", "battery while cranking", "battery later",
    ]  # fmt: skip
    assert not any("supply" in words or "again" in words for words in told)
    dots = [float(each.get("cx") or 0) for each in ET.fromstring(svg).iter() if each.tag.endswith("circle")]
    behind = [words_of(svg)[value][0] - dot for value, dot in zip(("12.5 V", "9.5 V", "9.4 V"), dots, strict=True)]
    per_volt = (dots[0] - dots[1]) / 3.0
    assert behind == pytest.approx([8.0, 8.0 + 0.1 * per_volt, 8.0], abs=0.2)
