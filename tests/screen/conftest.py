"""A real Chromium, one for all tests, and a stage for each job."""

from __future__ import annotations

import os
import shutil

import pytest
from playwright.sync_api import expect, sync_playwright

from assistant.reasoning.reasoner import make_reasoner
from assistant.session.adviser import Adviser
from assistant.wiring import load_model
from tests.guide.conftest import read_library
from tests.screen.stage import Stage

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
