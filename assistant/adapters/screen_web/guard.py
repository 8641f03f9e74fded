"""What stands before every request: only this machine, only our own pages, and nothing loaded from elsewhere."""

from __future__ import annotations

from collections.abc import Sequence

from starlette.responses import PlainTextResponse
from starlette.types import ASGIApp, Message, Receive, Scope, Send

CONTENT = (
    "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self' data:; connect-src 'self'{sockets}; "
    "frame-src 'self'; base-uri 'none'; form-action 'none'; frame-ancestors 'none'"
)
"""Content security policy of our pages: no script but our own files. Not every browser takes a socket of the same host
for `self`, so the phone's stand there by name."""

REPORT = "default-src 'none'; style-src 'unsafe-inline'; img-src data:; base-uri 'none'; form-action 'none'; "
REPORT_CONTENT = f"{REPORT}frame-ancestors 'self'"
"""Of a report, which carries its own style and no script that runs."""

_HEADERS = (
    (b"x-content-type-options", b"nosniff"),
    (b"referrer-policy", b"no-referrer"),
    (b"cross-origin-opener-policy", b"same-origin"),
    (b"cross-origin-resource-policy", b"same-origin"),
    (b"cache-control", b"no-store"),
)
_FETCHED_BY_US = (b"", b"same-origin", b"none")


class Guard:
    """Lets through what our own page asks of our own address, and adds what browsers must heed."""

    def __init__(self, app: ASGIApp, hosts: Sequence[str], *, on_phone: bool = False) -> None:
        """`hosts`: names with port by which we may be asked, e.g. `127.0.0.1:4663`. A name of somebody else's that
        points here (DNS rebinding) is none of them. `on_phone`: the phone's door, which has TLS, sockets and a
        microphone."""
        self._app = app
        self._hosts = frozenset(host.encode() for host in hosts)
        self._scheme = b"https://" if on_phone else b"http://"
        self._sockets = on_phone
        sockets = "".join(f" wss://{host}" for host in hosts) if on_phone else ""
        hears = "(self)" if on_phone else "()"
        policy = f"camera=(self), microphone={hears}, geolocation=()"
        content = CONTENT.format(sockets=sockets)
        own = ((b"permissions-policy", policy.encode()), (b"content-security-policy", content.encode()))
        self._headers = (*_HEADERS, *own)

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Pass a request on, or refuse it."""
        if scope["type"] == "websocket":
            if not self._sockets or self._refusal(scope):
                await send({"type": "websocket.close", "code": 4403})
                return
            await self._app(scope, receive, send)
            return
        if scope["type"] != "http":
            return
        sending = _with_headers(send, self._headers)
        if why := self._refusal(scope):
            await PlainTextResponse(why, status_code=403)(scope, receive, sending)
            return
        await self._app(scope, receive, sending)

    def _refusal(self, scope: Scope) -> str:
        given: dict[bytes, list[bytes]] = {}
        for name, value in scope["headers"]:
            given.setdefault(name, []).append(value)
        host = given.get(b"host", [])
        if len(host) != 1 or host[0] not in self._hosts:
            return "Not asked by this machine's own address."
        looks = scope.get("method") in ("GET", "HEAD")  # a socket has no method, and always an origin
        origin = given.get(b"origin", [b""] if looks else [])
        if len(origin) != 1 or origin[0] not in ((b"",) if looks else ()) + (self._scheme + host[0],):
            return "Asked by another site's page."
        if any(each not in _FETCHED_BY_US for each in given.get(b"sec-fetch-site", [])):
            return "Asked by another site's page."
        if scope["type"] == "http" and b"upgrade" in given:
            return "There is nothing to upgrade to."
        return ""


def _with_headers(send: Send, headers: Sequence[tuple[bytes, bytes]]) -> Send:
    async def sending(message: Message) -> None:
        if message["type"] == "http.response.start":
            there = {name for name, _ in message["headers"]}
            more = [pair for pair in headers if pair[0] not in there]
            message = {**message, "headers": [*message["headers"], *more]}
        await send(message)

    return sending
