"""Where to put the boxes of a flow: layers from top to bottom, few crossings, no box on another, no line through a box.

The usual layered way (Sugiyama, Tagawa and Toda 1981, from memory): a way that leads back up is taken out and told by
the caller in words; each box goes below all that lead to it; a way over several layers gets a lane of its own in each
between; boxes change places by the mean of their neighbours while that saves crossings; then each layer is drawn under
its neighbours as near as the gaps allow, which least squares in a row settles exactly.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from itertools import pairwise

GAP_X = 28.0
GAP_Y = 56.0
LANE = 14.0
_SWEEPS = 12

Node = tuple[str, int]
"""A box (id, -1), or the lane of a line in one layer (line number as text, layer)."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Size:
    """Width and height of a box, in pixels."""

    width: float
    height: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Line:
    """A way from one box to another. `port`: where it leaves the box, in pixels from the box's middle."""

    start: str
    end: str
    port: float = 0.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Placed:
    """The layout, in pixels from the top left.

    `boxes`: id → left, top. `routes`: for each line its points, top to bottom, or none for a line that leads back up.
    From one point to the next a line runs straight down where x is the same, else it curves inside the gap of a layer.
    """

    boxes: Mapping[str, tuple[float, float]]
    routes: tuple[tuple[tuple[float, float], ...], ...]
    width: float
    height: float


def lay_out(begin: str, sizes: Mapping[str, Size], lines: Sequence[Line]) -> Placed:
    """Places every box of `sizes`; `begin` stands on top, boxes that nothing leads to stand beside it."""
    forward = _forward(begin, sizes, lines)
    layer_of = _layers(sizes, [lines[number] for number in forward])
    chains = {
        number: [
            (lines[number].start, -1),
            *((str(number), layer) for layer in range(layer_of[lines[number].start] + 1, layer_of[lines[number].end])),
            (lines[number].end, -1),
        ]
        for number in forward
    }
    rows: list[list[Node]] = [[] for _ in range(max(layer_of.values()) + 1)]
    for box in sizes:
        rows[layer_of[box]].append((box, -1))
    for chain in chains.values():
        for lane in chain[1:-1]:
            rows[lane[1]].append(lane)
    links = _links(chains, lines)
    rows = _ordered(rows, links)
    middles = _middles(rows, links, sizes)
    return _placed(rows, middles, sizes, lines, chains)


@dataclass(frozen=True, slots=True, kw_only=True)
class _Link:
    """One stretch of a line between neighbouring layers."""

    upper: Node
    lower: Node
    port: float


def _forward(begin: str, sizes: Mapping[str, Size], lines: Sequence[Line]) -> list[int]:
    """Numbers of the lines that do not lead back to a box still open on the way down from `begin`."""
    leaving: dict[str, list[int]] = {box: [] for box in sizes}
    for number, line in enumerate(lines):
        leaving[line.start].append(number)
    kept: list[int] = []
    open_boxes: set[str] = set()
    closed: set[str] = set()
    for root in [begin, *sizes]:
        stack = [] if root in closed else [(root, iter(leaving[root]))]
        open_boxes.update([root] if stack else [])
        while stack:
            box, rest = stack[-1]
            for number in rest:
                end = lines[number].end
                if end in open_boxes:
                    continue
                kept.append(number)
                if end not in closed:
                    open_boxes.add(end)
                    stack.append((end, iter(leaving[end])))
                    break
            else:
                stack.pop()
                open_boxes.discard(box)
                closed.add(box)
    return sorted(kept)


def _layers(sizes: Mapping[str, Size], lines: Sequence[Line]) -> dict[str, int]:
    layer_of = dict.fromkeys(sizes, 0)
    for _ in sizes:
        moved = False
        for line in lines:
            if layer_of[line.end] <= layer_of[line.start]:
                layer_of[line.end] = layer_of[line.start] + 1
                moved = True
        if not moved:
            break
    return layer_of


def _links(chains: Mapping[int, list[Node]], lines: Sequence[Line]) -> list[_Link]:
    return [
        _Link(upper=upper, lower=lower, port=lines[number].port if place == 0 else 0.0)
        for number, chain in chains.items()
        for place, (upper, lower) in enumerate(pairwise(chain))
    ]


def _ordered(rows: list[list[Node]], links: list[_Link]) -> list[list[Node]]:
    """The rows with their nodes in an order of few crossings; the best of the sweeps."""
    best, fewest = rows, _crossings(rows, links)
    current = [list(row) for row in rows]
    for sweep in range(_SWEEPS):
        down = sweep % 2 == 0
        for index in range(1, len(rows)) if down else range(len(rows) - 2, -1, -1):
            fixed = current[index - 1] if down else current[index + 1]
            current[index] = _by_neighbours(current[index], fixed, links, down=down)
        crossings = _crossings(current, links)
        if crossings < fewest:
            best, fewest = [list(row) for row in current], crossings
    return best


def _by_neighbours(row: list[Node], fixed: list[Node], links: list[_Link], *, down: bool) -> list[Node]:
    place_of = {node: place for place, node in enumerate(fixed)}
    wanted: dict[Node, list[float]] = {node: [] for node in row}
    for link in links:
        here, there = (link.lower, link.upper) if down else (link.upper, link.lower)
        if here in wanted and there in place_of:
            wanted[here].append(place_of[there] + (link.port / 1000 if down else 0.0))
    own = {node: float(place) for place, node in enumerate(row)}
    return sorted(row, key=lambda node: sum(wanted[node]) / len(wanted[node]) if wanted[node] else own[node])


def _crossings(rows: list[list[Node]], links: list[_Link]) -> int:
    place_of = {node: place for row in rows for place, node in enumerate(row)}
    row_of = {node: index for index, row in enumerate(rows) for node in row}
    by_row: dict[int, list[tuple[float, int]]] = {}
    for link in links:
        by_row.setdefault(row_of[link.upper], []).append(
            (place_of[link.upper] + link.port / 1000, place_of[link.lower])
        )
    return sum(
        (one[0] - other[0]) * (one[1] - other[1]) < 0
        for ends in by_row.values()
        for number, one in enumerate(ends)
        for other in ends[:number]
    )


def _middles(rows: list[list[Node]], links: list[_Link], sizes: Mapping[str, Size]) -> dict[Node, float]:
    """The x of every node's middle."""
    middles = {node: 0.0 for row in rows for node in row}
    above: dict[Node, list[tuple[Node, float]]] = {node: [] for node in middles}
    below: dict[Node, list[tuple[Node, float]]] = {node: [] for node in middles}
    for link in links:
        above[link.lower].append((link.upper, link.port))
        below[link.upper].append((link.lower, -link.port))
    for sweep in range(_SWEEPS * 2):
        down = sweep % 2 == 0
        for row in rows if down else reversed(rows):
            wanted = []
            for node in row:
                near = [middles[other] + shift for other, shift in (above if down else below)[node]]
                wanted.append(sum(near) / len(near) if near else middles[node])
            for node, middle in zip(row, _spread(wanted, [_width(node, sizes) for node in row]), strict=True):
                middles[node] = middle
    return middles


def _spread(wanted: Sequence[float], widths: Sequence[float]) -> list[float]:
    """Places nearest to `wanted` in the sense of least squares that keep order and gaps (pooled neighbours)."""
    offsets = [0.0]
    for left, right in pairwise(widths):
        offsets.append(offsets[-1] + left / 2 + GAP_X + right / 2)
    pools: list[tuple[float, int]] = []
    for want, offset in zip(wanted, offsets, strict=True):
        mean, count = want - offset, 1
        while pools and pools[-1][0] > mean:
            before, size = pools.pop()
            mean = (before * size + mean * count) / (size + count)
            count += size
        pools.append((mean, count))
    means = [mean for mean, count in pools for _ in range(count)]
    return [mean + offset for mean, offset in zip(means, offsets, strict=True)]


def _width(node: Node, sizes: Mapping[str, Size]) -> float:
    return sizes[node[0]].width if node[1] < 0 else LANE


def _placed(
    rows: list[list[Node]],
    middles: Mapping[Node, float],
    sizes: Mapping[str, Size],
    lines: Sequence[Line],
    chains: Mapping[int, list[Node]],
) -> Placed:
    left = min(middles[node] - _width(node, sizes) / 2 for row in rows for node in row)
    right = max(middles[node] + _width(node, sizes) / 2 for row in rows for node in row)
    tops, bottoms, y = [], [], 0.0
    for row in rows:
        tops.append(y)
        y += max(sizes[node[0]].height if node[1] < 0 else 0.0 for node in row)
        bottoms.append(y)
        y += GAP_Y
    row_of = {node: index for index, row in enumerate(rows) for node in row}
    boxes = {box: (middles[box, -1] - left - size.width / 2, tops[row_of[box, -1]]) for box, size in sizes.items()}
    routes: list[tuple[tuple[float, float], ...]] = []
    for number, line in enumerate(lines):
        chain = chains.get(number, [])
        points: list[tuple[float, float]] = []
        for node in chain[:1]:
            x = middles[node] - left + line.port
            top = tops[row_of[node]]
            points += [(x, top + sizes[line.start].height), (x, bottoms[row_of[node]])]
        for node in chain[1:-1]:
            x = middles[node] - left
            points += [(x, tops[row_of[node]]), (x, bottoms[row_of[node]])]
        for node in chain[-1:]:
            points.append((middles[node] - left, tops[row_of[node]]))
        routes.append(tuple(points))
    return Placed(boxes=boxes, routes=tuple(routes), width=right - left, height=bottoms[-1])
