"""Every situation that a job can get into, each walked on from once.

A situation is what decides all that can follow: place and callers, mode, what is known of the vehicle as far as a step
ahead looks at it, what is so of the bay, what the starter has done since its last rest if it may turn again, tries of
sprays, open items. Paths that come to the same situation go on as one, so every path is covered without being counted.
The technician answers at once: no time passes but that of bursts, rests and waits, which is hardest on the starter.
"""

from __future__ import annotations

from collections import deque
from collections.abc import Callable, Hashable, Sequence
from contextlib import suppress
from dataclasses import dataclass, field, replace

from assistant.facts import BurstEnded, Fact, FactKind, Left
from assistant.guide import Library, Mode, State, Turn, advance, begin, next_deadline
from assistant.guide.leading import block_of
from assistant.guide.unasked import STOPPED_BY_A_TEST
from assistant.language.commands import phrase_of
from assistant.language.manner import Manner
from assistant.language.model import Control, GiveControl, TellTest
from assistant.procedure.remedies import FORBIDDING
from assistant.simulation.ahead import NOTHING_AHEAD, Outlook
from assistant.simulation.coverage import Coverage
from assistant.simulation.graph import END, START, Graph, without_end
from assistant.simulation.inherited import INHERITED
from assistant.simulation.led import AnyBlock, PutAside, Script, is_walked_aside, put_aside
from assistant.simulation.moves import CLOCKED, DeadEnd, Lead, Move, Moves
from assistant.simulation.trail import Arrival, Place, Trail, Way
from assistant.simulation.vehicle import ANYTHING, Possible, Vehicle, turns_of
from assistant.simulation.watch import Rule, Watch, Wrong

LEFT_FROM = STOPPED_BY_A_TEST | {Mode.RESTING, Mode.WAITING, Mode.CLOSING}
"""Modes in which another test may be asked for."""


KEY, JOB = "simulated", "simulated"


@dataclass(frozen=True, slots=True, kw_only=True)
class Found:
    """A rule broken, and the way there from the start."""

    wrong: Wrong
    way: Way


@dataclass(slots=True, kw_only=True)
class Walked:
    """What came of walking one procedure. `paths`: ends of the job, and ways that met a situation already walked."""

    root: str
    trail: Trail
    graph: Graph = field(default_factory=Graph)
    found: list[Found] = field(default_factory=list)
    paths: int = 0
    cautions: int = 0
    hazardous: int = 0
    rests: int = 0
    told: int = 0
    inherited: int = 0
    led: int = 0
    findings: set[tuple[str, str]] = field(default_factory=set)


@dataclass(frozen=True, slots=True, kw_only=True)
class _Situation:
    number: int
    state: State
    possible: Possible
    watch: Watch
    aside: bool = False


def search(
    library: Library,
    root: str,
    coverage: Coverage,
    lead: Lead = advance,
    *,
    told: Sequence[TellTest] = (),
    blocks: Sequence[str] = (),
    manner: Manner = Manner.FULL,
) -> Walked:
    """Walk a procedure and all that it calls, adding to `coverage` what was walked.

    `told`: tests that may be told unasked: each is told in every place, mode and state of the bay. The car, too, comes
    from another job with each thing that one can leave, and with all of it. What comes of that is walked once for each
    place, mode and state of the bay, and counts for nothing but the rules.

    `blocks`: steps where a plan may go on; where there are any the plan leads from the first turn on, and wherever it
    is asked every one of them is walked. `manner`: how much is said.
    """
    walk = Search(library, root, coverage, lead, told=told, blocks=blocks, manner=manner)
    while walk.goes_on():
        pass
    return walk.end()


class Search:
    """A walk that can be broken off after any situation and, kept as a pickle, be gone on with; as `search`."""

    def __init__(
        self,
        library: Library,
        root: str,
        coverage: Coverage,
        lead: Lead = advance,
        *,
        told: Sequence[TellTest] = (),
        blocks: Sequence[str] = (),
        manner: Manner = Manner.FULL,
    ) -> None:
        self._manner = manner
        self._tests = told
        self._blocks = blocks
        self._plan = AnyBlock(blocks, library, root)
        self._put_aside = PutAside(put_aside(library, root, blocks))
        self._aside_at: set[Hashable] = set()
        self._library = library
        self.coverage = coverage
        self._lead = lead
        self._moves = Moves(library)
        self._outlook = Outlook(library)
        self._walked = Walked(root=root, trail=Trail(library=library))
        self._numbers: dict[Hashable, int] = {}
        self._due: deque[_Situation] = deque()
        self._told: set[tuple[Rule, str, str]] = set()

        self._start()

    @property
    def due(self) -> int:
        """How many situations are to be gone on from."""
        return len(self._due)

    def goes_on(self) -> bool:
        """Walk on from one situation more; whether there was one."""
        if self._due:
            self._go_on(self._due.popleft())
            return True
        return False

    def end(self) -> Walked:
        """What came of it, once nothing is due any more."""
        self._tell_endless()
        return self._walked

    def _start(self) -> None:
        root = self._walked.root
        nothing = Watch(self._library, root)
        before = _Situation(number=START, state=State(root=root), possible={}, watch=nothing)
        self._lead_on(before, "", self._begin, {})
        for left in INHERITED:
            self._begin_with(before, left)

    def _begin_with(self, before: _Situation, left: Left) -> None:
        self._walked.inherited += 1
        self._lead_on(before, "", lambda vehicle: self._begin(vehicle, left), {})

    def _begin(self, vehicle: Vehicle, left: Left | None = None) -> Turn:
        """The opening turn of a job that the plan leads where it does."""
        root, leads = self._walked.root, bool(self._blocks)
        return begin(self._library, root, KEY, JOB, vehicle, inherits=left, leads=leads, manner=self._manner)

    def _say_aside(self, here: _Situation) -> None:
        """What leads aside, once in each place, mode and state of the bay that is the procedure's own: each test that
        may be told, "another test" to every block where a plan leads, and that what was found is repaired."""
        state, watch = here.state, here.watch
        closing = state.mode is Mode.CLOSING
        moment: Hashable = (state.position, state.mode, watch.so & FORBIDDING, bool(watch.items))
        if here.aside:  # a block is entered alike from wherever it is left for, while the same is so
            moment = (closing, watch.so & FORBIDDING, watch.foreign)
        if state.burst_done or moment in self._aside_at:
            return
        if not here.aside:
            self._aside_at.add(moment)
            for test in self._tests if state.mode in STOPPED_BY_A_TEST else ():
                self._walked.told += 1
                self._make(here, Move(words=test.words, command=test), state.at_s)
        asked = (Control.ANOTHER,) if self._blocks and state.mode in LEFT_FROM else ()
        for control in (*asked, *((Control.REPAIR_DONE,) if closing else ())):
            move = Move(words=phrase_of(control), command=GiveControl(control=control))
            if not self._lead(self._library, state, move.command, state.at_s, choose=self._elsewhere(state)).refused:
                self._aside_at.add(moment)
                self._make(here, move, state.at_s, may_refuse=True)
                if control is Control.ANOTHER:
                    self._come_back(here, move)

    def _come_back(self, here: _Situation, move: Move) -> None:
        """To every step where a block may have been put aside, once for each state of the bay."""
        here = replace(here, possible={})
        for position in self._put_aside.due(block_of(here.state), (here.watch.so & FORBIDDING, here.watch.foreign)):
            self._walked.led += 1
            run = self._runner(here.state, move, here.state.at_s, self._plan.then((position,)))
            self._lead_on(here, move.words, run, {})

    def _elsewhere(self, state: State) -> AnyBlock | None:
        """A plan that has another block to lead to, so that only what stands in its way is refused."""
        other = next((block for block in self._blocks if block != block_of(state)), None)
        return self._plan.then((other,)) if other is not None else None

    def _go_on(self, here: _Situation) -> None:
        state = here.state
        self._say_aside(here)
        try:
            moves = self._moves.of(state)
        except DeadEnd as reason:
            self._tell(here, "", self._dead_end(state, str(reason)))
            return
        deadline_s = next_deadline(state) if state.mode in CLOCKED else None
        at_s = state.at_s if deadline_s is None else deadline_s
        for move in moves:
            self._make(here, move, at_s)

    def _make(self, here: _Situation, move: Move, at_s: float, *, may_refuse: bool = False) -> None:
        """Make a move, once for each choice that the plan has on the way. `may_refuse`: some choice is refused.

        From one block to the next the car is any car again: more than there can be, and no product of all that was
        asked on the ways that lead there.
        """
        plan = self._plan.then(())
        run, vehicle = self._runner(here.state, move, at_s, plan), here.state.vehicle
        if not self._blocks or not self._asks_plan(here, run, plan):
            self._lead_on(here, move.words, run, vehicle)
            return
        any_car = replace(here, possible={})
        due: list[Script] = [()]
        while due:
            plan = self._plan.then(due.pop())
            run = self._runner(here.state, move, at_s, plan)
            if not may_refuse or not run(any_car.state.vehicle).refused:
                self._lead_on(any_car, move.words, run, {})
            every, first, foreign = plan.others(), self._put_aside.is_first, here.watch.foreign
            others = [other for other, bay in every if not here.aside or first(other[-1], (bay, foreign))]
            self._walked.led += len(others)
            due += others

    def _asks_plan(self, here: _Situation, run: Callable[[Vehicle], Turn], plan: AnyBlock) -> bool:
        with suppress(LookupError, RecursionError, ValueError):  # told of where the move is made
            deque(turns_of(self._library, run, here.state.vehicle, here.possible), maxlen=0)
        return plan.asked

    def _runner(self, state: State, move: Move, at_s: float, plan: AnyBlock) -> Callable[[Vehicle], Turn]:
        def run(vehicle: Vehicle) -> Turn:
            known = state if vehicle is state.vehicle else replace(state, vehicle=vehicle)
            return self._lead(self._library, known, move.command, at_s, choose=plan.begin() if self._blocks else None)

        return run

    def _lead_on(self, here: _Situation, words: str, run: Callable[[Vehicle], Turn], vehicle: Vehicle) -> None:
        try:
            for turn, possible in turns_of(self._library, run, vehicle, here.possible):
                self._arrive(here, words, turn, possible)
        except (LookupError, RecursionError, ValueError) as reason:
            self._tell(here, words, self._dead_end(here.state, f"the guide fails: {reason}"))

    def _arrive(self, here: _Situation, words: str, turn: Turn, possible: Possible) -> None:
        if turn.refused or not turn.facts:
            why = f"'{words}' is refused: {turn.refused}" if turn.refused else f"'{words}' changes nothing"
            self._tell(here, words, self._dead_end(here.state, why))
            return
        watch = here.watch.fork()
        for wrong in watch.see(turn):
            self._tell(here, words, wrong)
        aside = watch.tainted
        known = self._number(here, words, turn.state, possible, watch)
        if aside:
            self._walked.graph.aside.append((here.number, known))
            return
        self.coverage.see(turn.facts, possible)
        minutes, crank_s = self._count(turn.facts)
        self._walked.graph.moves.append((here.number, known, minutes, crank_s))

    def _number(self, here: _Situation, words: str, state: State, possible: Possible, watch: Watch) -> int:
        """The number of the situation now reached; a new one will be walked on from."""
        aside = watch.tainted
        if state.mode is Mode.ENDED:
            self._walked.paths += not aside
            return END
        key = self._aside_key(state, watch) if aside else self._key(state, possible, watch)
        known = self._numbers.get(key)
        if aside and self._blocks and not is_walked_aside(watch.so):
            return END
        if known is not None:
            self._walked.paths += not aside and known != here.number
            return known
        number = self._numbers[key] = self._walked.graph.size
        self._walked.graph.size += 1
        place = (state.at.procedure, state.at.step)
        answer = _answer(here.state, words)
        arrival = Arrival(before=here.number, answer=answer, possible=possible, place=place, aside=aside)
        self._walked.trail.arrivals[number] = arrival
        self._due.append(_Situation(number=number, state=state, possible=possible, watch=watch, aside=aside))
        return number

    def _key(self, state: State, possible: Possible, watch: Watch) -> Hashable:
        ahead = NOTHING_AHEAD if state.mode is Mode.CLOSING else self._outlook.ahead(state.position)
        pending, timed = state.pending, state.timed
        facts = [(name, could) for name, could in possible.items() if name in ahead.facts and could != ANYTHING[name]]
        tries = [(name, count) for name, count in state.tries.items() if name in ahead.tries]
        starter = None
        if self._blocks:
            tries = []  # led from block to block, only the rules of car and bay are looked for
        elif ahead.cranks and watch.ended_s is not None and not watch.rested(state.at_s):
            starter = (round(watch.cranked_s, 1), round(state.at_s - watch.ended_s, 1))
        return (
            *(state.mode, state.position, frozenset(facts), frozenset(tries), starter),
            *(watch.so & FORBIDDING, frozenset(watch.items)),
            *(state.acknowledged, state.passed, watch.acknowledged, watch.passed),
            *(state.instructed, state.burst_done, state.finding, state.clearing, state.ran),
            frozenset() if self._manner is Manner.FULL else frozenset(watch.warned),
            (pending.name, pending.value) if pending else None,
            (timed.begun, timed.calls) if timed else None,
            *(_left_s(state, state.rest_until_s), _left_s(state, state.wait_until_s)),
        )

    def _aside_key(self, state: State, watch: Watch) -> Hashable:
        return (
            "aside",
            *(state.mode, state.position, watch.so & FORBIDDING, watch.foreign),
            *(state.acknowledged, state.passed, state.instructed, state.burst_done, state.finding, state.clearing),
            (state.pending.name, state.pending.value) if state.pending else None,
            (state.timed.begun, state.timed.calls) if state.timed else None,
            *(state.ran, len(watch.items)),  # each is settled by itself
        )

    def _count(self, facts: tuple[Fact, ...]) -> tuple[float, float]:
        """Minutes of work and seconds of cranking in these facts; cautions, hazards and rests go into the sums."""
        minutes = crank_s = 0.0
        for fact in facts:
            if fact.kind is FactKind.INSTRUCTION_SPOKEN:
                step = self._library[str(fact.procedure)].step(str(fact.step))
                minutes += step.minutes
                self._walked.hazardous += bool(step.all_hazards)
            elif isinstance(fact.said, BurstEnded):
                crank_s += fact.said.seconds
            elif fact.kind is FactKind.CAUTION_ACKNOWLEDGED:
                self._walked.cautions += 1
            elif fact.kind is FactKind.REST_BEGUN:
                self._walked.rests += 1
            elif fact.kind is FactKind.FINDING_REACHED:
                self._walked.findings.add((str(fact.procedure), str(fact.step)))
        return minutes, crank_s

    def _dead_end(self, state: State, why: str) -> Wrong:
        place = state.at if state.at.step else None
        procedure = place.procedure if place else self._walked.root
        step = place.step if place else self._library[procedure].begin
        return Wrong(rule=Rule.ENDS, procedure=procedure, step=step, message=f"found a dead end: {why}")

    def _tell_endless(self) -> None:
        """Situations from which no way leads to an end, unless a dead end was told already: one for each step."""
        if any(found.wrong.rule is Rule.ENDS for found in self._walked.found):
            return
        trail = self._walked.trail
        for number in sorted(without_end(self._walked.graph)):
            procedure, step = trail.place(number) if number in trail.arrivals else (self._walked.root, "")
            message = "found a way to this step from which the job can never end; do lead one of its ways to an end"
            wrong = Wrong(rule=Rule.ENDS, procedure=procedure, step=step, message=message)
            self._note(wrong, trail.way(number))

    def _tell(self, here: _Situation, words: str, wrong: Wrong) -> None:
        self._note(wrong, self._walked.trail.way(here.number, _answer(here.state, words)))

    def _note(self, wrong: Wrong, way: Way) -> None:
        """Keep a rule broken, once for each rule and step; the shortest way there is met first."""
        if (wrong.rule, wrong.procedure, wrong.step) not in self._told:
            self._told.add((wrong.rule, wrong.procedure, wrong.step))
            self._walked.found.append(Found(wrong=wrong, way=way))


def _answer(state: State, words: str) -> tuple[Place, str] | None:
    """The answer to a step, where the words are one and not an acknowledgement, a ready or a yes."""
    return ((state.at.procedure, state.at.step), words) if state.mode is Mode.ASKING else None


def _left_s(state: State, until_s: float | None) -> float | None:
    return None if until_s is None else round(until_s - state.at_s, 1)
