"""The search that lets paths meet finds just what walking every path on its own finds."""

from __future__ import annotations

from itertools import product

from assistant.facts import Fact, FactKind
from assistant.guide import Mode, State, advance, begin, next_deadline
from assistant.language.model import TimePassed
from assistant.simulation.coverage import Coverage
from assistant.simulation.graph import longest
from assistant.simulation.moves import Moves
from assistant.simulation.search import search
from assistant.simulation.vehicle import ANYTHING, known_exactly
from assistant.simulation.watch import Watch
from tests.simulation import made_up as m

Job = list[Fact]


def every_job(family: dict, root: str, vehicle: dict[str, str]) -> list[tuple[Job, State]]:
    """Every way through the job, each walked to its end; only for procedures without rounds."""
    moves = Moves(family)
    jobs: list[tuple[Job, State]] = []

    def go(facts: Job, state: State) -> None:
        if state.mode is Mode.ENDED:
            jobs.append((facts, state))
            return
        for move in moves.of(state):
            at_s = next_deadline(state) if isinstance(move.command, TimePassed) else state.at_s
            turn = advance(family, state, move.command, at_s)
            assert turn.facts
            go([*facts, *turn.facts], turn.state)

    opening = begin(family, root, "k", "job", vehicle)
    go(list(opening.facts), opening.state)
    return jobs


def looked_at() -> dict:
    """Asked in one place and chosen by in two others; the second splits what the first left together."""
    return m.library(
        m.procedure(
            "job",
            m.choose("early", "fuel", {"petrol": "drive"}, "drive-too"),
            m.ask("drive", {"yes": "look", "no": "look", "unknown": "end"}, vehicle="hybrid"),
            m.ask("drive-too", {"yes": "look", "no": "end", "unknown": "look"}, vehicle="hybrid"),
            m.crank("look", 4, {"good": "late", "bad": "late"}),
            m.choose("late", "fuel", {"petrol": "one", "gas": "two"}, "three"),
            m.instruct("one", "by-drive", removes=("duct",)),
            m.instruct("two", "by-drive"),
            m.crank("three", 7, {"good": "by-drive", "bad": "end"}),
            m.choose("by-drive", "hybrid", {"yes": "special"}, "end"),
            m.instruct("special", "end", refits=("duct",)),
            m.finding("end"),
        )
    )


def test_meeting_paths_lose_nothing() -> None:
    """Steps, results, longest minutes and cranking equal those over every path with every vehicle, given or not."""
    family = looked_at()
    whole, minutes, cranked = Coverage(family), 0.0, 0.0
    for fuel, drive in product(ANYTHING["fuel"], ANYTHING["hybrid"]):
        vehicle = {name: value for name, value in (("fuel", fuel), ("hybrid", drive)) if value is not None}
        for facts, state in every_job(family, "job", vehicle):
            whole.see(facts, known_exactly(state.vehicle))
            steps = [family["job"].step(f.step or "") for f in facts if f.kind is FactKind.INSTRUCTION_SPOKEN]
            minutes = max(minutes, sum(step.minutes for step in steps))
            cranked = max(cranked, state.duty.total_s)
    met = Coverage(family)
    walked = search(family, "job", met)
    far = longest(walked.graph)
    assert not walked.found
    assert (met.steps, met.results) == (whole.steps, whole.results)
    assert (far.minutes, far.crank_s) == (minutes, cranked)


def test_the_onlooker_counts_the_same_as_the_guide_on_every_path() -> None:
    """Fed with whole jobs, one after the other, it finds nothing wrong."""
    family = m.sound()
    for facts, _ in every_job(family, "job", {"hybrid": "yes"}):
        assert facts[-1].kind is FactKind.JOB_ENDED
    assert not search(family, "job", Coverage(family)).found
    assert Watch(family, "job").rested(0.0)


def test_a_note_of_every_dead_end_is_kept_once() -> None:
    """Two ways to one fault are one fault, told with the shorter way."""
    family = m.library(
        m.procedure(
            "job",
            m.ask("look", {"good": "more", "bad": "lost"}),
            m.ask("more", {"good": "end", "bad": "lost"}),
            m.ask("lost", {"good": "nowhere"}),
            m.finding("end"),
        )
    )
    (found,) = search(family, "job", Coverage(family)).found
    assert (found.wrong.step, found.way.told()) == ("lost", "said it is bad, it is good")
