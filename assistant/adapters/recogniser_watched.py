"""A recogniser on a thread of its own: one that crashes or hangs is told of and made anew, and holds nobody else up."""

from __future__ import annotations

import queue
import threading
from collections.abc import Callable
from time import monotonic
from typing import TypeVar

from assistant.errors import DeviceLost, ProcedureError
from assistant.language.model import Heard
from assistant.ports import AudioBlock, Listening, Recogniser

SLICE_S = 0.1
"""Between two looks at keys and deadlines while the engine works."""

GIVEN_UP_S = 20.0
"""Work on one block that takes longer hangs. On a machine with twenty other things to do a long sentence took some four
seconds. Source: judgement."""

CLOSED_WITHIN_S = 2.0
MOST_LIVES = 4
"""Engines made in one session: one that hangs keeps its memory, some 250 MB. Source: judgement."""

FAILED = DeviceLost("Hearing failed; it is started again. Use the keys.", spoken="I cannot hear. Use the keys.")
HUNG = DeviceLost("Hearing hangs; it is started again. Use the keys.", spoken="I cannot hear. Use the keys.")
GONE = DeviceLost(
    "Hearing failed again and again. Use the keys, or end with Ctrl-C and resume the job.",
    spoken="I cannot hear any more. Use the keys.",
)

Result = TypeVar("Result")


class WatchedRecogniser:
    """Implements `assistant.ports.Recogniser` by another one. After DeviceLost go on calling `accept`: it hears again
    as soon as there is a new engine, and says so by not raising any more; sound in between is not heard."""

    def __init__(
        self,
        make: Callable[[], Recogniser],
        *,
        given_up_s: float = GIVEN_UP_S,
        now_s: Callable[[], float] = monotonic,
        wait: Callable[[threading.Event, float], bool] = threading.Event.wait,
    ) -> None:
        """`make`: gives the engine, at once on this thread, later on others. Raises what it raises. `now_s`, `wait`:
        time, and waiting for an event for so many seconds."""
        self._make = make
        self._given_up_s = given_up_s
        self._now_s = now_s
        self._wait = wait
        self._pauses = False  # whether the engine has told of a pause that was not handed on yet
        self._task: _Task | None = None
        self._engine: Recogniser | None = self._made_now()
        self._name, self._always_confirm = self._engine.name, self._engine.always_confirm
        self._worker = _Worker()
        self._lives = 1
        self._listening: Listening | None = None
        self._why = FAILED
        self._made: queue.SimpleQueue[Recogniser | None] = queue.SimpleQueue()
        self.meanwhile: Callable[[float], None] = lambda _waited_s: None
        """Called some ten times a second while the engine works on one block, with the seconds since it began."""
        self.on_pause: Callable[[], None] = lambda: None
        """Called on this thread where the engine calls its own, at once, before it works out what was said."""

    @property
    def name(self) -> str:
        """As the engine's."""
        return self._name

    @property
    def always_confirm(self) -> bool:
        """As the engine's."""
        return self._always_confirm

    @property
    def hears_voice(self) -> bool:
        """As the engine's, where it has such an ear."""
        return bool(getattr(self._engine, "hears_voice", False))

    @property
    def would_tell(self) -> Heard | None:
        """As the engine's, where it knows."""
        told: Heard | None = getattr(self._engine, "would_tell", None)
        return told

    def expect(self, listening: Listening) -> None:
        """See ports. An engine that fails in it is told of by the next `accept`. Raises ProcedureError."""
        self._listening = listening
        engine = self._engine
        if engine is not None:
            try:
                self._ask(lambda: engine.expect(listening))
            except DeviceLost as lost:
                self._why = lost

    def accept(self, block: AudioBlock) -> Heard | None:
        """See ports. Raises DeviceLost while there is no engine."""
        engine = self._engine or self._new_engine()
        return self._ask(lambda: engine.accept(block))

    def finish(self) -> Heard | None:
        """See ports; nothing where there is no engine."""
        engine = self._engine
        return None if engine is None else self._ask(engine.finish)

    def close(self) -> None:
        """See ports. An engine that does not let go in time is left behind."""
        engine, self._engine = self._engine, None
        if engine is not None:
            self._wait(self._worker.do(engine.close).done, CLOSED_WITHIN_S)
            self._worker.end()

    def _ask(self, work: Callable[[], Result]) -> Result:
        """What the engine answers; ProcedureError is its answer too. Raises DeviceLost, and drops the engine."""
        began_s = self._now_s()
        answers: list[Result] = []
        self._task = task = self._worker.do(lambda: answers.append(work()))
        while not task.done.is_set():
            woken = self._wait(task.news, SLICE_S)
            task.news.clear()
            if self._pauses:
                self._pauses = False
                self.on_pause()
            if woken:
                continue
            waited_s = self._now_s() - began_s
            if waited_s > self._given_up_s:
                raise self._drop(HUNG)
            self.meanwhile(waited_s)
        if isinstance(task.error, ProcedureError):
            raise task.error
        if task.error is not None:
            raise self._drop(FAILED) from task.error
        return answers[0]

    def _made_now(self) -> Recogniser:
        engine = self._make()
        if hasattr(engine, "on_pause"):
            engine.on_pause = self._note_pause
        return engine

    def _note_pause(self) -> None:
        """Called on the engine's thread."""
        self._pauses = True
        if self._task is not None:
            self._task.news.set()

    def _drop(self, why: DeviceLost) -> DeviceLost:
        self._engine = None
        self._worker.end()
        self._why = why
        if self._lives >= MOST_LIVES:
            self._why = GONE
        else:
            self._lives += 1
            threading.Thread(target=self._make_anew, name="hearing anew", daemon=True).start()
        return self._why

    def _make_anew(self) -> None:
        try:
            engine = self._made_now()
            if self._listening is not None:
                engine.expect(self._listening)
        except Exception:  # whatever an engine fails with, the job goes on without it
            self._made.put(None)
        else:
            self._made.put(engine)

    def _new_engine(self) -> Recogniser:
        try:
            engine = self._made.get_nowait()
        except queue.Empty:
            raise self._why from None
        if engine is None:
            raise self._drop(FAILED)
        self._engine, self._worker = engine, _Worker()
        if self._listening is not None:
            self.expect(self._listening)  # what may be heard can have changed while it was made
        if self._engine is None:
            raise self._why
        return engine


class _Task:
    """Work done elsewhere: `done` once it is, `news` then and when there is something to look at; `error`: what it
    failed with."""

    def __init__(self, work: Callable[[], object]) -> None:
        self._work = work
        self.done = threading.Event()
        self.news = threading.Event()
        self.error: Exception | None = None

    def run(self) -> None:
        """Do it, and keep what goes wrong."""
        try:
            self._work()
        except Exception as error:  # an engine's library may raise anything; who waits decides
            self.error = error
        self.done.set()
        self.news.set()


class _Worker:
    """One thread that does one thing after the other."""

    def __init__(self) -> None:
        self._tasks: queue.SimpleQueue[_Task | None] = queue.SimpleQueue()
        threading.Thread(target=self._run, name="hearing", daemon=True).start()

    def do(self, work: Callable[[], object]) -> _Task:
        """Begin with it once what was asked before is done."""
        task = _Task(work)
        self._tasks.put(task)
        return task

    def end(self) -> None:
        """No more after what was asked; one that hangs in its work is left behind."""
        self._tasks.put(None)

    def _run(self) -> None:
        while (task := self._tasks.get()) is not None:
            task.run()
