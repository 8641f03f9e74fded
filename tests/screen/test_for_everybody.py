"""Readable by everybody: no violation that axe knows of, large targets, everything at one look, larger text."""

from __future__ import annotations

import json

import pytest

from assistant.guide import Mode
from tests.screen.stage import follow, lines_until

SIZES = ("wide", "phone")
MOMENTS = {
    "asking": ("no-start/changed", 0, Mode.ASKING),
    "words": ("no-start/complaint", 0, Mode.ASKING),
    "caution": ("safety-setup/shop", 2, Mode.CAUTIONING),
    "gate": ("safety-setup/shop", 3, Mode.GATING),
    "reading": ("battery-state/rest-volts", 0, Mode.ASKING),
    "poised": ("cranking-check/turn", 0, Mode.POISED),
    "timing": ("cranking-check/turn", 1, Mode.TIMING),
    "confirming": ("battery-state/rest-volts", 1, Mode.CONFIRMING),
    "codes": ("no-start/codes", 0, Mode.ASKING),
    "late": ("no-spark/lamp", 0, Mode.ASKING),
}
NO_SPARK = {f"spark-check-coil-on-plug/{step}-crank": "no spark" for step in ("first", "second")}
AXE = {"rules": {"color-contrast-enhanced": {"enabled": True}, "target-size": {"enabled": True}}}
"""Contrast of seven to one is off in axe unless asked for."""


@pytest.fixture(scope="session")
def axe():
    """The checker's script."""
    from axe_playwright_python.sync_playwright import Axe  # loaded only where there is a browser

    return Axe()


def violations(axe, page):
    """What axe finds, in short."""
    found = axe.run(page, options=json.loads(json.dumps(AXE)))
    return [
        f"{one['id']}: {node['html'][:120]} {node.get('failureSummary', '')[:200]}"
        for one in found.response["violations"]
        for node in one["nodes"]
    ]


@pytest.fixture
def at_moment(library, stage, look):
    """A page at one of the moments."""

    def make(name, size="wide", **more):
        goal, further, mode = MOMENTS[name]
        job = stage(lines=lines_until(library, goal, NO_SPARK, further), thinks=True)
        page = look(job.address, size, bypass_csp=True, **more)
        _, room = follow(job, page, library)
        step = goal.partition("/")[2]
        room.wait(lambda: job.conversation.state.mode is mode, name)
        room.settle()
        assert step or page
        return page

    return make


@pytest.mark.parametrize("scheme", ["light", "dark"])
def test_axe_finds_nothing_on_the_page_of_the_job(at_moment, axe, scheme):
    """In each kind of moment, light and dark, contrast of seven to one included."""
    wrong = []
    for name in ("caution", "reading", "timing", "late", "words"):
        page = at_moment(name, color_scheme=scheme)
        wrong += [f"{name}: {one}" for one in violations(axe, page)]
        page.context.close()
    assert wrong == []


@pytest.mark.parametrize("scheme", ["light", "dark"])
def test_axe_finds_nothing_on_the_other_pages(stage, look, axe, scheme):
    """List, report's frame, flow, all words, and what is not there."""
    job = stage()
    wrong = []
    for path in ("jobs", "report?job=grey-hatchback", "flow?job=grey-hatchback", "report?job=nobody"):
        page = look(job.address + path, bypass_csp=True, color_scheme=scheme)
        page.wait_for_load_state("load")
        wrong += [f"{path}: {one}" for one in violations(axe, page)]
        page.context.close()
    page = look(job.address, "phone", bypass_csp=True, color_scheme=scheme)
    page.click("#open-sheet")
    wrong += [f"all words: {one}" for one in violations(axe, page)]
    assert wrong == []


@pytest.mark.parametrize("size", SIZES)
def test_everything_is_there_at_one_look_and_under_a_knuckle(at_moment, size):
    """Nothing to scroll to, no text cut off, and each target 64 pixels high and wide."""
    wrong = []
    for name in MOMENTS:
        page = at_moment(name, size)
        wrong += [f"{name}: {one}" for one in page.evaluate(ONE_LOOK)]
        page.context.close()
    assert wrong == []


ONE_LOOK = """() => {
  const wrong = [];
  if (document.documentElement.scrollHeight > innerHeight + 1) wrong.push("the page scrolls");
  if (document.documentElement.scrollWidth > innerWidth + 1) wrong.push("the page scrolls sideways");
  for (const id of ["do", "beside"]) {
    const box = document.getElementById(id);
    if (box.scrollHeight > box.clientHeight + 1) wrong.push(`${id} is cut off by ${box.scrollHeight - box.clientHeight}`);
  }
  const main = document.querySelector("main");
  if (main.scrollHeight > main.clientHeight + 1) wrong.push(`main scrolls by ${main.scrollHeight - main.clientHeight}`);
  for (const one of document.querySelectorAll("button, a, input")) {
    const size = one.getBoundingClientRect();
    if (size.width && (size.width < 63.5 || size.height < 63.5)) {
      wrong.push(`${one.textContent || one.id} is ${size.width} by ${size.height}`);
    }
  }
  const letters = parseFloat(getComputedStyle(document.getElementById("instruction")).fontSize);
  if (letters < (innerWidth > 700 ? 32 : 22)) wrong.push(`the instruction is ${letters} pixels`);
  return wrong;
}"""


def test_text_of_twice_the_size_can_all_be_reached(at_moment):
    """At 200 % nothing is lost: what no longer fits is scrolled to, and nothing goes sideways."""
    page = at_moment("late")
    page.evaluate("() => { document.documentElement.style.fontSize = '200%'; dispatchEvent(new Event('resize')); }")
    assert page.evaluate("() => document.documentElement.scrollWidth <= innerWidth + 1")
    hands = page.locator("#hands button[data-words=stop]")
    hands.scroll_into_view_if_needed()
    assert hands.is_visible()
    last = page.locator("#beside section:visible").last
    last.scroll_into_view_if_needed()
    assert page.evaluate(
        "() => { const box = document.querySelector('main'); return box.scrollHeight <= box.clientHeight + 1"
        " || getComputedStyle(box).overflowY === 'auto'; }"
    )


def test_nothing_moves_for_who_wants_none(at_moment):
    """With reduced motion asked for there is no transition."""
    page = at_moment("asking", reduced_motion="reduce")
    moves = "() => [...document.querySelectorAll('*')].map((one) => getComputedStyle(one).transitionDuration)"
    assert set(page.evaluate(moves)) == {"0s"}


def test_the_screen_stays_awake_while_the_job_runs(stage, look, library):
    """The page asks for it, and lets go when the job has ended."""
    job = stage()
    page = look("about:blank")
    page.add_init_script(
        "window.locks = []; Object.defineProperty(navigator, 'wakeLock', { value: { request: async () => {"
        " const lock = new EventTarget(); lock.release = async () => { lock.gone = true; "
        "lock.dispatchEvent(new Event('release')); }; window.locks.push(lock); return lock; } } });"
    )
    page.goto(job.address)
    _, room = follow(job, page, library)
    room.wait(lambda: page.evaluate("window.locks.filter((one) => !one.gone).length") == 1, "the lock")
    job.lines.put("end job")
    job.lines.put("yes")
    job.lines.put("done")
    page.wait_for_selector("body[data-ended=yes]")
    room.wait(lambda: page.evaluate("window.locks.filter((one) => !one.gone).length") == 0, "its release")


def test_the_flow_marks_where_the_job_stands_and_follows(stage, look, library):
    """Named in words and framed in the drawing; it moves with the job."""
    job = stage()
    page = look(job.address + "flow")
    page.wait_for_selector('[data-step="rules"] .present')
    assert "rules" in page.inner_text("#here")
    job.lines.put("done")
    page.wait_for_selector('[data-step="complaint"] .present')
    assert page.locator(".present").count() == 1
