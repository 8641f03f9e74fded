"""An archive from elsewhere, unpacked as if its author meant harm: no way out of the folder, no links, no bombs."""

from __future__ import annotations

import stat
import zipfile
import zlib
from pathlib import Path, PurePosixPath
from typing import IO

from assistant.errors import SetupError

MAX_FILES = 500
MAX_UNPACKED_BYTES = 1_000_000_000
"""The small English model unpacks to about 70 MB (from memory)."""

_PIECE = 1 << 20

_DAMAGED = (
    zipfile.BadZipFile, zipfile.LargeZipFile, EOFError, RuntimeError, ValueError, OverflowError, IndexError, zlib.error,
)  # fmt: skip
"""What reading a damaged archive may raise, a file without a name for one; a SetupError of ours is none of them."""


def unpack(archive: IO[bytes], into: Path, *, name: str) -> Path:
    """Unpack into the empty folder `into`; gives the folder `name` that the archive holds.

    Raises SetupError when the archive is damaged, too large, or holds anything beside plain files under `name/`.
    """
    try:
        with zipfile.ZipFile(archive) as zipped:
            members = [member for member in zipped.infolist() if not member.is_dir()]
            places = _places(members, name)
            room = MAX_UNPACKED_BYTES
            for member, place in zip(members, places, strict=True):
                target = into / place
                target.parent.mkdir(parents=True, exist_ok=True)
                with zipped.open(member) as source, target.open("xb") as out:
                    room -= _copy(source, out, room)
    except _DAMAGED as error:
        raise SetupError(f"The archive of '{name}' is damaged ({error}); nothing was kept.") from error
    except FileExistsError as error:
        raise SetupError(f"The archive of '{name}' holds one file twice; nothing was kept.") from error
    return into / name


def _places(members: list[zipfile.ZipInfo], name: str) -> list[PurePosixPath]:
    """Where each file goes, all checked before the first is written."""
    if not members or len(members) > MAX_FILES:
        raise SetupError(f"The archive of '{name}' holds {len(members)} files; expected 1 to {MAX_FILES}.")
    places = []
    for member in members:
        place = PurePosixPath(member.filename)
        kind = stat.S_IFMT(member.external_attr >> 16)
        odd = "\\" in member.filename or ":" in member.filename or "\0" in member.filename
        if kind not in (0, stat.S_IFREG):
            raise _refused(name, member, "is not a plain file")
        if odd or place.is_absolute() or ".." in place.parts or len(place.parts) < 2 or place.parts[0] != name:
            raise _refused(name, member, f"does not lie under '{name}/'")
        if member.flag_bits & 0x1:
            raise _refused(name, member, "is encrypted")
        places.append(place)
    return places


def _copy(source: IO[bytes], out: IO[bytes], room: int) -> int:
    """Counts what really comes out: the sizes that an archive states may lie."""
    copied = 0
    while piece := source.read(_PIECE):
        copied += len(piece)
        if copied > room:
            raise SetupError(f"The archive unpacks to more than {MAX_UNPACKED_BYTES} bytes; nothing was kept.")
        out.write(piece)
    return copied


def _refused(name: str, member: zipfile.ZipInfo, why: str) -> SetupError:
    return SetupError(f"The archive of '{name}' holds {member.filename!r}, which {why}; nothing was kept.")
