"""What is thought, in words: how sure, what for and against it, what is next. Names and clauses come as spoken."""

from __future__ import annotations

from collections.abc import Sequence

from assistant.english.lists import say_list

_ONE_TO_NINE = ("one", "two", "three", "four", "five", "six", "seven", "eight", "nine")
_TENTHS = ("less than one", *(f"about {word}" for word in _ONE_TO_NINE))
ALMOST_CERTAIN, VERY_UNLIKELY = "almost certain", "very unlikely"

DO_NOT_FIT = "These results do not fit together."
"""Said once; what decides follows."""

BY_TEST = "Found by test"
"""The name of what the tests of a finding showed: it claims no more than they do."""

BEHIND_IT = "Likely behind it"
"""The name of what a procedure takes for the cause of what its tests showed: if they are right, and not of the fault
against others."""

NOT_PROVED_YET = "Not proved yet"
OTHER_IS_LIKELIER = "Not proved, another fault is likelier"


def in_ten(tenths: int) -> str:
    """A probability, 0 to 9 tenths."""
    return f"{_TENTHS[tenths]} in ten"


def about_minutes(minutes: int) -> str:
    """So long, as one guesses it: "about a minute", "about 45 minutes"."""
    return "about a minute" if minutes == 1 else f"about {minutes} minutes"


def most_likely(fault: str, odds: str) -> str:
    """The likeliest fault."""
    return f"Most likely {fault}, {odds}."


def then(fault: str, odds: str) -> str:
    """The next one."""
    return f"Then {fault}, {odds}."


def do_again(test: str) -> str:
    """The suspect among results that do not fit."""
    return f"These results do not fit together: do the {test} again."


def nothing_points_to(fault: str) -> str:
    """Why the likeliest is the likeliest, where nothing seen speaks for it."""
    return f"Nothing seen so far points to {fault}; it is the commonest that is left."


def because(results: Sequence[str]) -> str:
    """Why it is the likeliest."""
    return f"Because {say_list(results)}."


def against_it(result: str) -> str:
    """What speaks most against it."""
    return f"Against it: {result}."


def nothing_against(fault: str) -> str:
    """What speaks against the likeliest, where nothing does."""
    return f"Nothing seen so far speaks against {fault}."


def against(fault: str, result: str) -> str:
    """What speaks most against the likeliest."""
    return f"Against {fault}: {result}."


def next_comes(fault: str, odds: str) -> str:
    """The fault that comes next."""
    return f"Next comes {fault}, {odds}."


def prove_it(fault: str, odds: str) -> str:
    """A result has made a fault as good as sure."""
    return f"By the odds {fault}, {odds}. Test more first, or end the job."


def no_test_pays(fault: str, odds: str) -> str:
    """Nothing is worth doing; the likeliest fault."""
    search = "search by the maker's information"
    return f"No test that I know is worth its minutes: {search}; most likely it is {fault}, {odds}."


def next_is(test: str, *, again: bool) -> str:
    """The next test by its name alone."""
    return f"Once more: {test}." if again else f"Next: {test}."


def again_to_be_sure(test: str, time: str) -> str:
    """A test that is done twice."""
    return f"Once more the {test}, {time}, to be sure."


def test_now(test: str, time: str, *, going_on: bool) -> str:
    """The next test. `going_on`: it is one of the procedure that is being walked."""
    return f"{_opening(test, time, going_on)}."


def test_before(test: str, time: str, goal: str, *, going_on: bool) -> str:
    """The next test, which is done for what follows it."""
    return f"{_opening(test, time, going_on)}, before the {goal}."


def test_to_tell(test: str, time: str, faults: Sequence[str], *, going_on: bool) -> str:
    """The next test, and the two faults that it parts."""
    first, second = faults
    return f"{_opening(test, time, going_on)}, to tell {first} from {second}."


def _opening(test: str, time: str, going_on: bool) -> str:
    return f"{'Go on with' if going_on else 'Next'} the {test}, {time}"


def all_else_good(test: str, time: str) -> str:
    """The test that comes before a search."""
    return f"Next the {test}, {time}: all else was seen good."


def again_settles(test: str, time: str) -> str:
    """A result in doubt that the same test settles."""
    return f"Once more the {test}, {time}, settles it soonest."


def other_settles(doubted: str, test: str, time: str) -> str:
    """A result in doubt that another test settles."""
    return f"The {doubted} may be wrong: the {test}, {time}, settles it soonest."


def left(tests: Sequence[str], more: int) -> str:
    """The tests that still tell most, and how many more there are."""
    return f"Left, the best first: the {say_list(tests)}{f', and {more} more' if more else ''}."


def nothing_would_fit(result: str) -> str:
    """A result that cannot be."""
    return f"If {result}, nothing that I know would fit."


def would_be(result: str, fault: str, odds: str) -> str:
    """What would be likeliest after a result."""
    return f"If {result}, {fault} would be most likely, {odds}."


def then_test(test: str) -> str:
    """What would come next."""
    return f"Then I would do the {test}."


def then_repair(fault: str | None) -> str:
    """What would come next; None for the fault just named."""
    return f"Then I would repair {fault or 'it'}."


def stop_testing(fault: str, odds: str, *, surely: bool) -> str:
    """How the proposal of a repair opens."""
    return f"I would stop testing: {'it is' if surely else 'most likely'} {fault}, {odds}"


def repair_takes(time: str) -> str:
    """The minutes of a repair."""
    return f"The repair takes {time}."


def not_tested(tests: Sequence[str]) -> str:
    """What would have told most."""
    return f"Not tested: {say_list(tests)}."


def may_be_supply(tests: Sequence[str]) -> str:
    """What feeds a part, by the tests that did not show it good."""
    return f"It may be the supply: the {say_list(tests)} {'was' if len(tests) == 1 else 'were'} not seen good."


def still_open(fault: str, odds: str) -> str:
    """How a finding opens that names no fault; these openings end without a full stop, since reasons may follow."""
    return f"Still open by the odds: most likely {fault}, {odds}"


def proved(fault: str, odds: str, beside: str | None) -> str:
    """`beside`: the likeliest, where it is another one."""
    return f"Proved by the odds: {fault}, {odds}" + (f", and {beside} beside it" if beside else "")


def not_proved(fault: str, odds: str) -> str:
    """The likeliest, and not sure enough."""
    return f"Not proved by the odds: {fault}, {odds}"


def likelier(other: str, fault: str) -> str:
    """Another is likelier, of results that do not fit: odds out of those tell least."""
    return f"Not proved by the odds: {other} is likelier than {fault}"


def likelier_by(fault: str, odds: str, other: str, other_odds: str) -> str:
    """Another is likelier, by the odds as said."""
    more = "is a little likelier" if odds == other_odds else f"is likelier, {other_odds}"
    return f"{not_proved(fault, odds)}; {other} {more}"


def results_do_not_fit(fault: str, odds: str) -> str:
    """Sure enough, and not proved."""
    return f"Not proved, since results do not fit: {fault}, {odds}"


def not_what_failed(fault: str, odds: str) -> str:
    """Sure enough of a group of faults, or by what is left alone."""
    return f"By the odds {fault}, {odds}, but not what of it failed"


def with_reasons(opening: str, results: Sequence[str], against: str) -> str:
    """An opening with what speaks for it and against it, as far as there is any."""
    since = f", since {say_list(results)}" if results else ""
    return f"{opening}{since}{f'; against it, {against}' if against else ''}."
