"""How the shipped procedures sound: short, plain, without digits or letters that a voice stumbles over."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping

from assistant.procedure.model import Kind, Procedure

Library = Mapping[str, Procedure]

MOST_WORDS_A_SENTENCE = 20
MOST_WORDS_A_STEP = 42
MOST_WORDS_A_CAUTION = 32
JARGON = re.compile(r"\b(solenoid|voltage|drop|ohm|kpa|psi|controller|trigger|module|ecu|sensor supply)\b", re.I)


def _spoken(procedure: Procedure) -> Iterator[tuple[str, str]]:
    for step in procedure.steps:
        yield step.id, step.say
        yield step.id, step.alone or ""
        yield from ((step.id, each.say or "") for each in (*step.results, *step.bands))
        if step.finding:
            found = step.finding
            lines = (*found.proved, *found.likely, *found.untested, found.advice, found.customer)
            yield from ((step.id, line) for line in lines)
    for caution in procedure.cautions:
        yield caution.id, f"{caution.hazard} {caution.avoid} {caution.consequence}"
    for gate in procedure.gates:
        yield gate.id, gate.say


def _sentences(text: str) -> list[list[str]]:
    return [sentence.split() for sentence in re.split(r"[.?!]", text)]


def test_sentences_are_short(shipped: Library) -> None:
    """No spoken sentence is longer than twenty words."""
    long = [
        (procedure.id, part, " ".join(words))
        for procedure in shipped.values()
        for part, text in _spoken(procedure)
        for words in _sentences(text)
        if len(words) > MOST_WORDS_A_SENTENCE
    ]
    assert long == []


def test_a_step_fits_in_the_head(shipped: Library) -> None:
    """No instruction is longer than is held in the head by ear."""
    long = [
        (procedure.id, step.id)
        for procedure in shipped.values()
        for step in procedure.steps
        if len(step.say.split()) > MOST_WORDS_A_STEP
    ]
    assert long == []


def test_cautions_are_short(shipped: Library) -> None:
    """A caution is spoken in full at every entry, so it is short."""
    for procedure in shipped.values():
        for caution in procedure.cautions:
            words = f"{caution.hazard} {caution.avoid} {caution.consequence}".split()
            assert len(words) <= MOST_WORDS_A_CAUTION, (procedure.id, caution.id)


def test_nothing_spoken_holds_digits_or_capital_letters_in_a_row(shipped: Library) -> None:
    """Numbers are written as words, and there is no abbreviation."""
    odd = [
        (procedure.id, part, text)
        for procedure in shipped.values()
        for part, text in _spoken(procedure)
        if re.search(r"\d|[A-Z]{2}|[/%&]", text)
    ]
    assert odd == []


def test_one_caution_has_one_wording(shipped: Library) -> None:
    """A caution or gate of the same id says the same in every procedure, so that the ear knows it again."""
    seen: dict[str, tuple[object, ...]] = {}
    for procedure in shipped.values():
        for caution in procedure.cautions:
            said = (caution.signal, caution.hazard, caution.avoid, caution.consequence, caution.acknowledge)
            assert seen.setdefault(caution.id, said) == said, (procedure.id, caution.id)
        for gate in procedure.gates:
            asked = (gate.say, gate.acknowledge)
            assert seen.setdefault(f"gate {gate.id}", asked) == asked, (procedure.id, gate.id)


def test_findings_are_whole(shipped: Library) -> None:
    """A finding says what is proved, the next step, and words for the customer without jargon."""
    for procedure in shipped.values():
        for step in procedure.steps:
            if step.kind is not Kind.FINDING or (procedure.led and step.id in procedure.led.only):
                continue  # where a plan ends, the plan says what is proved
            assert step.finding is not None
            named = step.finding.fault or (procedure.id, step.id) == ("no-start", "mended")  # who mended it knows what
            assert named and step.finding.proved, (procedure.id, step.id)
            assert step.finding.advice and step.finding.customer, (procedure.id, step.id)
            assert not JARGON.search(step.finding.customer), (procedure.id, step.id, step.finding.customer)


def test_results_have_synonyms(shipped: Library) -> None:
    """Everything that can be answered can be said in at least two ways."""
    for procedure in shipped.values():
        for step in procedure.steps:
            if step.kind in (Kind.ASK, Kind.CRANK):
                ways = [len(result.phrases) + (result.answers is not None) for result in step.results]
                assert min(ways) > 1, (procedure.id, step.id)
                assert max(len(result.phrases) for result in step.results) <= 4, (procedure.id, step.id)


def test_cranking_says_how_one_person_does_it(shipped: Library) -> None:
    """Every crank step tells how it is done alone."""
    for procedure in shipped.values():
        for step in procedure.steps:
            if step.kind in (Kind.CRANK, Kind.PACE):
                assert step.alone, (procedure.id, step.id)
