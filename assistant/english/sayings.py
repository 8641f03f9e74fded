"""What the guide tells: what was done, kept and worked out, and how the work stands."""

from __future__ import annotations

from collections.abc import Sequence

from assistant.english.lists import say_list, sentence

MAKER_FIRST = "The vehicle maker's information comes first."
HOW_TO_TALK = "Say stop at any time. Ask what can I say when in doubt."

STOPPED = "Stopped."
ON_HOLD = "On hold."
GOING_ON = "Going on."
GOING_BACK = "Going back."
KEPT = "Kept."
KEPT_AS_COMPLAINT = "Kept as the complaint."
FUEL_SMELLS = "Look for a leak before the key goes on. If fuel runs out anywhere, say: there is a fuel leak."
STILL_UNTIL_MENDED = "The starter stays still until you say that the leak is mended."
FUEL_RUNS = f"Fuel runs out, so leave the key off. {STILL_UNTIL_MENDED}"
FIND_THE_LEAK = f"Key off. Find where it comes from. {STILL_UNTIL_MENDED}"
SPRAYED = "Its vapour may still be there. Can out of the bay, hood open, no spark."
FIRE = (
    "Danger. Key off, and step back. Disconnect the battery only if that is safe. Only an extinguisher for fuel and "
    "electrical fires, no water. If it burns on, get everybody out and call for help."
)
"""Before all else, where something burns or smokes. Source: common practice, no source."""
OVERHEATED = "Hot parts and coolant scald. Hands off until it is cool, and never open a hot cap."
WRONG_FUEL = "On the wrong fuel the key stays off, until you say that the fuel is flushed."
ONE_CODE = "One code after the other."
NOT_LOGGED = "Not logged."
REST_LATER = "The rest I did not get. Say it when I ask for it."
FIRST_THIS = "Kept for later. First this."
NOTED_ALREADY = "Noted already."
PICTURE_KEPT = "Picture kept."
LEAVE_OFF = "Leave off."
HELPER = (
    "Tell your helper: the key turns at my tone alone, and goes back at the next, or at any shout of stop. "
    "You say ready, clear of belts and fan."
)
"""Who turns the key does not see the engine bay. Source: common practice, no source."""
BANG = (
    "After a bang the timing belt or chain may be torn, and each turn of the starter can bend valves. First turn it by "
    "hand, key out, two full turns. If it binds, or spins too lightly, say so and do not crank. If it is as usual, "
    "say: it turns freely by hand."
)
"""Before an engine that broke is turned. Source: common practice, no source."""
BINDS = "Do not turn the starter before it turns freely by hand."
SPINS_LIGHT = "Do not turn the starter before belt or chain was seen to drive the cam."
SOMEBODY_NEAR = "Nothing turns or sparks while somebody is there. Once that is over, say: everybody is clear."
NO_COMPUTER = "I leave out the engine computer and the injectors."
NO_PUMP = "If its fuel pump is electric, say so."
CLEAR_OF_BELTS = "It runs: hands, sleeves and leads clear of belts and fan."
AIR_BY_TIME = "Vapour counts as gone after five minutes, and once you smell nothing."
THE_NOTE = "the note"

LOUDER, SOFTER, SLOWER, FASTER = "Louder.", "Softer.", "Slower.", "Faster."
IN_FULL, IN_BRIEF, TERSE = "In full.", "In brief.", "Terse."
TONES, NO_TONES = "I will use tones.", "No more tones."

LEAD_FROM_NEXT = "I will lead from the next test on."
BOOK_FROM_NEXT = "By the book from the next test on."
FUEL_IS_DIESEL = "Fuel: diesel."
IS_HYBRID = "A hybrid. Hands off anything orange."
OTHER_DRIVE = "What I know was for a car without high voltage."
OTHER_FUEL = "What I know was for another fuel."

NO_TRY_LEFT = "No try is left for this. I go on without it."
NO_TRY_LEFT_REASON = "no try left"
TWO_PEOPLE = "This needs two people."
AT_HOOD, AT_SEAT, UNDER_CAR, AWAY = "at the hood", "at the seat", "under the car", "away from the car"

CHECKING = "Now we check it."
REPAIR_NOTED = "Noted: the repair is confirmed."
REPAIR_CONFIRMED = "The repair is confirmed, and kept for later jobs."
CLOSED_IN_FULL = "The job is closed. Its record is kept."
CLOSED = "The job is closed."

NOT_TESTED = "Not tested"
FOR_CUSTOMER = "For the customer"

PART_DONE = "This part is done."
YOU_DECIDE = "You decide."

NOTHING_TIMED = "Nothing is timed here."


def too_long(characters: int) -> str:
    """Dictated words were cut."""
    return f"That was too long: I kept its first {characters} characters. Say the rest as another note."


def kept(words: str) -> str:
    """Dictated words."""
    return sentence(f"I kept: {words}")


def skipped(reason: str) -> str:
    """A step, and why."""
    return sentence(f"Skipped, because: {reason}")


def noted(words: str) -> str:
    """An answer that was taken without a question."""
    return f"Noted: {words}."


def logged(words: str) -> str:
    """An answer that was confirmed."""
    return f"Logged: {words}."


def known(words: str) -> str:
    """A fact of the car that need not be asked again."""
    return f"Known: {words}."


def struck(words: str) -> str:
    """What was taken back."""
    return f"Struck: {words}."


def left_out(words: str) -> str:
    """A test that cannot be done, and why."""
    return f"Noted: {words}. I will leave it out."


def settled(item: str, *, back: bool) -> str:
    """What became of a thing that was off the car."""
    return noted(f"{item}, {'put right' if back else 'left off'}")


def to_put_right(items: Sequence[str]) -> str:
    """What is still off the car or added to it; empty when nothing is."""
    return f"Still to put right: {say_list(items)}." if items else ""


def stays_with_car(what: Sequence[str]) -> str:
    """What the next job on the car begins with; empty when nothing is."""
    return f"This stays with the car: {say_list(what)}. The next job on it begins with that." if what else ""


def job_goes_on(job: str, title: str) -> str:
    """A job that is resumed."""
    return f"Job {job} goes on. {sentence(title)}"


def step_named(step: str) -> str:
    """Where it is resumed."""
    return f"Step {step}."


def step_at(title: str, step: str, place: str) -> str:
    """Where the job stands."""
    return f"{sentence(title)} Step {step}, {place}."


def as_far_as_known(so: Sequence[str]) -> str:
    """What is so of car and bay; empty when nothing is."""
    return sentence(f"As far as I know: {say_list(so)}") if so else ""


def left(time: str) -> str:
    """Of a rest, a wait or a count."""
    return f"{time.capitalize()} left."


def cranking_left(time: str) -> str:
    """Before the starter must rest."""
    return f"{time.capitalize()} of cranking left before a rest."


def are_over(time: str) -> str:
    """A wait that has passed."""
    return f"{time.capitalize()} are over."


def step_takes(time: str) -> str:
    """About so long."""
    return f"This step takes about {time}."


def stand_clear(time: str) -> str:
    """While vapour clears."""
    return f"Hood open, can out of the bay, no spark. Stand clear for {time}."


def came_to(say: str, outcome: str) -> str:
    """A procedure that was started by itself: what came of it in its own sentence, else by its name."""
    return sentence(say) or f"It ends with: {outcome}."


def offered(left_open: str) -> str:
    """What the repair left open, and how to look for it now."""
    return f"{left_open} Say yes to begin that now."


def to_test(name: str) -> str:
    """Where the technician wished to go."""
    return sentence(f"To the {name}")


def finding(say: str, doubt: str) -> str:
    """What was found; `doubt`: how sure it is, empty where nothing is said of that."""
    return f"The finding, {doubt.lower()}. {sentence(say)}" if doubt else f"The finding. {sentence(say)}"


def under(heading: str, lines: Sequence[str]) -> str:
    """Sentences under a heading of the finding."""
    return f"{heading}: {' '.join(sentence(line) for line in lines)}"


def advice(words: str) -> str:
    """What to do next."""
    return f"Next: {sentence(words)}"


def for_customer(words: str, doubt: str) -> str:
    """The finding in the customer's words."""
    return f"{FOR_CUSTOMER}: {sentence(doubt)} {sentence(words)}" if doubt else f"{FOR_CUSTOMER}: {sentence(words)}"


def from_earlier_job(job: str, so: Sequence[str], items: Sequence[str]) -> tuple[str, ...]:
    """What an earlier job left on this car, a sentence each; `job` may be empty."""
    told = (
        f"This car was in job {job}." if job else "",
        f"From there, as far as I know: {say_list(so)}." if so else "",
        f"Off the car, or added to it: {say_list(items)}." if items else "",
    )
    return tuple(each for each in told if each)


def perhaps_same_car(job: str, what: str) -> str:
    """What a job left on a car that may be this one."""
    return f"Job {job} left {what}. If this is that car, say the same car."


def reading_named(name: str, words: str) -> str:
    """A reading among what may be struck."""
    return f"{name}, {words}"


def code_named(spoken: str) -> str:
    """A fault code among what may be struck."""
    return f"code {spoken}"


def item_named(item: str) -> str:
    """A part among what may be struck."""
    return f"the {item}"


def cut_short(words: str) -> str:
    """The beginning of something long."""
    return f"{words} and so on"


def fell(before: str, now: str) -> str:
    """Two readings of the same gauge, behind what it lost."""
    return f"from {before} to {now}"


def evenness(lowest: str, share: str, line: str, *, passes: bool) -> str:
    """The compression of all cylinders against each other."""
    verdict = "passes" if passes else "fails"
    return f"Evenness {verdict}. The lowest is cylinder {lowest}, {share} of the highest. The line stands at {line}."


def below_line(cylinders: Sequence[str]) -> str:
    """Those that fail; where none does, the technician decides."""
    return f"Below it: {say_list(cylinders)}." if cylinders else YOU_DECIDE


def level(below: Sequence[str], floor: str, *, every: bool) -> str:
    """Each cylinder against the floor."""
    if not below:
        return f"Level passes: none is below {floor}."
    if every:
        return f"Level fails: every one is below {floor}."
    return f"Level fails: cylinder{'s' * (len(below) > 1)} {say_list(below)} below {floor}."
