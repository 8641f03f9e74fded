"""Readable by everybody: no violation that axe knows of, large targets, everything at one look, larger text."""

from __future__ import annotations

from dataclasses import replace

import pytest
from axe_playwright_python.sync_playwright import Axe

from assistant.adapters.screen_web import WebScreen
from tests.screen.conftest import SIZES
from tests.screen.phone_stage import a_line, code_of, phone_page
from tests.screen.stage import PlainRecords, follow, moments

MOMENTS = (
    "rules asking", "complaint asking", "changed asking", "still cautioning", "still gating", "rest-volts asking",
    "rest-volts confirming", "turn poised", "turn timing", "turn asking", "codes asking", "resting",
    "turn crank", "fuse asking", "excusing", "pump-fuse closing", "lamp asking", "lamp ending",
    "lamp asking after i found there is a fuel leak", "empty-tank closing", "ended",
)  # fmt: skip
LOOKED_AT = ("still cautioning", "rest-volts asking", "turn timing", "pump-fuse closing", "complaint asking")
ENHANCED = {"rules": {"color-contrast-enhanced": {"enabled": True}, "target-size": {"enabled": True}}}
"""Contrast of seven to one is off in axe unless asked for."""
COLOURS = {"runOnly": {"type": "rule", "values": ["color-contrast", "color-contrast-enhanced"]}}
"""All that the scheme can change."""


@pytest.fixture(scope="session")
def axe():
    """The checker's script."""
    return Axe()


@pytest.fixture(scope="session")
def views(library, reasoner):
    """The moments of one job."""
    return moments(library, reasoner)


@pytest.fixture
def shown(library, views, look):
    """A page that is led from moment to moment."""
    web = WebScreen(PlainRecords(library), port=0)
    web.show(views[MOMENTS[0]])
    page = look(web.address, bypass_csp=True)

    def at(name):
        web.show(replace(views[name], asked=1 + MOMENTS.index(name)))
        page.wait_for_selector(f'body[data-asked="{1 + MOMENTS.index(name)}"]')
        return page

    yield at
    web.close()


def violations(axe, page):
    """What axe finds in the light, and of colours in the dark, in short."""
    found = []
    for scheme, options in (("light", ENHANCED), ("dark", COLOURS)):
        page.emulate_media(color_scheme=scheme)
        for one in axe.run(page, options=options).response["violations"]:
            nodes = [f"{node['html'][:120]} {node.get('failureSummary', '')[:200]}" for node in one["nodes"]]
            found += [f"{scheme}: {one['id']}: {node}" for node in nodes]
    return found


def test_axe_finds_nothing_on_the_page_of_the_job(shown, axe):
    """In each kind of moment, light and dark, contrast of seven to one included."""
    assert [f"{name}: {one}" for name in LOOKED_AT for one in violations(axe, shown(name))] == []


@pytest.mark.campaign
@pytest.mark.parametrize("size", SIZES)
def test_axe_finds_nothing_in_any_moment(shown, axe, size):
    """All of them at both sizes; some two minutes."""
    shown(MOMENTS[0]).set_viewport_size(dict(zip(("width", "height"), SIZES[size], strict=True)))
    assert [f"{name}: {one}" for name in MOMENTS for one in violations(axe, shown(name))] == []


def test_axe_finds_nothing_on_the_other_pages(stage, look, axe):
    """List, report's frame, flow, all words, and what is not there; light and dark."""
    job = stage()
    page = look(job.address, "phone", bypass_csp=True)
    page.click("#open-sheet")
    wrong = [f"all words: {one}" for one in violations(axe, page)]
    for path in ("jobs", "report?job=grey-hatchback", "flow?job=grey-hatchback", "report?job=nobody"):
        page.goto(job.address + path)
        wrong += [f"{path}: {one}" for one in violations(axe, page)]
    assert wrong == []


@pytest.mark.parametrize("size", SIZES)
def test_everything_is_there_at_one_look_and_under_a_knuckle(shown, size):
    """Nothing to scroll to, no text cut off, and each target 64 pixels high and wide."""
    width, height = SIZES[size]
    wrong = []
    for name in MOMENTS:
        page = shown(name)
        page.set_viewport_size({"width": width, "height": height})
        wrong += [f"{name}: {one}" for one in at_rest(page)]
    assert wrong == []


def at_rest(page):
    """What is wrong once the page has fitted its words to the new size, which a busy machine does a while later."""
    for _ in range(100):
        wrong = page.evaluate(ONE_LOOK)
        if not wrong:
            break
        page.wait_for_timeout(100)
    return wrong


ONE_LOOK = """() => {
  const wrong = [];
  if (document.documentElement.scrollHeight > innerHeight + 1) wrong.push("the page scrolls");
  if (document.documentElement.scrollWidth > innerWidth + 1) wrong.push("the page scrolls sideways");
  for (const id of ["do", "beside"]) {
    const box = document.getElementById(id);
    const over = box.scrollHeight - box.clientHeight;
    if (over > 1) wrong.push(`${id} is cut off by ${over}`);
    const end = box.getBoundingClientRect().bottom - parseFloat(getComputedStyle(box).paddingBottom);
    for (const one of box.children) {
      const there = one.getClientRects().length > 0;
      if (there && one.getBoundingClientRect().bottom > end + 2) wrong.push(`${one.id} touches the rim of ${id}`);
    }
  }
  const main = document.querySelector("main");
  if (main.scrollHeight > main.clientHeight + 1) wrong.push(`main scrolls by ${main.scrollHeight - main.clientHeight}`);
  for (const one of document.querySelectorAll("button, a, input")) {
    const size = one.getBoundingClientRect();
    if (size.width && (size.width < 63.5 || size.height < 63.5)) {
      wrong.push(`${one.textContent || one.id} is ${size.width} by ${size.height}`);
    }
  }
  for (const one of document.querySelectorAll("button, #heard, #clock-text, #path li, #band span, h1")) {
    if (one.clientWidth && one.scrollWidth > one.clientWidth + 1) wrong.push(`${one.textContent} is cut off`);
  }
  const letters = parseFloat(getComputedStyle(document.getElementById("instruction")).fontSize);
  if (letters < (innerWidth > 700 ? 32 : 22)) wrong.push(`the instruction is ${letters} pixels`);
  return wrong;
}"""


@pytest.mark.parametrize("way", ["zoom", "letters"])
def test_text_of_twice_the_size_can_all_be_reached(shown, way):
    """At 200 %, by the browser's zoom or by larger letters alone: nothing goes sideways, what no longer fits is
    scrolled to, and no text is squeezed into a column of letters."""
    page = shown("lamp asking")
    if way == "zoom":
        page.set_viewport_size({"width": 640, "height": 400})
    else:
        page.evaluate("() => { document.documentElement.style.fontSize = '200%'; dispatchEvent(new Event('resize')); }")
    assert page.evaluate("() => document.documentElement.scrollWidth <= innerWidth + 1")
    for part in ("#title", "#place", "#instruction", "#answers button", "#hands button", "#beside section:visible"):
        one = page.locator(part).last
        one.scroll_into_view_if_needed()
        box = one.bounding_box()
        assert box["x"] >= 0 and box["x"] + box["width"] <= page.viewport_size["width"] + 1, part
        assert box["width"] >= 64 and box["y"] < page.viewport_size["height"], part
        assert box["height"] < 400, part


def test_nothing_moves_for_who_wants_none(shown):
    """With reduced motion asked for there is no transition."""
    page = shown("changed asking")
    page.emulate_media(reduced_motion="reduce")
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
    assert page.evaluate("() => [scrollX, document.documentElement.scrollWidth - innerWidth]") == [0, 0]


@pytest.fixture
def both_doors(library, views, tmp_path):
    """A page with a phone's door, at the first moment of a job."""
    web = phone_page(library, tmp_path, line=a_line())
    web.show(replace(views["rules asking"], asked=1))
    yield web
    web.close()


def let_in(look, web, **more):
    """A phone's page, as it asks for the tap that lets it sound."""
    page = look(f"{web.phone_address}pair#{code_of(web)}", "phone", ignore_https_errors=True, **more)
    page.click("#pair button")
    page.wait_for_selector("#sound-sheet[open]")
    return page


def test_axe_finds_nothing_on_the_pages_of_the_phone(both_doors, look, axe):
    """The code on the laptop, the door, the tap for sound, the camera; light and dark; each target for a knuckle."""
    page = look(f"{both_doors.address}phone", bypass_csp=True)
    page.click("#new")
    page.wait_for_selector("#code-there")
    wrong = [f"code: {one}" for one in (*violations(axe, page), *page.evaluate(SMALL))]
    page = look(f"{both_doors.phone_address}pair", "phone", ignore_https_errors=True, bypass_csp=True)
    wrong += [f"door: {one}" for one in (*violations(axe, page), *page.evaluate(SMALL))]
    page = let_in(look, both_doors, bypass_csp=True)
    wrong += [f"sound: {one}" for one in (*violations(axe, page), *page.evaluate(SMALL))]
    page.click("#hands button[data-words=stop]", trial=True)  # whatever lies over the page
    page.click("#sound-not")
    page.evaluate("() => document.getElementById('camera').show()")
    wrong += [f"camera: {one}" for one in (*violations(axe, page), *page.evaluate(SMALL))]
    page.click("#hands button[data-words=stop]", trial=True)
    assert wrong == []


def test_the_phones_own_page_is_there_at_one_look(both_doors, views, look):
    """With its button for sound nothing scrolls either, in each kind of moment."""
    page = let_in(look, both_doors)
    page.click("#sound-not")
    wrong = []
    for number, name in enumerate(LOOKED_AT, start=2):
        both_doors.show(replace(views[name], asked=number))
        page.wait_for_selector(f'body[data-asked="{number}"]')
        wrong += [f"{name}: {one}" for one in at_rest(page)]
    assert wrong == []


SMALL = """() => [...document.querySelectorAll("button, a, input")].map((one) => [one, one.getBoundingClientRect()])
  .filter(([, size]) => size.width && (size.width < 63.5 || size.height < 63.5))
  .map(([one, size]) => `${one.textContent || one.id} is ${size.width} by ${size.height}`)
  .concat(document.documentElement.scrollWidth > innerWidth + 1 ? ["the page scrolls sideways"] : [])"""
