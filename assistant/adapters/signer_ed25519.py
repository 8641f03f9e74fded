"""This installation's key, in a folder of its own apart from every store: Ed25519 (RFC 8032), for the user alone.

A key that is replaced signs the one that follows it and is then gone, so that it can sign nothing more. The public
halves and those signatures stay, for stores that come later.
"""

from __future__ import annotations

import json
import os
from collections.abc import Sequence
from pathlib import Path

from cryptography.exceptions import InvalidSignature
from cryptography.hazmat.primitives.asymmetric.ed25519 import Ed25519PrivateKey, Ed25519PublicKey

from assistant.errors import SetupError
from assistant.record.log import introduces

KEY_FILE = "signing-key"
FOLLOWED_FILE = "followed-by.jsonl"


class InstallKey:
    """The key in `folder`; made where there is none. Raises SetupError where it can be neither read nor made."""

    def __init__(self, folder: Path) -> None:
        self._folder = folder
        self.path = folder / KEY_FILE
        try:
            raw = self.path.read_bytes() if self.path.exists() else _made(self.path)
            self._private = Ed25519PrivateKey.from_private_bytes(raw)
        except (OSError, ValueError) as error:
            raise SetupError(
                f"The key that signs records cannot be used: {self.path}: {getattr(error, 'strerror', None) or error}."
            ) from error

    @property
    def key(self) -> bytes:
        """The public half, 32 bytes."""
        return self._private.public_key().public_bytes_raw()

    def sign(self, message: bytes) -> bytes:
        """64 bytes."""
        return self._private.sign(message)

    def since(self, key: bytes) -> Sequence[tuple[bytes, bytes]]:
        """The keys that followed this one, each with the signature of the one before; empty where it is unknown."""
        followed = {before: (after, signature) for before, after, signature in self._followed()}
        steps: list[tuple[bytes, bytes]] = []
        while key in followed and len(steps) <= len(followed):
            steps.append(followed[key])
            key = followed[key][0]
        return tuple(steps) if key == self.key else ()

    def replace(self) -> InstallKey:
        """Another key, which this one signs before it goes. Raises SetupError."""
        unfinished = self._folder / f"{KEY_FILE}.next"
        try:
            unfinished.unlink(missing_ok=True)
            after = Ed25519PrivateKey.from_private_bytes(_made(unfinished))
            public = after.public_key().public_bytes_raw()
            line = [self.key.hex(), public.hex(), self.sign(introduces(self.key, public)).hex()]
            _add_line(self._folder / FOLLOWED_FILE, json.dumps(line))
            unfinished.replace(self.path)
        except OSError as error:
            raise SetupError(f"Another key cannot be made in {self._folder}: {error.strerror or error}.") from error
        return InstallKey(self._folder)

    def _followed(self) -> Sequence[tuple[bytes, bytes, bytes]]:
        try:
            lines = (self._folder / FOLLOWED_FILE).read_text(encoding="ascii").splitlines()
            found = [[bytes.fromhex(part) for part in json.loads(line)] for line in lines]
            return tuple((before, after, signature) for before, after, signature in found)
        except (OSError, ValueError, TypeError, RecursionError):
            return ()


def is_signed(key: bytes, message: bytes, signature: bytes) -> bool:
    """Whether the key signed the message."""
    try:
        Ed25519PublicKey.from_public_bytes(key).verify(signature, message)
    except (InvalidSignature, ValueError):
        return False
    return True


def _made(path: Path) -> bytes:
    """A new key in this file, durable. Raises OSError."""
    path.parent.mkdir(mode=0o700, parents=True, exist_ok=True)
    raw = Ed25519PrivateKey.generate().private_bytes_raw()
    # Whole before it gets its name: of two programs that make one at the same time the second takes the first one's.
    unfinished = path.with_name(f".{path.name}.{os.getpid()}")
    handle = os.open(unfinished, os.O_WRONLY | os.O_CREAT | os.O_TRUNC, 0o600)
    with os.fdopen(handle, "wb") as file:
        file.write(raw)
        file.flush()
        os.fsync(file.fileno())
    try:
        os.link(unfinished, path)
    except FileExistsError:
        raw = path.read_bytes()
    finally:
        unfinished.unlink()
    return raw


def _add_line(path: Path, line: str) -> None:
    handle = os.open(path, os.O_WRONLY | os.O_CREAT | os.O_APPEND, 0o600)
    with os.fdopen(handle, "w", encoding="ascii") as file:
        file.write(f"{line}\n")
        file.flush()
        os.fsync(file.fileno())
