"""The latest page for every viewer: old ones are dropped, so that nobody falls behind the voice."""

from __future__ import annotations

import asyncio
import json
import time
from collections import deque
from collections.abc import Callable, Sequence
from contextlib import suppress
from dataclasses import asdict
from typing import Any

from assistant.page import page_of
from assistant.ports import News, Photo, Tap, View

MOST_TAPS = 32
"""Taps that wait to be taken; more at once are no technician's."""

SHOT_S = 20.0
"""How long a picture is waited for: a camera that has to be allowed first takes some seconds. Judgement."""

NO_PICTURE = "No picture came."
NOT_TAKEN = "No picture was taken."


class Feed:
    """Between the session's loop, which never waits here, and the server's thread, where pages are made and sent."""

    def __init__(self, now_s: Callable[[], float] = time.monotonic) -> None:
        self._view: View | None = None
        self._refused: tuple[int, int, str] = (0, 0, "")  # how often, at which question, why
        self._taps: deque[Tap | Photo | News] = deque()
        self._shots = 0  # pictures asked for so far
        self._shot_until_s: float | None = None  # until when the last of them is waited for
        self._now_s = now_s
        self._loop: asyncio.AbstractEventLoop | None = None
        self._viewers: dict[asyncio.Event, bool] = {}  # the bell of each, and whether it is a phone
        self._made: tuple[tuple[View | None, int, object], dict[str, Any]] = ((None, 0, None), {})
        self._waking = False

    def show(self, view: View) -> None:
        """The view of this moment; the one before is forgotten."""
        self._view = view
        self._wake()

    def tapped(self) -> Sequence[Tap | Photo | News]:
        """What came since the last call."""
        if self._shot_until_s is not None and self._now_s() > self._shot_until_s:
            self._shot_until_s = None
            self._taps.append(News(text=NO_PICTURE))
            self._wake()
        taken: list[Tap | Photo | News] = []
        with suppress(IndexError):
            while True:
                taken.append(self._taps.popleft())
        return taken

    def refuse(self, why: str) -> None:
        """Why the last tap did nothing; shown until the question changes."""
        self._refused = (self._refused[0] + 1, self._view.asked if self._view else 0, why)
        self._wake()

    def shoot(self) -> bool:
        """Ask a page for a photograph: the phone's where one looks on, else this machine's. False where nobody does."""
        if not self._viewers:
            return False
        self._shots += 1
        self._shot_until_s = self._now_s() + SHOT_S
        self._wake()
        return True

    def expects_shot(self, number: int) -> bool:
        """Whether the picture of that number is waited for."""
        return self._shot_until_s is not None and number == self._shots

    def take_shot(self, number: int, picture: bytes | None) -> bool:
        """Take the picture, the first that comes; None where the page has no camera. False where none is awaited."""
        if not self.expects_shot(number):
            return False
        self._shot_until_s = None
        self._taps.append(News(text=NOT_TAKEN) if picture is None else Photo(picture=picture))
        self._wake()
        return True

    def tell(self, text: str) -> None:
        """Something that must be said aloud."""
        self._taps.append(News(text=text))

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

    def join(self, *, on_phone: bool = False) -> asyncio.Event:
        """A new viewer's bell, rung whenever there is a newer page; rung at once."""
        bell = asyncio.Event()
        bell.set()
        self._viewers[bell] = on_phone
        return bell

    def leave(self, bell: asyncio.Event) -> None:
        """That viewer is gone."""
        self._viewers.pop(bell, None)

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
        shot = self._shot()
        (drawn, counted, shown), page = self._made
        if drawn is not view or counted != count or shown != shot:
            page = asdict(page_of(view)) | {"refused": [count, why if asked == view.asked else ""], "shot": shot}
            self._made = ((view, count, shot), page)
        return page

    def _shot(self) -> list[object] | None:
        """The number of the picture that is waited for, and which page is to take it; None where none is."""
        if self._shot_until_s is None:
            return None
        return [self._shots, "phone" if any(self._viewers.values()) else "laptop"]

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
        for bell in tuple(self._viewers):
            bell.set()


def changes(before: dict[str, Any], now: dict[str, Any]) -> bytes:
    """One event with what is new on the page; empty where nothing is."""
    new = {name: value for name, value in now.items() if name not in before or before[name] != value}
    return b"data: " + json.dumps(new, separators=(",", ":")).encode() + b"\n\n" if new else b""
