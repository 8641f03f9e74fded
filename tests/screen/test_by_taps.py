"""Jobs led on a page in a real browser: by taps, with reloads, two viewers, and a program that was killed."""

from __future__ import annotations

import re
import signal
import subprocess
import sys

from playwright.sync_api import expect

from assistant.facts import FactKind
from assistant.guide import Mode, fold
from tests.screen.stage import PUMP_FUSE, follow, lines_until

NASTY = "<img src=x onerror=document.title='taken'><script>document.title='taken'</script>"


def test_a_whole_job_by_taps(library, stage, look):
    """The plan leads from the first word to the last by taps alone: a reload in the middle, a test that cannot be done
    and why not, the proposed repair, its check. The facts lead to the same state."""
    job = stage(thinks=True, leads=True)
    page = look(job.address)
    lead, room = follow(job, page, library, PUMP_FUSE)
    lead.until("no-start/fuel-level")
    before = len(job.facts)
    page.reload()
    room.settle()
    assert len(job.facts) == before
    lead.until("no-start/codes")
    room.tap("i can't do that")
    room.tap("no")
    assert job.conversation.state.at.step == "codes" and job.conversation.state.mode is Mode.ASKING
    room.tap("i can't do that")
    room.tap("no tool for it")
    left_out = [fact for fact in job.facts if fact.kind is FactKind.TEST_LEFT_OUT]
    assert [fact.data["why"] for fact in left_out] == ["no-tool"]
    while not job.conversation.state.finding:
        lead.next_line()
    room.tap("repair done")
    lead.until(None)
    page.wait_for_selector("body[data-ended=yes]")
    assert room.taps > 60
    page.reload()  # who opens the page of a closed job sees that, and the way to its report
    expect(page.locator("#paper")).to_have_attribute("href", "/report?job=grey-hatchback")
    expect(page.locator("#beside h2:visible")).to_have_count(page.locator("#beside section:not([hidden])").count())
    assert page.locator("#s-level:visible").count() == 0
    found = [fact for fact in job.facts if fact.kind is FactKind.FINDING_REACHED]
    assert found[0].step == "pump-fuse" and found[-1].step != "pump-fuse"
    assert fold(library, job.facts) == job.conversation.state


def test_what_can_be_said_can_be_written_and_gone_to(library, stage, look):
    """Behind "all words" a line takes whatever has too many forms for a button, and each test has one; stop stays in
    reach beside them, and no caution is passed by writing."""
    job = stage(thinks=True, leads=True, lines=lines_until(library, "no-start/fuel-level"))
    page = look(job.address)
    _, room = follow(job, page, library)
    room.wait(lambda: job.conversation.state.at.step == "fuel-level", "the lines")
    room.settle()
    page.click("#open-sheet")
    page.click("#hands button[data-words=stop]", trial=True)
    page.fill("#any", "what if there is no spark")
    page.click("#say button")
    expect(page.locator("#said")).to_contain_text("If there is no spark")
    room.tap("take me to the cranking check")
    assert job.conversation.state.mode is Mode.CAUTIONING
    page.click("#open-sheet")
    page.fill("#any", "yes")
    page.click("#say button")
    expect(page.locator("#said")).to_contain_text("bare yes")
    assert job.conversation.state.mode is Mode.CAUTIONING


def test_two_viewers_see_the_same_and_each_may_tap(library, stage, look):
    """What one taps leads on for both; nothing is taken twice."""
    job = stage()
    first, second = look(job.address), look(job.address, "phone")
    _, by_first = follow(job, first, library)
    _, by_second = follow(job, second, library)
    by_first.type("done")
    by_first.settle()
    by_second.settle()
    assert first.inner_text("#instruction") == second.inner_text("#instruction")
    by_second.type("it cranks but will not start")
    by_first.settle()
    by_second.settle()  # its own page may lag behind the job as the other's does
    assert first.inner_text("#instruction") == second.inner_text("#instruction")
    kept = [fact for fact in job.facts if fact.kind is FactKind.STEP_ENTERED]
    assert [fact.step for fact in kept] == ["rules", "complaint", "changed"]


def test_a_caution_cannot_be_tapped_before_it_was_spoken(library, stage, look):
    """While our voice speaks its button is dead on the page and refused by the program; afterwards it passes."""
    job = stage(lines=lines_until(library, "safety-setup/shop", more=2))
    page = look(job.address)
    _, room = follow(job, page, library)
    room.wait(lambda: job.conversation.state.mode is Mode.CAUTIONING, "the lines")
    job.voice.held = True
    page.wait_for_selector("#answers button.passes[aria-disabled=true]")
    asked = room.settle()
    assert page.is_visible("#band strong")
    page.click("#answers button.passes", force=True)
    expect(page.locator("#notice")).to_contain_text("only stop and pause")
    assert job.conversation.state.mode is Mode.CAUTIONING and job.conversation.showing.asked == asked
    assert not any(fact.kind is FactKind.CAUTION_ACKNOWLEDGED and fact.step == "still" for fact in job.facts)
    job.voice.held = False
    page.wait_for_selector("#answers button.passes:not([aria-disabled])")
    page.click("#answers button.passes")
    room.wait(lambda: job.conversation.state.mode is not Mode.CAUTIONING, "the tap")


def test_stop_is_tapped_while_we_speak(library, stage, look):
    """Stop waits for nothing, by knuckle and by key."""
    job = stage()
    page = look(job.address)
    _, room = follow(job, page, library)
    room.settle()
    job.voice.held = True
    page.wait_for_selector("#answers button[aria-disabled=true]")
    page.click("#hands button[data-words=stop]")
    room.wait(lambda: job.conversation.state.mode is Mode.HELD, "stop")
    job.voice.held = False
    room.settle()
    page.wait_for_selector("#answers button[data-words=resume]:not([aria-disabled])")
    page.click("#answers button[data-words=resume]")
    room.wait(lambda: job.conversation.state.mode is Mode.ASKING, "resume")
    room.settle()
    page.keyboard.press("s")
    room.wait(lambda: job.conversation.state.mode is Mode.HELD, "the key")


def test_a_pedal_says_done(library, stage, look):
    """The key of a presenter or pedal is done, or ready; it never passes a caution."""
    job = stage()
    page = look(job.address)
    _, room = follow(job, page, library)
    room.settle()
    page.keyboard.press("PageDown")
    room.wait(lambda: job.conversation.state.at.step == "complaint", "the pedal")


def test_a_reading_is_tapped_on_the_pad(library, stage, look):
    """Digits by knuckle, in the unit of the step; examples of readings are no buttons."""
    job = stage(lines=lines_until(library, "battery-state/rest-volts"), thinks=True)
    page = look(job.address)
    _, room = follow(job, page, library)
    room.wait(lambda: job.conversation.state.at.step == "rest-volts", "the lines")
    room.settle()
    assert page.locator("#answers button").count() == 0
    for key in "12.6":
        page.click(f'#pad button[data-pad="{key}"]')
    page.click("#send")
    room.wait(lambda: job.conversation.state.mode is Mode.CONFIRMING, "the reading")
    room.settle()
    assert "twelve point six volts" in page.inner_text("body")


def test_script_in_a_note_stays_words(library, stage, look):
    """What was dictated is shown as it was written; nothing of it runs."""
    job = stage()
    page = look(job.address)
    _, room = follow(job, page, library)
    room.type("done")
    room.settle()
    page.fill("#words", NASTY)
    page.click("#send")
    room.wait(lambda: job.conversation.state.at.step == "changed", "the note")
    room.settle()
    assert NASTY in page.inner_text("#heard")
    assert page.locator("img, aside script").count() == 0
    assert page.title() != "taken"


def test_a_killed_program_is_resumed_and_the_page_comes_back(library, look, tmp_path):
    """The process is killed between two taps; the resumed one goes on at the same step on the same open page."""
    common = ["--hear", "typed", "--data", str(tmp_path), "--screen"]
    first = _program("start", "no-start", "--job", "blue-van", *common)
    address = _address(first)
    page = look(address)
    page.click("#answers button[data-words=done]")
    expect(page.locator("#place")).to_contain_text("complaint")
    first.kill()
    first.wait(30)
    page.wait_for_selector("body[data-away]")
    port = address.rstrip("/").rpartition(":")[2]
    second = _program("resume", "blue-van", "--screen-port", port, *common)
    try:
        assert _address(second) == address
        page.wait_for_selector("body:not([data-away])")
        expect(page.locator("#place")).to_contain_text("complaint")
        page.reload()
        page.wait_for_selector("#write:visible")
        page.fill("#words", "it cranks but it will not start")
        page.click("#send")
        expect(page.locator("#place")).to_contain_text("changed")
    finally:
        second.stdin.close()
        assert second.wait(60) == 0
    assert "Traceback" not in second.stderr.read()
    _look_at_the_records(look, tmp_path)


def _look_at_the_records(look, folder):
    """Without a job the pages list what is kept: the report, and the flow with the step where the job stands."""
    desk = _program("screen", "--data", str(folder))
    try:
        page = look(_address(desk))
        expect(page.locator(".jobs h2")).to_have_text("blue-van")
        assert page.locator("text=Job now").count() == 0
        page.click("text=Report")
        expect(page.frame_locator("iframe").locator("body")).to_contain_text("it cranks but it will not start")
        page.go_back()
        page.click(".ways >> text=Flow")
        page.wait_for_selector('[data-step="changed"] .present')
    finally:
        desk.send_signal(signal.SIGINT)
        assert desk.wait(60) == 130


def _program(*arguments):
    command = [sys.executable, "-m", "assistant", *arguments]
    pipes = {"stdin": subprocess.PIPE, "stdout": subprocess.DEVNULL, "stderr": subprocess.PIPE}
    return subprocess.Popen(command, text=True, **pipes)


def _address(program):
    for line in program.stderr:
        found = re.search(r"http://\S+", line)
        if found:
            return found[0]
    raise AssertionError("no page was served")
