"""What the network was taught to write freely: thin matrices for both its halves, put into the network's own bytes.

`hoodside bench writing` makes them. Each matrix of the network lies in its file as bytes, (byte - zero) * scale; what
was taught is added to these values and rounded to bytes again, so the network is as large and as fast as before.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import numpy as np
from numpy.typing import NDArray

from assistant.adapters.recogniser_embedded.files import ADVICE, read_values
from assistant.errors import SetupError

Floats = NDArray[np.float32]

WRITING, HEARING = (Path(__file__).with_name(name) for name in ("writing.npz", "hearing.npz"))
"""What ships: the trade's words for the half that writes, and for the half that listens how they sound in a shop."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Taught:
    """What is added to one matrix. `first`: (inputs, rank), `second`: (rank, outputs). The matrix begins `at` that byte
    of a file `of` so many, and a step of one of its bytes is `scale`."""

    first: Floats
    second: Floats
    at: int
    of: int
    scale: float


def taught_network(half: Path, taught: Sequence[Taught]) -> bytes:
    """The file's bytes with what was taught. Raises SetupError where it is not the file that was learnt on."""
    content = np.fromfile(half, np.uint8)
    if max((each.of for each in taught), default=len(content)) != len(content):
        raise SetupError(f"{half} is not the network that hoodside's files were learnt on; {ADVICE}")
    for each in taught:
        added = each.first @ (each.second / np.float32(each.scale))
        there = content[each.at : each.at + added.size].reshape(added.shape)
        added += there
        np.clip(np.rint(added, out=added), 0, 255, out=added)
        there[:] = added
    return content.tobytes()


def write_taught(taught: Sequence[Taught], path: Path) -> None:
    """Matrices with 16 bits."""
    values: dict[str, NDArray[Any]] = {
        "at": np.array([each.at for each in taught], np.int64),
        "of": np.array([each.of for each in taught], np.int64),
        "scale": np.array([each.scale for each in taught], np.float64),
    }
    for number, each in enumerate(taught):
        values |= {f"first{number}": each.first.astype(np.float16), f"second{number}": each.second.astype(np.float16)}
    np.savez(path, allow_pickle=False, **values)


def read_taught(path: Path) -> list[Taught]:
    """As `write_taught` wrote it. Raises SetupError where the file is missing or damaged."""
    values = read_values(path, np.float64)
    return [
        Taught(
            first=values[f"first{number}"].astype(np.float32), second=values[f"second{number}"].astype(np.float32),
            at=int(values["at"][number]), of=int(values["of"][number]), scale=float(scale),
        )
        for number, scale in enumerate(values["scale"])
    ]  # fmt: skip
