"""A finding as the odds have it: how sure it is, what they say of it, and what is kept with it."""

from __future__ import annotations

from dataclasses import replace

from assistant.english import live as texts
from assistant.english import sayings
from assistant.facts import FindingReached, Weighed
from assistant.guide import Library, Mode, State, Turn
from assistant.guide.places import step_of
from assistant.guide.words import finding_words
from assistant.language.manner import Manner
from assistant.language.speech import Sentence, Utterance
from assistant.procedure.model import Step
from assistant.reasoning import findings
from assistant.reasoning.posterior import Belief, fault_odds
from assistant.reasoning.reasoner import Reasoner
from assistant.reasoning.standing import Standing

ENDS_OPEN = Sentence(text=texts.OPEN_END_SPOKEN, kind="instruction")
"""What is said where the plan led and no fault was found: what the procedure says there follows another way."""


class ToldFinding:
    """What belief makes of the finding that stands."""

    def __init__(self, reasoner: Reasoner, library: Library) -> None:
        self._reasoner = reasoner
        self._library = library

    def told_in(self, turn: Turn) -> Step | None:
        """The step of the finding whose words are in the reply, whatever led to them; None where none is told."""
        step = self.standing_at(turn.state) if turn.state.mode is Mode.CLOSING else None
        return step if step is not None and finding_words(step)[0] in turn.reply else None

    def standing_at(self, state: State) -> Step | None:
        """The step of the finding that stands; None where there is none, only an outcome, or one that the odds of this
        model know nothing of, told beside its procedure."""
        led, first = self._library[state.root].led, (*state.position.stack, state.at)[0].procedure
        if led is not None and first in {each.procedure for each in led.beside}:
            return None
        step = step_of(self._library, state) if state.finding else None
        return step if step is not None and step.finding is not None and not step.outcome else None

    def words(self, reply: tuple[Utterance, ...], state: State, belief: Belief, step: Step) -> tuple[Utterance, ...]:
        """The finding said as sure as the odds are, and what they say of it after its first sentence."""
        stands = findings.finding_stands(self._reasoner, belief, state.found or None)
        plain, sure = finding_words(step), finding_words(step, stands)
        said = dict(zip(plain, sure, strict=True))
        customer = self._for_the_customer(state, belief, stands)
        if customer and step.finding is not None and step.finding.customer:
            said[plain[-2]] = replace(plain[-2], text=sayings.for_customer(customer, ""))
        briefly = state.manner is not Manner.FULL
        if briefly and self._proposes(state):  # why tests end follows in the same breath
            said[plain[0]] = replace(sure[0], text=f"{sure[0].text.partition('.')[0]}.")
        if self._is_open(state, step):
            # What this end takes for shown was perhaps not tested on the way that the plan led.
            first, *claims, _ = plain
            reply = tuple(each for each in reply if each not in claims)
            said[first] = ENDS_OPEN
        reply = tuple(said.get(each, each) if isinstance(each, Sentence) else each for each in reply)
        return after(reply, "instruction", self._by_odds(state, belief, step, briefly=briefly))

    def kept(self, said: Weighed, state: State, belief: Belief, step: Step) -> Weighed:
        """The same with what is so of the finding that stands by then; the fact that tells it tells it so."""
        by_odds = self._by_odds(state, belief, step)
        stands = findings.finding_stands(self._reasoner, belief, state.found or None)
        said = replace(said, standing=stands.value, by_odds=by_odds or None)
        if isinstance(said, FindingReached) and self._is_open(state, step):
            return replace(said, say=texts.OPEN_END, customer="", proved=(), likely=(), untested=())
        if not isinstance(said, FindingReached):
            return said
        if self._proposes(state):
            said = replace(said, say=texts.proposed(self._reasoner.model.say_fault(state.found)))
        customer = self._for_the_customer(state, belief, stands) if said.customer else ""
        return replace(said, customer=customer) if customer else said

    def _for_the_customer(self, state: State, belief: Belief, stands: Standing) -> str:
        """What the customer may be told of a fault that is not proved, for the procedure has it worn out; empty where
        its own words stand."""
        model = self._reasoner.model
        fault = state.found if self._proposes(state) else model.meant_by(state.found or "")
        if stands is Standing.OUTWEIGHED:
            return texts.not_clear_yet(model.say_fault(next(iter(fault_odds(self._reasoner.network, belief)))))
        proved = not self._proposes(state) and stands is not Standing.NOT_PROVED
        return "" if fault is None or proved else texts.for_the_customer(model.say_fault(fault))

    def _by_odds(self, state: State, belief: Belief, step: Step, *, briefly: bool = False) -> str:
        """What the odds say of the finding; empty where they reckon none of it."""
        if self._proposes(state):
            return findings.say_proposed(self._reasoner, belief, state.found, briefly=briefly)
        briefly = briefly and not self._is_open(state, step)  # its own claims fall: what was not tested is told here
        return findings.say_finding(self._reasoner, belief, state.found or None, briefly=briefly)

    def _proposes(self, state: State) -> bool:
        led = self._library[state.root].led
        return led is not None and bool(state.found) and (state.at.procedure, state.at.step) == (state.root, led.repair)

    def _is_open(self, state: State, step: Step) -> bool:
        """Whether the plan led to an end that leaves the fault open."""
        return state.leads and step.finding is not None and step.finding.fault == findings.OPEN


def after(reply: tuple[Utterance, ...], kind: str, text: str) -> tuple[Utterance, ...]:
    """The reply with a sentence after the first one of that kind, or before all others."""
    if not text:
        return reply
    kinds = (each.kind if isinstance(each, Sentence) else "" for each in reply)
    place = next((number + 1 for number, one in enumerate(kinds) if one == kind), 0)
    return (*reply[:place], Sentence(text=text), *reply[place:])
