"""The longest way by voice: no-start through the phone's page, with the server killed in the middle."""

from __future__ import annotations

import pytest

from assistant.facts import FactKind
from assistant.guide import fold
from tests.screen.voice_job import wanted_at, whole_job


@pytest.fixture
def wishes(folder, tmp_path, recogniser):
    """Of each stage."""
    return {"folder": folder, "data": tmp_path, "recogniser": recogniser}


@pytest.mark.campaign
def test_no_start_by_voice_from_the_complaint_to_the_proved_repair(library, reasoner, wishes, phone, mouth):
    """The plan leads to the blown fuse, "repair done" to its check; the job that a new server took up on the same page
    goes on where it was; what was heard otherwise went into no result. Some six minutes."""
    job, told = whole_job(library, reasoner, phone(), mouth, **wishes)
    found = [str(fact.step) for fact in job.facts if fact.kind is FactKind.FINDING_REACHED]
    assert found == ["pump-fuse", "proved"], told
    logged = [fact for fact in job.facts if fact.kind is FactKind.RESULT_LOGGED and "outcome_of" not in fact.data]
    wanted = [(fact, wanted_at(library, fact.procedure, fact.step)) for fact in logged]
    assert [fact.step for fact, result in wanted if result not in (None, fact.data["result"])] == [], told
    assert len([result for _, result in wanted if result is not None]) > 15
    assert fold(library, job.facts) == job.conversation.state
    assert told.said > 80
