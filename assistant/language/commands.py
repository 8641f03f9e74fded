"""The commands: one row a command, a closed list. What is not told from these rows is known of no command.

A command is added by its row here and by what the guide does at it (`guide.controls`); a row that names no stakes, no
occasion, no heading or no line of help is no row. Source of the phrases: plain English and trade use; the practice of
a few synonyms for each generic command follows ETSI ES 202 076 (from memory: the phrases themselves are our own
choice).
"""

from __future__ import annotations

from collections.abc import Container, Mapping
from dataclasses import dataclass
from enum import Enum, StrEnum, auto
from types import MappingProxyType
from typing import Self

from assistant.language.questions import question_phrases


class Stakes(StrEnum):
    """What a wrong word costs, and so how sure of it we must be; `assistant.hearing.trust` has the numbers."""

    HARMLESS = "harmless"  # a word or a tone of ours; nothing is kept and nothing moves
    ANSWER = "answer"  # logged or moves the job on, and can be mended at once
    SUPPOSED = "supposed"  # a clause after "what if", a number, facts in a row: many are alike, another misleads
    STRICT = "strict"  # passes a caution, takes back or ends what was kept, reaches later jobs; and all that is unknown


class When(Enum):
    """An occasion of the talk; `guide.occasions` tells whether it is so, `TOLD` and `AIDED` the session."""

    ALWAYS = auto()  # in every live mode
    NEVER = auto()
    TOLD = auto()  # where the plan leads and its blocks can be named
    AIDED = auto()  # where a page, or a phone, obeys it: `ports.Aids` says when
    WORK_TO_DO = auto()  # an instruction, codes or the closing wait for their end
    STARTER_TO_TURN = auto()  # a burst waits for the technician
    FAULT_FOUND = auto()  # the job closes with a finding
    REPAIR_TO_CHECK = auto()
    CAR_KNOWN = auto()  # an earlier job may have been on this car
    STEPS_BEHIND = auto()
    MAY_SKIP = auto()
    RESULT_PROPOSED = auto()  # worked out from readings, waits for a yes
    MAY_DROP = auto()  # something is asked over the step, and a no drops it
    NOTHING_ASKED_OVER = auto()  # the step itself is worked on
    EXCUSABLE = auto()  # the step can be left out by word
    ELSEWHERE = auto()  # the plan leads, and may lead elsewhere now
    PLAN_LEADS = auto()
    BOOK_LEADS = auto()  # where a plan could lead
    NO_DIESEL = auto()  # the work can be left for another fuel
    NO_HYBRID = auto()  # or because high voltage was seen
    MAY_STRIKE = auto()
    NOT_ENDING = auto()
    NOT_FULL = auto()  # we speak in another way; the same of the next two
    NOT_BRIEF = auto()
    NOT_TERSE = auto()
    TONES_SOUND = auto()
    TONES_MUTE = auto()


class Heading(StrEnum):
    """Where the page has a command, so that a knuckle finds it; in the order of the page."""

    AT_HAND = "At hand"  # always in the same place, under no heading
    ANOTHER_WAY = "Another way"
    ASK = "Ask"
    KEEP = "Keep"
    END = "End"
    VOICE = "My voice"
    GO_TO = "Go to a test"
    SUPPOSE = "Suppose"


@dataclass(frozen=True, slots=True, kw_only=True)
class CommandRow:
    """Everything that is so of a command.

    `phrases`: what is said for it; the first is the one we speak of. `typed`: understood too, but not listened for.
    `does`: what it does, for the handbook. `legal`: when it is obeyed. `offered`: when it stands among what can be
    said. `heading`: where it stands on the page. `named`: "what can I say" names it, whatever is offered. `key`: stands
    for it on a keyboard.
    `cuts_speech`: silences us before anything else is done, is listened for while we speak, and waits for no silence.
    `over_prompt`: may end our prompt, where that is wished for. `unaddressed`: needs no attention word.
    `alone`: heard by its own words alone, without hesitations and politeness; strict ones always are.
    `followed`: something must follow its phrase, which is no command by itself.
    `obeyed_unsure`: obeyed even when heard near the threshold: to stop wrongly costs a word, not to stop may cost a
    hand.
    """

    phrases: tuple[str, ...]
    does: str
    stakes: Stakes
    legal: When
    offered: When
    heading: Heading
    typed: tuple[str, ...] = ()
    named: bool = False
    key: str = ""
    cuts_speech: bool = False
    over_prompt: bool = False
    unaddressed: bool = False
    alone: bool = False
    followed: bool = False
    obeyed_unsure: bool = False

    def __post_init__(self) -> None:
        """A command that does harm is never obeyed unsure."""
        if self.obeyed_unsure and self.stakes is not Stakes.HARMLESS:
            raise ValueError(f"'{self.phrases[0]}' is obeyed unsure and not harmless")


# fmt: off
class Control(StrEnum):
    """Commands that are not results, in the order in which they are offered: each its name and its row."""

    row: CommandRow

    def __new__(cls, name: str, row: CommandRow) -> Self:
        """A string, its name, with its row beside it."""
        member = str.__new__(cls, name)
        member._value_ = name
        member.row = row
        return member

    STOP = "stop", CommandRow(
        phrases=("stop", "stop now", "stop stop"), typed=(
            "whoa", "hold it", "wait", "wait wait", "wait a second", "hang on", "no don't", "don't",
        ), key="s",
        does="ends sound and any timed action at once, and says what to release",
        stakes=Stakes.HARMLESS, legal=When.ALWAYS, offered=When.ALWAYS, heading=Heading.AT_HAND, named=True,
        cuts_speech=True, unaddressed=True, obeyed_unsure=True,
    )
    PAUSE = "pause", CommandRow(
        phrases=("pause", "hold on", "take a break"), does="puts the job on hold",
        stakes=Stakes.HARMLESS, legal=When.ALWAYS, offered=When.ALWAYS, heading=Heading.AT_HAND, named=True,
        cuts_speech=True, obeyed_unsure=True,
    )
    RESUME = "resume", CommandRow(
        phrases=("resume", "carry on", "continue"), does="goes on; cautions are asked again",
        stakes=Stakes.ANSWER, legal=When.ALWAYS, offered=When.NEVER, heading=Heading.ANOTHER_WAY,
    )
    SAY_AGAIN = "say again", CommandRow(
        phrases=("say again", "repeat", "repeat that", "say that again"), does="says it once more",
        stakes=Stakes.HARMLESS, legal=When.ALWAYS, offered=When.ALWAYS,
        heading=Heading.AT_HAND, named=True, obeyed_unsure=True,
    )
    GO_BACK = "go back", CommandRow(
        phrases=("go back", "step back", "back up one step"), does="goes back a step; its answer no longer counts",
        stakes=Stakes.STRICT, legal=When.ALWAYS, offered=When.STEPS_BEHIND, heading=Heading.AT_HAND, named=True,
    )
    SKIP = "skip", CommandRow(
        phrases=("skip", "skip this", "skip this step"),
        does="leaves a step out and asks why; never a caution or a wait",
        stakes=Stakes.STRICT, legal=When.ALWAYS, offered=When.MAY_SKIP, heading=Heading.ANOTHER_WAY, named=True,
    )
    YES = "yes", CommandRow(
        phrases=("yes", "correct", "yes please", "that is right", "that is correct"), typed=("yep", "yup", "yeah"),
        does="takes what was read back or offered", key="y",
        stakes=Stakes.ANSWER, legal=When.ALWAYS, offered=When.RESULT_PROPOSED,
        heading=Heading.ANOTHER_WAY, over_prompt=True,
    )
    NO = "no", CommandRow(
        phrases=("no", "nope", "no that is wrong"), typed=("nah",), does="drops what was read back or offered", key="n",
        stakes=Stakes.ANSWER, legal=When.ALWAYS, offered=When.MAY_DROP, heading=Heading.ANOTHER_WAY, over_prompt=True,
    )
    WHERE = "where am i", CommandRow(
        phrases=("where am i", "where are we"), does="says which step this is and what is open",
        stakes=Stakes.HARMLESS, legal=When.ALWAYS, offered=When.ALWAYS,
        heading=Heading.ASK, named=True, obeyed_unsure=True,
    )
    OPTIONS = "what can i say", CommandRow(
        phrases=("what can i say", "what are my choices"), does="names the answers that are waited for",
        stakes=Stakes.HARMLESS, legal=When.ALWAYS, offered=When.ALWAYS, heading=Heading.ASK, obeyed_unsure=True,
    )
    HOW_LONG = "how long", CommandRow(
        phrases=("how long", "how much longer", "time left"), does="says what is left of a count, a wait or the step",
        stakes=Stakes.HARMLESS, legal=When.ALWAYS, offered=When.ALWAYS, heading=Heading.ASK, named=True,
    )
    # No bare "note": by ear it lies 0.7 of a phone from "nope" and 1 from "no", which people say far more often.
    NOTE = "note", CommandRow(
        phrases=("take a note", "make a note"), typed=("note",), does="keeps the next words with the job",
        stakes=Stakes.ANSWER, legal=When.ALWAYS, offered=When.NOTHING_ASKED_OVER, heading=Heading.KEEP, named=True,
    )
    REPAIR_DONE = "repair done", CommandRow(
        phrases=("repair done", "the repair is done"), does="checks the repair at once",
        stakes=Stakes.STRICT, legal=When.REPAIR_TO_CHECK, offered=When.REPAIR_TO_CHECK, heading=Heading.ANOTHER_WAY,
    )
    REPAIR_CONFIRMED = "repair confirmed", CommandRow(
        phrases=("repair confirmed", "the repair is confirmed"), does="confirms the finding for later jobs",
        stakes=Stakes.STRICT, legal=When.FAULT_FOUND, offered=When.FAULT_FOUND, heading=Heading.ANOTHER_WAY,
    )
    CANNOT = "i can't do that", CommandRow(
        phrases=("i can't do that", "i cannot do that", "can't do that"),
        does="asks why, and leaves out what needs the same",
        stakes=Stakes.STRICT, legal=When.ALWAYS, offered=When.EXCUSABLE, heading=Heading.ANOTHER_WAY,
    )
    ANOTHER = "another test", CommandRow(
        phrases=("another test", "give me another test", "i want to test more", "test more first"),
        typed=("prove it", "let's prove it", "i'd rather prove it", "i'd rather test it"),
        does="leaves the present test, or a finding, for the next best test",
        stakes=Stakes.STRICT, legal=When.ALWAYS, offered=When.ELSEWHERE, heading=Heading.ANOTHER_WAY,
    )
    STRIKE = "strike that", CommandRow(
        phrases=("strike that", "take that back"), does="asks whether the latest answer shall fall",
        stakes=Stakes.STRICT, legal=When.ALWAYS, offered=When.MAY_STRIKE, heading=Heading.ANOTHER_WAY, named=True,
    )
    SAME_CAR = "the same car", CommandRow(
        phrases=("the same car", "same car as before"), does="takes over what an earlier job left on the car",
        stakes=Stakes.STRICT, legal=When.CAR_KNOWN, offered=When.CAR_KNOWN, heading=Heading.ANOTHER_WAY,
    )
    END_JOB = "end job", CommandRow(
        phrases=("end job", "end the job"), does="ends the job, after a yes",
        stakes=Stakes.STRICT, legal=When.ALWAYS, offered=When.NOT_ENDING, heading=Heading.END, named=True,
    )
    LOUDER = "louder", CommandRow(
        phrases=("louder", "speak louder"), does="speaks louder, from now on at this speaker",
        stakes=Stakes.HARMLESS, legal=When.ALWAYS, offered=When.ALWAYS, heading=Heading.VOICE,
    )
    # No bare "quieter": by ear it lies a phone from "quiet", which is an answer.
    SOFTER = "softer", CommandRow(
        phrases=("softer", "speak softer", "speak quieter"), typed=("quieter",), does="speaks softer",
        stakes=Stakes.HARMLESS, legal=When.ALWAYS, offered=When.ALWAYS, heading=Heading.VOICE,
    )
    SLOWER = "slower", CommandRow(
        phrases=("slower", "speak slower"), does="speaks slower",
        stakes=Stakes.HARMLESS, legal=When.ALWAYS, offered=When.ALWAYS, heading=Heading.VOICE,
    )
    FASTER = "faster", CommandRow(
        phrases=("faster", "speak faster"), does="speaks faster",
        stakes=Stakes.HARMLESS, legal=When.ALWAYS, offered=When.ALWAYS, heading=Heading.VOICE,
    )
    # No bare "full", which is an answer ("how is the tank?"); "brief" by ear lies 0.7 of a phone from "breathe".
    FULL = "full", CommandRow(
        phrases=("speak in full", "say it in full"), does="says everything in full",
        stakes=Stakes.ANSWER, legal=When.ALWAYS, offered=When.NOT_FULL, heading=Heading.VOICE,
    )
    BRIEF = "brief", CommandRow(
        phrases=("be brief", "keep it brief"), typed=("brief",), does="says less, for who knows the work",
        stakes=Stakes.ANSWER, legal=When.ALWAYS, offered=When.NOT_BRIEF, heading=Heading.VOICE,
    )
    TERSE = "terse", CommandRow(
        phrases=("be terse", "keep it terse"), typed=("terse",), does="says the least",
        stakes=Stakes.ANSWER, legal=When.ALWAYS, offered=When.NOT_TERSE, heading=Heading.VOICE,
    )
    TONES = "sound the tones", CommandRow(
        phrases=("sound the tones", "give me the tones"), typed=("tones",), does="brings the tones back",
        stakes=Stakes.HARMLESS, legal=When.ALWAYS, offered=When.TONES_MUTE, heading=Heading.VOICE,
    )
    NO_TONES = "mute the tones", CommandRow(
        phrases=("mute the tones", "leave out the tones"), typed=("no tones",),
        does="leaves out all tones but those of a count",
        stakes=Stakes.HARMLESS, legal=When.ALWAYS, offered=When.TONES_SOUND, heading=Heading.VOICE,
    )
    LEAD = "lead the way", CommandRow(
        phrases=("lead the way", "you lead the way"), does="lets the plan choose the tests",
        stakes=Stakes.ANSWER, legal=When.ALWAYS, offered=When.BOOK_LEADS, heading=Heading.ANOTHER_WAY,
    )
    BY_THE_BOOK = "by the book", CommandRow(
        phrases=("by the book", "go by the book"), does="keeps to the fixed order of tests",
        stakes=Stakes.ANSWER, legal=When.ALWAYS, offered=When.PLAN_LEADS, heading=Heading.ANOTHER_WAY,
    )
    TAKE_TO = "take me to", CommandRow(
        phrases=("take me to",), does="goes to a test by its name: take me to the spark check", followed=True,
        stakes=Stakes.STRICT, legal=When.TOLD, offered=When.NEVER, heading=Heading.GO_TO,
    )
    DIESEL = "change the fuel to diesel", CommandRow(
        phrases=("change the fuel to diesel", "change fuel to diesel", "it is a diesel after all"),
        typed=("it is a diesel", "it's a diesel", "this is a diesel"), does="leaves what is meant for petrol engines",
        stakes=Stakes.STRICT, legal=When.ALWAYS, offered=When.NO_DIESEL, heading=Heading.ANOTHER_WAY,
    )
    HYBRID = "it is a hybrid after all", CommandRow(
        phrases=("it is a hybrid after all", "it is a hybrid car after all"),
        typed=(
            "it is a hybrid", "it's a hybrid", "this is a hybrid", "she's a hybrid", "there are orange cables",
            "i see orange cables", "i can see orange cables", "it has orange cables", "it's got orange cables",
        ), does="leaves a car with high voltage alone",
        stakes=Stakes.STRICT, legal=When.ALWAYS, offered=When.NO_HYBRID, heading=Heading.ANOTHER_WAY,
    )
    DONE = "done", CommandRow(
        phrases=("done", "all done", "that's done", "done that"), typed=(
            "that is done", "it is done", "it's done", "it's all done", "they're done", "done it", "did it", "did that",
            "i did it", "i did that", "i've done it", "i've done that", "already done", "i'm done", "finished",
        ), does="says that what was to be done is done", key=" ",
        stakes=Stakes.ANSWER, legal=When.WORK_TO_DO, offered=When.NEVER,
        heading=Heading.ANOTHER_WAY, alone=True, over_prompt=True,
    )
    READY = "ready", CommandRow(
        phrases=("ready", "i am ready"), does="begins the count of a burst",
        stakes=Stakes.ANSWER, legal=When.STARTER_TO_TURN, offered=When.NEVER, heading=Heading.ANOTHER_WAY, alone=True,
    )
    PICTURE = "take a picture", CommandRow(
        phrases=("take a picture", "take a photo"), does="keeps a picture of the phone or the page with the job",
        stakes=Stakes.ANSWER, legal=When.AIDED, offered=When.AIDED, heading=Heading.KEEP,
    )
    PHONE_AWAY = "remove the phone", CommandRow(
        phrases=("remove the phone",), does="lets the phone go",
        stakes=Stakes.STRICT, legal=When.AIDED, offered=When.AIDED, heading=Heading.END,
    )
# fmt: on


COMMAND_PHRASES: Mapping[Control, tuple[str, ...]] = MappingProxyType({each: each.row.phrases for each in Control})
"""Each control and the phrases that give it; the first is the one we speak of."""

ALWAYS = frozenset(each for each in Control if each.row.legal is When.ALWAYS)
"""Legal in every live mode: what a technician may say at any moment of a job."""

CUTS_SPEECH = frozenset(each for each in Control if each.row.cuts_speech)
"""Silences us, and is obeyed while we speak; everything else waits for our silence."""

UNADDRESSED = tuple(each for each in Control if each.row.unaddressed)
"""Needs no attention word before it."""


def phrase_of(control: Control) -> str:
    """The phrase that we speak of when we mean this control."""
    return control.row.phrases[0]


def control_of(words: str, legal: Container[Control] = ()) -> Control | None:
    """The control that these lower-case words give, or None; where they give two, the one that is legal, else the one
    whose phrase they are."""
    given = [each for each in Control if words in each.row.phrases]
    given += [each for each in Control if words in each.row.typed]
    return next((each for each in given if each in legal), given[0] if given else None)


def names_of_commands() -> str:
    """The commands that a technician is told of, in a sentence."""
    return f"{', '.join(phrase_of(each) for each in Control if each.row.named)}."


def command_phrases() -> tuple[str, ...]:
    """Every phrase of every control, and every question: no result, acknowledgement or done phrase may equal one."""
    return (*(phrase for each in Control for phrase in each.row.phrases), *question_phrases())


def phrases_beside_answers() -> tuple[str, ...]:
    """The commands and questions that may be said while a question waits for its answer."""
    controls = (phrase for each in Control if each in ALWAYS for phrase in each.row.phrases)
    return (*controls, *question_phrases())
