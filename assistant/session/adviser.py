"""What the assistant thinks in a session: evidence from the facts, answers to questions, odds for the record.

It only looks on: the guide never asks it, and no state depends on it. All follows from the facts so far, so a struck
result is forgotten and a resumed job thinks what it thought.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import replace

from assistant.facts import Fact, FactKind
from assistant.guide import Library, Mode, State, Turn, expected
from assistant.guide.places import duty_of, step_of
from assistant.guide.state import Frame
from assistant.guide.turn import Led
from assistant.guide.words import finding_words
from assistant.language.model import Command, Control, Expected, GiveControl, GiveResult, TellTest, Unclear
from assistant.language.questions import I_FOUND, Ask, Question
from assistant.language.speech import Sentence, Utterance
from assistant.language.understand import plain_words
from assistant.procedure.condition import VAPOUR_CLEARS_S
from assistant.procedure.forbidden import REPAIRED
from assistant.procedure.model import Step
from assistant.reasoning import answers, findings
from assistant.reasoning.costs import Situation, is_open
from assistant.reasoning.evidence import OWN_CHOICE, evidence_from_facts
from assistant.reasoning.plan_words import say_left, say_plan
from assistant.reasoning.planner import Act, Plan, make_plan
from assistant.reasoning.posterior import Belief, believe, fault_odds
from assistant.reasoning.ready import closed_by, readiness_of
from assistant.reasoning.reasoner import Reasoner, think
from assistant.session.blocks import asked_in_blocks
from assistant.session.left_out import left_out
from assistant.session.logged import TELLING, logged

SILENT_IN = frozenset({Mode.NEW, Mode.TIMING, Mode.ENDED})
"""Modes in which nothing may be asked."""

KEPT_ODDS = 0.002
"""Odds below this are left out of the record. Judgement."""

ASKABLE = "Ask what do you think, why, what next, what is left to test, or read the record."
TELLABLE = "After what if, or after i found, say what a test shows."

ENDS_OPEN_SAY = "No test is left that pays. The fault is still open."
ENDS_OPEN = Sentence(text=f"The finding. {ENDS_OPEN_SAY}", kind="instruction")
"""What is said where the plan led and no fault was found: what the procedure says there follows another way."""

VAPOUR_MIN = VAPOUR_CLEARS_S / 60.0
"""Minutes until vapour that is about counts as gone, at most."""


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
        # What no step of these procedures asks could not be answered: it is not proposed.
        self._asked_somewhere = frozenset(
            test.id for test in reasoner.model.tests for seen in test.seen_from if seen.procedure in library
        )
        self._library = library
        self._blocks = asked_in_blocks(reasoner.model, library)
        self._ways = closed_by(reasoner.model, library)
        before = list(facts)
        self._left_out = left_out(reasoner.model, before)
        self._facts = [fact for fact in before if fact.kind in TELLING]
        evidence = evidence_from_facts(reasoner.model, logged(self._facts))
        self._belief: Belief = believe(reasoner.network, evidence)
        self._tests_are_over = False
        self._supposed: tuple[Frame | None, Mapping[str, tuple[str, ...]]] = (None, {})

    @property
    def evidence(self) -> dict[str, str]:
        """Test -> result, the latest last."""
        return dict(self._belief.evidence)

    def can_ask(self, state: State) -> tuple[str, ...]:
        """Questions that have an answer now, as they may be said; of "what if" those about the present step."""
        if not may_ask(state, expected(self._library, state)):
            return ()
        plain = [question.value for question in Question if question not in (Question.IF, Question.RECORD)]
        supposed = self.supposed(state)
        here = [key for key in dict.fromkeys(self._here(state).values()) if key in supposed]
        told = next((key for key in supposed if key.partition("=")[0] not in self._belief.evidence), None)
        found = (f"{I_FOUND} {supposed[told][0]}",) if told else ()
        return (*plain, *(f"{Question.IF} {supposed[key][0]}" for key in here), *found)

    def as_answer(self, told: TellTest, state: State, now: Expected) -> GiveResult | TellTest:
        """A test told where the present step asks for its very result is the answer of the step; else it is told with
        what it leaves so of car and bay."""
        key = f"{told.test}={told.result}"
        asked = [result for result, meant in self._here(state).items() if meant == key and result in now.results]
        if not asked or state.mode is not Mode.ASKING:
            return replace(told, makes=self._reasoner.model.test(told.test).made(told.result))
        chosen = next((result for result in asked if told.words in now.results[result]), asked[0])
        return GiveResult(result=chosen, words=now.results[chosen][0])

    def supposed(self, state: State) -> Mapping[str, tuple[str, ...]]:
        """All that "what if" may suppose, "test=result" -> clauses: results of every test in its own words, those of
        the present step also in the step's."""
        if self._suppose_any and state.at != self._supposed[0]:
            self._supposed = (state.at, self._suppose(state))
        return self._supposed[1]

    def answer(self, ask: Ask, state: State) -> str:
        """At most two short sentences. Raises KeyError where "what if" supposes what the model lacks, and for the
        record, which is no thought."""
        match ask.question:
            case Question.THINK:
                return answers.what_do_you_think(self._reasoner, think(self._reasoner, self._belief))
            case Question.WHY:
                return answers.why(self._reasoner, think(self._reasoner, self._belief))
            case Question.NEXT:
                here = frozenset(key.partition("=")[0] for key in self._here(state).values())
                return say_plan(self._reasoner, self._belief, self.plan(state), here)
            case Question.LEFT:
                return say_left(self._reasoner, self._belief, self.plan(state))
            case Question.RECORD:
                raise KeyError(ask.question)
            case Question.IF:
                test, _, result = ask.supposed.partition("=")
                situation, duty = self._situation(state), duty_of(self._library, state)
                return answers.what_if(
                    self._reasoner,
                    think(self._reasoner, self._belief),
                    test,
                    result,
                    situation=situation,
                    duty=duty,
                    among=self._may_ask_for(state),
                )

    def odds(self, most: int) -> tuple[tuple[str, float], ...]:
        """The likeliest faults in words, each with its probability."""
        first = list(fault_odds(self._reasoner.network, self._belief).items())[:most]
        return tuple((self._reasoner.model.say_fault(fault), p) for fault, p in first)

    def reason(self, state: State) -> str:
        """The next test and why, in one sentence."""
        here = frozenset(key.partition("=")[0] for key in self._here(state).values())
        return say_plan(self._reasoner, self._belief, self.plan(state), here)

    def think_over(self, turn: Turn, command: Command | Unclear | None) -> Turn:
        """The turn with the odds in the facts that move them and, where they are news, in its words."""
        before, facts = self._belief, []
        self._left_out |= left_out(self._reasoner.model, turn.facts)
        for fact in turn.facts:
            moved = self._take(fact) or fact.kind is FactKind.FINDING_REACHED
            facts.append(self._with_odds(fact, turn) if moved else fact)
        reply, finding = turn.reply, self._finding_told(turn)
        if finding is not None:
            reply = self._about_finding(reply, finding)
            if _led_open(turn.state, finding):
                # What this end takes for shown was perhaps not tested on the way that the plan led.
                first, *claims, _ = finding_words(finding)
                reply = tuple(ENDS_OPEN if each == first else each for each in reply if each not in claims)
        elif self._belief.evidence != before.evidence:
            news = answers.news(self._reasoner, before, self._belief)
            if news == answers.DO_NOT_FIT:
                news = f"{news} {say_plan(self._reasoner, self._belief, self.plan(turn.state))}"
            reply = _after(reply, "readback", news or self._end_of_tests(turn.state))
        if isinstance(command, GiveControl) and command.control is Control.OPTIONS and self.can_ask(turn.state):
            reply = (*reply, Sentence(text=f"{ASKABLE} {TELLABLE if self._suppose_any else ''}".rstrip()))
        if any(fact.kind is FactKind.INSTRUCTION_SPOKEN for fact in turn.facts):
            reply = _after(reply, "instruction", self._told_before(turn.state))
        return replace(turn, facts=tuple(facts), reply=reply)

    def _end_of_tests(self, state: State) -> str:
        """Once testing costs more than it saves, the repair is proposed unasked, with its odds, and only then."""
        plan = self.plan(state)
        over = plan.act is not Act.TEST
        news = over and not self._tests_are_over
        self._tests_are_over = over
        return say_plan(self._reasoner, self._belief, plan) if news else ""

    def choose(self, state: State, facts: Sequence[Fact], target: str) -> Led | None:
        """The block of the procedure to go on with, after the facts of the turn so far; None for `target`, the one that
        the procedure enters by itself, or where no test pays. A block that was entered is not chosen, so that none
        comes for ever, nor one for a test on whose way there is work that only a repair would allow; an end that leaves
        the fault open is one only when no test pays any more.
        """
        model, network = self._reasoner.model, self._reasoner.network
        if target and target not in self._blocks and not self._ends_open(state.root, target):
            return None
        entered = state.chosen | {
            (visit.position.stack[0] if visit.position.stack else visit.position.at).step for visit in state.history
        }
        told = [fact for fact in facts if fact.kind in TELLING]
        belief = believe(network, evidence_from_facts(model, logged([*self._facts, *told])))
        may = [
            block.step
            for block in model.blocks
            if block.step in self._blocks
            and (block.step == target or block.step not in entered)
            and is_open(block.opened_by, belief.evidence)
        ]
        broken = state.bay.conditions & REPAIRED
        within = {
            step: {test: way.steps for test, way in self._blocks[step].items() if not way.closed_by & broken}
            for step in may
        }
        asked = {test for tests in within.values() for test in tests}
        plan = self._plan(state, belief, asked, self._left_out | left_out(model, facts))
        fresh = tuple(option for option in plan.options if not option.again)
        if plan.act is not Act.TEST or not fresh or fresh[0].test in self._blocks.get(target, ()):
            return None
        test = fresh[0].test
        step = min((step for step in may if test in within[step]), key=lambda step: within[step][test])
        return Led(step=step, why=say_plan(self._reasoner, belief, replace(plan, options=fresh)))

    def _ends_open(self, procedure: str, step_id: str) -> bool:
        finding = self._library[procedure].step(step_id).finding
        return finding is not None and finding.fault == findings.OPEN

    def plan(self, state: State) -> Plan:
        """The next test or repair from where the technician stands."""
        return self._plan(state, self._belief, self._asked_somewhere, self._left_out)

    def _plan(self, state: State, belief: Belief, among: Collection[str], cannot: Collection[str]) -> Plan:
        return make_plan(
            self._reasoner.model,
            self._reasoner.network,
            belief,
            situation=replace(self._situation(state), clear_at={}),  # the wait for it is in the minutes of the bay
            duty=duty_of(self._library, state),
            ready=readiness_of(self._ways, state.bay.conditions, among, cannot),
        )

    def _may_ask_for(self, state: State) -> frozenset[str]:
        """The tests that some step asks for and that nothing forbids now."""
        ready = readiness_of(self._ways, state.bay.conditions, self._asked_somewhere, self._left_out)
        return self._asked_somewhere - ready.forbidden

    def _told_before(self, state: State) -> str:
        """What was told by own choice of the very test that the step is about, so that nobody need remember it."""
        told = {test for procedure, test, _ in logged(self._facts) if procedure == OWN_CHOICE}
        here = (key.partition("=")[0] for key in self._here(state).values())
        known = next((test for test in here if test in told and test in self._belief.evidence), None)
        if known is None:
            return ""
        return f"You told me: {answers.say_result(self._reasoner.model, known, self._belief.evidence[known])}."

    def _take(self, fact: Fact) -> bool:
        """Whether the fact changed the evidence; the belief follows it."""
        if fact.kind not in TELLING:
            return False
        self._facts.append(fact)
        evidence = evidence_from_facts(self._reasoner.model, logged(self._facts))
        if evidence == self._belief.evidence:
            return False
        self._belief = believe(self._reasoner.network, evidence)
        return True

    def _situation(self, state: State) -> Situation:
        """Where the technician stands. Set-ups of tests done count as still in place."""
        minutes = state.at_s / 60.0
        done = [self._reasoner.model.test(name).work for name in self._belief.evidence]
        lingers = [known.id for known in self._reasoner.model.lingers] if state.vapour else []
        return Situation(
            place=step_of(self._library, state).place,
            minutes=minutes,
            set_ups=frozenset(name for work in done if work is not None for name in work.set_ups),
            cranked_s=state.duty.cranked_s,
            cranked_at=(state.duty.ended_s or 0.0) / 60.0,
            clear_at=dict.fromkeys(lingers, minutes + VAPOUR_MIN),
        )

    def _with_odds(self, fact: Fact, turn: Turn) -> Fact:
        """The fact with the odds after it, and with what they make of the finding where one stands already."""
        odds = fault_odds(self._reasoner.network, self._belief)
        more: dict[str, object] = {"odds": {fault: round(p, 4) for fault, p in odds.items() if p >= KEPT_ODDS}}
        reached = next((one.number for one in turn.facts if one.kind is FactKind.FINDING_REACHED), 0)
        stands = turn.state.finding and fact.number >= reached
        step = step_of(self._library, turn.state) if stands else None
        if step is not None and step.finding is not None and not step.outcome:
            more["standing"] = findings.finding_stands(self._reasoner, self._belief, step.finding.fault).value
            more |= {"by_odds": said} if (said := self._of_finding(step)) else {}
        if fact.kind is FactKind.FINDING_REACHED and _led_open(turn.state, step_of(self._library, turn.state)):
            more |= {"say": ENDS_OPEN_SAY, "customer": "", "proved": [], "likely": [], "untested": []}
        return replace(fact, data={**fact.data, **more})

    def _of_finding(self, step: Step) -> str:
        """What the odds say of the finding of this step; empty where they reckon none of it."""
        return findings.say_finding(self._reasoner, self._belief, step.finding.fault) if step.finding else ""

    def _finding_told(self, turn: Turn) -> Step | None:
        """The step of the finding whose words are in the reply, whatever led to them; None where none is told."""
        if turn.state.mode is not Mode.CLOSING or not turn.state.finding:
            return None
        step = step_of(self._library, turn.state)
        told = step.finding is not None and not step.outcome and finding_words(step)[0] in turn.reply
        return step if told else None

    def _about_finding(self, reply: tuple[Utterance, ...], step: Step) -> tuple[Utterance, ...]:
        """The finding said as sure as the odds are, and what they say of it after its first sentence."""
        stands = findings.finding_stands(self._reasoner, self._belief, step.finding.fault if step.finding else None)
        said = dict(zip(finding_words(step), finding_words(step, stands), strict=True))
        reply = tuple(said.get(each, each) if isinstance(each, Sentence) else each for each in reply)
        return _after(reply, "instruction", self._of_finding(step))

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


def _led_open(state: State, step: Step) -> bool:
    """Whether the plan led to an end that leaves the fault open."""
    return state.leads and step.finding is not None and step.finding.fault == findings.OPEN


def _after(reply: tuple[Utterance, ...], kind: str, text: str) -> tuple[Utterance, ...]:
    """The reply with a sentence after the first one of that kind, or before all others."""
    if not text:
        return reply
    kinds = (each.kind if isinstance(each, Sentence) else "" for each in reply)
    place = next((number + 1 for number, one in enumerate(kinds) if one == kind), 0)
    return (*reply[:place], Sentence(text=text), *reply[place:])
