"""Other sites, other names, floods and crooked paths: nothing leaks, and the job goes on."""

from __future__ import annotations

import http.client
import json
import re
import socket
import time

import pytest

from assistant.adapters.screen_web import WebScreen
from assistant.adapters.screen_web.app import MOST_BYTES, MOST_VIEWERS
from assistant.adapters.screen_web.feed import MOST_TAPS
from assistant.adapters.screen_web.serving import MOST_LINES
from assistant.ports import Glance, View
from tests.screen.stage import PlainRecords

LINES = 1_000
PAGES = ("/", "/jobs", "/report?job=grey-hatchback", "/paper?job=grey-hatchback", "/flow", "/flow?job=grey-hatchback")


def view(turn=1, words="Look here.", **more):
    """A moment of a job."""
    fields = {
        "job": "grey-hatchback", "title": "Made up", "step": "rules", "mode": "asking", "instruction": words,
        "caution_signal": None, "caution": None, "said": (), "can_say": ("done",), "heard": None, "countdown_s": None,
        "open_items": (), "turn": turn, "asked": turn,
        "glance": Glance(place=("no-start", "rules")),
    }  # fmt: skip
    return View(**(fields | more))


class Door:
    """A page that is served, and requests to it as anybody could make them."""

    def __init__(self, library):
        self.web = WebScreen(PlainRecords(library), port=0)
        self.host = self.web.address.removeprefix("http://").rstrip("/")
        self.port = int(self.host.rpartition(":")[2])
        self.web.show(view())

    def ask(self, method, path, headers=None, body=None, host=None):
        """Status, headers and body of an answer."""
        line = http.client.HTTPConnection("127.0.0.1", self.port, timeout=30)
        try:
            line.putrequest(method, path, skip_host=True)
            line.putheader("Host", host or self.host)
            for name, value in (headers or {}).items():
                line.putheader(name, value)
            if body is not None:
                line.putheader("Content-Length", str(len(body)))
            line.endheaders(body)
            answer = line.getresponse()
            return answer.status, dict(answer.getheaders()), answer.read()
        finally:
            line.close()

    @property
    def token(self):
        """As the page carries it."""
        return re.search(rb'hoodside-token" content="([^"]+)', self.ask("GET", "/")[2])[1].decode()

    def say(self, body=None, **headers):
        """A tap with these headers in place of the page's own; None leaves one out."""
        own = {"Origin": f"http://{self.host}", "X-Hoodside-Token": self.token}
        given = {name: value for name, value in (own | headers).items() if value is not None}
        return self.ask("POST", "/say", given, body or b'{"words": "done", "asked": 1}')[0]

    def dial(self):
        """A bare line."""
        return socket.create_connection(("127.0.0.1", self.port), timeout=30)

    def open_stream(self):
        """A viewer; its socket."""
        line = self.dial()
        line.sendall(f"GET /events HTTP/1.1\r\nHost: {self.host}\r\n\r\n".encode())
        return line


@pytest.fixture
def door(library):
    """Served for one test."""
    made = Door(library)
    yield made
    made.web.close()


def until(line, wanted, got=b""):
    """What came on a line until this did; `got`: what came before. A line that is kept open by nothing but its beats
    ends too, or a test that waits for what it has read already would wait for ever."""
    latest = time.monotonic() + 120
    while wanted not in got:
        assert time.monotonic() < latest, got[-300:]
        more = line.recv(65_536)
        assert more, got[-300:]
        got += more
    return got


def test_a_tap_of_our_own_page_is_taken(door):
    """Else no refusal below would mean anything."""
    assert door.say() == 204
    assert [(tap.words, tap.asked, tap.typed) for tap in door.web.tapped()] == [("done", 1, False)]


@pytest.mark.parametrize(
    "headers",
    [
        {"X-Hoodside-Token": None},
        {"X-Hoodside-Token": "guessed"},
        {"X-Hoodside-Token": "gu\u00e9ssed"},
        {"Origin": None},
        {"Origin": "null"},
        {"Origin": "http://shop.example"},
        {"Origin": "https://127.0.0.1"},
        {"Sec-Fetch-Site": "cross-site"},
        {"Sec-Fetch-Site": "same-site"},
    ],
)
def test_a_tap_from_elsewhere_is_refused(door, headers):
    """Without our token, or sent by another site's page; no tap comes of it."""
    assert door.say(**headers) == 403
    assert not door.web.tapped()


@pytest.mark.parametrize("path", [*PAGES, "/events", "/where", "/site/now.js"])
@pytest.mark.parametrize("host", ["shop.example", "shop.example:80", "127.0.0.1", "0.0.0.0:1", "127.0.0.1:1"])
def test_another_name_that_points_here_gets_nothing(door, path, host):
    """A name rebound to this address is not ours, whatever is asked."""
    status, _, body = door.ask("GET", path, host=host)
    assert (status, body) == (403, b"Not asked by this machine's own address.")


def test_two_names_at_once_are_none(door):
    """One request with our name and another."""
    with door.dial() as line:
        line.sendall(f"GET / HTTP/1.1\r\nHost: {door.host}\r\nHost: shop.example\r\n\r\n".encode())
        assert b" 40" in until(line, b"\r\n")


@pytest.mark.parametrize("origin", ["http://shop.example", None])
def test_no_socket_is_opened_for_another_site(door, origin):
    """The upgrade that a page of any site may ask for is refused to all."""
    ask = {"Connection": "Upgrade", "Upgrade": "websocket", "Sec-WebSocket-Version": "13", "Sec-WebSocket-Key": "AAAA"}
    ask |= {"Origin": origin or f"http://{door.host}"}
    for path in ("/events", "/say", "/"):
        assert door.ask("GET", path, ask)[0] in (403, 405)


def test_another_site_may_not_frame_read_or_feed_our_pages(door):
    """Every answer says so to the browser; no page runs a script but our own files."""
    for path in PAGES:
        status, headers, body = door.ask("GET", path)
        assert status == 200, path
        policy = headers["content-security-policy"]
        assert "default-src 'none'" in policy and "unsafe-eval" not in policy
        assert ("frame-ancestors 'none'" in policy) != path.startswith("/paper")
        assert "script-src 'self'" in policy or path.startswith("/paper")
        assert headers["cross-origin-resource-policy"] == "same-origin"
        assert headers["x-content-type-options"] == "nosniff"
        assert headers["cache-control"] == "no-store"
        assert "access-control-allow-origin" not in headers and "set-cookie" not in headers
        assert b"http://" not in body.replace(b"http://www.w3.org/", b"")


def test_nobody_off_this_machine_is_served(door):
    """The socket listens on the loopback address alone."""
    assert door.web.address.startswith("http://127.0.0.1:")
    assert door.web._serving.addresses == ["127.0.0.1"]


@pytest.mark.parametrize(
    "body",
    [b"", b"[]", b"{", b'{"words": 1, "asked": 1}', b'{"words": "done"}', b'{"words": "", "asked": 1}',
     b'{"words": "done", "asked": true}', b'{"words": "a\\u0000b", "asked": 1}', b"[" * 4_000, b"\xff\xfe",
     json.dumps({"words": "x" * 2_000, "asked": 1}).encode()],
)  # fmt: skip
def test_what_is_no_tap_is_refused(door, body):
    """Neither broken nor endless words come through."""
    assert door.say(body or b" ") == 400
    assert not door.web.tapped()


def test_too_much_at_once_is_refused(door):
    """A body or a head beyond all use is not read on, with or without its length; taps have their number."""
    assert door.say(b"x" * (MOST_BYTES + 1)) == 413
    with door.dial() as line:
        head = f"POST /say HTTP/1.1\r\nHost: {door.host}\r\nOrigin: http://{door.host}\r\n"
        head += f"X-Hoodside-Token: {door.token}\r\nTransfer-Encoding: chunked\r\n\r\n"
        line.sendall(head.encode() + b"fff\r\n" + b"x" * 4_095 + b"\r\nfff\r\n" + b"x" * 4_095 + b"\r\n")
        assert b" 413 " in until(line, b"\r\n")
    with door.dial() as line:
        line.sendall(f"GET / HTTP/1.1\r\nHost: {door.host}\r\nX: {'x' * 400_000}\r\n\r\n".encode())
        assert b" 400 " in until(line, b"\r\n")
    assert [door.say() for _ in range(MOST_TAPS + 2)] == [204] * MOST_TAPS + [429, 429]
    assert len(door.web.tapped()) == MOST_TAPS


@pytest.mark.parametrize(
    "path",
    ["/site/../app.py", "/site/..%2f..%2fapp.py", "/site/%2e%2e/app.py", "/site//etc/passwd", "/../../etc/passwd",
     "/site/now.html", "/report?job=../../etc/passwd", "/paper?job=../x", "/flow?job=..%2f..", "/site/now.js%00"],
)  # fmt: skip
def test_crooked_paths_lead_nowhere(door, path):
    """No file but the site's own is ever given."""
    status, _, body = door.ask("GET", path)
    assert status in (400, 404)
    assert b"root:" not in body and b"import" not in body


def test_a_viewer_that_never_reads_holds_nobody_up(door):
    """Views go on, old ones are dropped, and another viewer gets the latest."""
    with door.open_stream() as slow, door.open_stream() as quick:
        until(slow, b"Look here.")
        until(quick, b"Look here.")
        for turn in range(2, 3_000):
            door.web.show(view(turn, words=f"{turn} " + "words " * 500))
        door.web.show(view(4_000, words="The last."))
        got = until(quick, b"The last.")
        assert got.count(b"data: ") < 1_000  # most were dropped


def test_viewers_have_their_number(door):
    """More are turned away, and come in again once others left."""
    lines = [door.open_stream() for _ in range(MOST_VIEWERS)]
    for line in lines:
        until(line, b"Look here.")
    assert door.ask("GET", "/events")[0] == 503
    for line in lines:
        line.close()
    with door.open_stream() as line:
        for _ in range(200):
            got = until(line, b"\r\n")
            if b"200 OK" in got:
                break
            line.close()
            line = door.open_stream()  # noqa: PLW2901 - until the server has seen them go
        until(line, b"Look here.", got)  # it may have come with the first line


def test_a_thousand_lines_leave_the_job_alone(door):
    """Few are held, the rest are cut; views go on meanwhile, and the page is there again afterwards."""
    held = []
    for _ in range(LINES):
        held.append(door.dial())
        if len(held) > 200:
            held.pop(0).close()
    door.web.show(view(2, words="Still here."))
    assert door.web._lines.count <= MOST_LINES
    for line in held:
        line.close()
    for _ in range(200):
        try:
            if door.ask("GET", "/")[0] == 200:
                break
        except OSError:
            continue
    assert door.say() == 204
    with door.open_stream() as line:
        until(line, b"Still here.")


def test_all_files_of_the_page_are_small(door):
    """The page with all that it loads stays below 150 kB, on a phone with its sound as well."""
    _, _, page = door.ask("GET", "/")
    parts = {part.decode() for part in re.findall(rb'(?:src|href)="(/site/[^"]+)"', page)}
    parts |= {"/site/draw.js", "/site/hands.js", "/site/camera.js"}
    whole = len(page) + sum(len(door.ask("GET", part)[2]) for part in parts)
    assert len(parts) >= 6 and 5_000 < whole < 150_000
    names = ("phone", "lines", "mouth", "ear")
    sound = sum(len(door.ask("GET", f"/site/{name}.js")[2]) for name in names)
    assert sound > 5_000 and whole + sound < 150_000


def test_a_name_of_a_job_is_no_markup(library):
    """A job named like a tag is a word in the list."""
    job = "<script>alert(1)</script>"
    web = WebScreen(PlainRecords(library, job), port=0, leads=False)
    try:
        host = web.address.removeprefix("http://").rstrip("/")
        line = http.client.HTTPConnection(host, timeout=30)
        line.request("GET", "/")
        body = line.getresponse().read()
        assert b"<script>alert" not in body and b"&lt;script&gt;alert" in body
    finally:
        web.close()
