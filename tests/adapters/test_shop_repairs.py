"""What other bays repaired, as a bay keeps it."""

from __future__ import annotations

from pathlib import Path

import pytest

from assistant.adapters.shop_repairs import FILE_NAME, keep_repairs, read_repairs
from assistant.record.outbox import ShopRepairs

KEPT = ShopRepairs(fetched_utc="2031-05-01T09:00:00.000Z", counts={"no-start": {"crank-sensor": 3}})


def test_what_was_fetched_is_there_again_for_the_user_alone(tmp_path: Path) -> None:
    """As it was, and no other user reads it."""
    keep_repairs(tmp_path, KEPT)
    assert read_repairs(tmp_path) == KEPT
    assert (tmp_path / FILE_NAME).stat().st_mode & 0o077 == 0


@pytest.mark.parametrize(
    "content", ["", "{", "[]", '{"fetched_utc": "x"}', '{"fetched_utc": 1, "counts": {"a": 3}}', '{"counts": []}']
)
def test_a_damaged_file_is_none(tmp_path: Path, content: str) -> None:
    """It moves no odds, and is fetched again."""
    (tmp_path / FILE_NAME).write_text(content)
    assert read_repairs(tmp_path) == ShopRepairs()
    assert read_repairs(tmp_path / "missing") == ShopRepairs()
