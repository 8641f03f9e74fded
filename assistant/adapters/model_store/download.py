"""Bytes from the network, counted, checked, and never from anywhere but http(s)."""

from __future__ import annotations

import hashlib
import http.client
import json
import urllib.error
import urllib.parse
import urllib.request
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path
from typing import IO, Any

from assistant.errors import SetupError

MAX_LIST_BYTES = 5_000_000
"""Vosk's list is well below a megabyte (from memory)."""

MAX_ARCHIVE_BYTES = 200_000_000
"""The small English model's archive has about 40 MB (from memory)."""

_TIMEOUT_S = 30.0
_PIECE = 1 << 16
_LOCAL = frozenset({"127.0.0.1", "::1", "localhost"})


@dataclass(frozen=True, slots=True, kw_only=True)
class Offer:
    """A model as the public list offers it. `md5` and `size` are of the archive; None where the list has none."""

    name: str
    url: str
    md5: str | None
    size: int | None


def read_list(url: str) -> dict[str, Offer]:
    """The public list: name -> offer. Raises SetupError when it cannot be reached or read."""
    with _opened(url) as answer:
        raw = answer.read(MAX_LIST_BYTES + 1)
    if len(raw) > MAX_LIST_BYTES:
        raise SetupError(f"The list of models at {url} is larger than {MAX_LIST_BYTES} bytes; nothing was fetched.")
    try:
        return {offer.name: offer for offer in map(_offer, json.loads(raw))}
    except (ValueError, KeyError, TypeError, AttributeError, RecursionError) as error:
        raise SetupError(f"What stands at {url} is not a list of models: {error!r}; nothing was fetched.") from error


def download(offer: Offer, out: IO[bytes], *, sha256: str | None, progress: Callable[[int, int | None], None]) -> None:
    """Write the archive to `out`. `progress` is told the bytes so far and the bytes expected.

    Raises SetupError when the network fails, the size or a checksum differs, or it is larger than MAX_ARCHIVE_BYTES.
    """
    md5_sum, sha256_sum = hashlib.md5(usedforsecurity=False), hashlib.sha256()
    got = 0
    with _opened(offer.url) as answer:
        while piece := _read(answer, offer.url):
            got += len(piece)
            if got > MAX_ARCHIVE_BYTES:
                raise SetupError(f"{offer.url} is larger than {MAX_ARCHIVE_BYTES} bytes; nothing was kept.")
            md5_sum.update(piece)
            sha256_sum.update(piece)
            out.write(piece)
            progress(got, offer.size)
    if offer.size is not None and got != offer.size:
        raise SetupError(f"{offer.url} gave {got} bytes instead of {offer.size}; nothing was kept. Try again.")
    for kind, found, wanted in (("MD5", md5_sum, offer.md5), ("SHA-256", sha256_sum, sha256)):
        if wanted is not None and found.hexdigest() != wanted.lower():
            raise SetupError(
                f"The {kind} of {offer.url} is {found.hexdigest()} instead of {wanted}; nothing was kept. Try again."
            )
    if offer.md5 is None and sha256 is None:
        raise SetupError(f"Neither the list nor the manifest has a checksum for '{offer.name}'; nothing was kept.")


def _offer(entry: Any) -> Offer:
    size = entry.get("size")
    return Offer(
        name=str(entry["name"]),
        url=str(entry["url"]),
        md5=str(entry["md5"]) if entry.get("md5") else None,
        size=int(size) if size else None,
    )


def _opened(url: str) -> http.client.HTTPResponse:
    _refuse_other_schemes(url)
    try:
        opener = urllib.request.build_opener(_SafeRedirects)
        return opener.open(url, timeout=_TIMEOUT_S)  # type: ignore[no-any-return]  # http gives HTTPResponse
    except (OSError, http.client.HTTPException, ValueError) as error:
        raise _unreachable(url, error) from error


def _read(answer: http.client.HTTPResponse, url: str) -> bytes:
    try:
        return answer.read(_PIECE)
    except (OSError, http.client.HTTPException) as error:
        raise _unreachable(url, error) from error


class _SafeRedirects(urllib.request.HTTPRedirectHandler):
    """Follows redirects, but not down to an unprotected address or to a file."""

    def redirect_request(  # noqa: PLR0917 - the library calls it so
        self, req: Any, fp: Any, code: int, msg: str, headers: Any, newurl: str
    ) -> Any:
        """The request to follow. Raises SetupError when it leads elsewhere."""
        _refuse_other_schemes(newurl)
        return super().redirect_request(req, fp, code, msg, headers, newurl)


def _refuse_other_schemes(url: str) -> None:
    parts = urllib.parse.urlsplit(url)
    if parts.scheme != "https" and not (parts.scheme == "http" and parts.hostname in _LOCAL):
        raise SetupError(f"'{url}' is not an https address; nothing was fetched.")


def _unreachable(url: str, error: Exception) -> SetupError:
    reason = getattr(error, "reason", None) or error
    return SetupError(
        f"{url} cannot be reached ({reason}). hoodside hears English without it (--engine embedded); "
        "models/README.md says how to put a model there by hand."
    )


def hash_file(path: Path) -> str:
    """SHA-256 of a file, in hexadecimal digits. Raises OSError."""
    with path.open("rb") as file:
        return hashlib.file_digest(file, "sha256").hexdigest()
