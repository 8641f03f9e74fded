"""The phone's door and who should not come in by it: nothing leaks, and the job goes on."""

from __future__ import annotations

import http.client
import json
import plistlib
import ssl
import struct

import numpy as np
import pytest
from cryptography import x509
from cryptography.hazmat.primitives import serialization

from assistant.adapters.screen_web import WebScreen, own_certificate
from assistant.adapters.screen_web.gate import OPEN_TO_ALL
from assistant.adapters.screen_web.pairing import CODE_S, MOST_TRIES, MOST_WRONG, TRIES_S, Pairing
from assistant.adapters.screen_web.phone_line import AHEAD_S
from assistant.adapters.screen_web.serving import MOST_LINES, MOST_LINES_EACH
from assistant.language.model import Control
from tests.screen.phone_stage import ADDRESS, Closed, Refused, Visitor, a_line, block, code_of, hello, phone_page
from tests.screen.stage import PlainRecords
from tests.screen.test_attacks import view

SECRET = ("/", "/jobs", "/report?job=grey-hatchback", "/paper?job=grey-hatchback", "/flow", "/where", "/events",
          "/sound/line", "/site/now.js", "/site/phone.js", "/phone", "/phone/state")  # fmt: skip


@pytest.fixture
def line():
    """The phone's sound."""
    return a_line()


@pytest.fixture
def web(library, line, tmp_path):
    """A page with a phone's door."""
    made = phone_page(library, tmp_path, line=line)
    made.show(view())
    yield made
    made.close()


@pytest.fixture
def stranger(web, tmp_path):
    """Nobody that was let in."""
    return Visitor(web, tmp_path)


@pytest.fixture
def phone(web, tmp_path):
    """A phone that was let in."""
    made = Visitor(web, tmp_path)
    assert made.pair(code_of(web)) == 204
    return made


def test_a_phone_that_was_let_in_is_served(phone, line):
    """Else no refusal below would mean anything: pages, taps and sound."""
    assert phone.ask("GET", "/")[0] == 200
    own = {"X_Hoodside_Token": phone.token}
    assert phone.ask("POST", "/say", b'{"words": "done", "asked": 1}', **own)[0] == 204
    with phone.socket() as sound:
        sound.send(hello())
        sound.send(block(0, level=7))
        assert line.blocks.get(timeout=10).pcm[0] == 7


@pytest.mark.parametrize("path", SECRET)
def test_without_a_token_nothing_is_told(stranger, path):
    """Of the job or of the shop; only the page where the code is written is open."""
    status, _, body = stranger.ask("GET", path)
    assert status in (303, 403) and b"grey-hatchback" not in body and b"token" not in body
    for open_path in OPEN_TO_ALL:
        assert b"grey-hatchback" not in stranger.ask("GET", open_path)[2]


@pytest.mark.parametrize(
    "cookie", ["__Host-hoodside=guessed", "__Host-hoodside=", "hoodside=x", "__Host-hoodside=\xe9"]
)
def test_a_guessed_token_opens_nothing(stranger, phone, cookie):
    """Neither pages, nor taps, nor sound; also while a phone is let in."""
    stranger.cookie = cookie
    assert stranger.ask("GET", "/jobs")[0] == 403
    assert stranger.ask("POST", "/say", b"{}")[0] == 403
    assert stranger.ask("POST", "/sound/chunk", b"")[0] == 403
    with pytest.raises(Refused):
        stranger.socket(cookie=cookie.encode("ascii", "replace").decode())


def test_the_cookie_stays_with_browser_tls_and_site(web, tmp_path):
    """Out of reach of scripts, of plain HTTP, of other sites and other hosts."""
    visitor = Visitor(web, tmp_path)
    _, told, _ = visitor.ask("POST", "/pair", json.dumps({"code": code_of(web)}).encode())
    assert told["set-cookie"].startswith("__Host-hoodside=")
    assert told["set-cookie"].partition("; ")[2] == "Path=/; Secure; HttpOnly; SameSite=Strict"


def test_a_code_is_of_use_once(web, phone, stranger):
    """Replayed it lets nobody in; a new one lets another phone in, and the first one out."""
    code = code_of(web)
    assert stranger.pair(code) == 204
    assert Visitor.pair(phone, code) == 403
    assert phone.ask("GET", "/")[0] == 303


def test_a_code_holds_two_minutes_and_five_guesses():
    """Then it is void, however right; and whoever guesses on is not even compared."""
    now = [0.0]
    pairing = Pairing(lambda: now[0])
    code = pairing.new_code().text
    assert pairing.pair("") is None and pairing.pair("guessed") is None
    now[0] = CODE_S - 0.1
    assert pairing.pair(code.lower().replace("-", " ")) is not None
    code = pairing.new_code().text
    now[0] += CODE_S
    assert pairing.code is None and pairing.pair(code) is None
    now[0] += TRIES_S
    code = pairing.new_code().text
    for _ in range(MOST_WRONG):
        pairing.pair("WRONGWRO")
    assert pairing.pair(code) is None
    now[0] += TRIES_S + 1
    for _ in range(MOST_TRIES):
        pairing.new_code()
        pairing.pair("WRONGWRO")
    code = pairing.new_code().text
    assert pairing.pair(code) is None
    now[0] += TRIES_S + 1
    assert pairing.pair(code) is not None


@pytest.mark.parametrize(
    "body", [b"", b"[]", b"{", b'{"code": 1}', b'{"code": "' + b"x" * 500 + b'"}', b"[" * 150, b"\xff"]
)
def test_what_is_no_code_is_refused(web, stranger, body):
    """Neither broken nor endless ones."""
    code_of(web)
    assert stranger.ask("POST", "/pair", body)[0] == 403


@pytest.mark.parametrize("headers", [{"Origin": None}, {"Origin": "https://shop.example"}, {"Origin": "null"},
                                     {"Sec_Fetch_Site": "cross-site"}, {"Host": "shop.example"}])  # fmt: skip
def test_another_site_cannot_use_the_phone(web, phone, headers):
    """Not even with its cookie: no tap, no picture, no sound, no pairing."""
    own = {"X_Hoodside_Token": phone.token}
    for path in ("/say", "/picture", "/sound/chunk", "/leave"):
        assert phone.ask("POST", path, b"{}", **(own | headers))[0] == 403
    assert phone.pair(code_of(web), **headers) == 403
    assert not web.tapped()


@pytest.mark.parametrize("host", ["shop.example", "127.0.0.1:1", "localhost:4664"])
def test_a_name_rebound_to_the_door_gets_nothing(phone, host):
    """No page, and no socket."""
    assert phone.ask("GET", "/", Host=host)[0] == 403
    with pytest.raises(Refused):
        phone.socket(host=host, origin=f"https://{host}")


def test_no_socket_for_another_sites_page(phone, stranger):
    """Cross-site: with the phone's own cookie; and none without."""
    with pytest.raises(Refused):
        phone.socket(origin="https://shop.example")
    with pytest.raises(Refused):
        stranger.socket()


def test_an_oversize_or_crooked_frame_ends_the_line_alone(phone, line):
    """Too long, odd, empty, no numbers, words that make no sense: the line is closed, the next one is served."""
    crooked = [b"x" * 200_000, b"", b"abc", struct.pack("<I", 0) + b"x", "{", "[" * 9_000, '{"cuts": "a", "played": 0}',
               hello(rate=1), hello(stream=""), hello(rate="a"), hello(has=-1)]  # fmt: skip
    for each in crooked:
        with phone.socket() as sound:
            sound.send(hello())
            try:
                sound.send(each)
                while True:
                    sound.recv(timeout=10)
            except Closed:
                continue
    with phone.socket() as sound:
        sound.send(hello(stream="b"))
        sound.send(block(0))
        assert line.blocks.get(timeout=10).pcm.size == 512


def test_chunks_that_are_too_long_or_crooked_are_refused(phone, line):
    """Where no socket can be opened the same holds."""
    ask = lambda body: phone.ask("POST", "/sound/chunk", body)[0]  # noqa: E731
    assert ask(b"x" * 70_000) == 413
    for crooked in (struct.pack("<I", 400) + b"x", struct.pack("<I", 3) + b"abc", struct.pack("<I", 0x80000001) + b"{"):
        assert ask(crooked) == 400
    words = hello().encode()
    assert ask(struct.pack("<I", len(words) | 0x80000000) + words + struct.pack("<I", 1028) + block(0)) == 200
    assert line.blocks.get(timeout=10).pcm.size == 512


def test_a_phone_that_never_reads_holds_nothing_up(phone, line, web):
    """Of our speech at most a few seconds are on their way to it, however much is said; views go on."""
    with phone.socket() as slow:
        slow.send(hello())
        for _ in range(60):
            line.say(np.ones(24_000, np.int16))
        for turn in range(2, 2_000):
            web.show(view(turn, words="Still here. " * 50))
        assert line._sent <= (AHEAD_S + 1.0) * 24_000
        line.cut()
        assert not line.speaking


def test_a_thousand_lines_at_the_phones_door_leave_job_and_page_alone(phone, web):
    """Few are held, before they have even spoken TLS; the laptop's page has its own, and the phone comes in again."""
    held = []
    for _ in range(1_000):
        held.append(phone.dial())
        if len(held) > 200:
            held.pop(0).close()
    assert web._serving._servers[0][1].held <= MOST_LINES_EACH < MOST_LINES
    code_of(web)
    for each in held:
        each.close()
    for _ in range(2_000):
        try:
            if phone.ask("GET", "/")[0] == 200:
                break
        except OSError:
            continue
    else:
        raise AssertionError("the phone stays out")


@pytest.mark.parametrize("path", ["/site/../app.py", "/site/%2e%2e/pairing.py", "/../../etc/passwd", "/site/now.html",
                                  "/site/..%2f..%2fphone-key.pem", "/paper?job=../phone-key.pem"])  # fmt: skip
def test_crooked_paths_lead_nowhere(phone, path):
    """No file but the site's own, also for the phone that was let in."""
    status, _, body = phone.ask("GET", path)
    assert status in (400, 404) and b"PRIVATE" not in body and b"import" not in body


def test_a_changed_certificate_is_refused_and_its_token_with_it(library, tmp_path):
    """Who kept our certificate does not speak to another one; and no token outlives the program."""
    first, other = tmp_path / "first", tmp_path / "other"
    web = phone_page(library, first, line=a_line())
    phone = Visitor(web, first)
    assert phone.pair(code_of(web)) == 204
    port, cookie = phone.port, phone.cookie
    web.close()
    web = phone_page(library, other, line=a_line(), phone_port=port)
    try:
        with pytest.raises(ssl.SSLCertVerificationError):
            phone.ask("GET", "/")
        known = Visitor(web, other)
        known.cookie = cookie
        assert known.ask("GET", "/jobs")[0] == 403
    finally:
        web.close()


def test_the_certificate_is_kept_and_made_anew_for_another_address(tmp_path):
    """A phone that was here before knows it again; its key is the user's alone."""
    first = own_certificate(tmp_path, ADDRESS)
    again = own_certificate(tmp_path, ADDRESS)
    assert first.fresh and not again.fresh and first.fingerprint == again.fingerprint
    assert len(first.fingerprint.split(":")) == 32
    assert first.key.stat().st_mode & 0o777 == 0o600
    assert own_certificate(tmp_path, "192.0.2.7").fingerprint != first.fingerprint


def test_what_a_phone_installs_vouches_for_this_address_alone(web, phone, tmp_path):
    """Anybody may load it, before being let in: it holds one certificate and no secret. Nothing else than this address
    is within its bounds, and the key that it signs with is kept nowhere."""
    status, told, body = phone.ask("GET", "/hoodside.mobileconfig", Cookie=None)
    assert status == 200 and told["content-type"].startswith("application/x-apple-aspen-config")
    profile = plistlib.loads(body)
    (payload,) = profile["PayloadContent"]
    assert (profile["PayloadType"], payload["PayloadType"]) == ("Configuration", "com.apple.security.root")
    authority = x509.load_der_x509_certificate(payload["PayloadContent"])
    bounds = authority.extensions.get_extension_for_class(x509.NameConstraints)
    assert bounds.critical and [str(one.value) for one in bounds.value.permitted_subtrees] == [
        f"{ADDRESS}/32", "hoodside.invalid"
    ]  # fmt: skip
    limits = authority.extensions.get_extension_for_class(x509.BasicConstraints).value
    assert limits.ca and limits.path_length == 0
    own = own_certificate(tmp_path, ADDRESS)
    x509.load_pem_x509_certificate(own.file.read_bytes()).verify_directly_issued_by(
        x509.load_pem_x509_certificate(own.authority.read_bytes())
    )
    for file in tmp_path.iterdir():
        if b"PRIVATE KEY" in (text := file.read_bytes()):
            key = serialization.load_pem_private_key(text, None).public_key()
            assert file == own.key and key != authority.public_key()


def test_a_certificate_that_another_authority_signed_is_made_anew(tmp_path):
    """So is one of before there were authorities: a phone is never told to trust what did not sign the door's."""
    own_certificate(tmp_path / "one", ADDRESS)
    other = own_certificate(tmp_path / "two", ADDRESS)
    other.authority.replace(tmp_path / "one" / other.authority.name)
    assert own_certificate(tmp_path / "one", ADDRESS).fresh
    other = own_certificate(tmp_path / "two", ADDRESS)
    assert other.fresh and not own_certificate(tmp_path / "two", ADDRESS).fresh


def test_without_the_wish_no_door_is_open(library):
    """Loopback alone, and no page about a phone, nor any way to ask for a code."""
    web = WebScreen(PlainRecords(library), port=0)
    try:
        host = web.address.removeprefix("http://").rstrip("/")
        assert web._serving.addresses == ["127.0.0.1"] and web.phone_address == ""
        for path in ("/phone", "/phone/state", "/pair", "/sound", "/sound/line"):
            line = http.client.HTTPConnection(host, timeout=30)
            line.request("GET", path)
            assert line.getresponse().status == 404, path
            line.close()
    finally:
        web.close()


def test_a_phone_is_removed_by_word_and_stays_out(web, phone, line):
    """Its line ends, its token opens nothing; the command is there only while a phone is let in."""
    with phone.socket() as sound:
        sound.send(hello())
        assert Control.PHONE_AWAY in web.controls()
        assert web.obey(Control.PHONE_AWAY) == "The phone is removed."
        with pytest.raises(Closed):
            while True:
                sound.recv(timeout=10)
    assert phone.ask("GET", "/")[0] == 303 and not line.here
    assert Control.PHONE_AWAY not in web.controls()
