"""The drawing of a burst: what it shows lies where the numbers say."""

from __future__ import annotations

import re
from dataclasses import replace
from xml.etree import ElementTree

import numpy as np
import pytest

from assistant.cranking import picture as picture_
from assistant.cranking.model import Burst, Hearing
from assistant.cranking.picture import _frame, draw
from assistant.cranking.synthetic import CrankPlan, crank

SVG = "{http://www.w3.org/2000/svg}"
LEFT, RIGHT = 84.0, 876.0
"""Where the first and the last moment of the sound are drawn."""


def sound(seconds: float) -> np.ndarray:
    """Two seconds of nearly nothing, then a made-up burst of 4 cylinders at 200 rpm, then nearly nothing."""
    rng = np.random.default_rng(4)
    pcm = rng.normal(0, 3, int(seconds * 16_000))
    made = crank(CrankPlan(cylinders=4, rpm=200, burst_s=3.0), rng).samples[:48_000]
    pcm[32_000 : 32_000 + len(made)] += made * 4_000
    return pcm.astype(np.int16)


PCM = sound(8.0)
BURST = Burst(start_s=2.0, end_s=5.0, pulse_hz=6.67, caught=False)


def drawn(hearing: Hearing, cylinders: int | None = None, pcm: np.ndarray = PCM) -> ElementTree.Element:
    """The picture, read as XML."""
    return ElementTree.fromstring(draw(pcm, hearing, cylinders))


def words(picture: ElementTree.Element) -> list[str]:
    """All that is written in it."""
    return [text.text or "" for text in picture.iter(f"{SVG}text")]


def where(at_s: float, seconds: float = 8.0) -> float:
    """Where a moment is drawn."""
    return LEFT + (RIGHT - LEFT) * at_s / seconds


def boxes(picture: ElementTree.Element) -> list[tuple[float, float]]:
    """Left and right edge of each burst."""
    rects = [rect for rect in picture.iter(f"{SVG}rect") if rect.get("fill-opacity")]
    return [(float(rect.get("x", "")), float(rect.get("x", "")) + float(rect.get("width", ""))) for rect in rects]


def points(line: ElementTree.Element) -> np.ndarray:
    """The corners of a line."""
    return np.array([[float(part) for part in pair.split(",")] for pair in (line.get("points") or "").split()])


@pytest.mark.parametrize(
    ("bursts", "title"),
    [((), "No cranking heard"), ((BURST,), "1 burst of the starter"), ((BURST, BURST), "2 bursts of the starter")],
)
def test_the_title_counts(bursts, title) -> None:
    """As title, and written on top."""
    picture = drawn(Hearing(bursts=bursts, seconds=8.0))
    assert picture.findtext(f"{SVG}title") == title
    assert title in words(picture)


def test_a_burst_lies_where_it_was_heard() -> None:
    """Box, length and the axis of seconds share one scale."""
    later = replace(BURST, start_s=6.5, end_s=7.25)
    picture = drawn(Hearing(bursts=(BURST, later), seconds=8.0))
    found = [edge for box in boxes(picture) for edge in box]
    assert found == pytest.approx([where(at_s) for at_s in (2.0, 5.0, 6.5, 7.25)], abs=0.2)
    assert {"3.0 s", "0.8 s"} <= set(words(picture))
    seconds = {text.text: float(text.get("x", "")) for text in picture.iter(f"{SVG}text")}
    for mark in (0, 2, 5, 8):
        assert seconds[f"{mark}"] == pytest.approx(where(mark), abs=0.1)


def test_loud_is_high() -> None:
    """The line of loudness rises with the burst and falls with it."""
    picture = drawn(Hearing(bursts=(BURST,), seconds=8.0))
    line = points(next(picture.iter(f"{SVG}polyline")))
    within = (line[:, 0] > where(2.3)) & (line[:, 0] < where(4.7))
    outside = (line[:, 0] < where(1.9)) | (line[:, 0] > where(5.2))
    assert line[within, 1].max() < line[outside, 1].min()  # y points down
    assert line[:, 1].min() >= 44.0 and line[:, 1].max() <= 174.0


def test_speed_is_written_in_what_can_be_known() -> None:
    """Turns a minute where the cylinders are known, else pulses a second; made at 200 rpm, which sags up to a tenth."""
    hearing = Hearing(bursts=(BURST,), seconds=8.0)
    [rpm] = [float(one.split()[0]) for one in words(drawn(hearing, 4)) if re.fullmatch(r"\d+ rpm", one)]
    [hz] = [float(one.split()[0]) for one in words(drawn(hearing)) if re.fullmatch(r"[\d.]+ pulses/s", one)]
    assert rpm == pytest.approx(200, rel=0.1)
    assert hz == pytest.approx(rpm * 4 / 120, abs=0.1)
    speed = points(list(drawn(hearing, 4).iter(f"{SVG}polyline"))[1])
    assert where(2.0) <= speed[0, 0] and speed[-1, 0] <= where(5.0)
    assert speed[:, 1].min() >= 220.0 and speed[:, 1].max() <= 340.0


def test_no_speed_is_drawn_where_none_is_known() -> None:
    """Its axis stays."""
    picture = drawn(Hearing(bursts=(replace(BURST, pulse_hz=None),), seconds=8.0), 4)
    assert len(list(picture.iter(f"{SVG}polyline"))) == 1
    assert "rpm" in words(picture)


@pytest.mark.parametrize(
    ("end_s", "run_s", "said", "anchor"),
    [(3.0, 2.0, "caught, ran 2.0 s", "start"), (7.0, None, "caught", "end")],
)
def test_what_caught_is_marked_at_its_end(end_s, run_s, said, anchor) -> None:
    """The words stand inside the picture, on either side of the mark."""
    picture = drawn(Hearing(bursts=(replace(BURST, end_s=end_s, caught=True, run_s=run_s),), seconds=8.0))
    [text] = [text for text in picture.iter(f"{SVG}text") if (text.text or "").startswith("caught")]
    assert (text.text, text.get("text-anchor")) == (said, anchor)
    assert float(text.get("x", "")) == pytest.approx(where(end_s) + (6 if anchor == "start" else -6), abs=0.1)
    assert any(f"M{where(end_s):.1f} " in (path.get("d") or "") for path in picture.iter(f"{SVG}path"))


@pytest.mark.parametrize("frames", [0, 1, 127, 1_600])
def test_hardly_any_sound_is_still_a_picture(frames) -> None:
    """Nothing is divided by, and no corner leaves the paper."""
    picture = drawn(Hearing(), pcm=np.zeros(frames, np.int16))
    line = points(next(picture.iter(f"{SVG}polyline")))
    assert np.isfinite(line).all()
    assert line[:, 0].min() >= LEFT and line[:, 0].max() <= RIGHT


@pytest.mark.parametrize(
    ("seconds", "step"),
    [
        (0.1, 0.5), (8.0, 0.5), (8.1, 1), (16.0, 1), (16.1, 2), (32.1, 5), (80.1, 10), (160.1, 30), (480.1, 60),
        (960.1, 300), (4_800.1, 1_800), (90_000.0, 1_800),
    ],
)  # fmt: skip
def test_the_axis_has_sixteen_marks_at_most(seconds, step) -> None:
    """Each with its line from top to bottom and its second below; a day and more has as many as it takes."""
    frame = ElementTree.fromstring(f"<svg>{_frame(seconds, Hearing())}</svg>")
    marks = [text for text in frame.iter("text") if text.get("text-anchor") == "middle"]
    assert [float(mark.text or "") for mark in marks] == [step * n for n in range(int(seconds / step) + 1)]
    at = [float(mark.get("x", "")) for mark in marks]
    assert at == pytest.approx([where(step * n, seconds) for n in range(len(marks))], abs=0.06)
    assert {mark.get("y") for mark in marks} == {"358.0"}  # 18 below the axis at 340
    lines = [path.get("d") for path in frame.iter("path")]
    assert lines == [f"M{mark.get('x')} 44V340" for mark in marks]


def test_words_stand_beside_what_they_name() -> None:
    """Length in the midst above its box; units left of their axes; seconds at the right below."""
    picture = drawn(Hearing(bursts=(BURST,), seconds=8.0), 4)
    place = {text.text: (float(text.get("x", "")), float(text.get("y", "")), text.get("text-anchor")) for text in
             picture.iter(f"{SVG}text")}  # fmt: skip
    assert place["3.0 s"] == (pytest.approx(where(3.5), abs=0.1), 38.0, "middle")
    assert place["loudness"] == (76.0, 54.0, "end") and place["rpm"] == (76.0, 230.0, "end")
    assert place["seconds"] == (876.0, 376.0, "end") and place["1 burst of the starter"] == (84.0, 24.0, "start")
    [box] = [rect for rect in picture.iter(f"{SVG}rect") if rect.get("fill-opacity")]
    assert (box.get("y"), box.get("height")) == ("44", "296")
    axes = {path.get("d") for path in picture.iter(f"{SVG}path")}
    assert {"M84 174H876", "M84 340H876"} <= axes
    assert picture.get("viewBox") == "0 0 900 386" and (picture.get("width"), picture.get("height")) == ("900", "386")


@pytest.mark.parametrize(("value", "y"), [(0, 174.0), (10, 174.0), (3_277, 44 + 130 * 2 / 7), (32_767, 44.0)])
def test_loudness_is_drawn_in_decibels(value, y) -> None:
    """From 70 dB below full scale at the bottom to full scale at the top."""
    line = points(next(drawn(Hearing(), pcm=np.full(16_000, value, np.int16)).iter(f"{SVG}polyline")))
    assert line[:, 1] == pytest.approx(y, abs=0.1)
    assert len(line) == 125 and line[:, 0] == pytest.approx([where((n + 0.5) / 125, 1.0) for n in range(125)], abs=0.06)


def test_a_long_sound_has_six_hundred_points() -> None:
    """No more than can be seen."""
    assert len(points(next(drawn(Hearing(), pcm=np.zeros(100_000, np.int16)).iter(f"{SVG}polyline")))) == 600


def test_speed_is_drawn_up_to_a_quarter_above_the_quickest(monkeypatch: pytest.MonkeyPatch) -> None:
    """Where it was, each burst its own line, with its mean beside the middle of it."""
    monkeypatch.setattr(picture_, "speed_track", lambda *_: (np.array([50.0, 125.0, 200.0]), np.array([4.0, 8.0, 6.0])))
    picture = drawn(Hearing(bursts=(BURST, replace(BURST, start_s=5.5, end_s=7.5)), seconds=8.0), 4)
    lines = [points(line) for line in picture.iter(f"{SVG}polyline")][1:]
    for line, start_s in zip(lines, (2.0, 5.5), strict=True):
        assert line[:, 0] == pytest.approx([where(start_s + at) for at in (0.4, 1.0, 1.6)], abs=0.1)
        assert line[:, 1] == pytest.approx([340 - 120 * share for share in (0.4, 0.8, 0.6)], abs=0.1)
    said = [text for text in picture.iter(f"{SVG}text") if text.text == "180 rpm"]  # 6 pulses a second of 4 cylinders
    assert [float(text.get("x", "")) for text in said] == pytest.approx([where(3.0), where(6.5)], abs=0.1)
    assert {float(text.get("y", "")) for text in said} == {340 - 120 * 0.6 - 8}
    assert "6.0 pulses/s" in words(drawn(Hearing(bursts=(BURST,), seconds=8.0)))


def test_the_mark_of_an_engine_runs_from_top_to_bottom() -> None:
    """Its words on the other side from seven tenths of the width on."""
    for end_s, anchor in ((5.5, "start"), (5.6, "end")):
        picture = drawn(Hearing(bursts=(replace(BURST, start_s=1.0, end_s=end_s, caught=True),), seconds=8.0))
        [text] = [text for text in picture.iter(f"{SVG}text") if text.text == "caught"]
        assert (text.get("text-anchor"), text.get("y")) == (anchor, "194.0")
        assert f"M{where(end_s):.1f} 44V340" in {path.get("d") for path in picture.iter(f"{SVG}path")}
