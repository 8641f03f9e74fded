"""The longest way by voice: no-start through the phone's page, with the server killed in the middle."""

from __future__ import annotations

import pytest

from assistant.facts import FactKind
from assistant.guide import fold
from tests.screen.voice_job import whole_job

LEAST_RIGHT = 0.9
"""Of what is said in quiet by a made-up voice, heard as it was said at the first time."""


@pytest.fixture
def wishes(folder, tmp_path, recogniser):
    """Of each stage."""
    return {"folder": folder, "data": tmp_path, "recogniser": recogniser}


@pytest.mark.campaign
def test_no_start_by_voice_from_the_complaint_to_the_proved_repair(library, reasoner, wishes, phone, mouth):
    """The plan leads to the blown fuse, "repair done" to its check; the job that a new server took up on the same page
    goes on where it was; what was heard otherwise went into no result. Some six minutes."""
    job, told = whole_job(library, reasoner, phone(), mouth, **wishes)
    found = [fact for fact in job.facts if fact.kind is FactKind.FINDING_REACHED]
    assert found[0].step == "pump-fuse" and found[-1].step != "pump-fuse"
    assert fold(library, job.facts) == job.conversation.state
    assert told.said > 80
    assert 1 - (len(told.unheard) + len(told.otherwise)) / told.said >= LEAST_RIGHT, told
