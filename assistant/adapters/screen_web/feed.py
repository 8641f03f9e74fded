"""The latest page for every viewer: old ones are dropped, so that nobody falls behind the voice."""

from __future__ import annotations

import asyncio
import json
from collections import deque
from collections.abc import Sequence
from contextlib import suppress
from dataclasses import asdict
from typing import Any

from assistant.page import page_of
from assistant.ports import Tap, View

MOST_TAPS = 32
"""Taps that wait to be taken; more at once are no technician's."""


class Feed:
    """Between the session's loop, which never waits here, and the server's thread, where pages are made and sent."""

    def __init__(self) -> None:
        self._view: View | None = None
        self._refused: tuple[int, int, str] = (0, 0, "")  # how often, at which question, why
        self._taps: deque[Tap] = deque()
        self._loop: asyncio.AbstractEventLoop | None = None
        self._viewers: set[asyncio.Event] = set()
        self._made: tuple[View | None, int, dict[str, Any]] = (None, 0, {})
        self._waking = False

    def show(self, view: View) -> None:
        """The view of this moment; the one before is forgotten."""
        self._view = view
        self._wake()

    def tapped(self) -> Sequence[Tap]:
        """What was tapped since the last call."""
        taken: list[Tap] = []
        with suppress(IndexError):
            while True:
                taken.append(self._taps.popleft())
        return taken

    def refuse(self, why: str) -> None:
        """Why the last tap did nothing; shown until the question changes."""
        self._refused = (self._refused[0] + 1, self._view.asked if self._view else 0, why)
        self._wake()

    def take(self, tap: Tap) -> bool:
        """Keep a tap for the session; False where too many wait already."""
        if len(self._taps) >= MOST_TAPS:
            return False
        self._taps.append(tap)
        return True

    def attach(self, loop: asyncio.AbstractEventLoop) -> None:
        """Viewers are woken in this loop from now on."""
        self._loop = loop
        self._wake()

    def join(self) -> asyncio.Event:
        """A new viewer's bell, rung whenever there is a newer page; rung at once."""
        bell = asyncio.Event()
        bell.set()
        self._viewers.add(bell)
        return bell

    def leave(self, bell: asyncio.Event) -> None:
        """That viewer is gone."""
        self._viewers.discard(bell)

    @property
    def viewers(self) -> int:
        """How many look on."""
        return len(self._viewers)

    def page(self) -> dict[str, Any]:
        """The latest page, made once for all viewers; empty before the first view."""
        view, refused = self._view, self._refused
        if view is None:
            return {}
        count, asked, why = refused
        if self._made[0] is not view or self._made[1] != count:
            page = asdict(page_of(view)) | {"refused": [count, why if asked == view.asked else ""]}
            self._made = (view, count, page)
        return self._made[2]

    def _wake(self) -> None:
        """Ring every bell, in the server's thread; many views in a row are one ring."""
        loop = self._loop
        if loop is None or self._waking:
            return
        self._waking = True
        try:
            loop.call_soon_threadsafe(self._ring)
        except RuntimeError:  # the server has ended; the job has not
            self._waking = False

    def _ring(self) -> None:
        self._waking = False
        for bell in self._viewers:
            bell.set()


def changes(before: dict[str, Any], now: dict[str, Any]) -> bytes:
    """One event with what is new on the page; empty where nothing is."""
    new = {name: value for name, value in now.items() if name not in before or before[name] != value}
    return b"data: " + json.dumps(new, separators=(",", ":")).encode() + b"\n\n" if new else b""
