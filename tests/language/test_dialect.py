"""Words of some regions count as the words that most say, in guesses and in the grammars of answers."""

from __future__ import annotations

import pytest

from assistant.language.dialect import in_common_words, plainly
from assistant.language.model import GiveResult, Heard
from assistant.language.understand import understand
from tests.language.test_guess import LAMP


@pytest.mark.parametrize(
    ("said", "common"),
    [
        ("it isnae goin' tae start", "it isn't going to start"),
        ("bugger all there", "nothing there"),
        ("sod all diddly squat", "nothing nothing"),
        ("black an' clarty", "black and dirty"),
        ("all of it is on", "all of it is on"),
    ],
)
def test_words_of_a_region_in_common_words(said: str, common: str) -> None:
    """One word or several; what is common already stays."""
    assert in_common_words(said) == common
    assert plainly("it isnae") == "it is not"


@pytest.mark.parametrize(
    ("said", "result"),
    [
        ("the lamp is aff", "out"),
        ("lamp's burnin' all right", "lit"),
        ("och the lamp is oot pal", "out"),
        ("she is burning", None),
    ],
)
def test_the_grammar_knows_an_answer_in_such_words(said: str, result: str | None) -> None:
    """Taken by the grammar itself, which is no guess."""
    taken = understand(Heard(words=said, confidence=1.0), LAMP)
    known = isinstance(taken, GiveResult) and not taken.guessed
    assert (taken.result if isinstance(taken, GiveResult) and known else None) == result
