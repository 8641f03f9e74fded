"""Sound clips and photographs: where they lie, how they are called, which fact names them.

Clips are kept only where the user said so, as files beside the store, never in a document or an export. The name of a
clip is a personal value of its fact, so that removing dictated words removes the name and the sound.
"""

from __future__ import annotations

import hashlib
from collections.abc import Iterable

from assistant.facts import Fact
from assistant.record.personal import REMOVED

CLIPS_FOLDER = "clips"


def clips_place(job: str) -> tuple[str, str]:
    """The folders, from the data folder down, in which the clips of a job lie.

    The job's name is hashed: a job may be called anything, a folder may not.
    """
    return CLIPS_FOLDER, hashlib.sha256(job.encode("utf-8", "surrogatepass")).hexdigest()[:32]


def clip_name(number: int, samples: bytes) -> str:
    """The file of the sound from which the fact of that number, and those of the same turn, were made.

    Its name holds half the SHA-256 of its samples (int16, little-endian), so that the chain binds the sound as well.
    """
    return f"{number:06d}-{_digest(samples)}.wav"


def clip_fits(name: str, samples: bytes) -> bool:
    """Whether a clip still holds the samples that its name was made of."""
    return name.removesuffix(".wav").partition("-")[2] == _digest(samples)


def clip_label(name: str) -> str:
    """The clip as a report calls it: the number of its fact."""
    return name.partition("-")[0].lstrip("0")


def clips_of(facts: Iterable[Fact]) -> tuple[str, ...]:
    """The clips that the facts name, each once, in order; removed ones are left out."""
    hearings = (fact.legible.hearing for fact in facts)
    named = (hearing.clip for hearing in hearings if hearing is not None)
    return tuple(dict.fromkeys(name for name in named if name not in ("", REMOVED)))


def _digest(samples: bytes) -> str:
    return hashlib.sha256(samples).hexdigest()[:32]


def names_clip(fact: Fact, name: str) -> bool:
    """Whether the fact says that it was heard in this clip."""
    hearing = fact.legible.hearing
    return hearing is not None and hearing.clip == name
