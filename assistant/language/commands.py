"""The command words: one row a command, a closed list.

Source: plain English and trade use; the practice of a few synonyms for each generic command follows
ETSI ES 202 076 (from memory: the phrases themselves are our own choice). No phrase stands under two controls.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from enum import StrEnum
from types import MappingProxyType

from assistant.language.model import Control
from assistant.language.questions import question_phrases


class Stakes(StrEnum):
    """What a wrong word costs, and so how sure of it we must be; `assistant.hearing.trust` has the numbers."""

    HARMLESS = "harmless"  # a word or a tone of ours; nothing is kept and nothing moves
    ANSWER = "answer"  # logged or moves the job on, and can be mended at once
    SUPPOSED = "supposed"  # a clause after "what if", a number, facts in a row: many are alike, another misleads
    STRICT = "strict"  # passes a caution, takes back or ends what was kept, reaches later jobs; and all that is unknown


@dataclass(frozen=True, slots=True, kw_only=True)
class CommandRow:
    """Everything that language knows of a command.

    `phrases`: what is said for it; the first is the one we speak of. `typed`: understood too, but not listened for.
    `always`: legal in every live mode.
    `cuts_speech`: silences us before anything else is done, is listened for while we speak, and waits for no silence.
    `followed`: something must follow its phrase, which is no command by itself.
    `obeyed_unsure`: obeyed even when heard near the threshold: to stop wrongly costs a word, not to stop may cost a
    hand.
    """

    control: Control
    phrases: tuple[str, ...]
    stakes: Stakes
    typed: tuple[str, ...] = ()
    always: bool = True
    cuts_speech: bool = False
    obeyed_unsure: bool = False
    followed: bool = False

    def __post_init__(self) -> None:
        """A command that does harm is never obeyed unsure."""
        if self.obeyed_unsure and self.stakes is not Stakes.HARMLESS:
            raise ValueError(f"'{self.control}' is obeyed unsure and not harmless")


ROWS: tuple[CommandRow, ...] = (
    CommandRow(
        control=Control.STOP, phrases=("stop", "stop now", "stop stop"), typed=("whoa", "hold it"),
        stakes=Stakes.HARMLESS, cuts_speech=True, obeyed_unsure=True,
    ),
    CommandRow(
        control=Control.PAUSE, phrases=("pause", "hold on", "take a break"), stakes=Stakes.HARMLESS,
        cuts_speech=True, obeyed_unsure=True,
    ),
    CommandRow(control=Control.RESUME, phrases=("resume", "carry on", "continue"), stakes=Stakes.ANSWER),
    CommandRow(
        control=Control.SAY_AGAIN, phrases=("say again", "repeat", "repeat that", "say that again"),
        stakes=Stakes.HARMLESS, obeyed_unsure=True,
    ),
    CommandRow(control=Control.GO_BACK, phrases=("go back", "step back", "back up one step"), stakes=Stakes.STRICT),
    CommandRow(control=Control.SKIP, phrases=("skip", "skip this", "skip this step"), stakes=Stakes.STRICT),
    CommandRow(
        control=Control.WHERE, phrases=("where am i", "where are we"), stakes=Stakes.HARMLESS, obeyed_unsure=True,
    ),
    CommandRow(
        control=Control.OPTIONS, phrases=("what can i say", "what are my choices"), stakes=Stakes.HARMLESS,
        obeyed_unsure=True,
    ),
    CommandRow(
        control=Control.HOW_LONG, phrases=("how long", "how much longer", "time left"), stakes=Stakes.HARMLESS,
    ),
    # No bare "note": by ear it lies 0.7 of a phone from "nope" and 1 from "no", which people say far more often.
    CommandRow(control=Control.NOTE, phrases=("take a note", "make a note"), typed=("note",), stakes=Stakes.ANSWER),
    CommandRow(control=Control.STRIKE, phrases=("strike that", "take that back"), stakes=Stakes.STRICT),
    CommandRow(
        control=Control.YES, stakes=Stakes.ANSWER,
        phrases=("yes", "correct", "yes please", "that is right", "that is correct"), typed=("yep", "yup", "yeah"),
    ),
    CommandRow(control=Control.NO, phrases=("no", "nope", "no that is wrong"), typed=("nah",), stakes=Stakes.ANSWER),
    CommandRow(control=Control.END_JOB, phrases=("end job", "end the job"), stakes=Stakes.STRICT),
    CommandRow(control=Control.LOUDER, phrases=("louder", "speak louder"), stakes=Stakes.HARMLESS),
    # No bare "quieter": by ear it lies a phone from "quiet", which is an answer.
    CommandRow(
        control=Control.SOFTER, phrases=("softer", "speak softer", "speak quieter"), typed=("quieter",),
        stakes=Stakes.HARMLESS,
    ),
    CommandRow(control=Control.SLOWER, phrases=("slower", "speak slower"), stakes=Stakes.HARMLESS),
    CommandRow(control=Control.FASTER, phrases=("faster", "speak faster"), stakes=Stakes.HARMLESS),
    # No bare "full", which is an answer ("how is the tank?"); "brief" by ear lies 0.7 of a phone from "breathe".
    CommandRow(control=Control.FULL, phrases=("speak in full", "say it in full"), stakes=Stakes.ANSWER),
    CommandRow(control=Control.BRIEF, phrases=("be brief", "keep it brief"), typed=("brief",), stakes=Stakes.ANSWER),
    CommandRow(control=Control.TERSE, phrases=("be terse", "keep it terse"), typed=("terse",), stakes=Stakes.ANSWER),
    CommandRow(
        control=Control.TONES, phrases=("sound the tones", "give me the tones"), typed=("tones",),
        stakes=Stakes.HARMLESS,
    ),
    CommandRow(
        control=Control.NO_TONES, phrases=("mute the tones", "leave out the tones"), typed=("no tones",),
        stakes=Stakes.HARMLESS,
    ),
    CommandRow(control=Control.LEAD, phrases=("lead the way", "you lead the way"), stakes=Stakes.ANSWER),
    CommandRow(control=Control.BY_THE_BOOK, phrases=("by the book", "go by the book"), stakes=Stakes.ANSWER),
    CommandRow(control=Control.ANOTHER, phrases=("another test", "give me another test"), stakes=Stakes.STRICT),
    CommandRow(control=Control.TAKE_TO, phrases=("take me to",), stakes=Stakes.STRICT, always=False, followed=True),
    CommandRow(
        control=Control.CANNOT, phrases=("i can't do that", "i cannot do that", "can't do that"), stakes=Stakes.STRICT,
    ),
    # Only where there is a page, or a phone: `ports.Aids` says when.
    CommandRow(
        control=Control.PICTURE, phrases=("take a picture", "take a photo"), stakes=Stakes.ANSWER, always=False,
    ),
    CommandRow(
        control=Control.PHONE_AWAY, phrases=("remove the phone",), stakes=Stakes.STRICT, always=False,
    ),
    CommandRow(control=Control.DONE, phrases=("done", "all done"), stakes=Stakes.ANSWER, always=False),
    CommandRow(control=Control.READY, phrases=("ready", "i am ready"), stakes=Stakes.ANSWER, always=False),
    CommandRow(
        control=Control.SAME_CAR, phrases=("the same car", "same car as before"), stakes=Stakes.STRICT, always=False,
    ),
    CommandRow(
        control=Control.DIESEL, stakes=Stakes.STRICT, typed=("it is a diesel", "it's a diesel", "this is a diesel"),
        phrases=("change the fuel to diesel", "change fuel to diesel", "it is a diesel after all"),
    ),
    CommandRow(
        control=Control.REPAIR_DONE, phrases=("repair done", "the repair is done"), stakes=Stakes.STRICT, always=False,
    ),
    CommandRow(
        control=Control.REPAIR_CONFIRMED, phrases=("repair confirmed", "the repair is confirmed"),
        stakes=Stakes.STRICT, always=False,
    ),
)  # fmt: skip

ROW_OF: Mapping[Control, CommandRow] = MappingProxyType({row.control: row for row in ROWS})

COMMAND_PHRASES: Mapping[Control, tuple[str, ...]] = MappingProxyType({row.control: row.phrases for row in ROWS})
"""Each control and the phrases that give it; the first is the one we speak of."""

ALWAYS = frozenset(row.control for row in ROWS if row.always)
"""Legal in every live mode: what a technician may say at any moment of a job."""

CUTS_SPEECH = frozenset(row.control for row in ROWS if row.cuts_speech)
"""Silences us, and is obeyed while we speak; everything else waits for our silence."""

OBEYED_UNSURE = frozenset(row.control for row in ROWS if row.obeyed_unsure)


def phrase_of(control: Control) -> str:
    """The phrase that we speak of when we mean this control."""
    return COMMAND_PHRASES[control][0]


def control_of(words: str) -> Control | None:
    """The control that these lower-case words give, or None."""
    return next((row.control for row in ROWS if words in row.phrases or words in row.typed), None)


def command_phrases() -> tuple[str, ...]:
    """Every phrase of every control, and every question: no result, acknowledgement or done phrase may equal one."""
    return (*(phrase for phrases in COMMAND_PHRASES.values() for phrase in phrases), *question_phrases())


def phrases_beside_answers() -> tuple[str, ...]:
    """The commands and questions that may be said while a question waits for its answer."""
    controls = (phrase for control, phrases in COMMAND_PHRASES.items() if control in ALWAYS for phrase in phrases)
    return (*controls, *question_phrases())
