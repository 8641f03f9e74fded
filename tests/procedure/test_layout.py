"""Boxes never lie on each other, and lines never run through boxes."""

from __future__ import annotations

from itertools import combinations, pairwise

from hypothesis import given
from hypothesis import strategies as st

from assistant.procedure.layout import Line, Placed, Size, lay_out


def check(sizes: dict[str, Size], placed: Placed) -> None:
    """No overlap of boxes; no point of a line inside a box; all inside the picture."""
    spans = {
        box: (left, top, left + sizes[box].width, top + sizes[box].height) for box, (left, top) in placed.boxes.items()
    }
    for one, other in combinations(spans.values(), 2):
        assert one[2] <= other[0] or other[2] <= one[0] or one[3] <= other[1] or other[3] <= one[1]
    for span in spans.values():
        assert span[0] >= -1e-6
        assert span[2] <= placed.width + 1e-6
        assert span[3] <= placed.height + 1e-6
    for route in placed.routes:
        for x, y in points(route):
            for left, top, right, bottom in spans.values():
                assert not (left + 0.01 < x < right - 0.01 and top + 0.01 < y < bottom - 0.01)


def points(route: tuple[tuple[float, float], ...]) -> list[tuple[float, float]]:
    """Points along a line: straight down, or the curve that the drawing makes of a step to the side."""
    found = []
    for (x0, y0), (x1, y1) in pairwise(route):
        assert y1 >= y0
        for part in range(21):
            t = part / 20
            ease = (1 - t) ** 3 + 3 * (1 - t) ** 2 * t
            y = (1 - t) ** 3 * y0 + (3 * (1 - t) ** 2 * t + 3 * (1 - t) * t**2) * (y0 + y1) / 2 + t**3 * y1
            found.append((x0 * ease + x1 * (1 - ease), y))
    return found


def test_a_chain_stands_in_one_column() -> None:
    """Boxes that follow one another stand straight below each other."""
    sizes = {box: Size(width=100, height=40) for box in "abc"}
    placed = lay_out("a", sizes, [Line(start="a", end="b"), Line(start="b", end="c")])
    assert {left for left, _ in placed.boxes.values()} == {0.0}
    assert [top for _, top in placed.boxes.values()] == sorted(top for _, top in placed.boxes.values())


def test_a_way_back_has_no_line() -> None:
    """Of a round, the way that leads back up is left to words."""
    sizes = {box: Size(width=100, height=40) for box in "ab"}
    lines = [Line(start="a", end="b"), Line(start="b", end="a"), Line(start="a", end="a")]
    assert [bool(route) for route in lay_out("a", sizes, lines).routes] == [True, False, False]


def test_crossed_targets_are_uncrossed() -> None:
    """Two boxes change places rather than let their lines cross."""
    sizes = {box: Size(width=100, height=40) for box in ["top", "x", "y", "p", "q"]}
    lines = [
        Line(start="top", end="x", port=-20),
        Line(start="top", end="y", port=20),
        Line(start="x", end="q"),
        Line(start="y", end="p"),
    ]
    boxes = lay_out("top", sizes, lines).boxes
    assert (boxes["x"][0] < boxes["y"][0]) == (boxes["q"][0] < boxes["p"][0])


@given(st.data())
def test_any_flow_is_drawn_without_overlap(data: st.DataObject) -> None:
    """Whatever leads where, and whatever the boxes measure."""
    count = data.draw(st.integers(1, 12))
    names = [f"s{number}" for number in range(count)]
    size = st.builds(lambda width, height: Size(width=width, height=height), st.integers(20, 300), st.integers(20, 200))
    sizes = {name: data.draw(size) for name in names}
    ends = data.draw(st.lists(st.tuples(st.sampled_from(names), st.sampled_from(names)), max_size=24))
    lines = [Line(start=start, end=end, port=sizes[start].width * 0.3) for start, end in ends]
    check(sizes, lay_out(names[0], sizes, lines))
