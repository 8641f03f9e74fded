"""How well free words are written, and whether the trust in them means something: made-up complaints in shop noise.

The noises take turns: a fan, impact tools, bustle, and what sounds like talk.
"""

from __future__ import annotations

import json
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import cycle, pairwise

import click
import numpy as np

from assistant.adapters.recogniser_embedded import EmbeddedRecogniser
from assistant.adapters.synthesiser_pyttsx3 import Pyttsx3Synthesiser
from assistant.bench.noises import NOISES, mixed
from assistant.language.edits import words_wrong
from assistant.language.grammars import grammar_of
from assistant.language.model import Expected
from assistant.language.plain import plain_words
from assistant.ports import SAMPLE_RATE_HZ, Listening
from assistant.wiring import make_recogniser

VOICES = (("gmw/en-us+m3", 170), ("gmw/en-us", 165))
"""eSpeak NG voices and their words a minute."""

AROUND_S = 0.4
"""Shop noise before and after the words."""

TRUSTS = (0.0, 0.6, 0.8, 0.9, 1.01)
"""Ends of the groups by trust."""

COMPLAINTS = (
    "it cranks all day but it will not start",
    "it turns over fast and nothing else happens",
    "it quit while driving and never came back",
    "the customer says it would not start this morning",
    "it started fine yesterday and now it is dead",
    "the engine spins but there is no sign of life",
    "it fired once and then nothing",
    "it dies as soon as i let go of the key",
    "it starts when it is cold but not when it is hot",
    "there is a strong smell of fuel under the hood",
    "the check engine light has been on for a month",
    "he ran out of fuel and filled it from a can",
    "the fuel gauge has not worked for years",
    "it backfires through the intake when you crank it",
    "the timing belt was replaced two weeks ago",
    "it stood outside for three months without being moved",
    "a mouse nest was found on top of the engine",
    "it was towed in after it stopped on the bridge",
    "the previous shop fitted a new fuel pump",
    "it needs a lot of cranking before it catches",
    "it runs for two seconds and then it dies",
    "the key light blinks and it will not fire",
    "she hit a curb and the engine cut out",
    "it only starts if you hold the pedal down",
    "the battery went flat and they charged it overnight",
    "it shook badly and lost power before it stopped",
    "a new crankshaft sensor was put in last year",
    "the oil smells of petrol",
    "it sounded like a sewing machine while cranking",
    "they washed the engine and since then it will not run",
    "it has a remote starter that was added later",
    "it was hard to start for a few weeks",
    "the connector on the coil looks burned",
    "water got into the trunk near the fuse box",
    "the pump does not hum when the key is on",
    "there is white smoke from the tailpipe when it tries",
    "it was filled up yesterday at a small station",
    "the plugs were wet when i pulled them",
    "the ground strap looks rusty",
    "the relay clicks but nothing happens",
)
"""Our own invention; the weights of trust were fitted on other sentences."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Written:
    """One text. `trust`: the share of its words that should be right."""

    said: str
    kept: str
    trust: float
    took_ms: float

    @property
    def words(self) -> int:
        """Words said."""
        return len(self.said.split())

    @property
    def wrong(self) -> int:
        """Words that are other, missing or too many."""
        return words_wrong(self.said, self.kept)

    @property
    def right(self) -> float:
        """The share of the words said that is right; 0 where more is wrong than was said."""
        return max(0.0, 1.0 - self.wrong / self.words)


def write_all(recogniser: EmbeddedRecogniser, texts: Sequence[str], *, snr_db: float, seed: int) -> Iterator[Written]:
    """Each text by each voice, as the recogniser writes it."""
    recogniser.expect(Listening(grammar=grammar_of(Expected(controls=frozenset(), dictation=True)), dictation=True))
    random = np.random.default_rng(seed)
    around = round(AROUND_S * SAMPLE_RATE_HZ)
    for voice, pace in VOICES:
        synthesiser = Pyttsx3Synthesiser(voice=voice)
        for text, noise in zip(texts, cycle(NOISES.values()), strict=False):
            speech = synthesiser.render(text, words_per_minute=pace, rate_hz=SAMPLE_RATE_HZ)
            under = noise(len(speech) + 2 * around, random)
            heard = recogniser.hear_take(mixed(speech, under, snr_db, lead=around, tail=around))
            yield Written(said=text, kept=heard.free_text or "", trust=heard.confidence, took_ms=heard.took_ms)
        synthesiser.close()


def figures(written: Sequence[Written]) -> dict[str, object]:
    """Word error, texts without one, and by trust what was promised and what was right."""
    said = sum(one.words for one in written)
    groups = []
    for low, high in pairwise(TRUSTS):
        group = [one for one in written if low <= one.trust < high]
        if group:
            promised, right = (float(np.mean([getattr(one, name) for one in group])) for name in ("trust", "right"))
            groups.append({"from": low, "texts": len(group), "promised": round(promised, 3), "right": round(right, 3)})
    return {
        "texts": len(written),
        "words": said,
        "word_error": round(sum(one.wrong for one in written) / said, 4),
        "word_for_word": sum(not one.wrong for one in written),
        "by_trust": groups,
        "took_ms": round(float(np.median([one.took_ms for one in written])), 1),
    }


@click.command(epilog="Example: hoodside bench dictation --count 10 --json")
@click.option("--count", default=len(COMPLAINTS), show_default=True, help="Sentences, each by two voices.")
@click.option("--snr", "snr_db", default=15.0, show_default=True, help="Noise below the voice, in decibels.")
@click.option("--seed", default=100, show_default=True, help="Of the noise.")
@click.option("--json", "as_json", is_flag=True, help="Print one JSON value.")
def command(*, count: int, snr_db: float, seed: int, as_json: bool) -> None:
    """Write made-up complaints down, spoken in a made-up shop, and count wrong words."""
    recogniser = make_recogniser("embedded")
    if not isinstance(recogniser, EmbeddedRecogniser):
        raise TypeError("the embedded recogniser was asked for")
    written = []
    for one in write_all(recogniser, COMPLAINTS[:count], snr_db=snr_db, seed=seed):
        written.append(one)
        if not as_json:
            click.echo(f"{one.trust:.2f}  {one.said!r}  {plain_words(one.kept)!r}", err=True)
    recogniser.close()
    found = figures(written)
    if as_json:
        click.echo(json.dumps(found))
        return
    click.echo(
        f"{found['word_error']:.1%} of {found['words']} words wrong, {found['word_for_word']} of {found['texts']} "
        f"texts word for word, half took at most {found['took_ms']:.0f} ms; by trust: {json.dumps(found['by_trust'])}"
    )
