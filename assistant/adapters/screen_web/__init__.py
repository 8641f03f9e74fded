"""A page in the browser as a screen, and as a place to tap words: served to this machine alone, by this process."""

from __future__ import annotations

import secrets
from collections.abc import Sequence

from assistant.adapters.screen_web.app import Flow as Flow
from assistant.adapters.screen_web.app import JobLine as JobLine
from assistant.adapters.screen_web.app import Records as Records
from assistant.adapters.screen_web.app import Site
from assistant.adapters.screen_web.feed import Feed
from assistant.adapters.screen_web.guard import Guard
from assistant.adapters.screen_web.serving import LOOPBACK, Lines, Serving, bind
from assistant.ports import Tap, View


class WebScreen:
    """Shows each view on every page that is open, and gives what is tapped there."""

    def __init__(self, records: Records, *, port: int | None = None, leads: bool = True) -> None:
        """`port`: None for the usual one, or any. `leads`: whether a job is led, and not only records looked at.

        Raises SetupError when the port is taken.
        """
        self._feed = Feed()
        bound = bind(port)
        number = bound.getsockname()[1]
        self._lines = lines = Lines()
        site = Site(feed=self._feed if leads else None, records=records, token=secrets.token_urlsafe(24), cut=lines.cut)
        hosts = (f"{LOOPBACK}:{number}", f"localhost:{number}")
        self._serving = Serving(Guard(site.app(), hosts), bound, lines, self._feed.attach)
        self.address = f"http://{LOOPBACK}:{number}/"

    def show(self, view: View) -> None:
        """Draw the view on every page, soon."""
        self._feed.show(view)

    def tapped(self) -> Sequence[Tap]:
        """What was tapped since the last call."""
        return self._feed.tapped()

    def refuse(self, why: str) -> None:
        """Tell the pages why the last tap did nothing."""
        self._feed.refuse(why)

    def wait(self) -> None:
        """Until interrupted."""
        self._serving.wait()

    def close(self) -> None:
        """Stop serving; may be called twice."""
        self._serving.close()
