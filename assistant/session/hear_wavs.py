"""The recogniser alone: one answer for each recording, in order, whatever state the recordings are in."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from pathlib import Path
from typing import Any, cast

import numpy as np
from numpy.typing import NDArray

from assistant.errors import HoodsideError
from assistant.language.model import Heard
from assistant.ports import SAMPLE_RATE_HZ, AudioBlock, Recogniser

BLOCK = 1600
"""A tenth of a second, as a microphone gives it."""

Pcm = NDArray[np.int16]
Take = Callable[[Pcm], Heard]
"""A whole recording (int16, mono, (frames,), 16 000 Hz) to what was heard in it."""


def hear_wavs(paths: Sequence[Path], read: Callable[[Path], Pcm], take: Take) -> Iterator[dict[str, Any]]:
    """One record a file: file, text, accepted, confidence, took_ms, audio_ms, and `error` where it cannot be read."""
    for path in paths:
        try:
            pcm = read(path)
            heard = take(pcm)
        except HoodsideError as error:
            yield _record(path, None, 0.0, 0) | {"error": str(error)}
        else:
            yield _record(path, heard, heard.took_ms, round(len(pcm) / SAMPLE_RATE_HZ * 1000))


def take_with(recogniser: Recogniser) -> Take:
    """Whole recordings heard by any engine: through its own way for them where it has one, else block by block."""
    own = getattr(recogniser, "hear_take", None)
    if own is not None:
        return cast(Take, own)

    def by_blocks(pcm: Pcm) -> Heard:
        first: Heard | None = None
        for at in range(0, len(pcm), BLOCK):
            heard = recogniser.accept(AudioBlock(pcm=pcm[at : at + BLOCK], start_s=at / SAMPLE_RATE_HZ))
            first = first or heard
        last = recogniser.finish()
        return first or last or Heard(words=None, confidence=0.0, engine=recogniser.name)

    return by_blocks


def _record(path: Path, heard: Heard | None, took_ms: float, audio_ms: int) -> dict[str, Any]:
    words = heard.words if heard is not None else None
    return {
        "file": str(path),
        "text": words or "",
        "accepted": heard is not None and words is not None and not heard.unsure,
        "confidence": heard.confidence if heard is not None else 0.0,
        "took_ms": took_ms,
        "audio_ms": audio_ms,
    }
