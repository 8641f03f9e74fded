"""A whole job behind a real page in this process: server, loop and guide; voice and journal in memory."""

from __future__ import annotations

import threading
import time
from queue import Empty, Queue

from assistant.adapters.journal_memory import MemoryJournal
from assistant.adapters.screen_plain import NoScreen
from assistant.adapters.screen_web import Flow, JobLine, WebScreen
from assistant.adapters.voice_silent import SilentVoice
from assistant.guide import begin
from assistant.procedure.drawing import draw
from assistant.session.adviser import Adviser
from assistant.session.conversation import Conversation
from assistant.session.tapped import run_tapped
from assistant.session.trace import Trace
from tests.procedures.fault_player import usual_answers
from tests.session.dialogue_player import Leader
from tests.session.room import Room


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
        known = job == self._job
        return "<!doctype html><html lang=en><title>Made up</title><main><h1>Made up</h1></main>" if known else None

    def where(self, job):
        """At its beginning."""
        return ("no-start", "complaint") if job == self._job else None

    def flow(self, job, procedure, step):
        """Drawn anew."""
        if procedure not in self._library:
            return None
        known = self._library[procedure]
        return Flow(title=known.title, svg=draw(known), procedure=procedure, step=step)


class Stage:
    """One job under way, in a thread of its own."""

    def __init__(
        self, library, *, procedure="no-start", adviser=None, vehicle=None, records=None, lines=(), leads=False
    ):
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
        self._thread = threading.Thread(
            target=self._run, args=(library, procedure, adviser, vehicle or {}, leads), daemon=True
        )
        self._thread.start()
        assert self._opened.wait(30)

    def _run(self, library, procedure, adviser, vehicle, leads):
        try:
            self.conversation = Conversation(
                library=library, journal=self.journal, voice=self.voice, screen=self.web, trace=Trace(),
                adviser=adviser, glances=True,
            )  # fmt: skip
            self.conversation.open(begin(library, procedure, "made-up", "grey-hatchback", vehicle, leads=leads))
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


class _Shown(NoScreen):
    """Keeps the latest view."""

    def show(self, view):
        """Keep it."""
        self.view = view


NO_SPARK = {f"spark-check-coil-on-plug/{step}-crank": "no spark" for step in ("first", "second")} | {
    "no-start/security": "did not see it"  # so the lamp is asked about again
}


EMPTY_TANK = {"no-start/fuel-level": "gauge on empty", "no-start/fuel-crank": "it started"}

PUMP_FUSE = {"no-start/prime": "pump is silent", "pump-feed/fuse": "fuse is blown"}
"""What a car shows whose pump fuse is blown, where it differs from the usual one."""

ASIDES = {"codes asking": ("i can't do that", "no")}
"""What is said in a led job at this moment before its answer."""


def moments(library, reasoner):
    """Each new kind of moment as a view, by "step mode", and the first of each by "mode" and by what is counted. Of a
    job that the plan leads to a blown fuse, of one by the book on a car without a spark until it is broken off with a
    leak, and of one with an empty tank. Without a reasoner all go by the book."""
    leads = reasoner is not None
    made = [Adviser(reasoner, library) if leads else None for _ in range(2)]
    seen = _moments(library, made[0], PUMP_FUSE, asides=ASIDES if leads else {}, leads=leads)
    no_spark = {"lamp asking": ("i found there is a fuel leak",)} if leads else {}
    seen = _moments(library, made[1], NO_SPARK, asides=no_spark, broken_off="lamp asking") | seen
    return _moments(library, None, EMPTY_TANK) | seen


def _moments(library, adviser, answers, *, asides=None, broken_off="", leads=False):
    screen, seen, aside = _Shown(), {}, dict(asides or {})
    room = Room(library, adviser=adviser, screen=screen, glances=True, leads=leads)
    lead = Leader(room, library, {**{step: said[0] for step, said in usual_answers().items()}, **answers})

    def look():
        at_s, due_s = room.conversation.state.at_s, room.conversation.deadline_s
        room.conversation.show(at_s + (0.7 if due_s and due_s > at_s + 0.7 else 0.0), level_db=-24.0)
        view = screen.view
        for name in (f"{view.step} {view.mode}", f"{view.step} {view.glance.clock}", view.mode):
            seen.setdefault(name, view)
        return f"{view.step} {view.mode}"

    while not room.conversation.ended:
        here = look()
        for line in aside.pop(here, ()):
            room.type(line)
            look()
            seen.setdefault(f"{here} after {line}", screen.view)
        if here == broken_off:
            room.type("end job")
            look()
            room.type("yes")
            broken_off = ""
        else:
            lead.next_line()
    return seen | {"ended": screen.view}


class _Writing(Room):
    """A typed job that keeps its lines."""

    def __init__(self, library):
        self.typed = []
        super().__init__(library)

    def type(self, *lines):
        """Type them and keep them."""
        self.typed += lines
        return super().type(*lines)


def lines_until(library, goal, more=0):
    """What is typed until the step `goal` asks, with the usual answers; `more` lines after it."""
    room = _Writing(library)
    lead = Leader(room, library, {step: said[0] for step, said in usual_answers().items()})
    lead.until(goal)
    for _ in range(more):
        lead.next_line()
    return room.typed


class TapRoom:
    """A job as `Leader` leads it, by taps on a page; only the world's own lines come by the keyboard."""

    def __init__(self, stage, page, library):
        self.conversation = stage.conversation
        self._stage = stage
        self._page = page
        self._library = library
        self.taps = 0

    def type(self, line):
        """Tap the button of these words, or write them, and wait until they have led on."""
        asked = self.settle()
        if line.startswith("@"):
            self._stage.lines.put(line)
        elif self._page.locator("#write").is_visible() and not self._button(line).count():
            self._page.fill("#words", line)
            self._page.click("#send")
        else:
            self._button(line).click()
            self.taps += 1
        self.wait(lambda: self.conversation.showing.asked > asked, line)
        return []

    def tap(self, words):
        """Tap these words, wherever they stand, behind "all words" too, and wait until that has led on."""
        asked = self.settle()
        if not self._button(words).count():
            self._page.click("#open-sheet")
        self._page.click(f'button[data-words="{words}"]:visible')
        self.taps += 1
        self.wait(lambda: self.conversation.showing.asked > asked, words)
        self.settle()

    def settle(self):
        """Wait until the page shows the present question; returns its count."""
        self.wait(
            lambda: self._page.evaluate("document.body.dataset.asked") == str(self.conversation.showing.asked), ""
        )
        return self.conversation.showing.asked

    def wait(self, so, why):
        """Wait until something is so."""
        for _ in range(1_500):
            if so():
                return
            self._page.wait_for_timeout(20)
        raise AssertionError(f"waited in vain after {why!r}: {self._page.inner_text('body')}")

    def _button(self, words):
        step = self._library[self.conversation.state.at.procedure].step(self.conversation.state.at.step)
        same = next((result.phrases[0] for result in step.results if words in result.phrases), words)
        return self._page.locator(f'#answers button[data-words="{same}"]')


def follow(stage, page, library, answers=None):
    """A leader that taps; and the room it taps in."""
    room = TapRoom(stage, page, library)
    said = {**{step: told[0] for step, told in usual_answers().items()}, **(answers or {})}
    return Leader(room, library, said), room
