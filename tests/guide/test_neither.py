"""Who takes neither of the two that are named, and says what it is, has answered."""

import pytest

from tests.guide.led import Led


@pytest.mark.parametrize("words", ["neither one, it's a carb", "neither of those, it's a carb"])
def test_neither_of_the_two_is_no_lack_of_an_answer(words, library):
    """Where the step has such an answer it is taken as that, and nothing is asked again."""
    job = Led(library, "injector-pulse").until("system")
    job.say(words).say("yes")
    assert ("result-logged", "carburetor") in [(str(fact.kind), fact.data.get("result")) for fact in job.facts]


def test_neither_by_itself_answers_nothing(library):
    """It does not say what it is."""
    job = Led(library, "injector-pulse").until("system").say("neither one")
    assert "result-logged" not in [str(fact.kind) for fact in job.facts]
