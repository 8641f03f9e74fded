"""This installation's key, and what is remembered apart from the stores of where their logs ended."""

from __future__ import annotations

import os
import sys
from collections.abc import Collection
from pathlib import Path
from typing import TYPE_CHECKING

from platformdirs import user_config_path

from assistant.adapters.heads_file import RememberedHeads
from assistant.errors import SetupError

if TYPE_CHECKING:
    from assistant.adapters.signer_ed25519 import InstallKey


KNOWN_FILE = "known-keys"


def key_folder() -> Path:
    """Where the key lies: the user's own settings, apart from every store."""
    return user_config_path("hoodside", appauthor=False)


def install_key() -> InstallKey | None:
    """The key; made at first use. None, and told, where it can be neither read nor made."""
    from assistant.adapters.signer_ed25519 import InstallKey  # what only looks at records needs no key

    try:
        return InstallKey(key_folder())
    except SetupError as error:
        print(f"hoodside: {error} The record is kept, and not signed.", file=sys.stderr)
        return None


def is_signed(key: bytes, message: bytes, signature: bytes) -> bool:
    """Whether the key signed the message."""
    from assistant.adapters.signer_ed25519 import is_signed as check

    return check(key, message, signature)


def remembered(data: Path) -> RememberedHeads:
    """Where the log of the store in that folder ended when it was written here."""
    return RememberedHeads(key_folder(), data)


def known_keys() -> frozenset[bytes]:
    """Other keys that the user said they know, by --key; none where none can be read."""
    try:
        lines = (key_folder() / KNOWN_FILE).read_text(encoding="ascii").split()
        return frozenset(bytes.fromhex(line) for line in lines)
    except (OSError, ValueError):
        return frozenset()


def know_keys(keys: Collection[bytes]) -> None:
    """Remember that the user knows these keys. Raises SetupError."""
    new = [key.hex() for key in keys if key not in known_keys()]
    path = key_folder() / KNOWN_FILE
    try:
        path.parent.mkdir(mode=0o700, parents=True, exist_ok=True)
        handle = os.open(path, os.O_WRONLY | os.O_CREAT | os.O_APPEND, 0o600)
        with os.fdopen(handle, "w", encoding="ascii") as file:
            file.write("".join(f"{key}\n" for key in new))
    except OSError as error:
        raise SetupError(f"What keys you know cannot be kept in {path}: {error.strerror or error}.") from error
