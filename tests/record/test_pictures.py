"""Where the pictures of a record put their lines and names: read out of the drawing itself."""

from __future__ import annotations

import string
from collections.abc import Callable
from itertools import pairwise
from pathlib import Path
from xml.etree import ElementTree as ET

import matplotlib
import pytest
from fontTools.ttLib import TTFont

from assistant.facts import FactKind
from assistant.record.build import build_record
from assistant.record.pdf import FAMILY as PAPER_FAMILY
from assistant.record.pictures import draw_pictures
from assistant.record.pictures.canvas import AMBER, WIDTH, Canvas
from tests.record.paper_jobs import JOBS, record_of
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


Measure = Callable[..., float]


@pytest.fixture(scope="module")
def pixels() -> Measure:
    """How wide words stand in DejaVu Sans, the widest letters that browsers are known to take here."""
    folder = Path(matplotlib.get_data_path()) / "fonts/ttf"
    fonts = {bold: TTFont(folder / f"DejaVuSans{'-Bold' * bold}.ttf") for bold in (False, True)}

    def measure(words: str, size: float, bold: bool = False) -> float:
        glyphs, widths = fonts[bold].getBestCmap(), fonts[bold]["hmtx"]
        ems = sum(widths[glyphs.get(ord(letter), ".notdef")][0] for letter in words) / fonts[bold]["head"].unitsPerEm
        return size * ems

    return measure


def lines_of(svg: str, pixels: Measure) -> list[tuple[float, float, float, str]]:
    """Each piece of level words: its line, where it begins and ends, and itself."""
    found = []
    for each in ET.fromstring(svg).iter():
        if each.tag.endswith("text") and not each.get("transform"):
            words = "".join(each.itertext())
            wide = pixels(words, float(each.get("font-size") or 0), each.get("font-weight") == "bold")
            before = {"start": 0.0, "middle": wide / 2, "end": wide}[each.get("text-anchor") or ""]
            begins = float(each.get("x") or 0) - before
            found.append((float(each.get("y") or 0), begins, begins + wide, words))
    return sorted(found)


FAMILY = "system-ui, sans-serif"


@pytest.mark.parametrize("name", sorted(JOBS))
def test_no_words_leave_the_picture_or_run_into_others(name: str, pixels: Measure) -> None:
    """In the widest letters too: names are cut by how wide they are, and the times below stand apart."""
    for picture in draw_pictures(record_of(name), FAMILY).values():
        placed = lines_of(picture.svg, pixels)
        for _, begins, ends, words in placed:
            assert begins >= -0.5 and ends <= WIDTH + 0.5, (picture.name, words)
        for one, other in pairwise(placed):
            assert one[0] != other[0] or one[2] <= other[1], (picture.name, one[3], other[3])


@pytest.mark.parametrize(
    "words",
    [
        "Do you hear the pump hum at the rear seat?",
        "WWWWWWWWWWWW mmmmmmmm",
        "illicit lilli, it is still, " * 2,
        "é" * 40,
    ],
)
def test_a_name_is_cut_by_its_width_and_no_shorter_than_needed(words: str, pixels: Measure) -> None:
    """Narrow letters leave room for more of them; what fits stays whole; narrower letters of paper take more."""
    canvas = Canvas(100, "", FAMILY)
    for room in (40.0, 90.0, 140.0):
        kept = canvas.cut(words, room)
        assert pixels(kept, 11) <= room and kept.endswith("…") and words.startswith(kept[:-1])
        assert pixels(kept[:-1], 11) * 1.25 + 2 * 11 >= room, "two more letters would have stood there"
        assert len(Canvas(100, "", PAPER_FAMILY).cut(words, room)) >= len(kept)
    assert canvas.cut(words, pixels(words, 11) * 1.3) == words
    assert canvas.cut("", 40.0) == ""
    for letter in string.printable.strip():
        assert canvas.cut(letter * 20, pixels(letter * 20, 11) - 0.1) != letter * 20, f"{letter} is wider than believed"


def test_letters_of_other_scripts_are_not_taken_for_narrow_ones() -> None:
    """A sign of Chinese takes a whole em."""
    assert Canvas(100, "", FAMILY).cut("汽车修理工" * 5, 66.0) == "汽车修理工"[:5] + "…"
