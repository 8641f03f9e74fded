"""The site: the page of the job, the words tapped on it, and the shop's records to look at."""

from __future__ import annotations

import asyncio
import hmac
import json
from collections.abc import Awaitable, Callable, Sequence
from dataclasses import dataclass
from functools import cache
from importlib.resources import files
from typing import Any, Protocol, TypeVar

from jinja2 import Environment, PackageLoader, StrictUndefined
from markupsafe import Markup
from starlette.applications import Starlette
from starlette.requests import Request
from starlette.responses import HTMLResponse, JSONResponse, PlainTextResponse, Response
from starlette.routing import BaseRoute, Route, WebSocketRoute
from starlette.types import Receive, Scope, Send

from assistant.adapters.screen_web.bodies import body_of
from assistant.adapters.screen_web.feed import Feed, changes
from assistant.adapters.screen_web.guard import REPORT_CONTENT
from assistant.adapters.screen_web.laptop_routes import LaptopRoutes
from assistant.adapters.screen_web.phone_routes import PhoneRoutes
from assistant.adapters.screen_web.profile import PROFILE_PATH
from assistant.ports import Tap
from assistant.record.photographs import MOST_BYTES as MOST_PICTURE_BYTES
from assistant.record.photographs import cleaned

MOST_VIEWERS = 16
MOST_BYTES = 4_096
"""Of what is tapped or written at once."""

LONGEST_WORDS = 1_000
GAP_S = 0.05
"""Least time between two pages to one viewer: what comes faster nobody sees."""

ALIVE_S = 15.0
STALLED_S = 20.0
"""A viewer that took nothing for so long is let go; its browser comes back by itself."""

_Got = TypeVar("_Got")

_FILES = {
    "now.css": "text/css",
    "now.js": "text/javascript",
    "draw.js": "text/javascript",
    "hands.js": "text/javascript",
    "flow.js": "text/javascript",
    "look.js": "text/javascript",
    "camera.js": "text/javascript",
    "laptop.js": "text/javascript",
    "pair.js": "text/javascript",
    "phone.js": "text/javascript",
    "ear.js": "text/javascript",
    "lines.js": "text/javascript",
    "mouth.js": "text/javascript",
    "mark.svg": "image/svg+xml",
}


@dataclass(frozen=True, slots=True, kw_only=True)
class JobLine:
    """A job in the list. Texts as they are shown."""

    job: str
    began: str
    state: str
    about: str
    finding: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Flow:
    """The flow of a procedure as a picture, and where the job stands in it."""

    title: str
    svg: str
    procedure: str
    step: str


class Records(Protocol):
    """The shop's records, to look at. May be slow; asked one at a time, never in the session's thread."""

    def jobs(self) -> Sequence[JobLine]:
        """The latest jobs, newest first."""

    def report(self, job: str) -> str | None:
        """The job's report as HTML; None for an unknown job."""

    def where(self, job: str) -> tuple[str, str] | None:
        """Procedure and step where the job stands; None for an unknown job."""

    def flow(self, job: str, procedure: str, step: str) -> Flow | None:
        """The flow of that procedure, as the job was begun with it; None for an unknown one."""


class Site:
    """Answers each request."""

    def __init__(
        self,
        *,
        feed: Feed | None,
        records: Records,
        token: str,
        cut: Callable[[tuple[str, int]], None],
        laptop: LaptopRoutes | None = None,
        phone: PhoneRoutes | None = None,
    ) -> None:
        """`feed`: of the job that is led; None where there is none. `token`: what each tap must carry. `cut`: lets go
        of a viewer. `laptop`: what the laptop asks of the phone, where there may be one; `phone`: what the phone asks,
        on its own door."""
        self._laptop = laptop
        self._phone = phone
        self._feed = feed
        self._records = records
        self._token = token
        self._cut = cut
        self._one_at_a_time = asyncio.Lock()
        self._files = {
            name: files("assistant.adapters.screen_web").joinpath("site", name).read_bytes() for name in _FILES
        }

    def app(self) -> Starlette:
        """The application."""
        routes = [
            Route("/", self._home),
            Route("/jobs", self._jobs),
            Route("/report", self._report),
            Route("/paper", self._paper),
            Route("/flow", self._flow),
            Route("/where", self._where),
            Route("/events", _Raw(self.events)),
            Route("/say", self._say, methods=["POST"]),
            Route("/picture", self._picture, methods=["POST"]),
            Route("/site/{name}", self._file),
        ]
        return Starlette(routes=[*routes, *self._laptop_routes(), *self._phone_routes()])

    def _laptop_routes(self) -> list[BaseRoute]:
        laptop = self._laptop
        if laptop is None:
            return []
        return [
            Route("/phone", self._phone_page),
            Route("/phone/state", self._by_token(laptop.state)),
            Route("/phone/code", self._by_token(laptop.code), methods=["POST"]),
            Route("/phone/away", self._by_token(laptop.away), methods=["POST"]),
        ]

    def _phone_routes(self) -> list[BaseRoute]:
        phone = self._phone
        if phone is None:
            return []
        return [
            Route("/pair", self._pair_page),
            Route("/pair", phone.pair, methods=["POST"]),
            Route(PROFILE_PATH, phone.profile),
            Route("/leave", self._by_token(phone.leave), methods=["POST"]),
            WebSocketRoute("/sound", phone.socket),
            Route("/sound/line", _Raw(phone.stream)),
            Route("/sound/chunk", phone.chunk, methods=["POST"]),
        ]

    def _by_token(self, answer: Callable[[Request], Awaitable[Response]]) -> Callable[[Request], Awaitable[Response]]:
        async def guarded(request: Request) -> Response:
            return await answer(request) if self._has_token(request) else _not_ours()

        return guarded

    def _has_token(self, request: Request) -> bool:
        given = request.headers.get("x-hoodside-token", "")
        return hmac.compare_digest(given.encode(), self._token.encode())

    async def _phone_page(self, request: Request) -> Response:
        return _rendered("phone.html", token=self._token, led=True)

    async def _pair_page(self, request: Request) -> Response:
        return _rendered("pair.html", profile=PROFILE_PATH)

    async def _home(self, request: Request) -> Response:
        if self._feed is None:
            return await self._jobs(request)
        phone = self._phone
        return _rendered(
            "now.html",
            token=self._token,
            on_phone=phone is not None,
            has_sound=phone is not None and phone.has_sound,
            may_pair=self._laptop is not None,
        )

    async def _jobs(self, request: Request) -> Response:
        lines = await self._ask(self._records.jobs)
        return _rendered("jobs.html", jobs=lines, led=self._feed is not None)

    async def _report(self, request: Request) -> Response:
        job = request.query_params.get("job", "")
        if await self._ask(lambda: self._records.where(job)) is None:
            return _missing(self._feed is not None)
        return _rendered("report.html", job=job, led=self._feed is not None)

    async def _paper(self, request: Request) -> Response:
        job = request.query_params.get("job", "")
        html = await self._ask(lambda: self._records.report(job))
        if html is None:
            return _missing(self._feed is not None)
        return HTMLResponse(html, headers={"content-security-policy": REPORT_CONTENT})

    async def _flow(self, request: Request) -> Response:
        job = request.query_params.get("job", "")
        at = self._place() if not job else await self._ask(lambda: self._records.where(job))
        led = self._feed.page().get("job", "") if self._feed else ""
        flow = None if at is None else await self._ask(lambda: self._records.flow(job or led, *at))
        if flow is None:
            return _missing(self._feed is not None)
        return _rendered("flow.html", flow=flow, svg=Markup(flow.svg), job=job, led=self._feed is not None)

    async def _where(self, request: Request) -> Response:
        job = request.query_params.get("job", "")
        at = self._place() if not job else await self._ask(lambda: self._records.where(job))
        return JSONResponse(at)

    def _place(self) -> tuple[str, str] | None:
        place = self._feed.page().get("place") if self._feed else None
        return (place[0], place[1]) if place else None

    async def _say(self, request: Request) -> Response:
        if self._feed is None or not self._has_token(request):
            return _not_ours()
        body = await body_of(request, MOST_BYTES)
        if body is None:
            return PlainTextResponse("Too long.", status_code=413)
        tap = _tap(body)
        if tap is None:
            return PlainTextResponse("Not understood.", status_code=400)
        if not self._feed.take(tap):
            return PlainTextResponse("Too many at once.", status_code=429)
        return Response(status_code=204)

    async def _picture(self, request: Request) -> Response:
        """A photograph that was asked for, or an empty one: none was taken."""
        if self._feed is None or not self._has_token(request):
            return _not_ours()
        body = await body_of(request, MOST_PICTURE_BYTES)
        if body is None:
            return PlainTextResponse("Too large.", status_code=413)
        number = request.headers.get("x-hoodside-shot", "")
        if not number.isdecimal() or not self._feed.expects_shot(int(number)):
            return PlainTextResponse("Nobody waits for that picture.", status_code=409)
        picture = cleaned(body) if body else None
        if body and picture is None:
            return PlainTextResponse("That is no picture.", status_code=400)
        return Response(status_code=204 if self._feed.take_shot(int(number), picture) else 409)

    async def _file(self, request: Request) -> Response:
        name = request.path_params["name"]
        if name not in self._files:
            return _missing(self._feed is not None)
        return Response(self._files[name], media_type=_FILES[name])

    async def _ask(self, question: Callable[[], _Got]) -> _Got:
        async with self._one_at_a_time:
            return await asyncio.to_thread(question)

    async def events(self, scope: Scope, receive: Receive, send: Send) -> None:
        """What is new on the page, for as long as somebody looks on."""
        feed = self._feed
        if feed is None or feed.viewers >= MOST_VIEWERS:
            await PlainTextResponse("No more viewers.", status_code=503)(scope, receive, send)
            return
        bell = feed.join(on_phone=self._phone is not None)
        gone = asyncio.create_task(_gone(receive))
        try:
            headers = [(b"content-type", b"text/event-stream")]
            await send({"type": "http.response.start", "status": 200, "headers": headers})
            before: dict[str, Any] = {}
            while not gone.done():
                now = feed.page()
                event = changes(before, now)
                if event:
                    await asyncio.wait_for(send(_part(event)), STALLED_S)
                    before = now
                    await asyncio.sleep(GAP_S)
                await _rung(bell, gone, lambda: send(_part(b": here\n\n")))
        except TimeoutError:
            self._cut(scope["client"])
        finally:
            gone.cancel()
            feed.leave(bell)


class _Raw:
    """A stream as an application of its own: the framework's own streaming would not see a stalled viewer."""

    def __init__(self, answer: Callable[[Scope, Receive, Send], Awaitable[None]]) -> None:
        self._answer = answer

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        await self._answer(scope, receive, send)


def _not_ours() -> Response:
    return PlainTextResponse("Not from a page of this job.", status_code=403)


async def _rung(bell: asyncio.Event, gone: asyncio.Task[None], still_here: Callable[[], Any]) -> None:
    """Until there is something new or the viewer is gone; now and then a sign of life."""
    ring = asyncio.create_task(bell.wait())
    try:
        while not gone.done():
            done, _ = await asyncio.wait({ring, gone}, timeout=ALIVE_S, return_when=asyncio.FIRST_COMPLETED)
            if done:
                bell.clear()
                return
            await asyncio.wait_for(still_here(), STALLED_S)
    finally:
        ring.cancel()


async def _gone(receive: Receive) -> None:
    while (await receive())["type"] != "http.disconnect":
        pass


def _part(body: bytes) -> dict[str, Any]:
    return {"type": "http.response.body", "body": body, "more_body": True}


def _tap(body: bytes) -> Tap | None:
    try:
        told = json.loads(body)
        words, asked, typed = told["words"], told["asked"], told.get("typed", False)
    except (ValueError, KeyError, TypeError, AttributeError, RecursionError):
        return None
    right = isinstance(words, str) and type(asked) is int and isinstance(typed, bool)
    if not right or not 0 < len(words) <= LONGEST_WORDS or not words.isprintable():
        return None
    return Tap(words=words, asked=asked, typed=typed)


@cache
def _templates() -> Environment:
    loader = PackageLoader("assistant.adapters.screen_web", "site")
    return Environment(loader=loader, autoescape=True, undefined=StrictUndefined, trim_blocks=True, lstrip_blocks=True)


def _rendered(name: str, **told: object) -> Response:
    return HTMLResponse(_templates().get_template(name).render(**told))


def _missing(led: bool) -> Response:
    return HTMLResponse(_templates().get_template("missing.html").render(led=led), status_code=404)
