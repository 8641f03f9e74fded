"""What a job is told before it asks for the complaint: the complaint in one breath, which is kept and answers nothing.

Where it is asked for next, it is taken as asked for already.
A part that is begun alone asks at once for what it tests. Whoever tells what is wrong there is no less heard: the words
are kept as the complaint is, what they tell of dangers counts as there, and what was asked is asked once more.
"""

from __future__ import annotations

import re

from assistant.english import prompts, sayings
from assistant.facts import InstructionDone, WordsKept
from assistant.guide.arrive import complete, go_to, leaves
from assistant.guide.expect import expected
from assistant.guide.free_words import dictate, made_by, warn_of
from assistant.guide.not_taken import unclear
from assistant.guide.places import forbidden_now
from assistant.guide.state import Mode, State
from assistant.guide.turn import Making
from assistant.guide.unasked import break_off
from assistant.language.model import Dictate, Unclear, UnclearReason
from assistant.language.speech import Sentence
from assistant.language.understand import MAX_KEPT_CHARACTERS
from assistant.procedure.model import Kind

LEAST_WORDS = 5
"""Fewer words are no complaint. Source: judgement."""

_OF_A_CAR = re.compile(
    r"\b(?:start\w*|crank\w*|turn(?:s|ed|ing)? over|spins?|dies|died|stall\w*|cuts? out|clicks?|flat|drain\w*|charg\w*"
    r"|slow\w*|spark|smok\w*|knock\w*|bang\w*|leak\w*|smell\w*|stinks?|lamps?|lights?|misfir\w*|overheat\w*|sprayed)\b"
)
_SMALL = frozenset(
    ("a", "an", "and", "are", "i", "in", "is", "it", "it's", "my", "no", "not", "of", "on", "or", "the", "to", "won't")
)
_OPEN = frozenset({Mode.CAUTIONING, Mode.GATING, Mode.POISED, Mode.ASKING})


def not_understood(making: Making, said: Unclear) -> None:
    """Keep it as the complaint where it may be that, else say why it was not taken."""
    if not keep_as_complaint(making, said):
        unclear(making, said)


def keep_as_complaint(making: Making, said: Unclear) -> bool:
    """Keep what was not understood as the complaint, where nothing was told yet and it tells what is wrong; whether it
    was. What may be the phrase of a caution or gate, said otherwise, is not. What it may answer as well is offered."""
    words = _as_written(making) or " ".join((said.words or "").split())
    if not _tells_what_is_wrong(words):
        return False
    if _asked_next(making):
        _take_as_asked(making, words)
        return True
    if not _may_be_told(making, said, words):
        return False
    state, kept = making.state, words[:MAX_KEPT_CHARACTERS]
    before, so_before, makes = forbidden_now(making.library, state), state.bay.conditions, made_by(kept, state)
    cut, hearing, proofed = kept != words, making.hearing, making.proofed
    making.note_of_job(WordsKept(words=kept, cut=cut, hearing=hearing, proofed=proofed, makes=makes))
    told = f"{sayings.KEPT_AS_COMPLAINT} {prompts.STRIKE_IF_WRONG}"
    if said.offer is not None and not makes:
        unclear(making, said)
        making.reply.insert(0, Sentence(text=told, kind="readback"))
        return True
    making.say(told, "readback")
    warn_of(making, kept, makes, so_before)
    break_off(making, before)
    return True


def keep_beside(making: Making) -> None:
    """Keep the whole of what tells of something unasked as the complaint too, where that is asked next."""
    words = _as_written(making)
    if _tells_what_is_wrong(words) and _asked_next(making):
        _take_as_asked(making, words)


def _take_as_asked(making: Making, words: str) -> None:
    told = [each for each in making.reply if isinstance(each, Sentence) and each.kind != "prompt"]
    making.note(InstructionDone(makes=leaves(making.step), hearing=making.hearing))
    complete(making)
    go_to(making, making.step.next or "")
    making.reply[:] = told  # what would be asked is told already
    dictate(making, Dictate(words=words[:MAX_KEPT_CHARACTERS], cut=len(words) > MAX_KEPT_CHARACTERS))


def _as_written(making: Making) -> str:
    """What was said, as free writing has it where there is any."""
    return " ".join(((making.heard.free_text if making.heard else "") or making.words).split())


def _tells_what_is_wrong(words: str) -> bool:
    return len(words.split()) >= LEAST_WORDS and _OF_A_CAR.search(words.lower()) is not None


def _may_be_told(making: Making, said: Unclear, words: str) -> bool:
    """Whether nothing was told yet in a job that asks for no complaint, and these words pass nothing that is asked."""
    state = making.state
    fresh = state.mode in _OPEN and not state.history and not state.strikable
    unheard = said.reason is UnclearReason.NOT_HEARD or said.offer is not None
    if not fresh or not unheard or _asks_to_be_told(making, state):
        return False
    phrases = expected(making.library, state).acknowledge
    return (set(words.lower().split()) - _SMALL).isdisjoint(" ".join(phrases).split())


def _asked_next(making: Making) -> bool:
    """Whether the complaint is what is asked as soon as this step, which has nobody do anything, was heard."""
    step, state = making.step, making.state
    plain = step.kind is Kind.INSTRUCT and state.mode is Mode.ASKING and not step.all_hazards and step.next
    then = making.library[state.at.procedure].step(step.next) if plain and step.next else None
    return then is not None and then.kind is Kind.TELL


def _asks_to_be_told(making: Making, state: State) -> bool:
    return any(step.kind is Kind.TELL for step in making.library[state.root].steps)
