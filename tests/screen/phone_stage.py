"""A phone's door served in this process, and a phone without a browser: requests and sockets as anybody could make."""

from __future__ import annotations

import http.client
import json
import re
import socket
import ssl
import struct
from contextlib import suppress
from http import HTTPStatus

import numpy as np
from websockets.client import ClientProtocol
from websockets.frames import Frame, Opcode
from websockets.http11 import Response
from websockets.protocol import State
from websockets.uri import parse_uri

from assistant.adapters.screen_web import PhoneLine, PhoneWish, WebScreen, own_certificate
from tests.screen.stage import PlainRecords

ADDRESS = "127.0.0.1"


def phone_page(library, folder, *, line=None, port=0, phone_port=0, records=None, leads=True):
    """A page with a phone's door on the loopback address, its certificate kept in the folder."""
    wish = PhoneWish(address=ADDRESS, certificate=own_certificate(folder, ADDRESS), line=line, port=phone_port)
    return WebScreen(records or PlainRecords(library), port=port, phone=wish, leads=leads)


class Visitor:
    """Who asks at the phone's door. `cookie`: the token it was given, empty before."""

    def __init__(self, web, folder):
        self.web = web
        self.host = web.phone_address.removeprefix("https://").rstrip("/")
        self.port = int(self.host.rpartition(":")[2])
        self.cookie = ""
        self.trust = ssl.create_default_context(cafile=own_certificate(folder, ADDRESS).authority)

    def ask(self, method, path, body=None, **headers):
        """Status, headers and body; a header of None is left out."""
        own = {"Host": self.host, "Cookie": self.cookie or None}
        own["Origin"] = f"https://{self.host}" if method == "POST" else None
        given = own | {name.replace("_", "-"): value for name, value in headers.items()}
        line = http.client.HTTPSConnection(ADDRESS, self.port, timeout=30, context=self.trust)
        try:
            line.putrequest(method, path, skip_host=True)
            for name, value in given.items():
                if value is not None:
                    line.putheader(name, value)
            if body is not None:
                line.putheader("Content-Length", str(len(body)))
            line.endheaders(body)
            answer = line.getresponse()
            return answer.status, dict(answer.getheaders()), answer.read()
        finally:
            line.close()

    def pair(self, code, **headers):
        """Give a code; the status. The cookie is kept."""
        status, told, _ = self.ask("POST", "/pair", json.dumps({"code": code}).encode(), **headers)
        if status == HTTPStatus.NO_CONTENT:
            self.cookie = told["set-cookie"].partition(";")[0]
        return status

    @property
    def token(self):
        """As the page carries it, once let in."""
        return re.search(rb'hoodside-token" content="([^"]+)', self.ask("GET", "/")[2])[1].decode()

    def dial(self):
        """A bare line, before TLS."""
        return socket.create_connection((ADDRESS, self.port), timeout=30)

    def socket(self, origin=None, cookie=None, host=None):
        """A socket for sound. Raises Refused where it is."""
        line = self.trust.wrap_socket(self.dial(), server_hostname=ADDRESS)
        speaks = ClientProtocol(parse_uri(f"wss://{host or self.host}/sound"), origin=origin or f"https://{self.host}")
        request = speaks.connect()
        request.headers["Cookie"] = self.cookie if cookie is None else cookie
        speaks.send_request(request)
        return Sound(line, speaks)


class Refused(Exception):
    """No socket was opened."""


class Closed(Exception):
    """The socket is at its end."""


class Sound:
    """A socket in one thread: the protocol without I/O of its own, over a line that is read when it is asked."""

    def __init__(self, line, speaks):
        self._line = line
        self._speaks = speaks
        self._waiting = []
        self._flush()
        answer = self._next(30)
        if not isinstance(answer, Response) or answer.status_code != HTTPStatus.SWITCHING_PROTOCOLS:
            line.close()
            raise Refused(answer)

    def send(self, told):
        """Words or bytes. Raises Closed."""
        if self._speaks.state is not State.OPEN:
            raise Closed
        if isinstance(told, str):
            self._speaks.send_text(told.encode())
        else:
            self._speaks.send_binary(told)
        self._flush()

    def recv(self, timeout):
        """What comes next. Raises Closed at the end, TimeoutError."""
        frame = self._next(timeout)
        while isinstance(frame, Frame) and frame.opcode in (Opcode.PING, Opcode.PONG):
            frame = self._next(timeout)
        if frame is None or frame.opcode is Opcode.CLOSE:
            raise Closed
        return frame.data.decode() if frame.opcode is Opcode.TEXT else bytes(frame.data)

    def _next(self, timeout):
        self._line.settimeout(timeout or 0.000_1)
        while not self._waiting:
            try:
                came = self._line.recv(65_536)
            except (ConnectionError, ssl.SSLEOFError):
                came = b""
            if came:
                self._speaks.receive_data(came)
            else:
                self._speaks.receive_eof()
            self._waiting += self._speaks.events_received()
            self._flush()
            if not came and not self._waiting:
                return None
        return self._waiting.pop(0)

    def _flush(self):
        self._line.settimeout(30)
        with suppress(OSError):
            self._line.sendall(b"".join(self._speaks.data_to_send()))

    def __enter__(self):
        """Open already."""
        return self

    def __exit__(self, *_):
        """Close it."""
        self._line.close()


def code_of(web):
    """A code as the laptop's page asks for it."""
    host = web.address.removeprefix("http://").rstrip("/")
    line = http.client.HTTPConnection(host, timeout=30)
    line.request("GET", "/")
    token = re.search(rb'hoodside-token" content="([^"]+)', line.getresponse().read())[1].decode()
    line.request("POST", "/phone/code", headers={"Origin": f"http://{host}", "X-Hoodside-Token": token})
    told = json.loads(line.getresponse().read())
    line.close()
    return told["code"]["text"]


def hello(stream="a", rate=16_000, **more):
    """What a phone says first."""
    return json.dumps({"stream": stream, "rate": rate, "cuts": 0, "played": 0, "has": 0} | more)


def block(number, level=0, frames=512):
    """A block of that number."""
    return struct.pack("<I", number) + np.full(frames, level, "<i2").tobytes()


def a_line(**more):
    """A phone's line at our voice's rate."""
    return PhoneLine(rate_hz=24_000, **more)
