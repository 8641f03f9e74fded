"""A typed session killed at any moment loses nothing that it showed as done.

Each program is a forked copy of this one, so that many of them start in seconds; it runs the real command line, with
the real store on disk, and dies by a real SIGKILL.
"""

import os
import random
import signal

import pytest

from assistant.adapters.journal_sqlite import SqliteJournal
from assistant.guide import fold
from assistant.wiring import load_library
from tests.session.program import Program, next_lines, read_once

pytestmark = pytest.mark.skipif(not hasattr(os, "fork"), reason="needs a system that can fork")


@pytest.mark.parametrize("kills", [16, pytest.param(50, marks=pytest.mark.campaign)])
def test_killed_at_random_moments(tmp_path, kills):
    """After each SIGKILL the journal begins with every fact that a trace line showed, and `resume` goes on from it."""
    chance = random.Random(20310501)
    read_once(tmp_path / "read")
    _, library = load_library("no-start")
    job, number, shown = "", 0, []
    for kill in range(kills):
        if not job or chance.random() < 0.2:
            number, job, shown = number + 1, f"car {number + 1}", []
            program = Program(tmp_path, ["start", "no-start", "--job", job, "--vehicle", "fuel=petrol"])
        else:
            program = Program(tmp_path, ["resume", job])
        program.read(1)
        for _ in range(chance.randrange(4)):
            program.type(next_lines(chance, program.turns[-1], 1))
            program.read(1)
        program.type(next_lines(chance, program.turns[-1], 6))
        program.read(chance.randrange(6))
        assert program.kill() == -signal.SIGKILL, "it had ended before it was killed"
        shown += [fact["id"] for turn in program.turns for fact in turn["facts"]]
        journal = SqliteJournal(tmp_path, lambda: "2031-05-01T09:00:00.000Z")
        facts = journal.facts(job)
        journal.close()
        assert [fact.id for fact in facts[: len(shown)]] == shown, f"kill {kill}"
        shown = [fact.id for fact in facts]  # the append in flight may have been kept as well
        assert fold(library, facts).job == job
        if any(turn["mode"] == "ended" for turn in program.turns):
            job = ""
    last = Program(tmp_path, ["resume", job] if job else ["start", "no-start", "--job", "last"])
    last.read(1)
    assert last.turns[0]["heard"] is None
    assert last.finish() == 0
