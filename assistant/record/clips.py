"""Sound clips of what was said: where they lie, how they are called, which fact names them.

Clips are kept only where the user said so, as files beside the store, never in a document or an export. The name of a
clip is a personal value of its fact, so that removing dictated words removes the name and the sound.
"""

from __future__ import annotations

import hashlib

from assistant.facts import Fact

CLIPS_FOLDER = "clips"


def clips_place(job: str) -> tuple[str, str]:
    """The folders, from the data folder down, in which the clips of a job lie.

    The job's name is hashed: a job may be called anything, a folder may not.
    """
    return CLIPS_FOLDER, hashlib.sha256(job.encode("utf-8", "surrogatepass")).hexdigest()[:32]


def clip_name(number: int) -> str:
    """The file of the sound from which the fact of that number, and those of the same turn, were made."""
    return f"{number:06d}.wav"


def names_clip(fact: Fact, name: str) -> bool:
    """Whether the fact says that it was heard in this clip."""
    hearing = fact.data.get("hearing")
    return isinstance(hearing, dict) and hearing.get("clip") == name
