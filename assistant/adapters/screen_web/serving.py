"""The server in a thread of its own, which the session never waits for; who holds a line open is let go."""

from __future__ import annotations

import asyncio
import logging
import socket
import threading
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any
from weakref import WeakKeyDictionary

import h11
import uvicorn
from starlette.types import ASGIApp
from uvicorn.protocols.http.h11_impl import H11Protocol
from uvicorn.protocols.websockets.websockets_sansio_impl import WebSocketsSansIOProtocol

from assistant.errors import SetupError

LOOPBACK = "127.0.0.1"
PORT = 4663
"""The port where the page is looked for first: the letters of "hood" on a telephone's keys."""

MOST_LINES = 64
"""Connections at once; a page holds one or two. More are cut at once, so that no other file of the job goes short."""

PHONE_PORT = 4664
MOST_LINES_EACH = 16
"""Of one address off this machine, so that nobody takes the phone's."""

HEAD_S = 10.0
"""A connection that has asked for nothing by then is cut."""

_MOST_HEAD_BYTES = 16_384
_MOST_FRAME_BYTES = 32_768
"""Of one message on a socket: 0.17 s of sound at 96 kHz."""

_PING_S = 10.0
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

            settled = False  # whether it is closed, or no business of ours any more

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
                self.settled = True
                if self.client is not None:
                    open_.pop(self.client, None)

            def handle_websocket_upgrade(self, event: h11.Request) -> None:
                """The line carries a socket from now on, which keeps the book itself."""
                self.settled = True
                super().handle_websocket_upgrade(event)

            def _cut_if_idle(self) -> None:
                if self.cycle is None and not self.settled and not self.transport.is_closing():
                    self.transport.abort()

        return Bounded

    def socket_protocol(self) -> type[WebSocketsSansIOProtocol]:
        """The protocol that a line goes on with once it carries a socket; the book goes on as well."""
        open_ = self._open

        class Booked(WebSocketsSansIOProtocol):
            """A socket in the same book."""

            def connection_lost(self, exc: Exception | None) -> None:
                """A line is closed."""
                super().connection_lost(exc)
                if self.client is not None:
                    open_.pop(self.client, None)

        return Booked

    def cut(self, client: tuple[str, int]) -> None:
        """Cut the line to this address, with what it has not read yet."""
        transport = self._open.get(client)
        if transport is not None:
            transport.abort()

    @property
    def count(self) -> int:
        """How many are open."""
        return len(self._open)


class _FewEach(socket.socket):
    """A listening socket that holds only so many lines, also such as have not yet shown that they speak TLS."""

    def __init__(self) -> None:
        super().__init__(socket.AF_INET, socket.SOCK_STREAM)
        self._held: WeakKeyDictionary[socket.socket, str] = WeakKeyDictionary()

    @property
    def held(self) -> int:
        """How many lines are open."""
        return sum(each.fileno() >= 0 for each in self._held)

    def accept(self) -> tuple[socket.socket, Any]:
        """The next line; one too many is closed, as if it had never come."""
        line, address = super().accept()
        held = [where for each, where in self._held.items() if each.fileno() >= 0]
        if len(held) >= MOST_LINES or held.count(address[0]) >= MOST_LINES_EACH:
            line.close()
            raise BlockingIOError
        self._held[line] = address[0]
        return line, address


def bind_phone(address: str, port: int | None) -> socket.socket:
    """A socket on an address at which a phone may ask; `port` as in `bind`. Raises SetupError."""
    return _bound(address, PHONE_PORT, port, "--phone-port", _FewEach)


def bind(port: int | None) -> socket.socket:
    """A socket on this machine's own address; `port` None: the usual one, or any where that is taken.

    Raises SetupError when the port asked for is taken.
    """
    return _bound(LOOPBACK, PORT, port, "--screen-port", lambda: socket.socket(socket.AF_INET, socket.SOCK_STREAM))


def _bound(address: str, usual: int, port: int | None, option: str, make: Callable[[], socket.socket]) -> socket.socket:
    why: OSError
    for number in (usual, 0) if port is None else (port,):
        bound = make()
        try:
            bound.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
            bound.bind((address, number))
            return bound
        except OSError as error:
            bound.close()
            why = error
    where = address if port is None else f"{address}, port {port}"
    raise SetupError(f"The page cannot be served at {where}: {why.strerror or why}; choose another {option}.")


@dataclass(frozen=True, slots=True, kw_only=True)
class Door:
    """What is served at a bound socket. `lines`: its own book, so that a crowd before one door does not shut the other.
    `tls`: files of certificate and key; with them comes the way for sockets."""

    app: ASGIApp
    bound: socket.socket
    lines: Lines
    tls: tuple[Path, Path] | None = None


class Serving:
    """Serves from now until closed."""

    def __init__(self, doors: Sequence[Door], on_loop: Callable[[asyncio.AbstractEventLoop], None]) -> None:
        """`on_loop`: told of the loop in which everything is served, once it runs."""
        logging.getLogger("uvicorn").setLevel(logging.CRITICAL)  # the terminal is the job's
        self._servers = [(uvicorn.Server(_config(door)), door.bound) for door in doors]
        self._on_loop = on_loop
        self._thread = threading.Thread(target=self._serve, name="page", daemon=True)
        for door in doors:
            door.bound.listen(128)
        self._thread.start()

    def _serve(self) -> None:
        async def whole() -> None:
            self._on_loop(asyncio.get_running_loop())
            await asyncio.gather(*(server.serve(sockets=[bound]) for server, bound in self._servers))

        asyncio.run(whole())

    @property
    def addresses(self) -> list[str]:
        """Where each door listens."""
        return [str(bound.getsockname()[0]) for _, bound in self._servers]

    def close(self) -> None:
        """Stop serving; may be called twice."""
        for server, _ in self._servers:
            server.should_exit = server.force_exit = True
        self._thread.join(_CLOSE_S)
        for _, bound in self._servers:
            bound.close()

    def wait(self) -> None:
        """Until it ends."""
        while self._thread.is_alive():
            self._thread.join(0.5)


def _config(door: Door) -> uvicorn.Config:
    options: dict[str, Any] = {"log_config": None, "access_log": False, "server_header": False}
    if door.tls is not None:
        certificate, key = door.tls
        options |= {"ssl_certfile": certificate, "ssl_keyfile": key, "ws_max_size": _MOST_FRAME_BYTES}
        options |= {"ws_ping_interval": _PING_S, "ws_ping_timeout": _PING_S, "ws_per_message_deflate": False}
    return uvicorn.Config(
        door.app,
        http=door.lines.protocol(),
        ws="none" if door.tls is None else door.lines.socket_protocol(),
        loop="asyncio",
        lifespan="off",
        h11_max_incomplete_event_size=_MOST_HEAD_BYTES,
        timeout_graceful_shutdown=1,
        **options,
    )
