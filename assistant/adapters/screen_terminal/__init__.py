"""The terminal as a screen: readable from two steps away, with hands full, in poor light."""

from __future__ import annotations

from rich.console import Console
from rich.live import Live

from assistant.adapters.screen_terminal.picture import ViewPicture
from assistant.ports import View


class TerminalScreen:
    """Draws on the terminal's second page, so that what stood there before comes back at the end."""

    def __init__(self, console: Console | None = None) -> None:
        self._live = Live(
            console=console or Console(), screen=True, auto_refresh=False, redirect_stdout=False, redirect_stderr=False
        )
        self._live.start()

    def show(self, view: View) -> None:
        """Draw the view."""
        self._live.update(ViewPicture(view), refresh=True)

    def close(self) -> None:
        """Give the terminal back; may be called twice."""
        self._live.stop()
