"""What the guide answers to what it does not do, each with what may be done instead, if anything."""

from __future__ import annotations

CLOSED = "This job is closed."
NOT_ASKED = "That is not asked now."
NOT_NOW = "That cannot be done now."
NO_AID = "There is no page or phone here that could do that."
NOT_CAUGHT = "I did not catch that."
NOT_CAUGHT_IN_COUNT = "I did not catch that, so I stopped counting."
RECORD_DOES_NOT_FIT = "This job's record does not fit its procedure."

NOT_ON_HOLD = "Nothing is on hold."
NO_STEP_BEFORE = "There is no step to go back to."
NO_TRY_BEFORE = "No try is left in the step before, so I do not go back to it."
COUNTING = "Not while I count. Say stop to end it."
TIMED = "Not while the action is timed. Say stop to end it."
FINISH_FIRST = "Not now. Finish this first."
FINISH_BEFORE_NOTE = "Not now. Finish this first, then say note."

CAUTION_STAYS = "A caution cannot be skipped."
TIME_STAYS = "This time cannot be skipped."
CLEARING_STAYS = "Clearing the vapour cannot be skipped."
DECIDES_THE_WAY = "The answer to this step decides the way on. Answer it, go back, or end the job."
NOTHING_TO_SKIP = "There is nothing to skip now."

NOTHING_TO_STRIKE = "There is nothing to strike."
YES_OR_NO = "Yes or no?"
BARE_YES = "A bare yes is not enough."
WHICH_ONE = "That does not tell which."
NOTHING_TO_CONFIRM = "There is nothing to say yes to."
NOTHING_TO_REJECT = "There is nothing to say no to."
I_WAIT = "I will wait until it is."
I_WAIT_FOR_DRY = "I will wait until it is. If fuel leaks or smells, say: it smells of fuel."
PUT_IT_BACK = "Then put it back, or say left off."
NOTHING_TO_ACKNOWLEDGE = "There is nothing to acknowledge now."
NOTHING_TO_DO = "There is nothing to mark as done now."

END_IS_ASKED = "Say yes to end the job, or no to go on."
NOTHING_OFF = "Nothing is off the car."
NO_REPAIR_TO_CONFIRM = "There is no finding whose repair could be confirmed."
NO_REPAIR_TO_CHECK = "There is no finding whose repair I could check."
NO_EARLIER_CAR = "There is no earlier car to take it for."
DIESEL_KNOWN = "Diesel is noted already."
HYBRID_KNOWN = "It is noted already that it is a hybrid."

LEADING = "I am leading already."
BY_THE_BOOK = "We go by the book already."
LEAD_FIRST = "We go by the book now. Say lead the way first."
CLEAR_FIRST = "First the vapour must be cleared."
CLEARED_BY_TIME = "Only the five minutes clear it."
NO_VAPOUR = "I know of no vapour here."
SAFETY_FIRST = "Not until intake and safety are done."
WHERE_TO = "Say where to, by the name of a test."
NO_BETTER_TEST = "There is no better test now. Go on, skip, or end the job."
NO_OTHER_TEST = "There is no better test now. Go back, or end the job."


def put_right_first(item: str) -> str:
    """Something is off the car."""
    return f"First put right the {item}."


def not_left_open(item: str) -> str:
    """A fuel line is never left open."""
    return f"The {item} is not left open. Close it, wipe up, and say it is put right."
