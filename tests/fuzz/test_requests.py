"""Whatever is sent to the page: an answer with a status, and the page is there for the next one."""

from __future__ import annotations

import asyncio
import json
import socket
from concurrent.futures import ThreadPoolExecutor
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from assistant.adapters.screen_web.app import Site
from assistant.adapters.screen_web.feed import Feed
from assistant.adapters.screen_web.guard import Guard
from tests.fuzz.odd import bounded, cases
from tests.guide.conftest import read_library
from tests.screen.stage import PlainRecords
from tests.screen.test_attacks import Door, view

TOKEN = "token"
HOST = b"127.0.0.1:4663"
PATHS = ("/", "/jobs", "/report", "/paper", "/flow", "/where", "/say", "/site/page.js", "/site/../x", "//", "/nowhere")
VALUES = st.sampled_from((b"http://" + HOST, TOKEN.encode(), b"same-origin", b"", b"null", b"\xff\xfe"))
HEADERS = st.lists(
    st.tuples(
        st.sampled_from((b"origin", b"x-hoodside-token", b"sec-fetch-site", b"upgrade", b"content-type", b"cookie")),
        VALUES | st.binary(max_size=9),
    ),
    max_size=5,
)  # fmt: skip
BODIES = st.one_of(
    st.binary(max_size=60),
    st.just(b"[" * 20_000),
    st.just(b"x" * 70_000),
    st.fixed_dictionaries(
        {},
        optional={
            "words": st.text(max_size=20) | st.integers(),
            "asked": st.integers() | st.floats() | st.text(max_size=3),
            "typed": st.booleans() | st.none(),
        },
    ).map(lambda told: json.dumps(told).encode()),
)


@pytest.fixture(scope="module")
def site() -> Any:
    """The page, asked without a network between."""
    feed = Feed()
    feed.show(view())
    made = Site(feed=feed, records=PlainRecords(read_library()), token=TOKEN, cut=lambda client: None)
    return Guard(made.app(), [HOST.decode()])


def ask(site: Any, *, method: str, path: str, query: bytes, headers: list[tuple[bytes, bytes]], body: bytes) -> int:
    """The status of the answer."""
    told: list[int] = []

    async def receive() -> dict[str, Any]:
        return {"type": "http.request", "body": body, "more_body": False}

    async def send(message: dict[str, Any]) -> None:
        if message["type"] == "http.response.start":
            told.append(message["status"])

    scope = {
        "type": "http", "asgi": {"version": "3.0"}, "http_version": "1.1", "method": method, "path": path,
        "raw_path": path.encode("utf-8", "replace"), "query_string": query, "root_path": "", "scheme": "http",
        "headers": headers, "client": ("127.0.0.1", 5), "server": ("127.0.0.1", 4663),
    }  # fmt: skip
    with ThreadPoolExecutor(max_workers=1) as apart:  # a browser's client may have a loop of its own in this thread
        apart.submit(asyncio.run, asyncio.wait_for(site(scope, receive, send), 30)).result()
    return told[0]


@cases(100)
@given(
    method=st.sampled_from(("GET", "HEAD", "POST", "PUT", "DELETE", "OPTIONS", "\u00c4")),
    path=st.sampled_from(PATHS) | st.text(max_size=20).map(lambda text: f"/{text}"),
    query=st.binary(max_size=20) | st.just(b"job=%00") | st.just(b"job=" + b"a" * 3_000),
    headers=HEADERS,
    body=BODIES,
    host=st.sampled_from(([(b"host", HOST)], [(b"host", b"evil.example")], [], [(b"host", HOST)] * 2)),
)
def test_a_request(site: Any, *, method: str, path: str, query: bytes, headers: Any, body: bytes, host: Any) -> None:
    """One answer, never an error of ours (5xx); who has not our host, origin and token changes nothing."""
    with bounded():
        status = ask(site, method=method, path=path, query=query, headers=[*host, *headers], body=body)
    assert 200 <= status < 500
    if host != [(b"host", HOST)]:
        assert status == 403


PIECES = st.binary(max_size=40) | st.sampled_from((b"GET / HTTP/1.1\r\n", b"\r\n", b"Host: x\r\n", b"\x00"))


@cases(25, share=0.02)
@given(st.lists(PIECES, max_size=6))
def test_bare_bytes(door: Door, pieces: list[bytes]) -> None:
    """Sent to the real server; the line may be cut, the next one is served."""
    with door.dial() as line:
        try:
            for piece in pieces:
                line.sendall(piece)
            line.shutdown(socket.SHUT_WR)
            while line.recv(65_536):
                pass
        except OSError:
            pass
    assert door.ask("GET", "/site/page.js")[0] in (200, 404)


@pytest.fixture(scope="module")
def door() -> Any:
    """A page that is served."""
    made = Door(read_library())
    yield made
    made.web.close()
