"""The picture of a procedure holds all of it, readable and without overlap."""

from __future__ import annotations

import re
from dataclasses import replace
from itertools import pairwise
from pathlib import Path
from xml.etree import ElementTree

import pytest

from assistant.procedure.boxes import PAD, SMALL, box_of
from assistant.procedure.drawing import draw
from assistant.procedure.flow import ways_of
from assistant.procedure.lettering import text_width, wrap
from assistant.procedure.model import Kind, Procedure
from assistant.procedure.reader import read_procedure

SVG = "{http://www.w3.org/2000/svg}"


@pytest.fixture(scope="module")
def procedures(shipped: dict[str, str], every_kind: str) -> list[Procedure]:
    """All shipped procedures and the made-up one."""
    texts = {**shipped, "every-kind.yaml": every_kind}
    read = [read_procedure(path, text).procedure for path, text in texts.items()]
    return [procedure for procedure in read if procedure is not None]


def test_every_step_and_every_way_is_in_the_picture(procedures: list[Procedure]) -> None:
    """One box for each step; each way is a line or told as leading back."""
    for procedure in procedures:
        svg = draw(procedure)
        root = ElementTree.fromstring(svg)
        assert {part.get("data-step") for part in root.iter(f"{SVG}g")} >= {step.id for step in procedure.steps}
        lines = [
            (part.get("data-from"), part.get("data-to")) for part in root.iter(f"{SVG}path") if part.get("data-to")
        ]
        back = len(re.findall("↑ back", svg))
        assert len(lines) + back == sum(len(ways_of(step)) for step in procedure.steps)


def test_no_box_lies_on_another(procedures: list[Procedure]) -> None:
    """The frames of the steps keep apart, marks and all."""
    for procedure in procedures:
        spans = []
        for part in ElementTree.fromstring(draw(procedure)).iter(f"{SVG}g"):
            if part.get("data-step"):
                left, top = (float(number) for number in re.findall(r"[-\d.]+", part.get("transform", "")))
                heights = [float(r.get("y", 0)) + float(r.get("height", 0)) for r in part.iter(f"{SVG}rect")]
                widths = [float(r.get("width", 0)) for r in part.iter(f"{SVG}rect")]
                if heights:
                    spans.append((left, top, left + max(widths), top + max(heights)))
        for number, one in enumerate(spans):
            for other in spans[:number]:
                assert one[2] <= other[0] or other[2] <= one[0] or one[3] <= other[1] or other[3] <= one[1]


def test_cautions_stand_on_their_step_with_their_signal_word(every_kind: str) -> None:
    """A reader without colour sees the word, a screen reader hears the whole caution."""
    procedure = read_procedure("every-kind.yaml", every_kind).procedure
    assert procedure is not None
    root = ElementTree.fromstring(draw(procedure))
    spray = next(part for part in root.iter(f"{SVG}g") if part.get("data-step") == "spray")
    words = [part.text or "" for part in spray.iter(f"{SVG}text")]
    assert any(text.startswith("DANGER: ") for text in words)
    assert words.index("spray") > next(n for n, text in enumerate(words) if text.startswith("DANGER: "))
    title = spray.find(f"{SVG}title")
    assert title is not None
    assert "DANGER: The spray burns. No flame near. It will burn you." in (title.text or "")


@pytest.mark.parametrize(("signal", "signs"), [("danger", 2), ("warning", 2), ("caution", 2), ("notice", 0)])
def test_notice_has_no_alert_triangle(signal: str, signs: int, every_kind: str) -> None:
    """The alert sign (a triangle and its mark) stands where people can be hurt, and nowhere else."""
    text = every_kind.replace("signal: danger", f"signal: {signal}")
    procedure = read_procedure("every-kind.yaml", text).procedure
    assert procedure is not None
    root = ElementTree.fromstring(draw(procedure))
    spray = next(part for part in root.iter(f"{SVG}g") if part.get("data-step") == "spray")
    assert len(list(spray.iter(f"{SVG}path"))) == signs


def test_the_picture_has_a_name_and_a_description(every_kind: str) -> None:
    """Title and description are there and are what the picture points to."""
    procedure = read_procedure("every-kind.yaml", every_kind).procedure
    assert procedure is not None
    root = ElementTree.fromstring(draw(procedure))
    assert root.get("role") == "img"
    assert root.get("aria-labelledby") == "title desc"
    assert root.findtext(f"{SVG}title") == procedure.title
    assert "Flow chart of 16 steps" in (root.findtext(f"{SVG}desc") or "")


def test_the_same_procedure_gives_the_same_picture(every_kind: str) -> None:
    """Nothing depends on chance or on the order of sets."""
    procedure = read_procedure("every-kind.yaml", every_kind).procedure
    assert procedure is not None
    assert draw(procedure) == draw(procedure)


def test_the_picture_is_the_one_that_was_looked_at(every_kind: str) -> None:
    """Of the made-up job with every kind of step. After a change on purpose keep what `draw` gives, and look at it."""
    procedure = read_procedure("every-kind.yaml", every_kind).procedure
    assert procedure is not None
    kept = Path(__file__).with_name("every-kind.svg").read_text(encoding="utf-8")
    assert draw(procedure).splitlines() == kept.splitlines()


def test_what_stands_on_a_step_keeps_to_its_box(every_kind: str) -> None:
    """However many gates are asked, each line of them is as wide as the box allows and no wider."""
    procedure = read_procedure("every-kind.yaml", every_kind).procedure
    assert procedure is not None
    step = next(each for each in procedure.steps if each.kind is Kind.INSTRUCT)
    names = tuple(f"gate-number-{number}" for number in range(12))
    box = box_of(procedure, replace(step, gates=names), frozenset())
    (asked,) = [mark for mark in box.marks if mark.signal is None]
    assert " ".join(asked.lines) == f"asks first: {', '.join(names)}"
    widths = [text_width(line, SMALL) for line in asked.lines]
    assert all(wide <= box.size.width - 2 * PAD for wide in widths)
    assert all(wide + text_width(" gate-number-11,", SMALL) > box.size.width - 2 * PAD for wide in widths[:-1])


def test_signs_of_markup_in_the_words_are_harmless(every_kind: str) -> None:
    """Angle brackets and ampersands in a file stay text."""
    text = every_kind.replace("say: Close the duct.", "say: \"Close <b>&</b> 'duct'.\"")
    procedure = read_procedure("every-kind.yaml", text).procedure
    assert procedure is not None
    assert "<b>" in "".join(ElementTree.fromstring(draw(procedure)).itertext())


def test_wrapped_lines_fit_and_lose_no_word() -> None:
    """Every line is within the width; a word too long is cut; beyond the last line an ellipsis."""
    text = "Hold the can upright and spray for one second into glow-plugs-or-intake-heater or Donaudampfschifffahrt"
    lines = wrap(text, 90, 12)
    assert all(text_width(line, 12) <= 90 for line in lines)
    assert "".join(lines).replace(" ", "") == text.replace(" ", "")
    short = wrap(text, 90, 12, most=2)
    assert len(short) == 2
    assert short[-1].endswith("…")
    assert all(text_width(line, 12) <= 90 for line in short)
    assert list(pairwise(short))
