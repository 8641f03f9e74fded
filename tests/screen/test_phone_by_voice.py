"""A real Chromium as a phone: its microphone, loudspeaker and camera, over TLS, with the line failing in between."""

from __future__ import annotations

import signal
import time

import pytest
from playwright.sync_api import Error, expect

from assistant.facts import FactKind
from assistant.guide import Mode, fold
from assistant.record.clips import clips_place
from assistant.record.photographs import MOST_PIXELS, cleaned, pictures_of
from tests.procedures.fault_player import usual_answers
from tests.screen.phone_stage import a_line, phone_page
from tests.screen.voice_stage import (
    GO_ON,
    INTERRUPT,
    NO_SOCKETS,
    SOUNDING,
    TAKE_AWAY,
    LaptopMicrophone,
    PhoneRoom,
    silence_network,
)
from tests.session.dialogue_player import Leader

AWAY_S = 3.0
ANSWERS = {step: said[0] for step, said in usual_answers().items()}


def pictures(job):
    """The photographs that the facts name."""
    return pictures_of(job.facts)


def test_a_whole_job_by_voice_through_the_phone(voiced, phone, mouth, library):
    """Every answer is spoken into the phone's page and heard by the real ears; our words are played there; a picture is
    taken by word. The facts lead to the same state."""
    job = voiced()
    room = PhoneRoom(job, phone(), mouth)
    room.let_in()
    job.begin()
    room.say("take a picture")
    room.wait(lambda: pictures(job), "the picture")
    Leader(room, library, ANSWERS).until(None)
    room.page.wait_for_selector("body[data-ended=yes]")
    assert room.said >= 5 and job.played > 0
    assert fold(library, job.facts) == job.conversation.state
    (name,) = pictures(job)
    picture = job.pictures.joinpath(*clips_place("grey-hatchback"), name).read_bytes()
    assert cleaned(picture) == picture and b"Exif" not in picture and 5_000 < len(picture) < 500_000
    assert MOST_PIXELS > 1_280


def test_the_phone_goes_in_the_middle_of_a_word_and_comes_back(voiced, phone, mouth, look):
    """Said at once by the laptop; taps and the laptop's microphone lead on; the phone comes back by itself; what it
    said in between is lost and counted, nothing is taken twice."""
    leave_and_come_back(voiced, phone, mouth, look, AWAY_S)


@pytest.mark.campaign
def test_the_phone_is_away_for_half_a_minute(voiced, phone, mouth, look):
    """The same for 30 s."""
    leave_and_come_back(voiced, phone, mouth, look, 30.0)


def leave_and_come_back(voiced, phone, mouth, look, away_s):
    """Out of reach for so long, in the middle of what is said."""
    own = LaptopMicrophone()
    job = voiced(own=own)
    room = PhoneRoom(job, phone(), mouth)
    room.let_in()
    job.begin()
    tablet = look(job.web.address)
    tablet.wait_for_selector("#answers button")
    room.say("the can is away", words_per_minute=80)
    room.wait(lambda: job.line.next > 12, "the first of the word")
    before = job.laptop.heard.size
    silence_network(str(mouth.file), signal.SIGSTOP)
    try:
        began_s = time.monotonic()
        room.wait(lambda: not job.line.here and job.laptop.heard.size > before, "the laptop's word")
        assert job.conversation.state.mode is Mode.GATING
        for _ in range(3):  # the first may be asked again: a loss lies near it
            room.wait(lambda: not job.voice.speaking, "our own words")
            own.say("the can is away")
            if room.came(lambda: job.conversation.state.mode is not Mode.GATING, 10.0):
                break
        assert job.conversation.state.mode is not Mode.GATING, job.turns.getvalue()
        room.wait(lambda: not job.voice.speaking, "the instruction")
        tablet.wait_for_selector("#answers button[data-words=done]:not([aria-disabled])")
        tablet.click("#answers button[data-words=done]")
        room.wait(lambda: job.conversation.state.mode is Mode.WAITING, "the tap")
        while time.monotonic() - began_s < away_s:
            room.page.wait_for_timeout(50)
    finally:
        silence_network(str(mouth.file), signal.SIGCONT)
    room.wait(lambda: job.line.here, "the phone")
    job.skip(300)
    room.wait(lambda: job.conversation.state.mode is Mode.ASKING, "the wait")
    room.type("air is clean")
    assert job.line.lost_frames > 0
    passed = [fact for fact in job.facts if fact.kind is FactKind.GATE_PASSED]
    done = [fact for fact in job.facts if fact.kind is FactKind.INSTRUCTION_DONE]
    assert len(passed) == 1 and len(done) == 1


def test_where_no_socket_can_be_opened_requests_carry_the_sound(voiced, phone, mouth):
    """Both ways, by pieces of 150 ms; a call takes the microphone: shown, said, and back at a tap."""
    job = voiced()
    page = phone(NO_SOCKETS)
    room = PhoneRoom(job, page, mouth)
    room.let_in()
    job.begin()
    room.type("the can is away")
    assert job.conversation.state.mode is not Mode.GATING
    room.wait(lambda: not job.voice.speaking, "our words")
    assert job.played > 0 and page.evaluate("() => document.body.dataset.everSocket") is None
    page.evaluate(TAKE_AWAY)
    expect(page.locator("#sound-why")).to_contain_text("Microphone gone")
    room.wait(lambda: "The phone is gone" in job.turns.getvalue(), "the laptop's word")
    page.click("#sound-on")
    room.wait(lambda: job.line.here, "the phone")


def test_a_locked_screen_is_shown_and_said_and_its_end_needs_no_tap(voiced, phone, mouth):
    """Where the browser says that the sound is interrupted the phone says so on its page, the laptop aloud; once it
    runs again the phone listens on."""
    job = voiced()
    page = phone(SOUNDING)
    room = PhoneRoom(job, page, mouth)
    room.let_in()
    job.begin()
    page.evaluate(INTERRUPT)
    expect(page.locator("#sound-sheet[open] #sound-why")).to_contain_text("Microphone gone")
    room.wait(lambda: "The phone is gone" in job.turns.getvalue(), "the laptop's word")
    page.evaluate(GO_ON)
    room.wait(lambda: job.line.here, "the phone")
    page.wait_for_selector("#sound-sheet:not([open])", state="attached")


def test_a_picture_is_taken_by_the_webcam_and_another_certificate_is_refused(library, folder, phone, voiced):
    """On the laptop's own page by a tap; and a browser that trusts our certificate does not open another one's page."""
    job = voiced()
    job.begin()
    page = phone()
    page.goto(job.web.address)
    page.click("#open-sheet")
    page.click("#more button[data-words='take a picture']")
    page.wait_for_selector("#camera[open]")
    page.click("#camera-now")
    for _ in range(400):
        if pictures(job):
            break
        page.wait_for_timeout(25)
    assert len(pictures(job)) == 1
    page.wait_for_selector("#camera:not([open])", state="attached")
    other = phone_page(library, folder / "other", line=a_line())
    try:
        with pytest.raises(Error, match="ERR_CERT"):
            page.goto(other.phone_address)
    finally:
        other.close()
