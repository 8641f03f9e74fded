"""A real Chromium as a phone: its microphone, loudspeaker and camera, over TLS, with the line failing in between."""

from __future__ import annotations

import base64
import hashlib

import pytest
from cryptography import x509
from cryptography.hazmat.primitives import serialization

from assistant.adapters.screen_web import own_certificate
from assistant.facts import FactKind
from assistant.guide import fold
from tests.procedures.fault_player import usual_answers
from tests.screen.conftest import CHROMIUM, SIZES, missing_chromium
from tests.screen.phone_stage import ADDRESS
from tests.screen.voice_stage import TRACKS, Mouth, PhoneRoom, VoiceStage
from tests.session.dialogue_player import Leader


@pytest.fixture
def mouth(tmp_path):
    """The technician's voice."""
    made = Mouth(tmp_path / "mouth.wav")
    yield made
    made.close()


@pytest.fixture
def phone(tmp_path, mouth, browser):
    """A page in a Chromium that hears the file, sees made-up pictures, and trusts our certificate alone."""
    if CHROMIUM is None:
        missing_chromium()
    certificate = x509.load_pem_x509_certificate(own_certificate(tmp_path, ADDRESS).file.read_bytes())
    key = certificate.public_key().public_bytes(
        serialization.Encoding.DER, serialization.PublicFormat.SubjectPublicKeyInfo
    )
    pin = base64.b64encode(hashlib.sha256(key).digest()).decode()
    arguments = [
        "--no-sandbox", "--disable-gpu", "--use-fake-ui-for-media-stream", "--use-fake-device-for-media-stream",
        f"--use-file-for-fake-audio-capture={mouth.file}%noloop", f"--ignore-certificate-errors-spki-list={pin}",
    ]  # fmt: skip
    own = browser.browser_type.launch(executable_path=CHROMIUM, args=arguments)
    width, height = SIZES["phone"]
    page = own.new_context(viewport={"width": width, "height": height}).new_page()
    page.set_default_timeout(30_000)
    page.add_init_script(TRACKS)
    wrong = []
    page.on("pageerror", lambda error: wrong.append(str(error)))
    yield page
    own.close()
    assert wrong == []


@pytest.fixture
def voiced(library, tmp_path):
    """Makes jobs that are led through a phone; ends them."""
    made = []

    def make(**wishes):
        made.append(VoiceStage(library, tmp_path, **wishes))
        return made[-1]

    yield make
    for one in made:
        one.close()


def test_a_whole_job_by_voice_through_the_phone(voiced, phone, mouth, library):
    """Every answer is spoken into the phone's page and heard by the real ears; our words are played there."""
    job = voiced(procedure="vapour-cleared")
    room = PhoneRoom(job, phone, mouth)
    room.let_in()
    job.begin()
    lead = Leader(room, library, {step: said[0] for step, said in usual_answers().items()})
    lead.until(None)
    phone.wait_for_selector("body[data-ended=yes]")
    assert room.said >= 4, room.again
    print('AGAIN', room.said, room.again)
    assert job.laptop.heard.size == 0
    assert fold(library, job.facts) == job.conversation.state
    assert any(fact.kind is FactKind.FINDING_REACHED for fact in job.facts) or job.conversation.ended
