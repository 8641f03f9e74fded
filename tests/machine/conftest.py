"""What the tests of the machine share: they skip with a reason, or fail where the whole set-up is promised."""

from __future__ import annotations

import os

import pytest


def need(present: bool, reason: str) -> None:
    """Skip and say why where a set-up is missing; fail with CI=true, which promises it."""
    if present:
        return
    if os.environ.get("CI") == "true":
        pytest.fail(reason)
    pytest.skip(reason)
