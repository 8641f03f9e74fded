"""The command words: every phrase that gives a Control, a closed list.

Source: plain English and trade use; the practice of a few synonyms for each generic command follows
ETSI ES 202 076 (from memory: the phrases themselves are our own choice). No phrase stands under two controls.
"""

from __future__ import annotations

from collections.abc import Mapping
from types import MappingProxyType

from assistant.language.model import Control
from assistant.language.questions import question_phrases

COMMAND_PHRASES: Mapping[Control, tuple[str, ...]] = MappingProxyType(
    {
        Control.STOP: ("stop", "stop now", "stop stop"),
        Control.PAUSE: ("pause", "hold on", "take a break"),
        Control.RESUME: ("resume", "carry on", "continue"),
        Control.SAY_AGAIN: ("say again", "repeat", "repeat that", "say that again"),
        Control.GO_BACK: ("go back", "step back", "back up one step"),
        Control.SKIP: ("skip", "skip this", "skip this step"),
        Control.WHERE: ("where am i", "where are we"),
        Control.OPTIONS: ("what can i say", "what are my choices"),
        Control.HOW_LONG: ("how long", "how much longer", "time left"),
        Control.NOTE: ("note", "take a note", "make a note"),
        Control.STRIKE: ("strike that", "take that back"),
        Control.YES: ("yes", "yes please", "that is right", "that is correct"),
        Control.NO: ("no", "no that is wrong"),
        Control.END_JOB: ("end job", "end the job"),
        Control.LOUDER: ("louder", "speak louder"),
        Control.SOFTER: ("softer", "speak softer"),
        Control.SLOWER: ("slower", "speak slower"),
        Control.FASTER: ("faster", "speak faster"),
        Control.DONE: ("done", "all done"),
        Control.READY: ("ready", "i am ready"),
        Control.REPAIR_CONFIRMED: ("repair confirmed", "the repair is confirmed"),
    }
)
"""Each control and the phrases that give it; the first is the one we speak of."""

ALWAYS = frozenset(Control) - {Control.DONE, Control.READY, Control.REPAIR_CONFIRMED}
"""Legal in every live mode: what a technician may say at any moment of a job."""

WHILE_SPEAKING = frozenset({Control.STOP, Control.PAUSE})
"""What is obeyed while the assistant itself speaks; everything else waits for its silence."""


def phrase_of(control: Control) -> str:
    """The phrase that we speak of when we mean this control."""
    return COMMAND_PHRASES[control][0]


def control_of(words: str) -> Control | None:
    """The control that these lower-case words give, or None."""
    for control, phrases in COMMAND_PHRASES.items():
        if words in phrases:
            return control
    return None


def command_phrases() -> tuple[str, ...]:
    """Every phrase of every control, and every question: no result, acknowledgement or done phrase may equal one."""
    return (*(phrase for phrases in COMMAND_PHRASES.values() for phrase in phrases), *question_phrases())


def phrases_beside_answers() -> tuple[str, ...]:
    """The commands and questions that may be said while a question waits for its answer."""
    controls = (phrase for control, phrases in COMMAND_PHRASES.items() if control in ALWAYS for phrase in phrases)
    return (*controls, *question_phrases())
