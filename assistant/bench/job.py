"""How much of a whole job by voice needs no repeat: one made-up car led to its repair, by several made-up voices.

It is the job of `hoodside rehearse`, everything that is said in it heard from the noisy samples alone: cautions, gates,
answers, read-backs and commands. Free words are kept as they are and do not count.
"""

from __future__ import annotations

import json
import tempfile
from collections import Counter
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path

import click
import numpy as np
from numpy.typing import NDArray

from assistant.adapters.recogniser_embedded import EmbeddedRecogniser, make_embedded
from assistant.bench.accuracy import wilson
from assistant.bench.spread import spread
from assistant.bench.understand import read_answers
from assistant.bench.voices import HELD_OUT, Speaker, available, speak
from assistant.guide import Mode
from assistant.language.commands import COMMAND_PHRASES
from assistant.language.model import Control
from assistant.rehearsal.cars import DEAD_PUMP
from assistant.rehearsal.play import Exchange
from assistant.rehearsal.run import Cast, rehearse
from assistant.rehearsal.technician import OwnWords

LEVELS_DB = (40.0, 15.0, 9.0, 6.0)
"""The voice over the shop; the first is as good as quiet."""

KINDS = {
    Mode.CAUTIONING: "acknowledgements and gates",
    Mode.GATING: "acknowledgements and gates",
    Mode.CONFIRMING: "a yes to what was read back",
    Mode.ASKING: "answers",
}
OTHER = "commands"
WHOLE = "all that is said"
TOLD = (*dict.fromkeys(KINDS.values()), OTHER, WHOLE)

FREE_WORDS = DEAD_PUMP.answers["no-start/complaint"]


class HeldOutVoice:
    """One of the made-up speakers as the technician's synthesiser, at its own pace."""

    def __init__(self, speaker: Speaker) -> None:
        self._speaker = speaker

    def render(self, text: str, *, words_per_minute: int, rate_hz: int) -> NDArray[np.int16]:
        """The text spoken: int16, mono, (frames,), at the 16 000 Hz that the rehearsal asks for."""
        return speak(self._speaker, text)

    def close(self) -> None:
        """Nothing to free."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Job:
    """One job to be played: by which voice, how far over the shop, in whose words."""

    speaker: Speaker
    snr_db: float
    own_words: OwnWords


@dataclass(frozen=True, slots=True, kw_only=True)
class Played:
    """What came of it: kind -> things said, and of them those that needed no repeat. `right`: whether the record is
    what was said."""

    snr_db: float
    said: Counter[str]
    at_once: Counter[str]
    right: bool

    def of(self, kind: str) -> tuple[int, int]:
        """Things said of that kind, and those at once."""
        return self.said[kind], self.at_once[kind]


@click.command(epilog="Example: hoodside bench job --level 15 --voices 2 --own tests/own_words/held-out.jsonl")
@click.option("--level", "levels", type=float, multiple=True, help="Decibels of the voice over the shop. Repeat it.")
@click.option("--voices", default=len(HELD_OUT), show_default=True, help="So many of the voices never learnt from.")
@click.option(
    "--own", type=click.Path(path_type=Path, exists=True), help="Answers in people's own words, said where they fit."
)
@click.option("--jobs", default=1, show_default=True, help="Processes to spread the work over: one a core.")
@click.option("--json", "as_json", is_flag=True, help="One JSON object a level in place of words.")
def command(*, levels: tuple[float, ...], voices: int, own: Path | None, jobs: int, as_json: bool) -> None:
    """Play one whole made-up job by voice at several noise levels, and tell how much needed no repeat."""
    words = own_words_of(own) if own else {}
    due = [
        Job(speaker=speaker, snr_db=level, own_words=words)
        for level in levels or LEVELS_DB
        for speaker in available(HELD_OUT)[:voices]
    ]
    played = list(spread(_played, due, make=_ear, key=None, jobs=jobs))
    for level in levels or LEVELS_DB:
        here = [each for each in played if each.snr_db == level]
        shares = {
            kind: tuple(sum(part) for part in zip(*(each.of(kind) for each in here), strict=True)) for kind in TOLD
        }
        records = sum(each.right for each in here)
        if as_json:
            click.echo(json.dumps({"snr_db": level, "jobs": len(here), "records_right": records, **shares}))
            continue
        click.echo(f"{level:g} dB: {len(here)} jobs, {records} records as said")
        for kind in TOLD:
            said, at_once = shares[kind]
            low, high = wilson(at_once, said)
            click.echo(f"  {kind:28} {at_once / max(said, 1):6.1%} ({low:.1%} to {high:.1%}) of {said} at once")


def own_words_of(file: Path) -> OwnWords:
    """Each place and result with what people said for it, from a file of answers. Raises UsageError."""
    words: dict[tuple[str, ...], tuple[str, ...]] = {}
    for answer in read_answers(file):
        place = (answer.procedure, answer.step, answer.result)
        words[place] = (*words.get(place, ()), answer.said)
    return words


def things_said(exchanges: Sequence[Exchange]) -> Iterator[tuple[str, bool]]:
    """Each thing said for the first time: its kind, and whether it needed no repeat.

    One needs a repeat where nothing came of it, where what was read back had to be denied, and where a command was
    heard in it that held the job.
    """
    no = COMMAND_PHRASES[Control.NO]
    denied = [each.mode == Mode.CONFIRMING and each.meant in no for each in exchanges]
    held = [each.mode == Mode.HELD for each in exchanges]
    again = False
    for place, each in enumerate(exchanges):
        undone = any(part[place + 1 : place + 2] == [True] for part in (denied, held))
        right = each.taken and not undone
        if not (again or denied[place] or held[place] or each.mode == Mode.NOTING or each.meant == FREE_WORDS):
            yield KINDS.get(Mode(each.mode), OTHER), right
        again = not right or denied[place] or held[place]


def _ear(_: None) -> EmbeddedRecogniser:
    return make_embedded()


def _played(recogniser: EmbeddedRecogniser, job: Job) -> Played:
    exchanges: list[Exchange] = []
    cast = Cast(snr_db=job.snr_db, voice=HeldOutVoice(job.speaker), own_words=job.own_words)
    with tempfile.TemporaryDirectory() as folder:
        outcome = rehearse("no-start", DEAD_PUMP, Path(folder), recogniser, exchanges.append, cast=cast)
    said: Counter[str] = Counter()
    at_once: Counter[str] = Counter()
    for kind, right in things_said(exchanges):
        for each in (kind, WHOLE):
            said[each] += 1
            at_once[each] += right
    return Played(snr_db=job.snr_db, said=said, at_once=at_once, right=not outcome.differences)
