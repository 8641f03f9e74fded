"""What stands before every request: only this machine, only our own pages, and nothing loaded from elsewhere."""

from __future__ import annotations

from collections.abc import Iterable

from starlette.responses import PlainTextResponse
from starlette.types import ASGIApp, Message, Receive, Scope, Send

CONTENT = (
    "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self' data:; connect-src 'self'; "
    "frame-src 'self'; base-uri 'none'; form-action 'none'; frame-ancestors 'none'"
)
"""Content security policy of our pages: no script but our own files."""

REPORT = "default-src 'none'; style-src 'unsafe-inline'; img-src data:; base-uri 'none'; form-action 'none'; "
REPORT_CONTENT = f"{REPORT}frame-ancestors 'self'"
"""Of a report, which carries its own style and no script that runs."""

_HEADERS = (
    (b"x-content-type-options", b"nosniff"),
    (b"referrer-policy", b"no-referrer"),
    (b"cross-origin-opener-policy", b"same-origin"),
    (b"cross-origin-resource-policy", b"same-origin"),
    (b"permissions-policy", b"camera=(), microphone=(), geolocation=()"),
    (b"cache-control", b"no-store"),
)
_FETCHED_BY_US = (b"", b"same-origin", b"none")


class Guard:
    """Lets through what our own page asks of our own address, and adds what browsers must heed."""

    def __init__(self, app: ASGIApp, hosts: Iterable[str]) -> None:
        """`hosts`: names with port by which we may be asked, e.g. `127.0.0.1:4663`. A name of somebody else's that
        points here (DNS rebinding) is none of them."""
        self._app = app
        self._hosts = frozenset(host.encode() for host in hosts)

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Pass a request on, or refuse it."""
        if scope["type"] != "http":
            return
        if why := self._refusal(scope):
            await PlainTextResponse(why, status_code=403)(scope, receive, _with_headers(send))
            return
        await self._app(scope, receive, _with_headers(send))

    def _refusal(self, scope: Scope) -> str:
        given: dict[bytes, list[bytes]] = {}
        for name, value in scope["headers"]:
            given.setdefault(name, []).append(value)
        host = given.get(b"host", [])
        if len(host) != 1 or host[0] not in self._hosts:
            return "Not asked by this machine's own address."
        origin = given.get(b"origin", [b""] if scope["method"] in ("GET", "HEAD") else [])
        if (
            len(origin) != 1
            or origin[0] not in (b"", b"http://" + host[0])
            or (origin[0] == b"" and scope["method"] not in ("GET", "HEAD"))
        ):
            return "Asked by another site's page."
        if any(each not in _FETCHED_BY_US for each in given.get(b"sec-fetch-site", [])):
            return "Asked by another site's page."
        if b"upgrade" in given:
            return "There is nothing to upgrade to."
        return ""


def _with_headers(send: Send) -> Send:
    async def sending(message: Message) -> None:
        if message["type"] == "http.response.start":
            there = {name for name, _ in message["headers"]}
            more = [pair for pair in _HEADERS if pair[0] not in there]
            if b"content-security-policy" not in there:
                more.append((b"content-security-policy", CONTENT.encode()))
            message = {**message, "headers": [*message["headers"], *more]}
        await send(message)

    return sending
