"""Photographs of a job: what is let into the record, how a file is called, which fact names it.

A photograph lies where the sound clips of its job lie, and goes with them: its name is a personal value of its fact.
Of a picture only what draws it is kept: no place, time, device or remark that a camera wrote beside it.
"""

from __future__ import annotations

import hashlib
import struct
import zlib
from collections.abc import Callable, Iterable

from assistant.facts import Fact, PictureTaken, Said
from assistant.record.personal import REMOVED

MOST_BYTES = 1_000_000
MOST_PIXELS = 4_096
"""Each way. Our own page sends 1,280 at most."""

Photographs = Callable[[str, str], bytes | None]
"""Job and name of a photograph -> its bytes, where they are at hand."""

_JPEG, _PNG = b"\xff\xd8", b"\x89PNG\r\n\x1a\n"
_DRAWS_PNG = frozenset({b"IHDR", b"PLTE", b"tRNS", b"IDAT", b"IEND"})
_FRAMES = frozenset(range(0xC0, 0xD0)) - {0xC4, 0xC8, 0xCC}
_DRAWS_JPEG = _FRAMES | {0xC4, 0xDB, 0xDD, 0xE0, 0xEE}
"""Tables and frames, and the two application segments that say how colours are meant (JFIF, Adobe's)."""

_SCAN, _END = 0xDA, 0xD9


def cleaned(picture: bytes) -> bytes | None:
    """The picture with nothing but what draws it; None for what is no whole JPEG or PNG, too large, or too many pixels.

    Source: ISO/IEC 10918-1, annex B; W3C PNG, chapter 5 (from memory). Nothing is decoded.
    """
    if not 0 < len(picture) <= MOST_BYTES:
        return None
    try:
        if picture.startswith(_PNG):
            return _cleaned_png(picture)
        return _cleaned_jpeg(picture) if picture.startswith(_JPEG) else None
    except (struct.error, IndexError):
        return None


def size_of(picture: bytes) -> tuple[int, int]:
    """Pixels across and down of a picture that `cleaned` let in. Raises ValueError for another."""
    if picture.startswith(_PNG):
        wide, high = struct.unpack(">II", picture[16:24])
        return int(wide), int(high)
    at = len(_JPEG)
    while at + 9 <= len(picture):
        _, kind, length = struct.unpack(">BBH", picture[at : at + 4])
        if kind in _FRAMES:
            high, wide = struct.unpack(">HH", picture[at + 5 : at + 9])
            return int(wide), int(high)
        at += 2 + length
    raise ValueError("no frame in the picture")


def picture_name(number: int, picture: bytes) -> str:
    """The file of the photograph that the fact of that number names, bound to its bytes as a clip is to its samples."""
    kind = "png" if picture.startswith(_PNG) else "jpg"
    return f"{number:06d}-{_digest(picture)}.{kind}"


def picture_fits(name: str, picture: bytes) -> bool:
    """Whether the bytes are those that the name was made of."""
    return name.partition("-")[2].partition(".")[0] == _digest(picture)


def media_type(name: str) -> str:
    """Of the file of that name."""
    return "image/png" if name.endswith(".png") else "image/jpeg"


def pictures_of(facts: Iterable[Fact]) -> tuple[str, ...]:
    """The photographs that the facts name, in order; removed ones are left out."""
    return tuple(name for fact in facts if (name := named_in(fact.legible)) is not None)


def named_in(said: Said) -> str | None:
    """The photograph that a fact names, as long as it is there."""
    named = said.picture if isinstance(said, PictureTaken) else REMOVED
    return named if named not in ("", REMOVED) else None


def _cleaned_png(picture: bytes) -> bytes | None:
    kept, at = [_PNG], len(_PNG)
    seen: list[bytes] = []
    while True:
        length, kind = struct.unpack(">I4s", picture[at : at + 8])
        end = at + 12 + length
        body = picture[at + 8 : end - 4]
        if len(body) != length or struct.unpack(">I", picture[end - 4 : end])[0] != zlib.crc32(kind + body):
            return None
        if not seen and (kind != b"IHDR" or not _fits(*struct.unpack(">II", body[:8]))):
            return None
        seen.append(kind)
        if kind in _DRAWS_PNG:
            kept.append(picture[at:end])
        if kind == b"IEND":
            return b"".join(kept) if b"IDAT" in seen else None
        at = end


def _cleaned_jpeg(picture: bytes) -> bytes | None:
    kept, at, framed = [_JPEG], len(_JPEG), False
    while True:
        begin, kind, length = struct.unpack(">BBH", picture[at : at + 4])
        end = at + 2 + length
        if begin != 0xFF or length < 2 or end > len(picture):
            return None
        if kind in _FRAMES:
            high, wide = struct.unpack(">HH", picture[at + 5 : at + 9])
            framed = _fits(wide, high)
            if not framed:
                return None
        if kind == _SCAN:
            last = _end_of_scans(picture, end)
            return b"".join([*kept, picture[at:last]]) if framed and last is not None else None
        if kind in _DRAWS_JPEG:
            kept.append(picture[at:end])
        at = end


def _end_of_scans(picture: bytes, at: int) -> int | None:
    """Where the picture ends; None where it never does, or something else than tables and scans stands in between."""
    while (at := picture.find(b"\xff", at)) >= 0:
        kind = picture[at + 1]
        if kind == _END:
            return at + 2
        if kind in (0x00, 0xFF) or 0xD0 <= kind <= 0xD7:  # a plain byte, a filler, a restart
            at += 1 if kind == 0xFF else 2
        elif kind in (_SCAN, 0xC4, 0xDB, 0xDD):
            at += 2 + struct.unpack(">H", picture[at + 2 : at + 4])[0]
        else:
            return None
    return None


def _fits(wide: int, high: int) -> bool:
    return 0 < wide <= MOST_PIXELS and 0 < high <= MOST_PIXELS


def _digest(picture: bytes) -> str:
    return hashlib.sha256(picture).hexdigest()[:32]
