"""A real Chromium, one for all tests, and a stage for each job."""

from __future__ import annotations

import base64
import hashlib
import os
import shutil

import pytest
from cryptography import x509
from cryptography.hazmat.primitives import serialization
from playwright.sync_api import expect, sync_playwright

from assistant.adapters.recogniser_embedded import make_embedded
from assistant.adapters.screen_web import own_certificate
from assistant.reasoning.reasoner import make_reasoner
from assistant.session.adviser import Adviser
from assistant.wiring import load_model
from tests.guide.conftest import read_library
from tests.screen.phone_stage import ADDRESS
from tests.screen.stage import Stage
from tests.screen.voice_stage import TRACKS, Mouth, VoiceStage

CHROMIUM = shutil.which("chromium") or shutil.which("chromium-browser")
SIZES = {"wide": (1280, 800), "phone": (390, 844)}


def missing_chromium():
    """Skip and say why; fail where everything must be there."""
    reason = "no Chromium to look with; on Debian: apt-get install chromium"
    pytest.fail(reason) if os.environ.get("CI") == "true" else pytest.skip(reason)


@pytest.fixture(scope="session")
def library():
    """Every shipped procedure by id."""
    return read_library()


@pytest.fixture(scope="session")
def reasoner():
    """The shipped fault model at work."""
    return make_reasoner(load_model("no-start"))


@pytest.fixture(scope="session")
def browser():
    """The system's Chromium, driven by its client."""
    if CHROMIUM is None:
        missing_chromium()
    expect.set_options(timeout=30_000)
    with sync_playwright() as client:
        opened = client.chromium.launch(executable_path=CHROMIUM, args=["--no-sandbox", "--disable-gpu"])
        yield opened
        opened.close()


@pytest.fixture
def stage(library, reasoner):
    """Makes jobs under way behind a page; ends them."""
    made = []

    def make(**wishes):
        adviser = Adviser(reasoner, library) if wishes.pop("thinks", False) else None
        made.append(Stage(library, adviser=adviser, **wishes))
        return made[-1]

    yield make
    for one in made:
        one.close()


@pytest.fixture
def look(browser):
    """Opens a page of a stage, whose errors fail the test."""
    opened, wrong = [], []

    def at(address, size="wide", **more):
        width, height = SIZES[size]
        context = browser.new_context(viewport={"width": width, "height": height}, **more)
        opened.append(context)
        page = context.new_page()
        page.set_default_timeout(30_000)
        page.on("pageerror", lambda error: wrong.append(str(error)))
        page.goto(address)
        return page

    yield at
    for context in opened:
        context.close()
    assert wrong == []


@pytest.fixture(scope="session")
def folder(tmp_path_factory):
    """Where the certificate and the technician's voice lie."""
    return tmp_path_factory.mktemp("phone")


@pytest.fixture(scope="session")
def mouth(folder):
    """The technician's voice."""
    made = Mouth(folder / "mouth.wav")
    yield made
    made.close()


@pytest.fixture(scope="session")
def recogniser():
    """The ears that come with the installation."""
    made = make_embedded(threads=1)
    yield made
    made.close()


@pytest.fixture(scope="session")
def chromium(browser, folder, mouth):
    """A Chromium that hears the file, sees made-up pictures, and trusts our certificate alone."""
    certificate = x509.load_pem_x509_certificate(own_certificate(folder, ADDRESS).file.read_bytes())
    form = (serialization.Encoding.DER, serialization.PublicFormat.SubjectPublicKeyInfo)
    pin = base64.b64encode(hashlib.sha256(certificate.public_key().public_bytes(*form)).digest()).decode()
    arguments = [
        "--no-sandbox", "--disable-gpu", "--use-fake-ui-for-media-stream", "--use-fake-device-for-media-stream",
        f"--use-file-for-fake-audio-capture={mouth.file}%noloop", f"--ignore-certificate-errors-spki-list={pin}",
    ]  # fmt: skip
    made = browser.browser_type.launch(executable_path=CHROMIUM, args=arguments)
    yield made
    made.close()


@pytest.fixture
def phone(chromium):
    """Opens pages as on a phone; an error in one fails the test."""
    opened, wrong = [], []

    def at(*scripts):
        width, height = SIZES["phone"]
        context = chromium.new_context(viewport={"width": width, "height": height})
        opened.append(context)
        for script in (TRACKS, *scripts):
            context.add_init_script(script)
        page = context.new_page()
        page.set_default_timeout(30_000)
        page.on("pageerror", lambda error: wrong.append(str(error)))
        return page

    yield at
    for one in opened:
        one.close()
    assert wrong == []


@pytest.fixture
def voiced(library, folder, tmp_path, recogniser):
    """Makes jobs that are led through a phone; ends them."""
    made = []

    def make(**wishes):
        recogniser.finish()  # of what the last job heard
        made.append(VoiceStage(library, folder, recogniser=recogniser, data=tmp_path, **wishes))
        return made[-1]

    yield make
    for one in made:
        one.close()
