"""What the facts of a job make one believe: results, repairs that did not cure, second looks, what cannot be done.

All follows from the facts so far, so a struck result is forgotten and a resumed job thinks what it thought.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import replace
from itertools import pairwise

from assistant.facts import Fact, FactKind, PlanChanged, RepairFailed
from assistant.guide import Library, State
from assistant.guide.places import duty_of, step_of
from assistant.reasoning.conflict import find_conflict
from assistant.reasoning.costs import Situation, minutes_for
from assistant.reasoning.doubt import Doubt, doubt
from assistant.reasoning.evidence import evidence_from_facts
from assistant.reasoning.planner import Foreseen, Option, Plan, foresee, make_plan
from assistant.reasoning.posterior import Belief, believe, repaired, see
from assistant.reasoning.ready import closed_by, readiness_of
from assistant.reasoning.reasoner import Reasoner
from assistant.session.left_out import LEAVING, left_out
from assistant.session.logged import TELLING, logged

RECENT = 8
"""So many beliefs are kept at hand: plan and adviser ask for the same ones in a turn, one after the other."""

KEPT = TELLING | LEAVING | {FactKind.REPAIR_FAILED, FactKind.PLAN_CHANGED}
"""The kinds of fact that change what is believed, or what is to be done."""


class Thoughts:
    """Belief and plan of one job. `belief`: now; `left_out`: tests that cannot be done, by word."""

    def __init__(self, reasoner: Reasoner, library: Library, facts: Iterable[Fact] = ()) -> None:
        """`facts`: what was recorded before."""
        self.reasoner = reasoner
        self._library = library
        self._ways = closed_by(reasoner.model, library)
        self._believed: dict[tuple[str, ...], Belief] = {}
        self._foreseen: tuple[Belief, Foreseen] | None = None
        self._doubted: tuple[Belief, Sequence[Option], Doubt | None] | None = None
        self.facts = [fact for fact in facts if fact.kind in KEPT]
        self.belief = self._believe(self.facts)
        self.left_out = left_out(reasoner.model, self.facts)

    def take(self, fact: Fact) -> bool:
        """Keep one more fact; whether it changed what is believed."""
        if fact.kind not in KEPT:
            return False
        before = self.belief
        self.facts.append(fact)
        self.belief, self.left_out = self._of(self.facts)
        news = (self.belief.evidence, self.belief.again) != (before.evidence, before.again)
        return news or fact.kind is FactKind.REPAIR_FAILED

    def after(self, facts: Iterable[Fact]) -> tuple[Belief, frozenset[str]]:
        """Belief and what is left out once these facts are kept too."""
        more = [fact for fact in facts if fact.kind in KEPT]
        return self._of([*self.facts, *more]) if more else (self.belief, self.left_out)

    def failed(self, facts: Iterable[Fact] = ()) -> frozenset[str]:
        """The faults whose repair did not cure the car, by the model's names."""
        model = self.reasoner.model
        told = (said.fault for one in (*self.facts, *facts) if isinstance(said := one.said, RepairFailed))
        meant = (model.meant_by(fault) for fault in told if fault)
        return frozenset(fault for fault in meant if fault is not None)

    def pursued(self, facts: Iterable[Fact], belief: Belief) -> str:
        """The test that the plan led to last and that was not done since; empty for none."""
        test, again = self._led_to(facts)
        return "" if test in (belief.again if again else belief.evidence) else test

    def looked_again(self, facts: Iterable[Fact], belief: Belief) -> bool:
        """Whether the plan led to a second look last, and it is done."""
        test, again = self._led_to(facts)
        return again and test in belief.again

    def settled(self, facts: Iterable[Fact] = ()) -> frozenset[str]:
        """The tests of which the plan has led to what decides whether their result was told wrong."""
        return frozenset(said.settles for one in (*self.facts, *facts) if isinstance(said := one.said, PlanChanged))

    def _led_to(self, facts: Iterable[Fact]) -> tuple[str, bool]:
        """The test that the plan led to last, and whether as a second look."""
        changes = [said for one in (*self.facts, *facts) if isinstance(said := one.said, PlanChanged)]
        return (changes[-1].test, bool(changes[-1].again)) if changes else ("", False)

    def plan(
        self,
        state: State,
        belief: Belief,
        among: Collection[str],
        cannot: Collection[str],
        way_min: Mapping[str, float] | None = None,
    ) -> Plan:
        """The next of these tests, or the repair, from where the technician stands. The wait for vapour is among the
        minutes that the state of car and bay adds. `way_min`: test -> minutes that it takes at least, where it is known
        what is to be done on the way there."""
        model, duty = self.reasoner.model, duty_of(self._library, state)
        situation = self._situation(state, belief)
        ready = readiness_of(self._ways, state.bay.conditions, among, cannot)
        extra = dict(ready.extra_min)
        for test, minutes in (way_min or {}).items():
            longer = minutes - minutes_for(model, model.test(test), situation, duty)
            extra[test] = extra.get(test, 0.0) + max(0.0, longer)
        return make_plan(
            model,
            self.reasoner.network,
            belief,
            situation=situation,
            duty=duty,
            ready=replace(ready, extra_min=extra),
            foreseen=self.foreseen(belief),
        )

    def foreseen(self, belief: Belief) -> Foreseen:
        """What each test is expected to tell; looked ahead once for a belief, however often it is planned from."""
        if self._foreseen is None or self._foreseen[0] is not belief:
            self._foreseen = belief, foresee(self.reasoner.model, self.reasoner.network, belief)
        return self._foreseen[1]

    def doubted(self, belief: Belief, options: Sequence[Option]) -> Doubt | None:
        """The result that may have been told wrong, where results do not fit together, and which of the options settles
        it soonest; looked for once for a belief and its options."""
        if self._doubted is None or self._doubted[0] is not belief or self._doubted[1] != options:
            network = self.reasoner.network
            fits = find_conflict(network, belief) is None
            self._doubted = belief, options, None if fits else doubt(network, belief, options)
        return self._doubted[2]

    def _of(self, facts: Sequence[Fact]) -> tuple[Belief, frozenset[str]]:
        return self._believe(facts), left_out(self.reasoner.model, facts)

    def _believe(self, facts: Sequence[Fact]) -> Belief:
        """The same belief for the same facts."""
        key = tuple(fact.id for fact in facts)
        if key not in self._believed:
            self._believed[key] = belief_of(self.reasoner, facts)
            if len(self._believed) > RECENT:
                del self._believed[next(iter(self._believed))]
        return self._believed[key]

    def _situation(self, state: State, belief: Belief) -> Situation:
        """Where the technician stands. Set-ups of tests done count as still in place."""
        done = [self.reasoner.model.test(name).work for name in belief.evidence]
        return Situation(
            place=step_of(self._library, state).place,
            minutes=state.at_s / 60.0,
            set_ups=frozenset(name for work in done if work is not None for name in work.set_ups),
            cranked_s=state.duty.cranked_s,
            cranked_at=(state.duty.ended_s or 0.0) / 60.0,
        )


def belief_of(reasoner: Reasoner, facts: Sequence[Fact]) -> Belief:
    """The belief after these facts of a job, in their order.

    A repair that did not cure takes its fault away from then on. What is asked once more after that, or because the
    plan wanted a second look, is a second look; any other later result replaces the earlier one.
    """
    struck = [fact for fact in facts if fact.kind is FactKind.STRUCK]
    cuts = [number for number, fact in enumerate(facts) if _begins_anew(fact)]
    first, *later = pairwise([0, *cuts, len(facts)])
    model, network = reasoner.model, reasoner.network
    belief = believe(network, evidence_from_facts(model, logged([*facts[slice(*first)], *struck])))
    for begin, end in later:
        anew = facts[begin].said
        fault = model.meant_by(anew.fault) if isinstance(anew, RepairFailed) else None
        if fault is not None:
            belief = repaired(network, belief, fault)
        told = logged([*facts[begin:end], *struck], facts[:begin])
        for test, value in evidence_from_facts(model, told, belief.evidence).items():
            if test not in belief.again:
                belief = see(network, belief, test, value)
    return belief


def _begins_anew(fact: Fact) -> bool:
    said = fact.said
    return isinstance(said, RepairFailed) or (isinstance(said, PlanChanged) and bool(said.again))
