"""Talk that holds a command word or a result and is not for us: none of it may be obeyed.

"Yes, I called the customer back about the brakes" at a read-back is no yes. Each bit of talk begins with, ends with or
contains such words and goes through the live way of listening, pauses and all; the words alone must still be obeyed.
All of it is our own invention.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Any

import numpy as np
from numpy.typing import NDArray

from assistant.adapters.recogniser_embedded import EmbeddedRecogniser
from assistant.bench.noises import NOISES, mixed
from assistant.bench.sets import Ask, Speech
from assistant.bench.voices import Speaker
from assistant.language.model import Control, GiveControl, GiveReading, GiveResult, Heard, Unclear
from assistant.language.understand import asked, understand
from assistant.ports import SAMPLE_RATE_HZ, AudioBlock

Pcm = NDArray[np.int16]

BLOCK = 320
"""20 ms, as a microphone gives it."""

AROUND_S = 1.2
"""Of the room before and after the talk."""

ROOM_SNR_DB = 45.0
"""A quiet room, against the voice."""

PAUSES_S = (0.0, 0.1, 0.15, 0.2, 0.3, 0.4, 0.5, 0.6)
"""Between the pieces of a bit of talk; none: said in one breath."""

VOICES = (
    Speaker("espeak", "en-us"),
    Speaker("espeak", "en-gb-x-rp", 150),
    Speaker("hibari", "own"),
    Speaker("espeak", "en-gb-scotland", 160),
    Speaker("espeak", "en-us+f3", 155),
    Speaker("flite", "slt"),
    Speaker("espeak", "en-029", 170),
    Speaker("festival", "cmu_us_slt_arctic_hts"),
)
"""Who talks, those of them that the machine has."""

MOMENTS = 6
"""Of a job at which things are said: their grammars are made once."""

TALK: dict[str, tuple[str, ...]] = {
    "yes": (
        "yes | i called the customer back about the brakes",
        "yes | the blue van goes out this afternoon",
        "yes | tell him i will be there after lunch",
        "yes | we ordered the pads on monday",
        "yes | she wants the old parts in a box",
        "i asked him twice and he said | yes",
        "so the boss told her | yes",
        "he said yes to the new tyres",
        "i would say yes but ask the boss first",
        "well | yes | if the parts come today",
    ),
    "no": (
        "no | the other jack is in the corner",
        "no | i have not seen the big socket",
        "no | she will come for it on friday",
        "no | leave the radio on",
        "they looked everywhere and told me | no",
        "he asked for a discount and i said | no",
        "there is no coffee left in the kitchen",
        "tell him no and send him home",
        "oh | no | i dropped it behind the bench",
    ),
    "done": (
        "done | with the brakes on the other car at last",
        "done | and dusted as my father used to say",
        "tell me when the oil change is | done",
        "he thinks the whole thing is | done",
        "get it done by noon if you can",
        "when i am done here we go for lunch",
        "we are nearly | done | give us ten minutes",
    ),
    "ready": (
        "ready | for the weekend i tell you",
        "ready | or not the customer comes at four",
        "call her when the red one is | ready",
        "the coffee must be | ready",
        "is it ready for the customer yet",
        "get ready for the inspection on tuesday",
    ),
    "answer": (
        "{} | on the other car yesterday he told me",
        "{} | is what the customer wrote on the card",
        "{} | or so the last garage said",
        "he always thinks it is | {}",
        "the last man wrote on his sheet | {}",
        "last week we had {} on the old van",
        "ask him if he saw {} before lunch",
        "my brother says | {} | every single time",
    ),
    "command": (
        "skip | lunch and finish the blue one",
        "note | how he never brings the keys back",
        "go back | and get the other jack from the van",
        "repeat | what he told you about the tyres",
        "continue | straight on and then left at the lights",
        "we could | skip | the wash today",
        "take a break | he said and then he went home",
    ),
    "stop": (
        "stop | by tomorrow and pick up the keys",
        "the bus does not | stop | here any more",
        "we should stop at the parts shop on the way",
    ),
}
"""Talk by the words that it holds; a bar stands for a pause, braces for an answer of the step. What holds "stop" may
stop, for stopping is safe."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Bit:
    """One thing said where `ask` is asked. `pieces`: parted by `pause_s`. `alone`: it is the very words, for us."""

    holds: str
    ask: Ask
    pieces: tuple[str, ...]
    pause_s: float
    speaker: Speaker
    alone: bool = False

    @property
    def text(self) -> str:
        """What is said, for tables."""
        return f" ({self.pause_s:g} s) ".join(self.pieces)


def bits(
    places: Mapping[str, Sequence[Ask]], speakers: Sequence[Speaker], count: int, random: np.random.Generator
) -> Iterator[Bit]:
    """So many bits of talk, every template before any comes again, pauses and voices in turn."""
    templates = [(holds, text) for holds, texts in TALK.items() for text in texts]
    order = [int(index) for _ in range(count // len(templates) + 1) for index in random.permutation(len(templates))]
    for number, index in enumerate(order[:count]):
        holds, text = templates[index]
        ask = places[holds][number % len(places[holds])]
        answer = ask.answers[int(random.integers(len(ask.answers)))]
        pieces = tuple(piece.strip() for piece in text.format(answer).split("|"))
        pause_s = PAUSES_S[(number // len(speakers) + number) % len(PAUSES_S)]
        yield Bit(holds=holds, ask=ask, pieces=pieces, pause_s=pause_s, speaker=speakers[number % len(speakers)])


def alone(
    places: Mapping[str, Sequence[Ask]], speakers: Sequence[Speaker], count: int, random: np.random.Generator
) -> Iterator[Bit]:
    """So many of the words by themselves, which are for us."""
    kinds = ("yes", "no", "done", "ready", "answer")
    for number in range(count):
        holds = kinds[number % len(kinds)]
        ask = places[holds][number // len(kinds) % len(places[holds])]
        words = ask.answers[int(random.integers(len(ask.answers)))] if holds == "answer" else holds
        speaker = speakers[(number // len(kinds)) % len(speakers)]
        yield Bit(holds=holds, ask=ask, pieces=(words,), pause_s=0.0, speaker=speaker, alone=True)


def sound_of(bit: Bit, speech: Speech) -> Pcm:
    """The talk: int16, mono, (frames,), 16 000 Hz; in one breath where there is no pause."""
    if bit.pause_s == 0.0:
        return speech(bit.speaker, ", ".join(bit.pieces))
    parts: list[Pcm] = []
    for piece in bit.pieces:
        parts += [speech(bit.speaker, piece), np.zeros(int(bit.pause_s * SAMPLE_RATE_HZ), np.int16)]
    return np.concatenate(parts[:-1])


def in_a_shop(speech: Pcm, snr_db: float, kind: str, random: np.random.Generator) -> Pcm:
    """The speech in noise of that kind, AROUND_S of it on either side."""
    around = int(AROUND_S * SAMPLE_RATE_HZ)
    return mixed(speech, NOISES[kind](len(speech) + 2 * around, random), snr_db, lead=around, tail=around)


def heard_live(recogniser: EmbeddedRecogniser, ask: Ask, pcm: Pcm) -> list[Heard]:
    """All that was heard in the sound, block by block as a live session hears, in what is legal there."""
    recogniser.finish()
    recogniser.expect(ask.listening)
    found = []
    for at in range(0, len(pcm), BLOCK):
        heard = recogniser.accept(AudioBlock(pcm=pcm[at : at + BLOCK], start_s=at / SAMPLE_RATE_HZ))
        found += [heard] if heard is not None else []
    last = recogniser.finish()
    return found + ([last] if last is not None else [])


def kind_of(heard: Sequence[Heard], bit: Bit) -> tuple[str, str | None]:
    """What became of it: obeyed, read back (and logged only after a yes), stopped, asked or let pass, the worst of all
    that was heard; and the words.

    Of words alone: right, another, asked or let pass.
    """
    kinds: dict[str, str | None] = {}
    for one in heard:
        meant: object = asked(one, bit.ask.expected) or understand(one, bit.ask.expected)
        if not isinstance(meant, Unclear):
            kinds[_acted(meant, one, bit)] = one.words
        elif one.words is not None:
            kinds["asked"] = one.words
    for kind in ("another", "obeyed", "right", "read back", "stopped", "asked"):
        if kind in kinds:
            return kind, kinds[kind]
    return "let pass", None


def _acted(meant: object, heard: Heard, bit: Bit) -> str:
    if isinstance(meant, GiveControl) and meant.control in (Control.STOP, Control.PAUSE):
        return "stopped"
    if bit.alone:
        whole = understand(replace(heard, words=bit.pieces[0]), bit.ask.expected)
        return "right" if meant == whole else "another"
    logs = not isinstance(meant, GiveResult | GiveReading) or not bit.ask.expected.read_back
    return "obeyed" if logs else "read back"


def measure_talk(
    recogniser: EmbeddedRecogniser,
    asks: Sequence[Ask],
    speakers: Sequence[Speaker],
    *,
    count: int,
    seed: int,
    snrs_db: Sequence[float] = (ROOM_SNR_DB, 15.0),
) -> Iterator[dict[str, Any]]:
    """A row for each noise level: what became of `count` bits of talk, and of a quarter as many words alone."""
    speech = Speech()
    for snr_db in snrs_db:
        random = np.random.default_rng(seed)
        places = moments(asks, random)
        said = [*bits(places, speakers, count, random), *alone(places, speakers, count // 4, random)]
        found: list[tuple[Bit, str, str | None]] = []
        for number, bit in enumerate(said):
            noise = list(NOISES)[number % len(NOISES)]
            pcm = in_a_shop(sound_of(bit, speech), snr_db, noise, random)
            found.append((bit, *kind_of(heard_live(recogniser, bit.ask, pcm), bit)))
        yield {
            "snr_db": snr_db,
            "talk": dict(Counter(kind for bit, kind, _ in found if not bit.alone)),
            "alone": dict(Counter(kind for bit, kind, _ in found if bit.alone)),
            "obeyed": [
                [bit.speaker.name, bit.text, words] for bit, kind, words in found if kind == "obeyed" and not bit.alone
            ],
            "lost": [[bit.speaker.name, bit.text, kind] for bit, kind, _ in found if bit.alone and kind != "right"],
        }


def moments(asks: Sequence[Ask], random: np.random.Generator) -> dict[str, list[Ask]]:
    """A few moments for each kind of talk, at which the words that it holds would do something."""
    answered = [ask for ask in asks if ask.expected.results]
    few = [answered[int(index)] for index in random.permutation(len(answered))[:MOMENTS]]
    found = dict.fromkeys(TALK, few)
    for holds, control in (("done", Control.DONE), ("ready", Control.READY)):
        found[holds] = [
            Ask(ask.step, replace(ask.expected, controls=ask.expected.controls | {control})) for ask in few[:2]
        ]
    return found
