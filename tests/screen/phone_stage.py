"""A phone's door served in this process, and a phone without a browser: requests and sockets as anybody could make."""

from __future__ import annotations

import http.client
import json
import re
import socket
import ssl
import struct
from http import HTTPStatus

import numpy as np
from websockets.sync.client import connect

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
        self.trust = ssl.create_default_context(cafile=own_certificate(folder, ADDRESS).file)

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
        """A socket for sound. Raises where it is refused."""
        headers = {"Cookie": self.cookie if cookie is None else cookie}
        where = f"wss://{host or self.host}/sound"
        options = {"ssl": self.trust, "origin": origin or f"https://{self.host}", "additional_headers": headers}
        if host is not None:
            options |= {"sock": self.dial(), "server_hostname": ADDRESS}
        return connect(where, open_timeout=30, close_timeout=1, **options)


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
