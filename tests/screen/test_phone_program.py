"""The program from its command line: a shop's own procedure as a flow, a phone, a photograph kept and forgotten."""

from __future__ import annotations

import http.client
import io
import re
import subprocess
import sys

import pypdf
import pytest
from PIL import Image

from assistant.__main__ import run
from tests.screen.phone_stage import Visitor, code_of
from tests.screen.test_attacks import until

OWN = """\
id: bench-lamp
version: 1
title: Is the lamp on the made-up bench lit
applies_to: Nothing but this test
tools: []
consumables: []
sources:
  - {id: practice, text: "common practice, no source"}
begin: look-at-lamp

steps:
  - id: look-at-lamp
    kind: instruct
    say: Look at the lamp on the bench.
    hazards: []
    minutes: 0.5
    place: hood
    next: lamp-lit

  - id: lamp-lit
    kind: ask
    say: Is it lit?
    hazards: []
    minutes: 0.3
    place: hood
    results:
      - {id: lit, phrases: [it is lit], goes: seen}
      - {id: dark, phrases: [no light], goes: seen}

  - id: seen
    kind: finding
    say: The lamp was looked at.
    hazards: []
    minutes: 0
    place: hood
    finding:
      fault: bench-lamp
      proved:
        - Somebody looked.
      likely:
        - Nothing else.
      untested:
        - The car.
      advice: Go on with the job.
      customer: A lamp in our shop was looked at.
"""


class Program:
    """One started, with what it says of its pages."""

    def __init__(self, *arguments, home):
        command = [sys.executable, "-m", "assistant", *arguments]
        pipes = {"stdin": subprocess.PIPE, "stdout": subprocess.PIPE, "stderr": subprocess.PIPE}
        self.process = subprocess.Popen(command, text=True, env=home, **pipes)
        self.told = ""
        for line in self.process.stderr:
            self.told += line
            if "To let a phone in" in line:
                break
        self.address = re.search(r"http://\S+/", self.told)[0]

    def close(self):
        """End of what is typed; the exit code."""
        self.process.stdin.close()
        code = self.process.wait(60)
        self.told += self.process.stderr.read()
        return code


def page(address, path, **more):
    """A page's bytes."""
    line = http.client.HTTPConnection(address.removeprefix("http://").rstrip("/"), timeout=30)
    line.request("GET", path, **more)
    body = line.getresponse().read()
    line.close()
    return body


@pytest.fixture
def home(tmp_path, monkeypatch):
    """Settings of nobody."""
    import os  # noqa: PLC0415 - the environment of one process

    monkeypatch.setenv("XDG_CONFIG_HOME", str(tmp_path / "settings"))
    return dict(os.environ)


def test_a_job_with_a_shops_own_procedure_a_phone_and_a_picture(tmp_path, home, capsys):
    """Its flow is drawn from what was kept with the job, while it is led and later from the desk, though the file is
    gone; the photograph is in the report until the words are forgotten."""
    own, data = tmp_path / "bench-lamp.yaml", tmp_path / "data"
    own.write_text(OWN, encoding="utf-8")
    common = ("--hear", "typed", "--data", str(data), "--phone", "--phone-address", "127.0.0.1")
    led = Program("start", str(own), "--job", "own lamp", *common, home=home)
    own.unlink()
    web = type("Web", (), {"address": led.address, "phone_address": phone_address(led.address)})
    assert b"made-up bench lit" in page(led.address, "/flow") and b'data-step="lamp-lit"' in page(led.address, "/flow")
    phone = Visitor(web, tmp_path / "settings" / "hoodside")
    assert phone.pair(code_of(web)) == 204
    assert phone.ask("GET", "/sound/line")[0] == 404  # in a typed session the phone is a screen alone
    line = phone.dial()
    line = phone.trust.wrap_socket(line, server_hostname="127.0.0.1")
    line.sendall(f"GET /events HTTP/1.1\r\nHost: {phone.host}\r\nCookie: {phone.cookie}\r\n\r\n".encode())
    got = until(line, b"data: ")
    led.process.stdin.write("take a picture\n")
    led.process.stdin.flush()
    got = until(line, b'"shot":[1,"phone"]', got)
    send = {"X_Hoodside_Token": phone.token, "X_Hoodside_Shot": "1"}
    assert phone.ask("POST", "/picture", b"no picture", **send)[0] == 400
    assert phone.ask("POST", "/picture", b"x" * 1_000_001, **send)[0] == 413
    assert phone.ask("POST", "/picture", picture(), **(send | {"X_Hoodside_Shot": "2"}))[0] == 409
    assert phone.ask("POST", "/picture", picture(), **send)[0] == 204
    assert phone.ask("POST", "/picture", picture(), **send)[0] == 409  # one was asked for
    until(line, b'"shot":null', got)  # the same loop that takes it wakes the page
    for _ in range(500):
        if list(data.rglob("*.jpg")):
            break
        phone.ask("GET", "/where")
    (kept,) = data.rglob("*.jpg")
    assert kept.stat().st_mode & 0o777 == 0o600
    line.close()
    led.process.stdin.write("done\nit is lit\nyes\n")
    assert led.close() == 0, led.told
    shown = tmp_path / "report.html"
    assert run(["report", "own lamp", "--data", str(data), "--out", str(shown)]) == 0
    assert 'class="photograph" data-name' in shown.read_text(encoding="utf-8")
    assert run(["jobs", "verify", "--data", str(data), "--against", str(shown)]) == 0
    assert on_paper(data, tmp_path / "report.pdf") == [kept.read_bytes()]
    kept.write_bytes(kept.read_bytes()[:-4] + b"\x00\x00\xff\xd9")
    assert run(["jobs", "verify", "--data", str(data)]) == 1
    assert "photograph" in "".join(capsys.readouterr())
    assert run(["jobs", "forget", "own lamp", "--words", "--data", str(data)]) == 0
    assert not list(data.rglob("*.jpg"))
    assert run(["jobs", "verify", "--data", str(data)]) == 0
    assert run(["report", "own lamp", "--data", str(data), "--out", str(shown)]) == 0
    assert 'class="photograph" data-name' not in shown.read_text(encoding="utf-8")


def on_paper(data, paper):
    """The pictures in the job's PDF, once it was held against the record."""
    assert run(["report", "own lamp", "--format", "pdf", "--data", str(data), "--out", str(paper)]) == 0
    assert run(["jobs", "verify", "--data", str(data), "--against", str(paper)]) == 0
    sheets = pypdf.PdfReader(io.BytesIO(paper.read_bytes())).pages
    return [image.data for sheet in sheets for image in sheet.images]


def phone_address(address):
    """Where the phone's door is, as the laptop's page says it."""
    token = re.search(rb'hoodside-token" content="([^"]+)', page(address, "/phone"))[1].decode()
    told = page(address, "/phone/state", headers={"X-Hoodside-Token": token})
    return re.search(rb'"address":"([^"]+)"', told)[1].decode()


def picture():
    """Made up."""
    out = io.BytesIO()
    Image.linear_gradient("L").save(out, "JPEG")
    return out.getvalue()
