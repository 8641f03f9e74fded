"""Whatever is said, in whatever order: nobody is hurt, nothing is lost, and nothing moves by itself."""

from dataclasses import replace

import pytest
from hypothesis import HealthCheck, settings
from hypothesis import strategies as st
from hypothesis.stateful import RuleBasedStateMachine, initialize, invariant, rule, run_state_machine_as_test

from assistant.guide import Mode, advance, begin, can_say, expected, fold, next_deadline, reopen
from assistant.guide.expect import answers
from assistant.language.commands import phrase_of
from assistant.language.manner import Manner
from assistant.language.model import (
    BurstCaught,
    BurstDropped,
    BurstHeard,
    BurstStarted,
    Control,
    Heard,
    TellTest,
    TimePassed,
    Unclear,
    UnclearReason,
)
from assistant.language.understand import understand
from tests.guide.conftest import read_library
from tests.guide.watch import Onlooker

LIBRARY = read_library()
COMMANDS = tuple(phrase_of(control) for control in Control)
SMALL = {"deadline": None, "suppress_health_check": [HealthCheck.too_slow, HealthCheck.data_too_large]}


class AnyOrder(RuleBasedStateMachine):
    """One job; each rule is one thing that can happen in a shop."""

    @initialize(
        procedure=st.sampled_from(["no-start", "fuel-substitute", *LIBRARY]),
        ear=st.booleans(),
        always_confirm=st.booleans(),
        manner=st.sampled_from(list(Manner)),
    )
    def begin(self, procedure, ear, always_confirm, manner):
        self.at_s = 0.0
        self.facts = []
        self.onlooker = Onlooker(LIBRARY)
        vehicle = {"fuel": "petrol", "hybrid": "no", "glow-plugs-or-intake-heater": "no", "throttle-by-wire": "no"}
        turn = begin(LIBRARY, procedure, "k", "job", vehicle, ear=ear, always_confirm=always_confirm, manner=manner)
        self._take(turn)

    def _take(self, turn):
        for fact in turn.facts:
            self.onlooker.see(fact)
        self.facts += turn.facts
        self.state = turn.state

    def _say(self, words, **hearing):
        heard = Heard(words=words, **{"confidence": 1.0, **hearing})
        before = self.state
        turn = advance(LIBRARY, before, understand(heard, expected(LIBRARY, before)), self.at_s, heard=heard)
        if turn.refused:
            assert turn.state is before
            assert not turn.facts
            assert turn.reply, "a refusal is never silent"
        self._take(turn)

    @rule(data=st.data(), times=st.integers(1, 8))
    def answer(self, data, times):
        """What a technician who wants to get on would say, several times."""
        for _ in range(times):
            possible = answers(LIBRARY, self.state)
            if possible:
                self._say(data.draw(st.sampled_from(possible)))

    @rule(
        words=st.sampled_from((*COMMANDS, "area is clear", "twelve point four volts", "banana")), unsure=st.booleans()
    )
    def say_anything(self, words, unsure):
        self._say(words, unsure=unsure)

    @rule(data=st.data())
    def say_what_is_listed(self, data):
        possible = can_say(LIBRARY, self.state)
        if possible:
            words = data.draw(st.sampled_from(possible))
            assert not _unclear(words, self.state), f"listed, but not understood: {words}"
            self._say(words)

    @rule(seconds=st.sampled_from([0.5, 3.0, 11.0, 60.0, 125.0, 301.0]))
    def wait(self, seconds):
        self.at_s += seconds
        while (due_s := next_deadline(self.state)) is not None and due_s <= self.at_s:
            turn = advance(LIBRARY, self.state, TimePassed(), max(due_s, self.state.at_s))
            assert turn.facts, "a deadline that changes nothing would ring for ever"
            self._take(turn)

    @rule()
    def silence(self):
        """Without a deadline that is due, time changes nothing; speech that was not understood changes nothing."""
        due_s = next_deadline(self.state)
        if due_s is None or due_s > self.at_s:
            assert not advance(LIBRARY, self.state, TimePassed(), self.at_s).facts
        turn = advance(LIBRARY, self.state, Unclear(reason=UnclearReason.NOT_HEARD), self.at_s)
        assert not turn.facts or (self._is_counted_in() and turn.state.mode is Mode.HELD)

    def _is_counted_in(self):
        """Whether a timed action is counted down to, which whatever is not understood ends."""
        return self.state.timed is not None and not self.state.timed.begun

    @rule(
        seconds=st.floats(0.3, 16.0),
        rpm=st.sampled_from([None, 80.0, 190.0]),
        caught=st.sampled_from([None, True, False]),
        run_s=st.sampled_from([None, 1.2, 9.0]),
    )
    def crank(self, seconds, rpm, caught, run_s):
        """The starter turns, whoever asked for it."""
        self._take(advance(LIBRARY, self.state, BurstStarted(), self.at_s))
        self.wait(seconds)
        if caught:
            self._take(advance(LIBRARY, self.state, BurstCaught(), self.at_s))
        heard = BurstHeard(seconds=seconds, rpm=rpm, caught=caught, run_s=run_s)
        turn = advance(LIBRARY, self.state, heard, self.at_s)
        assert self.state.mode is Mode.ENDED or any(fact.kind.value == "burst-ended" for fact in turn.facts)
        self._take(turn)

    @rule(ago_s=st.sampled_from([0.0, 0.4]))
    def seem_to_crank(self, ago_s):
        """Something begins to sound like the starter, and was not."""
        self._take(advance(LIBRARY, self.state, BurstStarted(ago_s=ago_s), self.at_s))
        self._take(advance(LIBRARY, self.state, BurstDropped(), self.at_s))

    @rule(
        makes=st.sampled_from(
            [("leak", "vapour"), ("wrong-fuel",), ("vapour", "can-out", "duct-open"), ("pack-on",), ("line-open",)]
        )
    )
    def tell_a_danger(self, makes):
        """A test that nobody asked for tells of something that forbids work: none of that work begins."""
        told = TellTest(test="made-up", result="made-up", words="it is so", makes=makes)
        turn = advance(LIBRARY, self.state, told, self.at_s)
        assert turn.state.at == self.state.at
        self._take(turn)

    @rule()
    def tell_a_test(self):
        """A test that nobody asked for moves nothing: same step, same cautions open, same vapour and duty. What is told
        while an action is timed stops it."""
        before = self.state
        told = TellTest(test="spark-check", result="none", words="there is no spark")
        turn = advance(LIBRARY, before, told, self.at_s)
        if turn.refused:
            assert turn.state is before
        elif before.mode is Mode.TIMING:
            assert turn.state.mode is Mode.HELD and turn.state.at == before.at
        else:
            kept = turn.state.strikable[-1]
            assert kept.kind == "told"
            same = replace(turn.state, strikable=before.strikable, number=before.number, at_s=before.at_s)
            same = replace(same, echoed=before.echoed)
            assert same == before
        self._take(turn)

    @rule(away_s=st.sampled_from([0.0, 30.0, 4_000.0]))
    def die_and_resume(self, away_s):
        """The laptop dies; what was recorded is all there is."""
        self.at_s += away_s
        rebuilt = fold(LIBRARY, self.facts)
        assert rebuilt == self.state
        turn = reopen(LIBRARY, rebuilt, self.at_s, ear=self.state.ear)
        self._take(turn)

    @invariant()
    def something_is_waited_for(self):
        """Between turns something is always asked, and there is always something to say."""
        if not hasattr(self, "facts"):
            return
        assert self.state.mode is not Mode.MOVING
        assert bool(can_say(LIBRARY, self.state)) == (self.state.mode is not Mode.ENDED)

    def teardown(self):
        """The state is the fold of the facts, which are numbered without a gap."""
        if hasattr(self, "facts"):
            assert fold(LIBRARY, self.facts) == self.state
            assert [fact.number for fact in self.facts] == list(range(1, len(self.facts) + 1))


def _unclear(words, state):
    return isinstance(understand(Heard(words=words, confidence=1.0), expected(LIBRARY, state)), Unclear)


def test_any_order():
    """Cautions come first, duty and vapour hold, nothing is left off, refusals change nothing: in 150 random jobs."""
    run_state_machine_as_test(
        AnyOrder, settings=settings(max_examples=150, stateful_step_count=50, derandomize=True, **SMALL)
    )


@pytest.mark.campaign
def test_any_order_for_long():
    """The same in thousands of jobs."""
    run_state_machine_as_test(AnyOrder, settings=settings(max_examples=2_000, stateful_step_count=80, **SMALL))
