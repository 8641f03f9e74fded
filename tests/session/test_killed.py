"""A typed session killed at any moment loses nothing that it showed as done.

Each program is a forked copy of this one, so that fifty of them start in seconds; it runs the real command line, with
the real store on disk, and dies by a real SIGKILL.
"""

import json
import os
import random
import select
import signal
import sys

import pytest

from assistant.__main__ import run
from assistant.adapters.journal_sqlite import SqliteJournal
from assistant.guide import fold
from assistant.wiring import load_library

KILLS = 50
PATIENCE_S = 60.0

pytestmark = pytest.mark.skipif(not hasattr(os, "fork"), reason="needs a system that can fork")


class Program:
    """One run of the command line, fed through a pipe, its trace read through another."""

    def __init__(self, folder, arguments):
        self._fifo = folder / "trace.fifo"
        if not self._fifo.exists():
            os.mkfifo(self._fifo)
        self._trace = os.open(self._fifo, os.O_RDONLY | os.O_NONBLOCK)
        typed, self._typed = os.pipe()
        self.turns = []
        self._rest = b""
        self.pid = os.fork()
        if self.pid == 0:
            self._become(typed, [*arguments, "--hear", "typed", "--data", str(folder), "--trace", str(self._fifo)])
        os.close(typed)

    def _become(self, typed, arguments):
        """The child: standard input from the pipe, output nowhere; never returns."""
        code = 99
        try:
            os.dup2(typed, 0)
            nowhere = os.open(os.devnull, os.O_WRONLY)
            os.dup2(nowhere, 1)
            os.dup2(nowhere, 2)
            os.close(self._typed)
            sys.stdin = os.fdopen(0, encoding="utf-8", closefd=False)
            sys.stdout = os.fdopen(1, "w", encoding="utf-8", closefd=False)
            code = run(arguments)
        finally:
            os._exit(code)

    def type(self, lines):
        os.write(self._typed, "".join(f"{line}\n" for line in lines).encode())

    def read(self, turns):
        """Wait until so many more turns are on the trace."""
        wanted = len(self.turns) + turns
        while len(self.turns) < wanted:
            ready, _, _ = select.select([self._trace], [], [], PATIENCE_S)
            assert ready, "the program fell silent"
            self._take(os.read(self._trace, 65_536))

    def _take(self, piece):
        *whole, self._rest = (self._rest + piece).split(b"\n")
        self.turns += [json.loads(line) for line in whole]

    def kill(self):
        """Kill it where it stands, and read what it had still written."""
        os.kill(self.pid, signal.SIGKILL)
        _, status = os.waitpid(self.pid, 0)
        assert os.WIFSIGNALED(status), "it had ended before it was killed"
        self.drain()

    def drain(self):
        while piece := os.read(self._trace, 65_536):
            self._take(piece)
        os.close(self._trace)
        os.close(self._typed)

    def finish(self):
        """Let the input end; the exit code."""
        os.close(self._typed)
        _, status = os.waitpid(self.pid, 0)
        self._typed = os.open(os.devnull, os.O_RDONLY)
        self.drain()
        return os.waitstatus_to_exitcode(status)


def test_killed_at_fifty_random_moments(tmp_path):
    """After each SIGKILL the journal begins with every fact that a trace line showed, and `resume` goes on from it."""
    chance = random.Random(20310501)
    _, library = load_library("no-start")
    job, number, shown = "", 0, []
    for kill in range(KILLS):
        if not job or chance.random() < 0.2:
            number, job, shown = number + 1, f"car {number + 1}", []
            program = Program(tmp_path, ["start", "no-start", "--job", job, "--vehicle", "fuel=petrol"])
        else:
            program = Program(tmp_path, ["resume", job])
        program.read(1)
        for _ in range(chance.randrange(4)):
            program.type(_next_lines(chance, program.turns[-1], 1))
            program.read(1)
        program.type(_next_lines(chance, program.turns[-1], 6))
        program.read(chance.randrange(6))
        program.kill()
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


def _next_lines(chance, turn, count):
    """What may be said now, several at once: only the first is sure to fit, as when someone talks on."""
    possible = [phrase for phrase in turn["can_say"][:4] if phrase != "end job"]
    return [chance.choice([*possible, "@wait 20", "yes", "done"]) for _ in range(count)]
