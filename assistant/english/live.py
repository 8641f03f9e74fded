"""What a session says and shows besides the guide: of its ears, the starter, where it is slow, and how it begins."""

from __future__ import annotations

SLOW = "I am slow. Give me a moment, I lose nothing."
SLEPT = "The computer was asleep."
HEARS_AGAIN = "I hear again. Say it again."
HEARING_SLOW = "I still work on what I heard. The keys work."

MISSED_SOUND = "I missed some sound. Say it again."
NOT_UNDERSTOOD = "Not understood."
TOO_EARLY = "That was said before I asked."
STOPS_ONLY = "While I speak I hear stop and pause only."

MICROPHONE_GONE = "The microphone is gone. I wait for it."
MICROPHONE_BACK = "The microphone is back."
NO_SOUND = "The microphone gives no sound. Is it muted?"
HARDLY_A_SOUND = "The microphone hardly gives any sound. Is it muted or moved?"

RECORD_STOPS = "The record cannot be kept. I stop."
SOUND_IS_KEPT = "The sound of what you say is kept with this job."
SOUND_IS_LOST = "The sound of that could not be kept."
PICTURE_IS_LOST = "That picture could not be kept."

TAPPED_TOO_LATE = "That was for the question before. Look again."
TAPPED_OVER_US = "While I speak, only stop and pause can be tapped."

DID_IT_TURN = "Did the starter just turn? Say yes or no."
DID_IT_TURN_FIRST = "First: did the starter turn in the last two minutes? Say yes or no."
NOT_COUNTED = "Not counted."
MAYBE_NOT_COUNTED = "That may have been the starter. Not counted."
LET_GO = "The starter let go."
CLICKED = "I heard a click and no starter. If it only clicks, say ready and tell me after the tones."

NO_ODDS = "I have no odds for this procedure."
OWN_ORDER = "This part has its own order. What comes next hangs on your answer."
FIRST_HERE = "This is what the part begins with."
FOLLOWS = "After that this is tested."
LEAK_FIRST = "No test is left that may be done while fuel leaks."
IN_RECHECK = "The repair is what is checked here. No test comes next."
FOR_PETROL_ALONE = "My odds and tests are for petrol alone."
ASKABLE = "Ask what do you think, why, what next, what is left to test, or read the record."
TELLABLE = "After what if, or after i found, say what a test shows."
UNKNOWN_TEST = "I do not know that test here."

OPEN_END = "No test is left that pays. The fault is still open."
OPEN_END_SPOKEN = f"The finding. {OPEN_END}"

NEW_JOB = "Begin a new job?"

MONTHS = (
    "January", "February", "March", "April", "May", "June", "July", "August", "September", "October", "November",
    "December",
)  # fmt: skip


def behind(seconds: int) -> str:
    """So far the work lags behind what was said."""
    return f"Slow: {seconds} seconds behind."


def call_first(word: str) -> str:
    """A command that was given without the attention word."""
    return f"Say {word} first."


def only_follows(test: str) -> str:
    """Why a test may not be entered yet: it rests on what another shows."""
    return f"That only follows what the {test} may show."


def only_after_crank(test: str) -> str:
    """Why a test may not be entered yet: what it shows comes of cranking."""
    return f"The {test} tells nothing before the engine was cranked."


def named_test_ends(test: str, words: str) -> str:
    """Why a test that was asked for ends before it showed anything. `words`: what was answered last."""
    return f"That ends the {test}, since you said: {words}."


def if_you_saw_it(phrase: str) -> str:
    """A test that the complaint tells of: it counts once it is told as one's own."""
    return f"If you tested that yourself, say: {phrase}."


def you_told(result: str) -> str:
    """Why a step's answer is known."""
    return f"You told me: {result}."


def proposed(fault: str) -> str:
    """A finding that is not proved, for the record."""
    return f"Proposed: the repair of {fault}."


def for_the_customer(fault: str) -> str:
    """The same for whose car it is."""
    return f"Most likely it is {fault}. We repair that, and then check that your car starts."


def not_clear_yet(fault: str) -> str:
    """The same where what the tests showed and the odds are at odds."""
    return f"It is not clear yet. Most likely it is {fault}."


def go_on_with(job: str) -> str:
    """Whether an open job is taken up. `job`: "the grey hatchback"."""
    return f"Go on with {job}?"


def new_job_on(job: str) -> str:
    """Whether the car of a job gets another."""
    return f"A new job on {job}?"


def yes_or_no(question: str) -> str:
    """A question with what may be said to it."""
    return f"{question} Yes or no."


def job_by_name(name: str) -> str:
    """A job as a person names it."""
    return name if name.casefold().startswith(("the ", "my ")) else f"the {name}"


def job_of_a_day(procedure: str, month: int, day: str) -> str:
    """A job that nobody named, by its day. `month`: 1 to 12."""
    return f"the {procedure} job of {MONTHS[(month - 1) % 12]} {day}"
