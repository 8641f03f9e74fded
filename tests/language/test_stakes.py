"""What is at stake in a sentence, and how long a silence it needs: one rule before every engine."""

from __future__ import annotations

from dataclasses import replace

import pytest

from assistant.grammar.automaton import automaton_of
from assistant.hearing.trust import MEASURED, UNMEASURED, limits_of
from assistant.language.commands import ALWAYS, Stakes
from assistant.language.grammars import grammar_of
from assistant.language.model import Control, Expected, FactAsked
from assistant.language.stakes import Tail, done_at_once, stakes_of, tail_of
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
    several=(
        FactAsked(fact="fuel", results={"petrol": ("petrol",), "diesel": ("diesel",)}),
        FactAsked(fact="cylinders", results={"4": ("four cylinders",), "6": ("six cylinders",)}),
    ),
    attention="workshop",
)
LEGAL = automaton_of(grammar_of(NOW))
SAID = {
    "stop": (Stakes.HARMLESS, Tail.NONE),
    "workshop stop": (Stakes.HARMLESS, Tail.NONE),
    "workshop louder": (Stakes.HARMLESS, Tail.SHORT),
    "workshop say again": (Stakes.HARMLESS, Tail.SHORT),
    "workshop why": (Stakes.HARMLESS, Tail.SHORT),
    "workshop what if there is no spark": (Stakes.SUPPOSED, Tail.SHORT),
    "workshop okay say again please": (Stakes.HARMLESS, Tail.SHORT),
    "workshop uh yes mate": (Stakes.ANSWER, Tail.WHOLE),
    "workshop yes": (Stakes.ANSWER, Tail.WHOLE),
    "workshop take a note": (Stakes.ANSWER, Tail.WHOLE),
    "workshop done": (Stakes.ANSWER, Tail.WHOLE),
    "workshop bolt is out": (Stakes.ANSWER, Tail.WHOLE),
    "workshop no spark": (Stakes.ANSWER, Tail.WHOLE),
    "workshop it hums": (Stakes.ANSWER, Tail.WHOLE),
    "workshop twelve point four volts": (Stakes.SUPPOSED, Tail.WHOLE),
    "workshop i found there is no spark": (Stakes.SUPPOSED, Tail.WHOLE),
    "workshop petrol and four cylinders": (Stakes.SUPPOSED, Tail.WHOLE),
    "workshop go back": (Stakes.STRICT, Tail.WHOLE),
    "workshop repair confirmed": (Stakes.STRICT, Tail.WHOLE),
    "workshop area is clear": (Stakes.STRICT, Tail.WHOLE),
}


def tags_of(words: str) -> tuple[str, ...]:
    """Of the grammar of this moment."""
    tags = LEGAL.tags(words.split())
    assert tags is not None, words
    return tags


@pytest.mark.parametrize(("words", "expected"), SAID.items())
def test_each_sentence_has_its_stakes_and_its_silence(words: str, expected: tuple[Stakes, Tail]) -> None:
    """By its command, question, caution or answer; a result that is called like a command is an answer."""
    tags = tags_of(words)
    assert (stakes_of(words, tags, hazardous=False), tail_of(words, tags, read_back=False)) == expected


def test_a_command_of_one_word_waits_for_the_end_of_talk() -> None:
    """Without an attention word before it."""
    free = automaton_of(grammar_of(replace(NOW, attention="")))
    assert tail_of("repeat", free.tags(["repeat"]) or (), read_back=True) is Tail.WHOLE
    assert tail_of("say again", free.tags(["say", "again"]) or (), read_back=True) is Tail.SHORT


@pytest.mark.parametrize("words", SAID)
def test_in_a_step_that_can_hurt_all_but_the_harmless_is_strict(words: str) -> None:
    """Stop and the questions are as easily heard as ever; a clause and a number are stricter anywhere."""
    usual, _ = SAID[words]
    strict = usual if usual in (Stakes.HARMLESS, Stakes.SUPPOSED) else Stakes.STRICT
    assert stakes_of(words, tags_of(words), hazardous=True) is strict


def test_an_answer_that_is_read_back_needs_only_a_short_silence() -> None:
    """It logs nothing by itself; a command and what passes a caution still wait."""
    short = {words for words in SAID if tail_of(words, tags_of(words), read_back=True) is Tail.SHORT}
    assert {"workshop no spark", "workshop it hums", "workshop twelve point four volts"} <= short
    assert not short & {"workshop yes", "workshop done", "workshop go back", "workshop area is clear"}


def test_what_waits_for_a_yes_does_nothing_at_once() -> None:
    """Nor does a stop, which is always safe; all else does, and an answer where nothing is read back."""
    at_once = {words for words in SAID if done_at_once(words, tags_of(words), read_back=True)}
    assert {"workshop yes", "workshop done", "workshop bolt is out", "workshop area is clear"} <= at_once
    assert not at_once & {"workshop no spark", "workshop it hums", "workshop twelve point four volts", "stop"}
    assert done_at_once("workshop no spark", tags_of("workshop no spark"), read_back=False)


@pytest.mark.parametrize("scale", [MEASURED, UNMEASURED])
def test_the_more_is_at_stake_the_surer_we_must_be(scale: dict) -> None:
    """On the scale of each kind of engine; what has no class is as strict as can be."""
    assert set(scale) == set(Stakes)
    harmless, answer, supposed, strict = (limits_of(stakes, scale) for stakes in Stakes)
    assert (supposed.act, supposed.ask) >= (strict.act, strict.ask)
    assert harmless.act <= answer.act < strict.act
    assert harmless.ask <= answer.ask < strict.ask
    assert limits_of("unheard of", scale) == strict
    assert strict.act > 0.54 and strict.ask >= 0.2  # a stranger's talk was once trusted to 0.54 to be a "skip"
