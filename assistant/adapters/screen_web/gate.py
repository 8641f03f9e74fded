"""What a phone must show before it gets anything: the token that it was given when it was let in."""

from __future__ import annotations

from collections.abc import Callable
from http.cookies import CookieError, SimpleCookie

from starlette.responses import PlainTextResponse, RedirectResponse
from starlette.types import ASGIApp, Receive, Scope, Send

from assistant.adapters.screen_web.profile import PROFILE_PATH

COOKIE = "__Host-hoodside"
"""The name alone makes a browser insist on TLS, on this host and on the whole site."""

OPEN_TO_ALL = frozenset({"/pair", PROFILE_PATH, "/site/pair.js", "/site/now.css", "/site/look.js", "/site/mark.svg"})
"""What is needed to be let in; none of it says anything of a job."""


def set_cookie(token: str) -> str:
    """The header that gives the token to the browser, out of reach of scripts and of other sites."""
    return f"{COOKIE}={token}; Path=/; Secure; HttpOnly; SameSite=Strict"


FORGET_COOKIE = f"{COOKIE}=; Path=/; Secure; HttpOnly; SameSite=Strict; Max-Age=0"


class Gate:
    """Passes on what comes with the token; sends everybody else to be let in."""

    def __init__(self, app: ASGIApp, knows: Callable[[str], bool]) -> None:
        self._app = app
        self._knows = knows

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Pass a request on, or refuse it."""
        if (scope["path"] in OPEN_TO_ALL and scope["type"] == "http") or self._knows(token_of(scope)):
            await self._app(scope, receive, send)
        elif scope["type"] == "websocket":
            await send({"type": "websocket.close", "code": 4403})
        elif scope["path"] == "/" and scope["method"] == "GET":
            await RedirectResponse("/pair", status_code=303)(scope, receive, send)
        else:
            await PlainTextResponse("This phone is not let in.", status_code=403)(scope, receive, send)


def token_of(scope: Scope) -> str:
    """The token that a request carries; empty where it carries none, or two."""
    given = [value for name, value in scope["headers"] if name == b"cookie"]
    cookies: SimpleCookie = SimpleCookie()
    try:
        cookies.load(b"; ".join(given).decode("latin-1"))
    except CookieError:
        return ""
    return cookies[COOKIE].value if COOKIE in cookies else ""
