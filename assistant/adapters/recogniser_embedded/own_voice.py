"""Learning one person's voice with the network, and what that gains on what was read and not learnt from."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from assistant.adapters.recogniser_embedded.network import Network, SpeechPassage
from assistant.adapters.recogniser_embedded.stop import readings_of
from assistant.errors import SetupError
from assistant.hearing.correction import Correction, corrected
from assistant.hearing.own_voice import Read, learnt, well_read
from assistant.hearing.phones import PhoneEar, Reading, fits
from assistant.hearing.sound import cleaned

Pcm = NDArray[np.int16]

TO_READ = (
    "yes", "no", "stop", "one two three", "four five six", "seven eight nine zero", "area is clear", "spark present",
    "no spark", "twelve point four volts", "ready", "done", "stop", "no", "yes", "three nine one", "eight six zero",
    "two seven five four", "it ran briefly", "the lamp went out", "say again", "go back", "what can i say", "hold on",
    "no", "stop", "yes", "six eight three", "zero two nine", "five one seven four",
)  # fmt: skip
"""A minute: yes, no and stop three times, each digit three times, twelve phrases; every third is not learnt from."""

HELD_OUT = 3
"""Every third of what was read is not learnt from."""

LEAST_READ = 6
"""Readings that must be left when those with other words are taken away."""

MOST_MISREAD = 0.34
"""Share of other words from which on nothing is learnt at all."""

QUIETEST = 30.0
"""Root mean square below which a recording is silence. Source: judgement; a soft microphone gives 100 to 200."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Take:
    """What was to be read, and the sound of it: int16, mono, (frames,), 16 000 Hz."""

    words: str
    pcm: Pcm


@dataclass(frozen=True, slots=True, kw_only=True)
class OwnVoice:
    """What was learnt: a correction for each ear. `before`, `now`: of the `held_out` readings that were not learnt
    from, those told apart right from all the others' words; `misread`: words that were left out as not those shown."""

    corrections: tuple[Correction, ...]
    before: int
    now: int
    held_out: int
    misread: tuple[str, ...]

    @property
    def worth_keeping(self) -> bool:
        """Not where it hears worse."""
        return self.now >= self.before


def learn_voice(network: Network, takes: Sequence[Take]) -> OwnVoice:
    """The corrections for this person. Raises SetupError where the takes hold no sound, or other words."""
    if not takes or all(_level(each.pcm) < QUIETEST for each in takes):
        raise SetupError("There is only silence in what was read. Is the microphone muted?")
    ears = network.phone_ears
    read = [read_of(network, each) for each in takes]
    good = [_level(take.pcm) >= QUIETEST and well_read(ears, one) for take, one in zip(takes, read, strict=True)]
    misread = tuple(take.words for take, well in zip(takes, good, strict=True) if not well)
    kept = [(take.words, one) for take, one, well in zip(takes, read, good, strict=True) if well]
    if len(misread) > MOST_MISREAD * len(takes) or len(kept) < LEAST_READ:
        raise SetupError(
            f"Of {len(takes)} things read {len(misread)} were not the words shown, such as '{(misread or ('',))[0]}'. "
            "Nothing is learnt. Read them again, near the microphone."
        )
    held_out, learning = (
        kept[HELD_OUT - 1 :: HELD_OUT],
        [one for number, (_, one) in enumerate(kept) if number % HELD_OUT != HELD_OUT - 1],
    )
    corrections = tuple(learnt(ear, learning) for ear in ears)
    choices = {words: readings_of(words) for words in dict.fromkeys(each.words for each in takes)}
    moved = [corrected(ear, one) for ear, one in zip(ears, corrections, strict=True)]
    return OwnVoice(
        corrections=corrections,
        before=told_right(ears, held_out, choices),
        now=told_right(moved, held_out, choices),
        held_out=len(held_out),
        misread=misread,
    )


def told_right(ears: Sequence[PhoneEar], read: Sequence[tuple[str, Read]], choices: dict[str, list[Reading]]) -> int:
    """How many of the readings the ears tell right among all the choices."""
    words = list(choices)
    right = 0
    for said, one in read:
        sound = np.stack([ear(one.hidden) for ear in ears])
        right += words[int(np.argmax(fits(sound, list(choices.values()))))] == said
    return right


def read_of(network: Network, take: Take) -> Read:
    """The take as the network hears it."""
    return Read(hidden=SpeechPassage(network, cleaned(take.pcm)).hidden, readings=readings_of(take.words))


def _level(pcm: Pcm) -> float:
    return float(np.sqrt((pcm.astype(np.float64) ** 2).mean())) if len(pcm) else 0.0
