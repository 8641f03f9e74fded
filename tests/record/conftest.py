"""Shared by the tests of the record."""

from __future__ import annotations

import pytest

from assistant.record.build import build_record
from assistant.record.model import JobRecord
from tests.record.sample_job import PROCEDURES, sample_job


@pytest.fixture
def record() -> JobRecord:
    """The record of the invented job."""
    return build_record(sample_job().entries(), PROCEDURES)
