"""What is at stake in a sentence: one rule before every engine."""

from __future__ import annotations

import pytest

from assistant.grammar.automaton import automaton_of
from assistant.hearing.trust import MEASURED, UNMEASURED, limits_of
from assistant.language.commands import ALWAYS, Stakes
from assistant.language.grammars import grammar_of
from assistant.language.model import Control, Expected
from assistant.language.stakes import stakes_of
from assistant.procedure.model import Quantity

NOW = Expected(
    controls=ALWAYS | {Control.DONE, Control.REPAIR_CONFIRMED},
    results={"note": ("note on the cap",), "louder": ("it hums",), "none": ("no spark",)},
    acknowledge=("area is clear",),
    done=("bolt is out",),
    quantity=Quantity.VOLTAGE,
    unit="V",
    questions=True,
    supposed={"spark-check=none": ("there is no spark",)},
    attention="workshop",
)
LEGAL = automaton_of(grammar_of(NOW))
SAID = {
    "stop": Stakes.HARMLESS,
    "workshop stop": Stakes.HARMLESS,
    "workshop louder": Stakes.HARMLESS,
    "workshop why": Stakes.HARMLESS,
    "workshop what if there is no spark": Stakes.HARMLESS,
    "workshop yes": Stakes.ANSWER,
    "workshop note": Stakes.ANSWER,
    "workshop done": Stakes.ANSWER,
    "workshop bolt is out": Stakes.ANSWER,
    "workshop no spark": Stakes.ANSWER,
    "workshop it hums": Stakes.ANSWER,
    "workshop twelve point four volts": Stakes.ANSWER,
    "workshop i found there is no spark": Stakes.ANSWER,
    "workshop go back": Stakes.STRICT,
    "workshop repair confirmed": Stakes.STRICT,
    "workshop area is clear": Stakes.STRICT,
}


def tags_of(words: str) -> tuple[str, ...]:
    """Of the grammar of this moment."""
    tags = LEGAL.tags(words.split())
    assert tags is not None, words
    return tags


@pytest.mark.parametrize(("words", "expected"), SAID.items())
def test_each_sentence_has_its_stakes(words: str, expected: Stakes) -> None:
    """By its command, question, caution or answer; a result that is called like a command is an answer."""
    tags = tags_of(words)
    assert stakes_of(words, tags, hazardous=False) is expected


@pytest.mark.parametrize("words", SAID)
def test_in_a_step_that_can_hurt_all_but_the_harmless_is_strict(words: str) -> None:
    """Stop and the questions are as easily heard as ever."""
    strict = Stakes.HARMLESS if SAID[words] is Stakes.HARMLESS else Stakes.STRICT
    assert stakes_of(words, tags_of(words), hazardous=True) is strict


@pytest.mark.parametrize("scale", [MEASURED, UNMEASURED])
def test_the_more_is_at_stake_the_surer_we_must_be(scale: dict) -> None:
    """On the scale of each kind of engine; what has no class is as strict as can be."""
    assert set(scale) == set(Stakes)
    harmless, answer, strict = (limits_of(stakes, scale) for stakes in Stakes)
    assert harmless.act <= answer.act < strict.act
    assert harmless.ask <= answer.ask < strict.ask
    assert limits_of("unheard of", scale) == strict
