"""A bang as it stopped: what tore may bend valves at the next turn, so it is said before the starter turns.

It forbids nothing and waits for nothing: whether it turns by hand is looked at with a tool that not everybody has.
"""

from __future__ import annotations

from assistant.cranking.duty import NOT_CRANKED
from assistant.english import prompts, sayings
from assistant.facts import TestTold
from assistant.guide.state import State
from assistant.guide.turn import Making
from assistant.language.banged import BINDS, BY_HAND, LIGHT, LIGHTLY, STUCK, binds_by_hand, light_by_hand
from assistant.language.speech import Sentence
from assistant.procedure.condition import Condition
from assistant.procedure.forbidden import TURN
from assistant.procedure.model import Kind, Step


def warn_of_the_bang(making: Making, so_before: frozenset[Condition]) -> None:
    """Say it as soon as it is told. `so_before`: what was so of car and bay before that."""
    if Condition.BANGED in making.state.bay.conditions - so_before:
        making.say(sayings.BANG, "caution")


def warn_of_lightness(making: Making, test: str, result: str) -> None:
    """Say that the starter waits where it was told that by hand it spins too lightly."""
    making.say(sayings.SPINS_LIGHT if (test, result) == (BY_HAND, LIGHTLY) else "", "caution")


def note_by_hand(making: Making, words: str) -> None:
    """Keep that by hand it binds, or spins too lightly, where these words say so, as a test that was told."""
    if Condition.BINDS not in making.state.bay.conditions and binds_by_hand(words):
        made = (str(Condition.BINDS),)
        making.note_of_job(TestTold(test=BY_HAND, result=STUCK, words=BINDS, makes=made))
    elif light_by_hand(words):
        making.note_of_job(TestTold(test=BY_HAND, result=LIGHTLY, words=LIGHT))
        warn_of_lightness(making, BY_HAND, LIGHTLY)


def before_the_starter(step: Step, state: State) -> tuple[Sentence, ...]:
    """What is said of it once more where the starter turns for the first time in this job; and of what the starter did,
    told before its cautions, that it is told once more if it is so."""
    turns = step.all_hazards & TURN and state.duty == NOT_CRANKED
    so = turns and Condition.BANGED in state.bay.conditions
    bang = (Sentence(text=sayings.BANG, kind="caution"),) if so else ()
    ahead = next((each.phrases[0] for each in step.results if each.id == state.ahead), "")
    known = (Sentence(text=prompts.turned_before(ahead), kind="prompt"),) if ahead and step.kind is Kind.CRANK else ()
    return (*bang, *known)
