"""What is answered to a question about the step: what a figure should be, what is needed, what was told before, why."""

from __future__ import annotations

from collections.abc import Sequence

from assistant.english.lists import say_list, sentence

MAKERS_FIGURE_FIRST = "The vehicle maker's own figure comes first."
NO_FIGURE = f"No figure decides here, but what you find. {MAKERS_FIGURE_FIRST}"
NOTHING_OF_IT = "Nothing in the record names that yet. For all of it say: read the record."
NO_TOOL_NAMED = "This part names no tool."
AFTER_WHAT_IF = "After what if, say what a test shows, for example: what if there is no spark."


def or_more(amount: str) -> str:
    """From so much on."""
    return f"{amount} or more"


def below(amount: str) -> str:
    """Less than so much."""
    return f"below {amount}"


def between(low: str, high: str) -> str:
    """From so much on, and less than so much."""
    return f"{low} to below {high}"


def judged(span: str, judgement: str) -> str:
    """What a figure in this span tells."""
    return sentence(f"{span}: {judgement[:1].lower()}{judgement[1:]}")


def was(name: str, amount: str, judgement: str) -> str:
    """The latest figure, and how it was judged."""
    return sentence(f"{name}: {amount}, {judgement}" if judgement else f"{name}: {amount}")


def needed(things: Sequence[str]) -> str:
    """The tools and what is used up."""
    return f"For this part: {say_list(things)}."


def tells_apart(test: str, faults: Sequence[str]) -> str:
    """What the present test is for."""
    first, second = faults
    return f"The {test} tells {first} from {second}."


def is_part_of(test: str) -> str:
    """What the present step is for, where it decides nothing by itself."""
    return f"This is part of the {test}."
