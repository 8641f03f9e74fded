"""What may be said in a step: plain words, one meaning each, and far enough apart by ear."""

from __future__ import annotations

import re
from collections.abc import Collection, Iterator
from dataclasses import dataclass

from assistant.procedure.affirmed import names_its_state, passes
from assistant.procedure.checks.book import Page, at
from assistant.procedure.model import Caution, Gate, Kind, Spot, Step
from assistant.procedure.sound import LEAST_DISTANCE, distance, unknown_words

BARE_YES = frozenset(
    (
        "yes",
        "yeah",
        "yep",
        "yup",
        "ok",
        "okay",
        "sure",
        "right",
        "correct",
        "affirmative",
        "fine",
        "done",
        "ready",
        "please",
        "it",
        "is",
        "i",
        "am",
    )
)
"""Words that by themselves name no state, so they cannot acknowledge a caution or a gate."""

MAX_WORDS = 8
"""A phrase must be easy to remember and to say. Source: judgement."""

_PLAIN = re.compile(r"[a-z]+(?:'[a-z]+)?(?: [a-z]+(?:'[a-z]+)?)*")


@dataclass(frozen=True, slots=True, kw_only=True)
class Said:
    """One phrase, what it means, and where it stands. `part` and `noun` name the part that holds it."""

    words: str
    meaning: str
    spot: Spot
    part: str
    noun: str = "step"


def check_phrases(page: Page, command_phrases: Collection[str], *, by_ear: bool = True) -> None:
    """Every phrase of every step, caution and gate, against the others heard with it and the always-legal commands.

    `by_ear` False leaves out what needs the dictionary: unknown words and likeness of sound.
    """
    for parts in (page.procedure.cautions, page.procedure.gates):
        for part in parts:
            _check_acknowledge(page, part)
            naming = [said for said in _acknowledge(part) if _names_a_state(said.words)]
            _check_together(page, naming, command_phrases, by_ear)
    for step in page.procedure.steps:
        _check_answers(page, step)
        _check_together(page, list(_answers(step)), command_phrases, by_ear)


def _answers(step: Step) -> Iterator[Said]:
    for result in step.results:
        for number, words in enumerate(result.phrases):
            yield Said(
                words=words, meaning=result.id, spot=at(result.spots, f"phrases.{number}", result.spot), part=step.id
            )
    for number, words in enumerate(step.done):
        yield Said(words=words, meaning="done", spot=at(step.spots, f"done.{number}", step.spot), part=step.id)


def _acknowledge(part: Caution | Gate) -> Iterator[Said]:
    noun = "caution" if isinstance(part, Caution) else "gate"
    for number, words in enumerate(passes(part)):
        spot = at(part.spots, f"acknowledge.{number}", part.spot)
        yield Said(words=words, meaning=part.id, spot=spot, part=part.id, noun=noun)


def _check_answers(page: Page, step: Step) -> None:
    if step.kind is Kind.ASK and "results" in step.spots and len(step.results) == 1:
        page.step_fault(
            step, "results", "found one result; expected two or more to choose from; do add one or instruct instead"
        )
    if step.kind not in (Kind.ASK, Kind.CRANK):
        return
    for result in step.results:
        if not result.phrases and "phrases" in result.spots:
            page.faults.add(
                at(result.spots, "phrases", result.spot),
                f"found no phrase for '{result.id}'; expected at least one; do write what is said",
                step=step.id,
            )


def _check_acknowledge(page: Page, part: Caution | Gate) -> None:
    noun = "caution" if isinstance(part, Caution) else "gate"
    if not part.acknowledge and "acknowledge" in part.spots:
        page.part_fault(
            noun,
            part.id,
            at(part.spots, "acknowledge", part.spot),
            "found no phrase that acknowledges it; expected at least one; do write one that names the state",
        )
    elif isinstance(part, Gate) and not names_its_state(part):
        page.part_fault(
            noun,
            part.id,
            at(part.spots, "say", part.spot),
            "found no phrase that says what its question asks; expected one with the question's own word; do write one",
        )
    for said in _acknowledge(part):
        if not _names_a_state(said.words):
            page.part_fault(
                noun,
                part.id,
                said.spot,
                f"found '{said.words}' to acknowledge; expected two or more words that name the state, never a bare "
                "yes; do write such as 'area is clear'",
            )


def _names_a_state(words: str) -> bool:
    return len(words.split()) > 1 and not BARE_YES.issuperset(words.split())


def _check_together(page: Page, heard: list[Said], commands: Collection[str], by_ear: bool) -> None:
    """`heard` may be said at one moment, beside the commands."""
    first: dict[str, Said] = {}
    fit = []
    for said in heard:
        if not _check_plain(page, said):
            continue
        if said.words in commands:
            _fault(
                page,
                said,
                f"found '{said.words}', which is a command; expected words that no command has; do say it otherwise",
            )
        elif said.words in first:
            _check_repeated(page, said, first[said.words])
        else:
            first[said.words] = said
            if not by_ear or _check_known(page, said):
                fit.append(said)
    if by_ear:
        _check_apart(page, fit, commands)


def _check_plain(page: Page, said: Said) -> bool:
    if not _PLAIN.fullmatch(said.words):
        wrong = next((char for char in said.words if not re.match(r"[a-z ]", char)), "a blank too many")
        _fault(
            page,
            said,
            f"found '{wrong}' in the phrase '{said.words}'; expected lower-case words without digits or signs; "
            "do write it as it is spoken",
        )
        return False
    if len(said.words.split()) > MAX_WORDS:
        _fault(
            page,
            said,
            f"found {len(said.words.split())} words in '{said.words}'; expected at most {MAX_WORDS}; do shorten it",
        )
    return True


def _check_repeated(page: Page, said: Said, first: Said) -> None:
    if said.meaning == first.meaning:
        message = f"found '{said.words}' twice; expected each phrase once; do delete one of them"
    else:
        message = (
            f"found '{said.words}' for '{said.meaning}' and, in line {first.spot.line}, for '{first.meaning}'; "
            "expected one meaning for each phrase; do change one of them"
        )
    _fault(page, said, message)


def _check_known(page: Page, said: Said) -> bool:
    unknown = unknown_words(said.words)
    for word in unknown:
        _fault(
            page,
            said,
            f"found the word '{word}' in '{said.words}'; expected words of the CMU Pronouncing Dictionary, for others "
            "cannot be told apart by ear; do use a commoner word or another spelling",
        )
    return not unknown


def _check_apart(page: Page, heard: list[Said], commands: Collection[str]) -> None:
    for number, said in enumerate(heard):
        near = [
            (distance(said.words, other.words, most=LEAST_DISTANCE), f"'{other.words}', which means '{other.meaning}'")
            for other in heard[:number]
            if other.meaning != said.meaning
        ]
        if said.meaning != "done":
            near += [
                (distance(said.words, command, most=LEAST_DISTANCE), f"the command '{command}'") for command in commands
            ]
        least, which = min(near, default=(float("inf"), ""))
        if least <= LEAST_DISTANCE:
            _fault(
                page,
                said,
                f"found '{said.words}' too close in sound to {which} ({least:g}); expected more than "
                f"{LEAST_DISTANCE:g} phone of difference; do use other or more words",
            )


def _fault(page: Page, said: Said, message: str) -> None:
    page.faults.add(said.spot, message, step=said.part, noun=said.noun)
