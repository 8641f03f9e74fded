"""Which shop's server this machine joined, in a small file beside its records, for the user alone."""

from __future__ import annotations

import json
import os
from dataclasses import asdict, dataclass
from pathlib import Path

from assistant.errors import SetupError

FILE_NAME = "server.json"
CERTIFICATE = "server.crt"


@dataclass(frozen=True, slots=True, kw_only=True)
class JoinedShop:
    """`address`: as `postgresql://bay-one@shop-server/hoodside`, without the password."""

    address: str
    password: str = ""


def read_joined(data: Path) -> JoinedShop | None:
    """The shop that was joined, or None. Raises SetupError for a damaged file."""
    path = data / FILE_NAME
    try:
        told = json.loads(path.read_text(encoding="utf-8"))
        return JoinedShop(address=str(told["address"]), password=str(told["password"]))
    except (FileNotFoundError, NotADirectoryError):
        return None
    except (OSError, ValueError, KeyError, TypeError) as reason:
        raise SetupError(f"'{path}' cannot be read: {reason}; join anew with: hoodside shop join") from reason


def keep_joined(data: Path, joined: JoinedShop, certificate: bytes | None) -> None:
    """Keep it, whole or not at all. `certificate`: what vouches for the server. Raises SetupError."""
    try:
        if certificate is not None:
            _write(data / CERTIFICATE, certificate)
        _write(data / FILE_NAME, json.dumps(asdict(joined), indent=1).encode())
    except OSError as error:
        raise SetupError(f"'{data / FILE_NAME}' cannot be written: {error.strerror or error}.") from error


def certificate_of(data: Path) -> Path | None:
    """What vouches for the server, where it was given one."""
    path = data / CERTIFICATE
    return path if path.exists() else None


def _write(path: Path, content: bytes) -> None:
    unfinished = path.with_name(f".{path.name}.{os.getpid()}")
    handle = os.open(unfinished, os.O_WRONLY | os.O_CREAT | os.O_TRUNC, 0o600)
    with os.fdopen(handle, "wb") as file:
        file.write(content)
    unfinished.replace(path)
