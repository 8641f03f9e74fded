"""A whole session on a real terminal pair: keys, Ctrl-C and a signal to end leave a whole terminal and a word."""

import os
import pty
import re
import select
import signal
import subprocess
import sys
import termios
import time
import wave
from pathlib import Path

import pytest

TREE = Path(__file__).parents[2]
LONG_S = 3600
PATIENCE_S = 90.0


class Terminal:
    """A terminal of 80 by 24 with the program in it, as a shell would start it; `seen` is all that came out."""

    def __init__(self, *arguments, home):
        self.person, self.end = pty.openpty()
        termios.tcsetwinsize(self.end, (24, 80))
        self.before = termios.tcgetattr(self.end)
        self.seen = ""
        environment = {**os.environ, "PYTHONPATH": str(TREE), "TERM": "xterm-256color", "HOME": str(home)}
        for name in ("COLUMNS", "LINES"):
            environment.pop(name, None)
        self.process = subprocess.Popen(
            [sys.executable, "-m", "assistant", *arguments],
            stdin=self.end,
            stdout=self.end,
            stderr=self.end,
            env=environment,
            start_new_session=True,
            preexec_fn=lambda: _take_terminal(self.end),  # noqa: PLW1509 - nothing here has threads
        )

    def see(self, pattern):
        """Read until this has come out."""
        until_s = time.monotonic() + PATIENCE_S
        while not re.search(pattern, self.seen) and time.monotonic() < until_s:
            self._read(0.1)
        assert re.search(pattern, self.seen), self.seen[-3000:]

    def type(self, text):
        """Press keys."""
        os.write(self.person, text.encode())

    def end_of_it(self):
        """The exit code, once all has come out."""
        until_s = time.monotonic() + PATIENCE_S
        while self.process.poll() is None and time.monotonic() < until_s:
            self._read(0.1)
        while self._read(0.2):
            pass
        return self.process.wait(1)

    def close(self):
        """Free both ends."""
        if self.process.poll() is None:
            self.process.kill()
            self.process.wait()
        os.close(self.person)
        os.close(self.end)

    def _read(self, wait_s):
        if not select.select([self.person], [], [], wait_s)[0]:
            return False
        self.seen += os.read(self.person, 65_536).decode("utf-8", "replace")
        return True


def _take_terminal(end):
    import fcntl  # noqa: PLC0415 - in the child only

    fcntl.ioctl(end, termios.TIOCSCTTY, 0)


@pytest.fixture
def live(tmp_path):
    """A session that hears an hour of silence and shows itself on the whole terminal."""
    sound = tmp_path / "silence.wav"
    with wave.open(str(sound), "wb") as file:
        file.setnchannels(1)
        file.setsampwidth(2)
        file.setframerate(8_000)
        file.writeframes(bytes(2 * 8_000 * LONG_S))
    data = tmp_path / "data"
    arguments = ("start", "no-start", "--job", "car", "--hear", f"wav:{sound}", "--say", "silent", "--data", str(data))
    terminal = Terminal(*arguments, home=tmp_path)
    yield terminal
    terminal.close()


def left_whole(terminal):
    """The second page was left, the cursor is shown, and lines and echo are as before."""
    seen = terminal.seen
    return (
        seen.count("\x1b[?1049h") == 1 == seen.count("\x1b[?1049l")
        and seen.rfind("\x1b[?25h") > seen.rfind("\x1b[?25l")
        and termios.tcgetattr(terminal.end) == terminal.before
    )


@pytest.mark.parametrize(
    ("how", "code", "word"),
    [
        (signal.SIGTERM, 143, "ended by SIGTERM"),
        (signal.SIGHUP, 129, "ended by SIGHUP"),
        (None, 130, "interrupted"),
    ],
)
def test_who_ends_it_from_outside_gets_the_terminal_back_and_is_told_how_to_go_on(live, how, code, word):
    """Ctrl-C as typed, and both signals: no traceback, the job's name, and the command that takes it up."""
    live.see("space done")
    if how is None:
        live.type("\x03")
    else:
        live.process.send_signal(how)
    assert live.end_of_it() == code
    after = live.seen.rpartition("\x1b[?1049l")[2]
    assert "Traceback" not in live.seen
    assert "Job 'car' is kept. To go on later: hoodside resume 'car' --data " in after
    assert word in after and "nothing recorded is lost" in after
    assert left_whole(live)


def test_a_whole_exchange_by_keys(live):
    """Space does the step, s stops; nothing typed is shown."""
    live.see("space done")
    live.type(" ")
    live.see("complaint / ASKING")
    live.type("s")
    live.see("complaint / HELD")
    live.type("\x03")
    assert live.end_of_it() == 130
    assert left_whole(live)


@pytest.mark.parametrize(
    ("arguments", "shown"),
    [
        (("start", "no-start", "--job", "car", "--hear", "typed"), "Say done, or understood"),
        (("rehearse", "--fast"), "Rehearsal"),
        (("bench", "reason", "--cars", "2000"), "made-up cars"),
    ],
)
def test_every_command_ends_cleanly_at_ctrl_c(tmp_path, arguments, shown):
    """One sentence, 130, no traceback, not of its helpers either."""
    more = {"start": ("--data", str(tmp_path)), "rehearse": ("--out", str(tmp_path / "out"))}.get(arguments[0], ())
    terminal = Terminal(*arguments, *more, home=tmp_path)
    try:
        terminal.see(shown)
        terminal.type("\x03")
        assert terminal.end_of_it() == 130
        assert "Traceback" not in terminal.seen
        assert "nothing recorded is lost" in terminal.seen
    finally:
        terminal.close()
