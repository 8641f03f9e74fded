"""The longest way and the ways without an end, held against walking every path by hand."""

from __future__ import annotations

from hypothesis import given
from hypothesis import strategies as st

from assistant.simulation.graph import END, START, Graph, longest, without_end

MOVES = st.lists(
    st.tuples(st.integers(0, 7), st.integers(0, 7), st.integers(0, 9), st.integers(0, 9)), min_size=1, max_size=14
)


def every_path(moves: list[tuple[int, int, int, int]]) -> list[tuple[int, int]]:
    """Minutes and seconds of every way from the start, each as long as it goes; only for moves without a round."""
    found: list[tuple[int, int]] = []

    def go(here: int, minutes: int, crank_s: int) -> None:
        found.append((minutes, crank_s))
        for source, target, more_min, more_s in moves:
            if source == here:
                go(target, minutes + more_min, crank_s + more_s)

    go(START, 0, 0)
    return found


@given(MOVES)
def test_the_longest_way_is_the_longest_of_all(drawn: list[tuple[int, int, int, int]]) -> None:
    """Without rounds it equals the greatest over every path, in minutes and in seconds each on its own."""
    moves = [move for move in drawn if move[0] < move[1]]
    far = longest(Graph(size=8, moves=moves))
    paths = every_path(moves)
    assert (far.minutes, far.crank_s, far.rounds) == (max(p[0] for p in paths), max(p[1] for p in paths), 0)


@given(MOVES)
def test_what_cannot_end_is_what_no_way_leads_out_of(moves: list[tuple[int, int, int, int]]) -> None:
    """A situation can end exactly when some way from it comes to the end."""

    def ends(here: int) -> bool:
        seen, due = {here}, [here]
        while due:
            at = due.pop()
            for source, target, *_ in moves:
                if source == at and target not in seen:
                    seen.add(target)
                    due.append(target)
        return END in seen

    assert without_end(Graph(size=8, moves=moves)) == {number for number in range(8) if not ends(number)}


def test_a_round_counts_once() -> None:
    """Two minutes in, a round of three and four, one minute out."""
    graph = Graph(size=4, moves=[(START, 2, 2, 0), (2, 3, 3, 5), (3, 2, 4, 5), (3, END, 1, 0), (2, 2, 9, 9)])
    far = longest(graph)
    assert (far.minutes, far.crank_s, far.rounds) == (2 + 3 + 4 + 1, 10, 1)
