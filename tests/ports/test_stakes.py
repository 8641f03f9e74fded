"""Every engine obeys the same: stricter where it can hurt; a caution is passed by its own phrase, never unsure."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import replace

import pytest

from assistant.adapters.recogniser_embedded import EmbeddedRecogniser, make_embedded
from assistant.adapters.recogniser_typed import TypedRecogniser
from assistant.adapters.recogniser_vosk import judged
from assistant.grammar.automaton import automaton_of
from assistant.guide import Mode, expected
from assistant.hearing import sentence
from assistant.hearing.trust import HAZARDOUS, RESULTS, UNMEASURED
from assistant.language.commands import ALWAYS
from assistant.language.grammars import grammar_of
from assistant.language.model import Expected, Heard
from assistant.ports import AudioBlock, Listening
from tests.guide.job import LIBRARY, TO_CRANK, Job
from tests.ports.test_recogniser import spoken

Engine = Callable[[str, float, Expected], Heard]
"""What an engine makes of words that it trusts so far, 0 (nothing) to 1 (as strict as can be), where they are said."""


def between(low: float, high: float, share: float) -> float:
    """A confidence on the engine's own scale."""
    return low + (high - low) * share


@pytest.fixture(scope="module")
def network() -> Iterator[EmbeddedRecogniser]:
    """The network of the wheel."""
    engine = make_embedded(threads=1)
    yield engine
    engine.close()


@pytest.fixture(params=["embedded", "vosk", "typed"])
def engine(request: pytest.FixtureRequest, monkeypatch: pytest.MonkeyPatch) -> Engine:
    """Each engine, told how far to trust what it hears. Typed words are as sure as can be."""

    def embedded(words: str, share: float, now: Expected) -> Heard:
        sure = between(RESULTS.act, HAZARDOUS.act, share)
        monkeypatch.setattr(sentence, "probability", lambda evidence, twice=False: sure)
        recogniser: EmbeddedRecogniser = request.getfixturevalue("network")
        recogniser.expect(Listening(grammar=grammar_of(now), hazardous=now.hazardous, read_back=now.read_back))
        return recogniser.hear_take(spoken("gmw/en-us", words))

    def vosk(words: str, share: float, now: Expected) -> Heard:
        sure = between(UNMEASURED["answer"].act, UNMEASURED["strict"].act, share)
        taken, unsure = judged(words, sure, automaton_of(grammar_of(now)), hazardous=now.hazardous)
        return Heard(words=taken, confidence=sure, unsure=unsure, engine="vosk")

    def typed(words: str, share: float, now: Expected) -> Heard:
        lines = [words]
        recogniser = TypedRecogniser(lambda: lines.pop(0) if lines else None)
        recogniser.expect(Listening(grammar=grammar_of(now), hazardous=now.hazardous, read_back=now.read_back))
        heard = recogniser.accept(AudioBlock(pcm=spoken("gmw/en-us", "")[:0], start_s=0.0))
        assert heard is not None
        return heard

    return {"embedded": embedded, "vosk": vosk, "typed": typed}[request.param]


def is_typed(engine: Engine) -> bool:
    """Whether it is the one that is never in doubt."""
    return engine.__name__ == "typed"


@pytest.mark.parametrize("words", ["spark present", "skip this step"])
def test_the_threshold_is_higher_where_it_can_hurt(engine: Engine, words: str) -> None:
    """Half way between both: acted on in a harmless step where it is an answer, asked about in one that can hurt."""
    if is_typed(engine):
        pytest.skip("typed words are never in doubt")
    harmless = Expected(controls=ALWAYS, results={"present": ("spark present",)})
    hurting = replace(harmless, hazardous=True)
    assert engine(words, 0.5, harmless).unsure == (words == "skip this step")
    assert engine(words, 0.5, hurting).unsure
    assert engine(words, 0.5, hurting).words == words
    assert not engine(words, 1.0, hurting).unsure


def test_a_caution_is_never_passed_by_a_bare_yes(engine: Engine) -> None:
    """However sure the yes."""
    job = Job(*TO_CRANK)
    assert job.state.mode is Mode.CAUTIONING
    job.hear(engine("yes", 1.0, expected(LIBRARY, job.state)))
    assert job.state.mode is Mode.CAUTIONING and not job.state.acknowledged


def test_a_caution_is_never_passed_unsure(engine: Engine) -> None:
    """Its own phrase, not quite heard, must be said again; heard well it passes."""
    job = Job(*TO_CRANK)
    if not is_typed(engine):
        job.hear(engine("area is clear", 0.5, expected(LIBRARY, job.state)))
        assert not job.state.acknowledged
        assert "say it once more" in job.said
    job.hear(engine("area is clear", 1.0, expected(LIBRARY, job.state)))
    assert job.state.acknowledged == {"area"}


def test_a_gate_too_is_never_passed_unsure(engine: Engine) -> None:
    """As a caution."""
    job = Job(*TO_CRANK, "area is clear")
    assert job.state.mode is Mode.GATING
    job.hear(engine("yes", 1.0, expected(LIBRARY, job.state)))
    assert job.state.mode is Mode.GATING
    if not is_typed(engine):
        job.hear(engine("brake is set", 0.5, expected(LIBRARY, job.state)))
        assert job.state.mode is Mode.GATING
    job.hear(engine("brake is set", 1.0, expected(LIBRARY, job.state)))
    assert job.state.mode is Mode.POISED
