"""Whether the voice lies in its wheel whole: a network that was damaged speaks noise, or kills the process."""

from __future__ import annotations

import hashlib
from base64 import urlsafe_b64encode
from importlib.metadata import PackageNotFoundError, files
from pathlib import Path

from assistant.errors import SetupError

PACKAGE = "hibari-tts"
ADVICE = "install it anew with: python -m pip install --force-reinstall --no-deps hibari-tts==0.2.1"

WANTED = (
    "hibari.onnx",
    "lexicon_us_gold.json.gz",
    "lexicon_us_silver.json.gz",
    "normalize.json",
    "oov.json",
    "oov.onnx",
    "tagger.json.gz",
    "tokenizer_exceptions.json",
    "vocab.json",
)
"""What the voice of the wheel reads; the wheel's files for British English are not used."""


def find_voice() -> Path:
    """The network of the voice, after each file that it reads was held against the wheel's own list of SHA-256.

    Raises SetupError when the wheel is missing, or one of its files is missing or changed. 12 MB take 20 ms.
    """
    try:
        listed = files(PACKAGE) or []
    except PackageNotFoundError as error:
        raise SetupError(f"The natural voice is missing; {ADVICE}") from error
    found = {entry.name: entry for entry in listed if entry.parent.name == "assets"}
    for name in WANTED:
        entry = found.get(name)
        path = Path(str(entry.locate())) if entry is not None else None
        if entry is None or path is None or not path.is_file():
            raise SetupError(f"The wheel {PACKAGE} lacks {name}; {ADVICE}")
        if entry.hash is None or entry.hash.value != _digest(path):
            raise SetupError(f"The natural voice's file {name} is damaged; {ADVICE}")
    return Path(str(found[WANTED[0]].locate()))


def _digest(path: Path) -> str:
    """SHA-256 as a wheel's list writes it."""
    return urlsafe_b64encode(hashlib.sha256(path.read_bytes()).digest()).rstrip(b"=").decode("ascii")
