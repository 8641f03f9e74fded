"""Whole jobs, from the first word to the last: what the search pieces together, in one piece.

Each job draws one of all situations that the search found, goes there by the answers that lead there, and on to its
end by those least given so far. It draws, too, whether an ear listens to the starter, whether every answer is read
back, how much is said, and whether the technician answers at once or takes the usual time. At its end the facts are
folded: what they rebuild must be what was led.
"""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass, field
from random import Random

from assistant.facts import Fact
from assistant.guide import Mode, State, Turn, advance, begin, expected, fold, next_deadline
from assistant.guide.places import step_of
from assistant.language.manner import Manner
from assistant.language.model import BurstHeard, BurstStarted, Command, Heard, Unclear
from assistant.language.understand import understand
from assistant.simulation.coverage import Coverage
from assistant.simulation.graph import START
from assistant.simulation.moves import CLOCKED, DeadEnd, Lead, Move, Moves
from assistant.simulation.search import JOB, KEY, Found, Walked
from assistant.simulation.trail import Place, Way
from assistant.simulation.vehicle import known_exactly
from assistant.simulation.watch import Rule, Watch, Wrong

MOST_FACTS = 5_000
"""A job that is still going on after so many facts goes in a round."""

SPEEDS_RPM = (None, 80.0, 190.0)
RUNS_S = (None, 1.5, 8.0)


@dataclass(slots=True, kw_only=True)
class Whole:
    """What came of it. `turns`: of all jobs together."""

    jobs: int = 0
    turns: int = 0
    found: list[Found] = field(default_factory=list)


def walk_whole(walked: Walked, jobs: int, coverage: Coverage, seed: int, lead: Lead = advance) -> Whole:
    """Lead so many jobs from their beginning to their end. `seed`: the same one walks the same jobs."""
    whole = Whole()
    given: Counter[tuple[Place, str]] = Counter()
    moves = Moves(walked.trail.library)
    for number in range(jobs):
        dice = Random(f"{seed} {walked.root} {number}")
        _Job(walked, coverage, dice, lead=lead, moves=moves, given=given).walk(whole)
    return whole


class _Job:
    def __init__(
        self,
        walked: Walked,
        coverage: Coverage,
        dice: Random,
        *,
        lead: Lead,
        moves: Moves,
        given: Counter[tuple[Place, str]],
    ) -> None:
        self._library = walked.trail.library
        self._root = walked.root
        self._coverage = coverage
        self._dice = dice
        self._lead = lead
        self._moves = moves
        self._given = given
        self._watch = Watch(self._library, self._root)
        self._answers: list[tuple[Place, str]] = []
        self._facts: list[Fact] = []
        own = tuple(number for number, arrival in walked.trail.arrivals.items() if not arrival.aside)
        self._goal = dice.choice(own or (START,))
        self._way = walked.trail.way(self._goal)
        self._ahead = list(reversed(self._way.answers))

    def walk(self, whole: Whole) -> None:
        """Lead the job and add what came of it."""
        whole.jobs += 1
        listens, careful, hasty = (self._dice.random() < share for share in (0.5, 0.2, 0.5))
        manner = self._dice.choice(list(Manner))
        turn = begin(
            self._library, self._root, KEY, JOB, self._way.given, ear=listens, always_confirm=careful, manner=manner
        )
        try:
            self._keep(turn, whole)
            while turn.state.mode is not Mode.ENDED:
                if len(self._facts) > MOST_FACTS:
                    raise DeadEnd(f"the job goes on after {MOST_FACTS:,} facts")
                turn = self._next(turn.state, hasty=hasty)
                self._keep(turn, whole)
            if fold(self._library, self._facts) != turn.state:
                self._tell(whole, turn.state, Rule.BOOKS, "found that the facts do not rebuild what was led")
            if self._ahead:
                self._tell(whole, turn.state, Rule.BOOKS, f"found no way to '{self._ahead[-1][0]}', where one leads")
        except (DeadEnd, LookupError, RecursionError, ValueError) as reason:
            self._tell(whole, turn.state, Rule.ENDS, f"found a dead end: {reason}")

    def _keep(self, turn: Turn, whole: Whole) -> None:
        if turn.refused or not turn.facts:
            raise DeadEnd(f"'{self._answers[-1][1] if self._answers else ''}' is refused: {turn.refused}")
        whole.turns += 1
        self._facts += turn.facts
        self._coverage.see(turn.facts, known_exactly(turn.state.vehicle))
        for wrong in self._watch.see(turn):
            self._find(whole, wrong)

    def _next(self, state: State, *, hasty: bool) -> Turn:
        aside = self._burst(state) or self._own_word(state)
        if aside is not None:
            return self._lead(self._library, state, *aside)
        move = self._choose(state)
        deadline_s = next_deadline(state)
        if state.mode in CLOCKED and deadline_s is not None:
            return self._lead(self._library, state, move.command, deadline_s)
        minutes = 0.0 if hasty or state.mode is not Mode.ASKING else step_of(self._library, state).minutes
        return self._lead(self._library, state, move.command, state.at_s + 60 * minutes * self._dice.uniform(0.5, 2))

    def _choose(self, state: State) -> Move:
        """The answer that leads to the goal, and behind it the one least given so far."""
        place = (state.at.procedure, state.at.step)
        moves = list(self._moves.of(state))
        if state.mode is not Mode.ASKING:
            return moves[0]
        wanted = self._wanted(place)
        self._dice.shuffle(moves)
        move = min(moves, key=lambda each: (each.words != wanted, self._given[(place, each.words)]))
        self._given[(place, move.words)] += 1
        self._answers.append((place, move.words))
        return move

    def _wanted(self, place: Place) -> str | None:
        """What the way to the goal answers here; where a fact is known by now, or a step is joined to the next, nothing
        is asked, so it is passed."""
        while self._ahead and self._ahead[-1][0] != place and self._silent(self._ahead[-1][0]):
            self._ahead.pop()
        return self._ahead.pop()[1] if self._ahead and self._ahead[-1][0] == place else None

    def _silent(self, place: Place) -> bool:
        step = self._library[place[0]].step(place[1])
        return step.vehicle is not None or step.joins

    def _burst(self, state: State) -> tuple[Command, float] | None:
        """What the ear hears of the starter, where it listens."""
        timed = state.timed
        if state.mode is not Mode.TIMING or timed is None or timed.by != "ear" or timed.action != "crank":
            return None
        if not timed.begun:
            if self._dice.random() < 0.2:
                return None  # nothing is heard: the tones take over
            return BurstStarted(), state.at_s + 1.0
        dice = self._dice
        heard = BurstHeard(
            seconds=timed.release_s - timed.begin_s,
            rpm=dice.choice(SPEEDS_RPM),
            caught=dice.choice((None, True, False)),
            run_s=dice.choice(RUNS_S),
        )
        return heard, timed.release_s

    def _own_word(self, state: State) -> tuple[Command, float] | None:
        """The technician's own word where the ear proposed a result, if the way to the goal has one."""
        if state.mode is not Mode.CONFIRMING or state.pending is None or not state.pending.offered:
            return None
        place = (state.at.procedure, state.at.step)
        words = self._wanted(place)
        if words is None:
            return None
        command = understand(Heard(words=words, confidence=1.0), expected(self._library, state))
        if isinstance(command, Unclear):
            raise DeadEnd(f"'{words}' is no answer beside the ear's own")
        self._answers.append((place, words))
        return command, state.at_s

    def _tell(self, whole: Whole, state: State, rule: Rule, message: str) -> None:
        at = state.at
        self._find(whole, Wrong(rule=rule, procedure=at.procedure or self._root, step=at.step, message=message))

    def _find(self, whole: Whole, wrong: Wrong) -> None:
        way = Way(given=self._way.given, answers=tuple(self._answers))
        whole.found.append(Found(wrong=wrong, way=way))
