"""What the guide asks, and how it is answered."""

from __future__ import annotations

from collections.abc import Sequence

from assistant.english.lists import say_list, sentence

LOG_IT = "Say yes to log it."
YES = "Yes?"
DONE = "Say done when it is done."
DONE_SHORT = "Say done."
YOUR_ANSWER = "Say your answer, or ask what can I say."
SPEAK = "Speak. I will keep your words."
OPTIONS = "Or say what can I say."
STRIKE_IF_WRONG = "Say strike that if it is wrong."

READY = "Say ready."
READY_TO_PACE = "Say ready when you are set."
READY_TO_CRANK = "Say ready, and go to the key."
READY_WITH_HELPER = "Say ready once your helper is at the key, and you are clear."
COUNTING = "I am counting. Say stop to end it."
RESTING = "I will tell you when the starter has rested."
WAITING = "I will tell you when the time is up."
HELD = "Say resume to go on."
EXPLAINING = "Why do you skip it? Say the reason, or no to stay."
NOTING = "I am taking a note. Speak, or say no to drop it."
ENDING = "End the job here? Say yes to end it, or no to go on."
ENDED = "This job is closed."
CLOSE = "Say done to close the job."
REPAIRED_OR_CLOSE = "Say repair done, or done."
REPAIRED_WHEN_MENDED = "Say repair done when it is mended, or done to close the job."


def one_of(answers: Sequence[str]) -> str:
    """Any of these is listened for."""
    return f"Say {say_list(answers, last='or')}."


def phrase(words: str) -> str:
    """Only this phrase passes."""
    return f"Say: {words}."


def or_commands(named: str) -> str:
    """The commands, beside the answers."""
    return f"Or {named}"


def why_not(reasons: Sequence[str]) -> str:
    """Why it cannot be done."""
    return f"Why not? {one_of(reasons)}"


def done_or(phrase_of_done: str) -> str:
    """An instruction that has a phrase of its own for its end."""
    return f"Say done, or {phrase_of_done}."


def reading_in(units: str) -> str:
    """A number."""
    return f"Say the reading in {units}."


def code_or(end: str) -> str:
    """A fault code, or that there are no more."""
    return f"Say a code, or {end}."


def put_right(item: str, *, may_stay: bool) -> str:
    """What became of a thing that is off the car."""
    return f"The {item}: say it is put right{', or left off' if may_stay else ''}."


def put_right_then(item: str) -> str:
    """A thing that is put right before somebody is led elsewhere; what is worked on has its own "done"."""
    return f"Key out. First put right the {item}. Then say: it is put right."


def strike(words: str, *, moves: bool) -> str:
    """Whether to strike it; `moves`: the job goes back for it."""
    return f"Strike {words}{', and go back to it' if moves else ''}? Yes or no."


def sounded_to_the_ear(words: str) -> str:
    """What the ear took a burst for, which nobody said yet."""
    return f"It sounded like {words}. Say yes to log it, or what you saw."


def meant(words: str) -> str:
    """An offer: what was perhaps said."""
    return f"Did you say {words}?"


def told_before(words: str, *, brief: bool) -> str:
    """What the complaint told of what would be asked now."""
    return f"You said: {words}. {YES if brief else LOG_IT}"


def built_so(words: str, *, brief: bool) -> str:
    """What a carburettor tells of what would be asked now."""
    return f"With a carburetor: {words}. {YES if brief else LOG_IT}"


def turned_before(words: str) -> str:
    """What the starter did, told before its cautions were answered."""
    return f"You said: {words}. If it has turned already, say that again."


def heard(words: str) -> str:
    """A read-back."""
    return f"I heard {words}."


def heard_shortly(words: str) -> str:
    """A read-back to who knows the work."""
    return f"{sentence(words)} {YES}"


def before_the_tone(words: str) -> str:
    """A result that was told before any starter was heard or asked to turn."""
    return f"That came before the tone. Did you crank all the same: {words}? Say yes or no."


def sounded_otherwise(words: str) -> str:
    """What the ear makes of it, against what was said."""
    return f"To me it sounded like {words}."


def keep_answer(words: str) -> str:
    """Whether the answer stands against the ear."""
    return f"You said {words}. Keep your answer? Say yes or no."


def propose(words: str) -> str:
    """What follows from the readings, for a yes."""
    return f"I propose: {words}. Say yes to take it."


def is_still(phrase_of_gate: str) -> str:
    """Something that was so and may have changed."""
    return f"Still {phrase_of_gate}?"


def do_you_still(doing: str) -> str:
    """The same of what the technician does."""
    return f"Do you still {doing}?"


def are_still(what: str, so: str) -> str:
    """The same of a thing and its state: "Doors still open?"."""
    asked = f"{what} still {so}?"
    return asked[0].upper() + asked[1:]
