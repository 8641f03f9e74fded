"""This installation's key: against the published vectors, made once, replaced in the open."""

from __future__ import annotations

from pathlib import Path

import pytest

from assistant.adapters.heads_file import MOST_LINES, RememberedHeads
from assistant.adapters.signer_ed25519 import KEY_FILE, InstallKey, is_signed
from assistant.errors import SetupError
from assistant.record.log import LogHead, introduces

# RFC 8032 (January 2017), 7.1, TEST 2: secret key, public key, message, signature.
SECRET = "4ccd089b28ff96da9db6c346ec114e0f5b8a319f35aba624da8cf6ed4fb8a6fb"
PUBLIC = "3d4017c3e843895a92b70aa74d1b7ebc9c982ccf2ec4968cc0cd55f12af4660c"
SIGNATURE = (
    "92a009a9f0d4cab8720e820b5f642540a2b27b5416503f8fb3762223ebdb69da"
    "085ac1e43e15996e458f3613d0f11d8c387b2eaeb4302aeeb00d291612bb0c00"
)


def test_it_signs_as_rfc_8032_says(tmp_path: Path) -> None:
    """The vector's key signs the vector's message; another message is not signed by it."""
    (tmp_path / KEY_FILE).write_bytes(bytes.fromhex(SECRET))
    key = InstallKey(tmp_path)
    assert key.key.hex() == PUBLIC
    assert key.sign(b"\x72").hex() == SIGNATURE
    assert is_signed(key.key, b"\x72", bytes.fromhex(SIGNATURE))
    assert not is_signed(key.key, b"\x73", bytes.fromhex(SIGNATURE))
    assert not is_signed(b"no key", b"\x72", bytes.fromhex(SIGNATURE))


def test_it_is_made_once_for_the_user_alone(tmp_path: Path) -> None:
    """The second time it is the same; nobody else may read it, and nothing unfinished stays."""
    first, second = InstallKey(tmp_path / "s"), InstallKey(tmp_path / "s")
    assert first.key == second.key
    assert first.path.stat().st_mode & 0o777 == 0o600 and first.path.parent.stat().st_mode & 0o777 == 0o700
    assert [path.name for path in first.path.parent.iterdir()] == [KEY_FILE]


def test_each_key_signs_the_next_and_is_gone(tmp_path: Path) -> None:
    """A store that knows the first of three is led to the last, by two signatures that hold."""
    first = InstallKey(tmp_path)
    known = first.key
    last = first.replace().replace()
    steps = last.since(known)
    assert len(steps) == 2 and steps[-1][0] == last.key
    for key, signature in steps:
        assert is_signed(known, introduces(known, key), signature)
        known = key
    assert last.since(b"x" * 32) == ()
    assert len(list(tmp_path.glob(f"{KEY_FILE}*"))) == 1


def test_a_broken_key_is_told(tmp_path: Path) -> None:
    """It is never made anew by itself: whoever broke it may want just that."""
    (tmp_path / KEY_FILE).write_bytes(b"short")
    with pytest.raises(SetupError, match="cannot be used"):
        InstallKey(tmp_path)


def test_heads_follow_one_another_and_a_contradiction_stays(tmp_path: Path) -> None:
    """What follows takes the place of the one before; what does not stands beside it."""
    seen = RememberedHeads(tmp_path / "s", tmp_path / "data")
    heads = [LogHead(store="ab", size=size, root=bytes([size]) * 32, utc="2031") for size in (1, 2, 3)]
    assert seen.add(heads[0], follows=True) and seen.add(heads[1], follows=True)
    assert seen.heads() == (heads[1],)
    assert seen.add(heads[2], follows=False)
    assert seen.heads() == (heads[1], heads[2])
    assert RememberedHeads(tmp_path / "s", tmp_path / "other").heads() == ()
    for _ in range(2 * MOST_LINES):
        seen.add(heads[0], follows=False)
    assert len(seen.heads()) == MOST_LINES
    seen.forget()
    assert seen.heads() == ()
