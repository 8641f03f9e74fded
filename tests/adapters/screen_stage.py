"""A whole job behind a real page in this process: server, loop and guide; voice and journal in memory."""

from __future__ import annotations

import threading
import time
from queue import Empty, Queue

from assistant.adapters.journal_memory import MemoryJournal
from assistant.adapters.screen_web import Flow, JobLine, WebScreen
from assistant.adapters.voice_silent import SilentVoice
from assistant.guide import begin
from assistant.procedure.drawing import draw
from assistant.session.conversation import Conversation
from assistant.session.tapped import run_tapped
from assistant.session.trace import Trace


class HeldVoice(SilentVoice):
    """Speaks for as long as a test lets it."""

    def __init__(self):
        self.held = False

    @property
    def speaking(self):
        """Whether the test holds it."""
        return self.held


class QueuedLines:
    """Lines that a test puts in; the end with `close`."""

    def __init__(self):
        self._lines = Queue()

    def put(self, line):
        """One more line; None for the end."""
        self._lines.put(line)

    def next(self, timeout_s):
        """The next one."""
        try:
            line = self._lines.get(timeout=min(timeout_s, 0.02))
        except Empty:
            return None
        if line is None:
            raise EOFError
        return line


class PlainRecords:
    """A shop with one job, whose names are as nasty as a note can be."""

    def __init__(self, library, job="grey-hatchback"):
        self._library = library
        self._job = job

    def jobs(self):
        """One job."""
        return [JobLine(job=self._job, began="1 May 2031, 09:00", state="open", about="cylinders 4", finding="none")]

    def report(self, job):
        """A short page."""
        return f"<!doctype html><html lang=en><title>{job}</title><main><h1>Made up</h1></main>" if job == self._job else None

    def where(self, job):
        """At its beginning."""
        return ("no-start", "complaint") if job == self._job else None

    def flow(self, procedure, step):
        """Drawn anew."""
        if procedure not in self._library:
            return None
        known = self._library[procedure]
        return Flow(title=known.title, svg=draw(known), procedure=procedure, step=step)


class Stage:
    """One job under way, in a thread of its own."""

    def __init__(self, library, *, procedure="no-start", adviser=None, vehicle=None, records=None, lines=()):
        self.voice = HeldVoice()
        self.lines = QueuedLines()
        self.journal = MemoryJournal(lambda: "2031-05-01T09:00:00.000Z")
        self.web = WebScreen(records or PlainRecords(library), port=0)
        self.address = self.web.address
        self.error = None
        self._skipped_s = 0.0
        self._opened = threading.Event()
        self.conversation = None
        for line in lines:
            self.lines.put(line)
        self._thread = threading.Thread(target=self._run, args=(library, procedure, adviser, vehicle or {}), daemon=True)
        self._thread.start()
        assert self._opened.wait(30)

    def _run(self, library, procedure, adviser, vehicle):
        try:
            self.conversation = Conversation(
                library=library, journal=self.journal, voice=self.voice, screen=self.web, trace=Trace(),
                adviser=adviser, glances=True,
            )  # fmt: skip
            self.conversation.open(begin(library, procedure, "made-up", "grey-hatchback", vehicle))
            self._opened.set()
            run_tapped(self.conversation, self.lines, self.web, self.voice, clock_s=time.monotonic)
        except BaseException as error:
            self.error = error
            self._opened.set()
            raise

    @property
    def facts(self):
        """Every fact so far."""
        return self.journal.facts("grey-hatchback")

    def close(self):
        """End the job's loop, then the server."""
        self.lines.put(None)
        self._thread.join(10)
        self.web.close()
        assert self.error is None
