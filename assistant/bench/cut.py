"""Words whose beginning is missing: a stream that begins within a word, and a word cut behind quiet, in the live way.

A microphone that is opened, comes back or is changed for another begins wherever the technician is just then, and the
end of "ready" passes for "yes". So phrases are cut to their last milliseconds and put at the very beginning of a
stream, at the beginning of what follows a gap, and behind a second of quiet, where nothing tells that anything is
missing. Whole phrases said as soon are to be answered all the same.
"""

from __future__ import annotations

import json
from collections import Counter
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, replace
from enum import StrEnum

import click
import numpy as np
from numpy.typing import NDArray

from assistant.adapters.recogniser_embedded import EmbeddedRecogniser
from assistant.bench.sets import Ask
from assistant.bench.setting import Setting, Wish, make_setting
from assistant.bench.stream import BLOCK
from assistant.bench.voices import Speaker
from assistant.language.model import Control, GiveControl, GiveReading, GiveResult, Heard, Unclear
from assistant.language.understand import asked, understand
from assistant.ports import SAMPLE_RATE_HZ, AudioBlock
from assistant.record.wording import fitted
from assistant.session.losses import Losses

Pcm = NDArray[np.int16]

LEFT_MS = (60, 100, 140, 180, 220)
"""So much is left of a phrase, its end."""

GAP_S = 5.0
"""Between a second of the room and what follows: the device was away."""


class Where(StrEnum):
    """Where in its stream it begins."""

    FIRST = "first sound"
    GAP = "after a gap"
    QUIET = "behind a second of quiet"


CUT_AT = tuple((where, 0.0) for where in Where)
WHOLE_AT = ((Where.FIRST, 0.0), (Where.FIRST, 0.1), (Where.FIRST, 0.3), (Where.GAP, 0.1), (Where.QUIET, 0.0))
"""Places, and seconds of the room between the beginning and the words."""

BLOCKS_BEFORE = 50
"""Of the room, a second."""

AFTER_S = 1.3
ROOM_LEVEL = 30.0
"""Root mean square of the room, of 32 768: quiet."""

ALSO = frozenset({Control.YES, Control.NO, Control.DONE, Control.READY})
"""Legal at every moment here: the short words that move most."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Piece:
    """The end of a phrase, `left_ms` long, or all of it where that is 0, `late_s` behind the beginning."""

    ask: Ask
    words: str
    speaker: Speaker
    left_ms: int
    where: Where
    late_s: float


def pieces(setting: Setting, count: int, random: np.random.Generator) -> Iterator[Piece]:
    """`count` phrases, each at a moment of a job, by all voices in turn: cut to every length and whole, at every
    place."""
    speakers = [each for group in setting.voices.values() for each in group]
    asks = [replace(ask, expected=replace(ask.expected, controls=ask.expected.controls | ALSO)) for ask in setting.asks]
    asks = [asks[int(index)] for index in random.permutation(len(asks))[: max(1, count // 12)]]
    for number in range(count):
        ask = asks[number % len(asks)]
        legal = ask.answers if number % 2 and ask.answers else ask.others
        words = legal[int(random.integers(len(legal)))]
        speaker = speakers[number % len(speakers)]
        for left_ms, places in (*((each, CUT_AT) for each in LEFT_MS), (0, WHOLE_AT)):
            for where, late_s in places:
                yield Piece(ask=ask, words=words, speaker=speaker, left_ms=left_ms, where=where, late_s=late_s)


def blocks_of(setting: Setting, piece: Piece, random: np.random.Generator) -> Iterator[AudioBlock]:
    """The stream from its first block on."""
    speech = setting.speech(piece.speaker, piece.words)
    left = speech[-piece.left_ms * SAMPLE_RATE_HZ // 1000 :] if piece.left_ms else speech
    before = 0 if piece.where is Where.FIRST else BLOCKS_BEFORE * BLOCK
    begins = before + int(piece.late_s * SAMPLE_RATE_HZ)
    room = random.standard_normal(begins + len(left) + int(AFTER_S * SAMPLE_RATE_HZ)) * ROOM_LEVEL
    room[begins : begins + len(left)] += left
    pcm = np.clip(room, -32768, 32767).astype(np.int16)
    for at in range(0, len(pcm), BLOCK):
        gap_s = GAP_S if piece.where is Where.GAP and at >= before else 0.0
        yield AudioBlock(pcm=pcm[at : at + BLOCK], start_s=at / SAMPLE_RATE_HZ + gap_s)


def heard_live(recogniser: EmbeddedRecogniser, ask: Ask, blocks: Iterable[AudioBlock]) -> list[Heard]:
    """All that a live session would hear in a stream of these blocks."""
    recogniser.finish()
    recogniser.expect(ask.listening)
    losses, found = Losses(), []
    for block in blocks:
        losses.note(block)
        heard = recogniser.accept(block)
        found += [losses.doubted(heard)] if heard is not None else []
    last = recogniser.finish()
    return found + ([losses.doubted(last)] if last is not None else [])


KINDS = ("obeyed", "read back", "stopped", "harmless", "offered", "asked", "let pass")
"""What becomes of a thing said, worst first: done at once, an answer that waits for its yes, stop or pause, an answer
or repetition that changes nothing, offered for a yes, to be said again, nothing."""


def became(heard: Sequence[Heard], ask: Ask) -> tuple[str, str | None, float]:
    """The worst of all that was heard, its words and their trust."""
    found = [(*_one(each, ask), each.confidence) for each in heard]
    return min(found, key=lambda one: KINDS.index(one[0]), default=("let pass", None, 0.0))


def _one(heard: Heard, ask: Ask) -> tuple[str, str | None]:
    now = ask.expected
    if asked(heard, now) is not None:
        return "harmless", heard.words
    meant = understand(heard, now)
    if isinstance(meant, Unclear):
        if meant.offer is not None:
            return "offered", meant.offer
        return ("asked", heard.words) if heard.words is not None else ("let pass", None)
    if isinstance(meant, GiveControl):
        row = meant.control.row
        kind = "stopped" if row.cuts_speech else "harmless" if row.stakes == "harmless" else "obeyed"
        return kind, heard.words
    waits = isinstance(meant, GiveResult | GiveReading) and now.read_back
    return ("read back" if waits else "obeyed"), heard.words


def measure_cut(setting: Setting, count: int) -> Iterator[dict[str, object]]:
    """A row for each length and place. `taken_for`: what did something and was not what was said, with its trust."""
    random = np.random.default_rng(setting.wish.seed)
    rows: dict[tuple[int, str], list[tuple[Piece, str, str | None, float]]] = {}
    for piece in pieces(setting, count, random):
        heard = heard_live(setting.recogniser, piece.ask, blocks_of(setting, piece, random))
        place = piece.where + (f", {piece.late_s:g} s late" if piece.late_s else "")
        rows.setdefault((piece.left_ms, place), []).append((piece, *became(heard, piece.ask)))
    for (left_ms, place), row in sorted(rows.items()):
        counted = Counter(kind for _, kind, _, _ in row)
        did = [one for one in row if one[1] in KINDS[: KINDS.index("offered")] and one[2] != one[0].words]
        taken_for = [[words, round(trust, 2), piece.words] for piece, _, words, trust in did]
        yield (
            {"left_ms": left_ms or None, "place": place}
            | {kind: counted[kind] for kind in KINDS}
            | {"taken_for": taken_for}
        )


@click.command(epilog="Example: hoodside bench cut --count 60")
@click.option("--count", default=60, show_default=True, help="Phrases, each cut to five lengths.")
@click.option("--procedure", default="no-start", show_default=True, help="Whose steps and phrases.")
@click.option("--json", "as_json", is_flag=True, help="One JSON value a row on standard output.")
def command(*, count: int, procedure: str, as_json: bool) -> None:
    """What becomes of words whose beginning is missing, at a stream's beginning and behind quiet."""
    setting = make_setting(Wish(procedure=procedure, count=count, hours=0.0, seed=5))
    for row in measure_cut(setting, count):
        click.echo(json.dumps(row) if as_json else fitted(", ".join(f"{name} {value}" for name, value in row.items())))
