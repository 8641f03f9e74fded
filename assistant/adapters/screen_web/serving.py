"""The server in a thread of its own, which the session never waits for; who holds a line open is let go."""

from __future__ import annotations

import asyncio
import logging
import socket
import threading
from collections.abc import Callable
from typing import Any

import uvicorn
from starlette.types import ASGIApp
from uvicorn.protocols.http.h11_impl import H11Protocol

from assistant.errors import SetupError

LOOPBACK = "127.0.0.1"
PORT = 4663
"""The port where the page is looked for first: the letters of "hood" on a telephone's keys."""

MOST_LINES = 64
"""Connections at once; a page holds one or two. More are cut at once, so that no other file of the job goes short."""

HEAD_S = 10.0
"""A connection that has asked for nothing by then is cut."""

_MOST_HEAD_BYTES = 16_384
_CLOSE_S = 2.0


class Lines:
    """The connections that are open, each by the address of its other end."""

    def __init__(self) -> None:
        self._open: dict[tuple[str, int], asyncio.Transport] = {}

    def protocol(self) -> type[H11Protocol]:
        """The protocol that keeps this book."""
        open_ = self._open

        class Bounded(H11Protocol):
            """HTTP in which nobody holds more than a few lines, or one without asking."""

            def connection_made(self, transport: asyncio.Transport) -> None:  # type: ignore[override]  # asyncio gives no other
                """A line is opened."""
                super().connection_made(transport)
                if len(open_) >= MOST_LINES or self.client is None:
                    transport.abort()
                    return
                open_[self.client] = transport
                self.loop.call_later(HEAD_S, self._cut_if_idle)

            def connection_lost(self, exc: Exception | None) -> None:
                """A line is closed."""
                super().connection_lost(exc)
                if self.client is not None:
                    open_.pop(self.client, None)

            def _cut_if_idle(self) -> None:
                if self.cycle is None and not self.transport.is_closing():
                    self.transport.abort()

        return Bounded

    def cut(self, client: tuple[str, int]) -> None:
        """Cut the line to this address, with what it has not read yet."""
        transport = self._open.get(client)
        if transport is not None:
            transport.abort()

    @property
    def count(self) -> int:
        """How many are open."""
        return len(self._open)


def bind(port: int | None) -> socket.socket:
    """A socket on this machine's own address; `port` None: the usual one, or any where that is taken.

    Raises SetupError when the port asked for is taken.
    """
    for number in (PORT, 0) if port is None else (port,):
        bound = socket.socket(socket.AF_INET, socket.SOCK_STREAM)
        try:
            bound.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
            bound.bind((LOOPBACK, number))
            return bound
        except OSError as error:
            bound.close()
            why = error
    raise SetupError(f"The page cannot be served at port {port}: {why.strerror or why}; choose another --screen-port.")


class Serving:
    """Serves from now until closed."""

    def __init__(
        self, app: ASGIApp, bound: socket.socket, lines: Lines, on_loop: Callable[[asyncio.AbstractEventLoop], None]
    ) -> None:
        """`on_loop`: told of the loop in which everything is served, once it runs."""
        options: dict[str, Any] = {"log_config": None, "access_log": False, "server_header": False}
        logging.getLogger("uvicorn").setLevel(logging.CRITICAL)  # the terminal is the job's
        config = uvicorn.Config(
            app,
            http=lines.protocol(),
            ws="none",
            loop="asyncio",
            lifespan="off",
            h11_max_incomplete_event_size=_MOST_HEAD_BYTES,
            timeout_graceful_shutdown=1,
            **options,
        )
        self._server = uvicorn.Server(config)
        self._bound = bound
        self._on_loop = on_loop
        self._thread = threading.Thread(target=self._serve, name="page", daemon=True)
        bound.listen(128)
        self._thread.start()

    def _serve(self) -> None:
        async def whole() -> None:
            self._on_loop(asyncio.get_running_loop())
            await self._server.serve(sockets=[self._bound])

        asyncio.run(whole())

    def close(self) -> None:
        """Stop serving; may be called twice."""
        self._server.should_exit = self._server.force_exit = True
        self._thread.join(_CLOSE_S)
        self._bound.close()

    def wait(self) -> None:
        """Until it ends."""
        while self._thread.is_alive():
            self._thread.join(0.5)
