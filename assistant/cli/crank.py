"""`hoodside crank`: the ear for the starter, on recordings."""

from __future__ import annotations

import json
from collections.abc import Callable, Iterator, Sequence
from pathlib import Path
from typing import Any

import click
import numpy as np
from numpy.typing import NDArray

from assistant.adapters.layers_starter import starter_layers
from assistant.adapters.microphone_wav import WavMicrophone
from assistant.cranking.ear import listen
from assistant.cranking.model import Burst, Hearing
from assistant.cranking.picture import draw
from assistant.errors import HoodsideError, UsageError
from assistant.ports import SAMPLE_RATE_HZ

LONGEST_S = 3 * 3600.0
"""What is taken whole: three hours, 350 MB."""

Pcm = NDArray[np.int16]


@click.command(epilog="Example: hoodside crank --cylinders 4 cold-start.wav second-try.wav")
@click.option("--cylinders", type=click.IntRange(1, 16), metavar="N", help="Of a four-stroke engine; gives rpm.")
@click.option("--picture", type=click.Path(path_type=Path), metavar="FILE.svg", help="Draw the (last) recording.")
@click.argument("wavs", metavar="WAV…", nargs=-1, required=True, type=click.Path(path_type=Path))
def command(*, cylinders: int | None, picture: Path | None, wavs: tuple[Path, ...]) -> int:
    """Find the cranking bursts in each recording, one JSON line a file in the order given.

    A burst has start_s, end_s, pulse_hz (compressions a second, null where unsure), rpm (null without --cylinders),
    confidence 0 to 1. caught says whether the engine ran after any of them, null where no burst was heard or the ear
    is not sure; run_s for how long, after the last that caught. Where a starter only whined or clicked, others says so.
    """

    layers = starter_layers()

    def take(pcm: Pcm) -> Hearing:
        hearing = listen(pcm, layers, cylinders)
        if picture is not None:
            _write(picture, draw(pcm, hearing, cylinders))
        return hearing

    for record in crank_wavs(wavs, read_whole, take):
        click.echo(json.dumps(record, ensure_ascii=False))
    return 0


def crank_wavs(
    paths: Sequence[Path], read: Callable[[Path], Pcm], take: Callable[[Pcm], Hearing]
) -> Iterator[dict[str, Any]]:
    """One record a file; one that cannot be read gives no bursts and an `error`, and the others go on."""
    for path in paths:
        try:
            pcm = read(path)
        except HoodsideError as error:
            yield _record(path, Hearing()) | {"error": str(error)}
        else:
            yield _record(path, take(pcm))


def read_whole(path: Path) -> Pcm:
    """The whole file: int16, mono, (frames,), 16 000 Hz.

    Raises UsageError as `WavMicrophone` does, and for a file that is empty or too long.
    """
    microphone = WavMicrophone(path)
    blocks: list[Pcm] = []
    try:
        while len(blocks) * 512 <= LONGEST_S * SAMPLE_RATE_HZ:
            block = microphone.read(0.0)
            if block is not None:
                blocks.append(block.pcm)
    except EOFError:
        if not blocks:
            raise UsageError(f"'{path}' holds no sound.") from None
        return np.concatenate(blocks)
    finally:
        microphone.close()
    raise UsageError(f"'{path}' lasts longer than {LONGEST_S / 3600:.0f} hours; cut it into shorter files.")


def _record(path: Path, hearing: Hearing) -> dict[str, Any]:
    record: dict[str, Any] = {
        "file": str(path),
        "bursts": [_burst(burst) for burst in hearing.bursts],
        "caught": hearing.caught,
        "run_s": _round(hearing.run_s, 2),
    }
    if hearing.others:
        record["others"] = [
            {"kind": sound.kind.value, "start_s": _round(sound.start_s, 2), "end_s": _round(sound.end_s, 2)}
            for sound in hearing.others
        ]
    return record


def _burst(burst: Burst) -> dict[str, Any]:
    return {
        "start_s": _round(burst.start_s, 3),
        "end_s": _round(burst.end_s, 3),
        "pulse_hz": _round(burst.pulse_hz, 3),
        "rpm": _round(burst.rpm, 1),
        "confidence": _round(burst.confidence, 3),
    }


def _round(value: float | None, places: int) -> float | None:
    return None if value is None else round(value, places)


def _write(path: Path, text: str) -> None:
    try:
        path.write_text(text, encoding="utf-8")
    except OSError as error:
        raise UsageError(f"Cannot write the picture '{path}': {error.strerror or error}.") from error
