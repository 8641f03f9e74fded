"""A whole job behind a phone's page in this process: real ears, our voice on the phone, a technician's voice from a
file that Chromium takes for a microphone."""

from __future__ import annotations

import io
import os
import threading
import time
import wave
from pathlib import Path

import numpy as np

from assistant.adapters.clips_wav import PictureFiles
from assistant.adapters.journal_memory import MemoryJournal
from assistant.adapters.microphone_either import EitherMicrophone
from assistant.adapters.screen_web import PhoneMicrophone, PhoneSpeaker
from assistant.adapters.speaker_either import EitherSpeaker
from assistant.adapters.voice_spoken import SpokenVoice
from assistant.guide import begin, fold, reopen
from assistant.ports import SAMPLE_RATE_HZ, AudioBlock
from assistant.session.conversation import Conversation
from assistant.session.live import Ears, LiveLoop
from assistant.session.trace import Trace
from assistant.wiring.stage import technicians_synthesiser
from tests.screen.phone_stage import a_line, code_of, phone_page

RATE_HZ = 48_000
BLOCK = 512
SILENT_RUN_IN_S, SILENT_RUN_OUT_S = 0.25, 0.6
_FLOOR = 6.0
"""Of the noise around the words, in steps of 16 bits: a room at -75 dB, for no room is all zeros."""


class ShortSynthesiser:
    """Every breath is a tone of a tenth of a second: a job takes no longer than its answers."""

    def render(self, text, *, words_per_minute, rate_hz):
        """Not the words."""
        at = np.arange(rate_hz // 10)
        return np.rint(3_000 * np.sin(2 * np.pi * 300 * at / rate_hz)).astype(np.int16)

    def close(self):
        """Nothing."""


class LaptopSpeaker:
    """Keeps what the laptop says, and takes as long for it as sound does."""

    rate_hz = 24_000

    def __init__(self):
        self.heard = np.zeros(0, np.int16)
        self._until_s = 0.0

    def play(self, pcm):
        """Keep it."""
        self.heard = np.concatenate([self.heard, pcm])
        self._until_s = max(self._until_s, time.monotonic()) + pcm.size / self.rate_hz

    def cut(self):
        """Silent at once."""
        self._until_s = 0.0

    def duck(self, softer):
        """As loud as before: nobody listens."""

    @property
    def playing(self):
        """Whether it still sounds."""
        return time.monotonic() < self._until_s

    def played(self, start_s, frames):
        """Not kept."""
        return np.zeros(frames, np.int16)

    def close(self):
        """Nothing."""


class LaptopMicrophone:
    """What a test lets be said beside the laptop, in the time that sound takes."""

    def __init__(self):
        self._began_s = time.monotonic()
        self._given = 0
        self._words = np.zeros(0, np.int16)
        self._noise = np.random.default_rng(4)
        self._closed = threading.Event()

    def say(self, words):
        """These words, from now on."""
        synthesiser = technicians_synthesiser()
        self._words = synthesiser.render(words, words_per_minute=165, rate_hz=SAMPLE_RATE_HZ)
        synthesiser.close()

    def read(self, timeout_s):
        """The next block, once it is due."""
        start_s = self._given * BLOCK / SAMPLE_RATE_HZ
        left_s = self._began_s + start_s + BLOCK / SAMPLE_RATE_HZ - time.monotonic()
        if self._closed.wait(max(0.0, min(left_s, timeout_s))) or left_s > timeout_s:
            return None
        self._given += 1
        said, self._words = self._words[:BLOCK], self._words[BLOCK:]
        noise = self._noise.normal(0.0, _FLOOR, BLOCK).astype(np.int16)
        return AudioBlock(pcm=np.pad(said, (0, BLOCK - said.size)) + noise, start_s=start_s)

    def close(self):
        """Nobody waits any more."""
        self._closed.set()


class VoiceStage:
    """One job under way, heard and spoken through a phone; the laptop has a speaker, and a microphone where given."""

    def __init__(
        self, library, folder, *, recogniser, data, procedure="vapour-cleared", own=None, synthesiser=None,
        adviser=None, starter=None, leads=False, journal=None, ports=(0, 0),
    ):  # fmt: skip
        """`journal`: of a job that is taken up again; `ports`: of the page and of the phone's door."""
        self.line = a_line()
        self.web = phone_page(library, folder, line=self.line, port=ports[0], phone_port=ports[1])
        self.laptop = LaptopSpeaker()
        self.journal = journal or MemoryJournal(lambda: "2031-05-01T09:00:00.000Z")
        self.pictures = data
        self.turns = io.StringIO()
        self.played = 0  # how often the phone told that it had played more of our words
        told = self.line.played

        def counted(cuts, to):
            self.played += to > 0
            told(cuts, to)

        self.line.played = counted
        self.error = None
        self._skipped_s = 0.0
        self._closing = threading.Event()
        self._began_s = time.monotonic()
        speaker = EitherSpeaker(PhoneSpeaker(self.line), self.laptop)
        self.voice = SpokenVoice(synthesiser=synthesiser or ShortSynthesiser(), speaker=speaker, retry_s=0.05)
        self.microphone = EitherMicrophone(PhoneMicrophone(self.line), own)
        self.conversation = Conversation(
            library=library, journal=self.journal, voice=self.voice, screen=self.web, trace=Trace(self.turns),
            adviser=adviser, glances=True, aids=self.web,
        )  # fmt: skip
        ears = Ears(microphone=self.microphone, recogniser=recogniser, starter=starter and starter(self))
        self.loop = LiveLoop(
            conversation=self.conversation, ears=ears, voice=self.voice, now_s=self.now_s, taps=self.web,
            pictures=PictureFiles(self.pictures),
            minds_level=False,
        )  # fmt: skip
        self._library, self._procedure, self._leads = library, procedure, leads
        self._thread = threading.Thread(target=self._run, daemon=True)

    def now_s(self):
        """Seconds of the job, with what was skipped."""
        return time.monotonic() - self._began_s + self._skipped_s

    def skip(self, seconds):
        """Let a wait pass."""
        self._skipped_s += seconds

    def begin(self):
        """Begin the job."""
        job = ("made-up", "grey-hatchback", {})
        self.conversation.open(begin(self._library, self._procedure, *job, leads=self._leads))
        self._thread.start()

    def go_on(self):
        """Take up the job that the journal holds."""
        state = fold(self._library, self.facts)
        self.skip(state.at_s)
        self.conversation.open(reopen(self._library, state, state.at_s))
        self._thread.start()

    @property
    def ports(self):
        """Of the page and of the phone's door."""
        return tuple(int(each.rstrip("/").rpartition(":")[2]) for each in (self.web.address, self.web.phone_address))

    def _run(self):
        try:
            while not self._closing.is_set() and not self.conversation.ended:
                self.loop.step()
            while not self._closing.wait(0.02):
                self.web.tapped()
        except BaseException as error:
            self.error = error
            raise

    @property
    def facts(self):
        """Every fact so far."""
        return self.journal.facts("grey-hatchback")

    def close(self):
        """End the loop, then the rest."""
        self._closing.set()
        self._thread.join(20)
        self.voice.close()
        self.web.close()
        assert self.error is None


class Mouth:
    """The technician's voice, in the file that Chromium takes for a microphone: it is read anew each time it opens."""

    def __init__(self, file):
        self.file = file
        self._synthesiser = None
        self._noise = np.random.default_rng(3)
        self.put("")

    def put(self, words, words_per_minute=165):
        """Write these words; how long they last, with the silence around them, in seconds."""
        said = np.zeros(0)
        if words:
            self._synthesiser = self._synthesiser or technicians_synthesiser()
            said = self._synthesiser.render(words, words_per_minute=words_per_minute, rate_hz=RATE_HZ).astype(float)
        run_in, run_out = (np.zeros(round(each * RATE_HZ)) for each in (SILENT_RUN_IN_S, SILENT_RUN_OUT_S))
        return self.put_sound(np.concatenate([run_in, said, run_out]))

    def put_sound(self, sound):
        """Write this sound, at 48 kHz, over a faint noise."""
        sound = np.concatenate([sound, np.zeros(4 * RATE_HZ)])
        sound = sound + self._noise.normal(0.0, _FLOOR, sound.size)
        with wave.open(str(self.file), "wb") as out:
            out.setnchannels(1)
            out.setsampwidth(2)
            out.setframerate(RATE_HZ)
            out.writeframes(np.clip(np.rint(sound), -32768, 32767).astype("<i2").tobytes())
        return sound.size / RATE_HZ

    def close(self):
        """Free the voice."""
        if self._synthesiser is not None:
            self._synthesiser.close()


TRACKS = """
(() => {
  if (!navigator.mediaDevices) return; // the page of a refused certificate
  const own = navigator.mediaDevices.getUserMedia.bind(navigator.mediaDevices);
  navigator.mediaDevices.getUserMedia = async (wishes) => {
    const given = await own(wishes);
    if (wishes.audio) window.ears = given.getAudioTracks()[0];
    return given;
  };
})();
"""
"""So that a test can take the microphone away, as a call does."""

NO_SOCKETS = "window.WebSocket = class { constructor() { throw new DOMException('refused', 'SecurityError'); } };"
"""A browser that opens no socket on a certificate that nobody vouches for."""

SOUNDING = """
(() => {
  const Own = window.AudioContext;
  window.AudioContext = class extends Own { constructor(...wishes) { super(...wishes); window.sounding = this; } };
})();
"""
INTERRUPT = """() => {
  Object.defineProperty(window.sounding, "state", { configurable: true, get: () => "interrupted" });
  window.sounding.dispatchEvent(new Event("statechange"));
}"""
GO_ON = "() => { delete window.sounding.state; window.sounding.dispatchEvent(new Event('statechange')); }"
"""A locked screen or a call, as some phones tell it, and its end."""

TAKE_AWAY = "() => { window.ears.stop(); window.ears.dispatchEvent(new Event('ended')); }"


class PhoneRoom:
    """A job as `Leader` leads it, spoken into a phone's page."""

    def __init__(self, stage, page, mouth):
        self.conversation = stage.conversation
        self.stage = stage
        self.page = page
        self._mouth = mouth
        mouth.put("")  # else what the last test said begins this job, and what is left of it may be a stop
        self.said = self.again = 0

    def let_in(self):
        """Scan, pair, and tap for sound; then the job begins."""
        self.page.goto(f"{self.stage.web.phone_address}pair#{code_of(self.stage.web)}")
        self.page.click("text=Let this phone in >> nth=-1")
        self.page.wait_for_selector("#sound-sheet[open]")
        self.page.click("#sound-on")
        self.wait(lambda: self.stage.line.here, "the sound")

    def type(self, line):
        """Say it, after our own words, until it has led on; the clock alone passes by itself."""
        asked = self.conversation.showing.asked
        if line.startswith("@wait"):
            self.stage.skip(float(line.split()[1]))
            self.wait(lambda: self.conversation.showing.asked > asked, line)
            return []
        for _ in range(3):
            self.say(line)
            if self.came(lambda: self.conversation.showing.asked > asked, 6.0):
                return []
            self.again += 1
        raise AssertionError(f"{line!r} led nowhere: {self.stage.turns.getvalue()[-3_000:]}")

    def say(self, words, words_per_minute=165):
        """Say words once we are silent: the file is read anew when the microphone opens anew."""
        self.wait(lambda: self.stage.line.here and not self.stage.voice.speaking, words)
        self._mouth.put(words, words_per_minute)
        self.page.evaluate("() => window.ears.stop()")
        self.page.click("#sound-open")
        self.page.click("#sound-on")
        self.said += 1

    def came(self, so, seconds):
        """Whether it came about in time."""
        until_s = time.monotonic() + seconds
        while time.monotonic() < until_s:
            if so():
                return True
            self.page.wait_for_timeout(15)
        return False

    def wait(self, so, why):
        """Wait until something is so."""
        assert self.came(so, 30.0), f"waited in vain after {why!r}: {self.stage.turns.getvalue()[-3_000:]}"


def silence_network(mark, signal_number):
    """Send a signal to the process of ours through which the Chromium with this mark among its arguments reaches
    any network: stopped, it is out of reach."""
    for folder in Path("/proc").iterdir():
        try:
            command = (folder / "cmdline").read_bytes()
        except OSError:
            continue
        if b"NetworkService" in command and mark.encode() in command and _is_ours(int(folder.name)):
            os.kill(int(folder.name), signal_number)
            return
    raise AssertionError("Chromium has no network process")


def _is_ours(pid):
    while pid > 1:
        if pid == os.getpid():
            return True
        pid = int(Path(f"/proc/{pid}/stat").read_text().rpartition(")")[2].split()[1])
    return False
