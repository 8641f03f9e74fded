"""`--key`: keys of other accounts, or made after one was lost, that the user knows; said once and remembered."""

from __future__ import annotations

from collections.abc import Collection, Sequence
from pathlib import Path

import click

from assistant.errors import UsageError
from assistant.record.log import Logged
from assistant.wiring import look_into_journal
from assistant.wiring.keys import know_keys

known_key = click.option(
    "--key",
    "keys",
    multiple=True,
    metavar="DIGITS",
    help="A key that you know, as reports state it: yours, or of another account on this folder. Remembered.",
)


def keys_beginning(leaves: Collection[Logged], keys: Sequence[str]) -> frozenset[bytes]:
    """The keys of the store that begin with these digits. Raises UsageError for one that there is not."""
    found = set()
    for digits in keys:
        known = [bytes.fromhex(str(leaf.told()["key"])) for leaf in leaves]
        matching = [key for key in known if len(digits) >= 16 and key.hex().startswith(digits.lower())]
        if not matching:
            raise UsageError(f"No key of this store begins with '{digits}'; give at least 16 digits off a report.")
        found.update(matching)
    return frozenset(found)


def know(keys: Sequence[str], data: Path | None) -> None:
    """Remember these keys of the store. Raises UsageError for one that it has not, or where there is no store."""
    if keys:
        journal = look_into_journal(data)
        try:
            know_keys(keys_beginning(journal.key_leaves(), keys))
        finally:
            journal.close()
