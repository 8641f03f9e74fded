"""How many answers in people's own words are understood: at once, after one offer, wrongly; as text, without sound."""

from __future__ import annotations

import json
from collections import Counter
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from pathlib import Path

import click

from assistant.bench.accuracy import wilson
from assistant.errors import UsageError
from assistant.procedure.model import Kind, Procedure
from assistant.session.understood import StepWords
from assistant.wiring import load_libraries, shipped_procedures


@dataclass(frozen=True, slots=True, kw_only=True)
class Answer:
    """What somebody would say at a step, and the result that it means: its id, or `reading:12.4 V`."""

    procedure: str
    step: str
    said: str
    result: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Understood:
    """One answer and what became of it: right, wrong, offered, wrongly offered or unclear."""

    answer: Answer
    result: str | None
    offer: str | None

    @property
    def outcome(self) -> str:
        """In one word."""
        if self.result is not None:
            return "right" if self.result == self.answer.result else "wrong"
        if self.offer is not None:
            return "offered" if self.offer == self.answer.result else "wrong offer"
        return "unclear"


@click.command(epilog="Example: hoodside bench understand tests/own_words/*.jsonl --misses 20")
@click.argument("files", metavar="FILE…", nargs=-1, required=True, type=click.Path(path_type=Path, exists=True))
@click.option("--misses", default=0, show_default=True, help="Answers not taken at once, printed; -1 for all.")
@click.option("--by-step", is_flag=True, help="The share of each step besides.")
@click.option("--spoken", default=0, show_default=True, help="So many of them also spoken, in shop noise.")
@click.option("--heard", multiple=True, type=int, help="None of those that were drawn when so many were spoken.")
@click.option("--jobs", default=1, show_default=True, help="Processes to spread what is spoken over: one a core.")
@click.option("--json", "as_json", is_flag=True, help="One JSON object a file in place of words.")
def command(
    *,
    files: tuple[Path, ...],
    misses: int,
    by_step: bool,
    spoken: int,
    heard: tuple[int, ...],
    jobs: int,
    as_json: bool,
) -> None:
    """Hold answers in people's own words against the procedures: JSON lines {"procedure","step","said","result"}."""
    _, library = load_libraries(tuple(shipped_procedures()))
    for file in files:
        every = read_answers(file)
        answers = [each for each in every if asks(each, library)]
        if len(answers) < len(every):
            click.echo(f"{file.name}: {len(every) - len(answers)} left out, at steps that ask nothing.", err=True)
        found = list(understood(answers, library))
        counts = Counter(each.outcome for each in found)
        if spoken:
            from assistant.bench import understand_spoken as bench  # noqa: PLC0415 - text alone needs no network

            bench.spoken(bench.drawn(answers, spoken, heard), jobs=jobs, misses=misses, tell=click.echo)
        if as_json:
            click.echo(json.dumps({"file": file.name, "answers": len(found), **counts}))
            continue
        click.echo(f"{file.name}: {len(found)} answers")
        _tell("understood at once", counts["right"], len(found))
        _tell("at once or after one offer", counts["right"] + counts["offered"], len(found))
        _tell("wrong at once", counts["wrong"], len(found))
        _tell("wrong offer", counts["wrong offer"], len(found))
        for line in _of_steps(found) if by_step else ():
            click.echo(line)
        missed = [each for each in found if each.outcome != "right"]
        for each in missed[: misses if misses >= 0 else None]:
            at = f"{each.answer.procedure}/{each.answer.step}"
            took = each.result or each.offer or "nothing"
            click.echo(f"  {each.outcome}: {at}: '{each.answer.said}' means {each.answer.result}, took {took}")


def read_answers(file: Path) -> list[Answer]:
    """The answers in a file of JSON lines. Raises UsageError at the first line that is none."""
    found = []
    for number, line in enumerate(file.read_text(encoding="utf-8").splitlines(), 1):
        try:
            found.append(Answer(**json.loads(line)))
        except (ValueError, TypeError) as error:
            raise UsageError(f"{file}:{number}: no answer in JSON: {error}.") from error
    return found


def asks(answer: Answer, library: Mapping[str, Procedure]) -> bool:
    """Whether its step waits for an answer: one that leads into another procedure has results too, but asks nothing.
    Raises UsageError for a step that is not there."""
    if answer.procedure not in library:
        raise UsageError(f"No procedure '{answer.procedure}'.")
    try:
        return library[answer.procedure].step(answer.step).kind is not Kind.CALL
    except KeyError as error:
        raise UsageError(f"Procedure '{answer.procedure}' has no step '{answer.step}'.") from error


def understood(answers: Iterable[Answer], library: Mapping[str, Procedure]) -> Iterator[Understood]:
    """Each answer through its step, which is there."""
    steps: dict[tuple[str, str], StepWords] = {}
    for answer in answers:
        at = (answer.procedure, answer.step)
        if at not in steps:
            steps[at] = StepWords(library, *at)
        told = steps[at].of(answer.said)
        yield Understood(answer=answer, result=told["result"], offer=told["offer"])


def _of_steps(found: list[Understood]) -> Iterator[str]:
    steps: dict[str, list[Understood]] = {}
    for each in found:
        steps.setdefault(f"{each.answer.procedure}/{each.answer.step}", []).append(each)
    shares = {at: sum(each.outcome == "right" for each in here) / len(here) for at, here in steps.items()}
    yield from (f"  {share:6.1%} {at}" for at, share in sorted(shares.items(), key=lambda pair: pair[1]))


def _tell(what: str, count: int, whole: int) -> None:
    low, high = wilson(count, whole)
    click.echo(f"  {what:28} {count / max(1, whole):6.1%} ({low:.1%} to {high:.1%}), {count}")
