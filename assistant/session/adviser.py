"""What the assistant thinks in a session: answers to questions, news after a result, odds for the record.

It only looks on; where a plan leads, the guide asks its leader, and what that chose is a fact.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import replace

from assistant.english import live as texts
from assistant.english.reasoned import DO_NOT_FIT
from assistant.facts import Fact, FactKind, PlanChanged, Weighed, WordsKept
from assistant.guide import Library, Mode, State, Turn, expected
from assistant.guide.other_fuel import DUAL, FUEL, PETROL
from assistant.guide.places import step_of
from assistant.guide.state import Frame
from assistant.language.commanded import found_among
from assistant.language.manner import Manner
from assistant.language.model import Command, Control, Expected, GiveControl, GiveResult, TellTest, Unclear
from assistant.language.out_of_turn import OF_NO_TEST, keep_ahead
from assistant.language.plain import plain_words
from assistant.language.questions import I_FOUND, UNLISTENED, Ask, Question
from assistant.language.speech import Sentence
from assistant.reasoning import answers
from assistant.reasoning.evidence import OWN_CHOICE
from assistant.reasoning.findings import say_proposal
from assistant.reasoning.plan_words import say_briefly, say_doubt, say_left, say_plan, say_purpose, what_if
from assistant.reasoning.planner import Act, Plan
from assistant.reasoning.posterior import Belief, fault_odds
from assistant.reasoning.reasoner import Reasoner, think
from assistant.session.leading import Leader
from assistant.session.logged import logged
from assistant.session.thoughts import Thoughts
from assistant.session.told_finding import ToldFinding, after

SILENT_IN = frozenset({Mode.NEW, Mode.TIMING, Mode.ENDED})
"""Modes in which nothing may be asked."""

KEPT_ODDS = 0.002
"""Odds below this are left out of the record. Judgement."""


def _burns_petrol(state: State) -> bool:
    """Whether the fault model is of this car, as far as is known: it knows petrol alone."""
    return state.vehicle.get(FUEL, PETROL) in (PETROL, DUAL)


def may_ask(state: State, now: Expected) -> bool:
    """Whether a question may be asked: not while we count, nor while words are kept as they are said."""
    return state.mode not in SILENT_IN and not now.dictation


class Adviser:
    """Thinks along with one job."""

    def __init__(
        self, reasoner: Reasoner, library: Library, facts: Iterable[Fact] = (), *, suppose: bool = True
    ) -> None:
        """`facts`: what was recorded before, of a job that goes on. `suppose`: whether "what if" may be asked, whose
        words not every engine can hear."""
        self._reasoner = reasoner
        self._suppose_any = suppose
        self._library = library
        self._thoughts = Thoughts(reasoner, library, facts)
        self._finding = ToldFinding(reasoner, library)
        self._tests_are_over = False
        self._supposed: tuple[Frame | None, Mapping[str, tuple[str, ...]]] = (None, {})
        # What no step of these procedures asks could not be answered: it is not proposed.
        self._asked_somewhere = frozenset(
            test.id for test in reasoner.model.tests for seen in test.seen_from if seen.procedure in library
        )
        self.leader = Leader(self._thoughts, library)

    @property
    def evidence(self) -> dict[str, str]:
        """Test -> result, the latest last."""
        return dict(self._belief.evidence)

    @property
    def _belief(self) -> Belief:
        return self._thoughts.belief

    def can_ask(self, state: State) -> tuple[str, ...]:
        """Questions that have an answer now, as they may be said; of "what if" those about the present step."""
        if not may_ask(state, expected(self._library, state)):
            return ()
        plain = [each.value for each in Question if each not in UNLISTENED | {Question.IF, Question.RECORD}]
        supposed = self.supposed(state)
        here = [key for key in dict.fromkeys(self._here(state).values()) if key in supposed]
        told = next((key for key in supposed if key.partition("=")[0] not in self._belief.evidence), None)
        found = (f"{I_FOUND} {supposed[told][0]}",) if told else ()
        return (*plain, *(f"{Question.IF} {supposed[key][0]}" for key in here), *found)

    def as_answer(self, told: TellTest, state: State, now: Expected) -> GiveResult | TellTest:
        """A test told where the present step asks for its very result is the answer of the step, kept for it while its
        cautions and gates are asked; else it is told with what it leaves so of car and bay."""
        if told.test in OF_NO_TEST:
            return told
        key = f"{told.test}={told.result}"
        asked = [result for result, meant in self._here(state).items() if meant == key and result in now.results]
        behind = now.behind.results if now.behind is not None else {}
        ahead = next((each for each, meant in self._here(state).items() if meant == key and each in behind), None)
        if now.behind is not None and ahead is not None:
            return keep_ahead(now.behind, ahead)
        if not asked or state.mode is not Mode.ASKING:
            made = self._reasoner.model.test(told.test).made(told.result)
            return replace(told, makes=tuple(dict.fromkeys((*made, *told.makes))))
        chosen = next((result for result in asked if told.words in now.results[result]), asked[0])
        return GiveResult(result=chosen, words=now.results[chosen][0])

    def supposed(self, state: State) -> Mapping[str, tuple[str, ...]]:
        """All that "what if" may suppose, "test=result" -> clauses: results of every test in its own words, those of
        the present step also in the step's."""
        if self._suppose_any and state.at != self._supposed[0]:
            self._supposed = (state.at, self._suppose(state))
        return self._supposed[1]

    def expected(self, state: State, now: Expected) -> Expected:
        """What may be said now, with what may be asked, supposed and, where the plan leads, named as a place."""
        places = self.leader.places() if state.leads else {}
        controls = now.controls | ({Control.TAKE_TO} if places else set())
        tests = {test.id: test.say for test in self._reasoner.model.tests}
        supposed = self.supposed(state)
        return replace(now, questions=True, supposed=supposed, places=places, controls=controls, tests=tests)

    def answer(self, ask: Ask, state: State) -> str:
        """At most two short sentences. Raises KeyError where "what if" supposes what the model lacks, and for what
        is no thought: the record, limits, tools. Of a car that burns something else than petrol nothing is thought."""
        if ask.question is not Question.RECORD and not _burns_petrol(state):
            return texts.FOR_PETROL_ALONE
        if ask.question in (Question.NEXT, Question.LEFT) and self._in_recheck(state):
            return texts.IN_RECHECK
        match ask.question:
            case Question.THINK:
                return answers.what_do_you_think(self._reasoner, think(self._reasoner, self._belief))
            case Question.WHY:
                return answers.why(self._reasoner, think(self._reasoner, self._belief))
            case Question.AGAINST:
                return answers.what_speaks_against(self._reasoner, think(self._reasoner, self._belief))
            case Question.NEXT:
                here = frozenset(key.partition("=")[0] for key in self._here(state).values())
                return say_plan(self._reasoner, self._belief, self.plan(state), here)
            case Question.LEFT:
                return say_left(self._reasoner, self._belief, self.plan(state))
            case Question.RECORD | Question.SHOULD_BE | Question.NEED:
                raise KeyError(ask.question)
            case Question.IF:
                test, _, result = ask.supposed.partition("=")
                return what_if(self._reasoner, self._belief, test, result, lambda belief: self._plan(state, belief))

    def fault_names(self) -> dict[str, str]:
        """Fault -> what it is called."""
        return {fault.id: fault.say for fault in self._reasoner.model.faults}

    def odds(self, most: int) -> tuple[tuple[str, float], ...]:
        """The likeliest faults in words, each with its probability."""
        first = list(fault_odds(self._reasoner.network, self._belief).items())[:most]
        return tuple((self._reasoner.model.say_fault(fault), p) for fault, p in first)

    def reason(self, state: State) -> str:
        """The next test and why, in one sentence; empty while a repair is checked, which is no test of the plan."""
        if state.repaired is not None or self._in_recheck(state) or not _burns_petrol(state):
            return ""
        here = frozenset(key.partition("=")[0] for key in self._here(state).values())
        return say_plan(self._reasoner, self._belief, self.plan(state), here)

    def why_here(self, state: State) -> str:
        """What the test that the step belongs to tells apart; empty where no test of the model is asked about."""
        if not _burns_petrol(state) or self._in_recheck(state):
            return ""
        here = [key.partition("=")[0] for key in self._here(state).values()]
        seen_from = ((test.id, seen) for test in self._reasoner.model.tests for seen in test.seen_from)
        around = (test for test, seen in seen_from if seen.procedure == state.at.procedure)
        asked = next((test for test in (*here, *around) if test not in self._belief.evidence), None)
        return say_purpose(self._reasoner, self._belief, asked) if asked else ""

    def _in_recheck(self, state: State) -> bool:
        led = self._library[state.root].led
        return led is not None and state.at.procedure == led.recheck

    def places(self, state: State) -> tuple[str, ...]:
        """The names of the tests that may be gone to, as they may be said."""
        known = self.leader.places() if state.leads else {}
        return tuple(f"the {names[0]}" for block, names in known.items() if not self.leader.closed(state, (), block))

    def think_over(self, turn: Turn, command: Command | Unclear | None) -> Turn:
        """The turn with the odds in the facts that move them and, where they are news, in its words."""
        before, facts, petrol = self._belief, [], _burns_petrol(turn.state)
        for fact in turn.facts:
            moved = self._thoughts.take(fact) or fact.kind is FactKind.FINDING_REACHED
            weighed = moved and petrol and isinstance(fact.said, Weighed)
            facts.append(fact.saying(self._with_odds(fact.says(Weighed), fact.number, turn)) if weighed else fact)
        reply, finding = turn.reply, self._finding.told_in(turn)
        if not petrol:
            pass
        elif finding is not None:
            reply = self._finding.words(reply, turn.state, self._belief, finding)
        elif self._belief.evidence != before.evidence:
            news = answers.news(self._reasoner, before, self._belief)
            led = any(isinstance(said := fact.said, PlanChanged) and said.settles for fact in turn.facts)
            if news == DO_NOT_FIT and not led:  # else what decides is said as the next test
                news = f"{news} {self._say_what_settles(turn.state)}"
            reply = after(reply, "readback", news or self._end_of_tests(turn.state))
        if isinstance(command, GiveControl) and command.control is Control.OPTIONS and self.can_ask(turn.state):
            reply = (*reply, Sentence(text=f"{texts.ASKABLE} {texts.TELLABLE if self._suppose_any else ''}".rstrip()))
        reply = after(reply, "readback", self._seen_yourself(turn))
        if any(fact.kind is FactKind.INSTRUCTION_SPOKEN for fact in turn.facts):
            reply = after(reply, "instruction", self._told_before(turn.state))
        return replace(turn, facts=tuple(facts), reply=reply)

    def _say_what_settles(self, state: State) -> str:
        """What may be wrong and the cheapest test that decides; where none does, what comes next."""
        plan = self.plan(state)
        doubted = self._thoughts.doubted(self._belief, plan.options)
        return say_doubt(self._reasoner, doubted) if doubted else self._say_plan(plan, state.manner)

    def _say_plan(self, plan: Plan, manner: Manner) -> str:
        if manner is not Manner.FULL and plan.act is Act.TEST:
            return say_briefly(self._reasoner, plan.options[0])
        if manner is not Manner.FULL and plan.act is Act.REPAIR:
            return say_proposal(self._reasoner, self._belief, plan.name, None)
        return say_plan(self._reasoner, self._belief, plan)

    def _end_of_tests(self, state: State) -> str:
        """Once testing costs more than it saves, the repair is proposed unasked, with its odds, and only then."""
        plan = (self.leader.made_for(self._belief) if state.leads else None) or self.plan(state)
        over = plan.act is not Act.TEST
        news = over and not self._tests_are_over
        self._tests_are_over = over
        return self._say_plan(plan, state.manner) if news else ""

    def plan(self, state: State) -> Plan:
        """The next test or repair from where the technician stands; where the plan leads, as it leads."""
        return self.leader.plan(state) if state.leads else self._plan(state, self._belief)

    def _plan(self, state: State, belief: Belief) -> Plan:
        return self._thoughts.plan(state, belief, self._asked_somewhere, self._thoughts.left_out)

    def _told_before(self, state: State) -> str:
        """What was told by own choice of the very test that the step is about, so that nobody need remember it."""
        told = {test for procedure, test, _ in logged(self._thoughts.facts) if procedure == OWN_CHOICE}
        here = (key.partition("=")[0] for key in self._here(state).values())
        known = next((test for test in here if test in told and test in self._belief.evidence), None)
        led = self._library[state.root].led
        if known is None or (led is not None and state.at == Frame(procedure=state.root, step=led.runs)):
            return ""
        return texts.you_told(answers.say_result(self._reasoner.model, known, self._belief.evidence[known]))

    def _seen_yourself(self, turn: Turn) -> str:
        """How a test that the complaint tells of is told as one's own: what a customer says is none."""
        kept = (fact.said.words for fact in turn.facts if isinstance(fact.said, WordsKept))
        found = (found_among(words, self.supposed(turn.state)) for words in kept)
        clause = next((each for each in found if each), None)
        return texts.if_you_saw_it(f"{I_FOUND} {clause}") if clause else ""

    def _with_odds(self, said: Weighed, number: int, turn: Turn) -> Weighed:
        """The same with the odds after it, and with what they make of the finding where one stands already."""
        odds = fault_odds(self._reasoner.network, self._belief)
        said = replace(said, odds={fault: round(p, 4) for fault, p in odds.items() if p >= KEPT_ODDS})
        reached = next((one.number for one in turn.facts if one.kind is FactKind.FINDING_REACHED), 0)
        step = self._finding.standing_at(turn.state) if number >= reached else None
        return said if step is None else self._finding.kept(said, turn.state, self._belief, step)

    def _here(self, state: State) -> dict[str, str]:
        """Results of the present step that the model understands -> what each supposes, as "test=result"."""
        found: dict[str, str] = {}
        for test in self._reasoner.model.tests:
            for seen in test.seen_from:
                if (seen.procedure, seen.step) == (state.at.procedure, state.at.step):
                    found |= {told: f"{test.id}={value}" for told, value in seen.results.items()}
        return found

    def _suppose(self, state: State) -> dict[str, tuple[str, ...]]:
        found: dict[str, tuple[str, ...]] = {
            f"{test.id}={value.id}": (plain_words(value.say),)
            for test in self._reasoner.model.tests
            for value in test.values
        }
        taken = {words for clauses in found.values() for words in clauses}
        phrases = {result.id: result.phrases for result in step_of(self._library, state).results}
        for told, key in self._here(state).items():
            more = tuple(words for words in phrases.get(told, ()) if words not in taken)
            found[key] = (*found[key], *more)
            taken |= set(more)
        return found
