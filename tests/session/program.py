"""A typed session as a program of its own: a forked copy of this one that runs the real command line, fed by a pipe."""

import gc
import io
import json
import os
import select
import signal
import sys

from assistant.__main__ import run

PATIENCE_S = 60.0


def read_once(folder):
    """Begin a job in that folder and go on with it here, so that no copy has to read the procedures and models anew."""
    typed, sys.stdin = sys.stdin, io.StringIO()
    try:
        for words in (["start", "no-start", "--job", "read"], ["resume", "read"]):
            assert run([*words, "--hear", "typed", "--data", str(folder)]) == 0
    finally:
        sys.stdin = typed


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
        gc.freeze()  # a network among the parent's garbage would wait for threads that no copy has
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
            if not ready:
                self.kill()  # or the test run would wait for it, too
                raise AssertionError("the program fell silent")
            self._take(os.read(self._trace, 65_536))

    def _take(self, piece):
        *whole, self._rest = (self._rest + piece).split(b"\n")
        self.turns += [json.loads(line) for line in whole]

    def kill(self, with_signal=signal.SIGKILL):
        """Send it a signal where it stands, and read what it had still written; its exit code, negative where it died
        of the signal."""
        os.kill(self.pid, with_signal)
        _, status = os.waitpid(self.pid, 0)
        self.drain()
        return os.waitstatus_to_exitcode(status)

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


def next_lines(chance, turn, count):
    """What may be said now, several at once: only the first is sure to fit, as when someone talks on."""
    possible = [phrase for phrase in turn["can_say"][:4] if phrase != "end job"]
    return [chance.choice([*possible, "@wait 20", "yes", "done"]) for _ in range(count)]
