"""Hearing fails in every way that it can: it is told by voice and screen, keys work, and the job goes on."""

from __future__ import annotations

import base64
import hashlib
import threading
from pathlib import Path

import numpy as np
import pytest

from assistant.adapters.portaudio import SounddeviceMicrophone
from assistant.adapters.recogniser_embedded.files import PHONE_LAYERS, find_network, read_gate_layers
from assistant.adapters.recogniser_watched import FAILED, GIVEN_UP_S, GONE, HUNG, MOST_LIVES, WatchedRecogniser
from assistant.english.live import HEARING_SLOW, HEARS_AGAIN
from assistant.errors import DeviceLost, SetupError
from assistant.guide import Mode
from assistant.language.model import Control, Heard
from tests.session.fakes import BLOCK_S, ScriptedRecogniser
from tests.session.live_shop import TO_THE_CRANK, Shop


def notices(shop: Shop) -> tuple[str, ...]:
    """What stands on the screen beside what was said."""
    return shop.screen.views[-1].notices


def until_said(shop: Shop, text: str, blocks: int = 100) -> float:
    """Seconds until a sentence is begun."""
    began_s = shop.now_s
    for _ in range(blocks):
        if text in shop.sentences:
            return shop.now_s - began_s
        shop.loop.step()
    raise AssertionError(f"'{text}' was never said: {shop.sentences[-4:]}")


def test_the_microphone_goes_and_comes_back(library, row) -> None:
    """It is said, the key for done works meanwhile, and words count once it is back."""
    shop = Shop(library)
    shop.fall_silent()
    kept = len(shop.kinds())
    shop.microphone.lost_reads = 60
    within_s = until_said(shop, "The microphone is gone.")
    assert len(shop.kinds()) == kept
    shop.fall_silent()
    shop.keys.will_press.append(Control.DONE)
    shop.loop.step()
    assert shop.conversation.state.at.step == "complaint"
    until_said(shop, "The microphone is back.")
    row(
        "microphone unplugged and back",
        told="voice: the microphone is gone; later: it is back",
        within_s=within_s,
        kept="every fact",
        goes_on="keys and page meanwhile; words when it is back",
    )


def test_a_microphone_that_gives_nothing_any_more(portaudio, row) -> None:
    """A stream that calls itself active and gives no block counts as gone before three seconds are over."""
    microphone = SounddeviceMicrophone(now_s=portaudio.clock)
    began_s = portaudio.clock.now_s
    with pytest.raises(DeviceLost):
        for _ in range(100):
            portaudio.clock.now_s += 0.1
            microphone.read(0)
    row(
        "microphone hangs (stream runs, no sound)",
        told="voice: the microphone was lost",
        within_s=portaudio.clock.now_s - began_s,
        kept="every fact",
        goes_on="its stream is opened anew until it gives sound",
    )


def test_another_program_holds_the_microphone(portaudio, row) -> None:
    """At the start it is refused in words; in the middle it is waited for."""
    microphone = SounddeviceMicrophone(now_s=portaudio.clock)
    portaudio.streams[0].active, portaudio.present = False, False
    for _ in range(2):
        with pytest.raises(DeviceLost):
            microphone.read(0)
    portaudio.present = True
    assert microphone.read(0) is None
    portaudio.present = False
    with pytest.raises(SetupError, match="No microphone could be opened") as refused:
        SounddeviceMicrophone(now_s=portaudio.clock)
    assert "hoodside devices" in str(refused.value)
    row(
        "another program holds the microphone",
        told="at the start one sentence; in a job voice: the microphone was lost",
        within_s=0.0,
        kept="every fact",
        goes_on="tried again ten times a second",
    )


def test_the_sample_rate_changes(portaudio, row) -> None:
    """A microphone that comes back with another rate alone gives 16 000 frames a second as before."""
    microphone = SounddeviceMicrophone(now_s=portaudio.clock)
    portaudio.streams[0].active = False
    portaudio.rates_hz, portaudio.default_hz = (44_100,), 44_100.0
    with pytest.raises(DeviceLost):
        microphone.read(0)
    assert microphone.read(0) is None
    stream = portaudio.streams[1]
    frames = 0
    for _ in range(100):
        stream.hear(np.full((stream.blocksize, 2), 50, dtype=np.int16))
        block = microphone.read(0)
        frames += block.pcm.size if block else 0
    assert frames == pytest.approx(100 * stream.blocksize * 16_000 / 44_100, abs=600)
    row(
        "microphone's sample rate changes",
        told="voice: lost, then back",
        within_s=0.0,
        kept="every fact",
        goes_on="resampled from the new rate",
    )


def test_an_overflow(library, row) -> None:
    """Words heard across lost sound are asked about, for a "not" may have been lost."""
    shop = Shop(library)
    shop.fall_silent()
    before = shop.conversation.state.at
    shop.microphone.lost_frames = 8_000
    shop.loop.step()
    said = len(shop.sentences)
    at_s = shop.now_s
    shop.hear_now(None)
    assert "I missed some sound. Say it again." in shop.sentences[said:] and shop.conversation.state.at == before
    row(
        "overflow: sound was lost",
        told="tone and voice: I missed some sound, say it again",
        within_s=shop.now_s - at_s - BLOCK_S,
        kept="every fact",
        goes_on="words across the gap are asked about",
    )


class Engine(ScriptedRecogniser):
    """A scripted engine that crashes or hangs when it is told to."""

    crashes = hangs = False

    def accept(self, block):
        """As the script says, or not at all."""
        if self.crashes:
            raise RuntimeError("the network's library failed")
        if self.hangs:
            threading.Event().wait()
        return super().accept(block)


class Ward:
    """Makes engines and keeps them; a hanging one lets the shop's clock run instead of the real one."""

    def __init__(self):
        self.engines = []
        self.fails = False
        self.clock = None

    def __call__(self, clock):
        """What the shop hears with."""
        self.clock = clock
        return WatchedRecogniser(self.make, now_s=clock.now_s, wait=self.wait)

    def make(self):
        """One more."""
        if self.fails:
            raise SetupError("no memory")
        self.engines.append(Engine())
        return self.engines[-1]

    def wait(self, done, seconds):
        """Waits for work, but for an engine that hangs."""
        if self.engines[-1].hangs:
            self.clock.at_s += seconds
            return False
        return done.wait(60)


@pytest.fixture
def ward() -> Ward:
    """Engines of one test."""
    return Ward()


def watched_shop(library, ward, **more) -> Shop:
    """A shop that hears with a watched engine, in a silence."""
    shop = Shop(library, recogniser=ward, **more)
    shop.loop._ears.recogniser.meanwhile = shop.loop.while_hearing
    shop.fall_silent()
    return shop


def test_the_recogniser_crashes(library, row, ward) -> None:
    """It is said at once, keys work, another engine takes over with the same grammar, and no fact is lost."""
    shop = watched_shop(library, ward)
    kept = shop.journal.facts("job")
    ward.engines[0].crashes = True
    within_s = until_said(shop, FAILED.spoken)
    assert notices(shop) == (str(FAILED),)
    until_said(shop, HEARS_AGAIN, blocks=5_000)
    assert notices(shop) == ()
    assert shop.journal.facts("job") == kept
    assert ward.engines[1].told[-1].grammar
    shop.fall_silent()
    ward.engines[1].will_hear.append(Heard(words="done", confidence=1.0))
    shop.pass_blocks(2)
    assert shop.conversation.state.at.step == "complaint"
    row(
        "recogniser crashes",
        told="voice and screen: I cannot hear, use the keys; later: I hear again",
        within_s=within_s,
        kept="every fact",
        goes_on="keys and page meanwhile; a new engine, the same step",
    )


def test_the_recogniser_hangs(library, row, ward) -> None:
    """Within three seconds it is told and keys go on; after a while it is given up and made anew."""
    shop = watched_shop(library, ward)
    ward.engines[0].hangs = True
    began_s, seen = shop.now_s, {}

    def meanwhile(waited_s):
        shop.loop.while_hearing(waited_s)
        if HEARING_SLOW in shop.sentences and not seen:
            seen["told"] = shop.now_s - began_s
            shop.voice.stop()
            shop.keys.will_press.append(Control.DONE)

    shop.loop._ears.recogniser.meanwhile = meanwhile
    shop.loop.step()
    assert shop.conversation.state.at.step == "complaint"  # the key was obeyed while the engine hung
    assert GIVEN_UP_S <= shop.now_s - began_s < GIVEN_UP_S + 1.0
    assert HUNG.spoken in shop.sentences
    until_said(shop, HEARS_AGAIN, blocks=5_000)
    row(
        "recogniser hangs",
        told=f"voice and screen: {HEARING_SLOW}",
        within_s=seen["told"],
        kept="every fact",
        goes_on="keys, page and deadlines meanwhile; given up after 20 s and made anew",
    )


def test_a_burst_is_released_while_the_recogniser_hangs(library, ward) -> None:
    """Timed work does not wait for hearing: the burst ends by the clock while the engine hangs."""
    shop = watched_shop(library, ward, procedure="cranking-check")
    for words in (*TO_THE_CRANK, "ready"):
        shop.fall_silent()
        ward.engines[0].will_hear.append(Heard(words=words, confidence=1.0))
        shop.loop.step()
    assert shop.conversation.state.mode is Mode.TIMING
    ward.engines[0].hangs = True
    shop.pass_blocks(1)
    assert "burst-ended" in [kind.value for kind in shop.kinds()]


def test_what_is_heard_late_does_not_answer_a_newer_question(library, ward) -> None:
    """A key answers while the engine still works on a word: the word belongs to the question before."""
    shop = watched_shop(library, ward)
    recogniser = shop.loop._ears.recogniser
    engine = ward.engines[0]
    engine.will_hear.append(Heard(words="yes", confidence=1.0))
    accept = recogniser.accept

    def slow(block):
        heard = accept(block)
        if heard is not None:
            shop.keys.will_press.append(Control.DONE)
            recogniser.meanwhile(0.5)
        return heard

    recogniser.accept = slow
    turns = len(shop.screen.views)
    shop.loop.step()
    assert shop.conversation.state.at.step == "complaint"
    shop.pass_blocks(3)
    assert any("That was said before I asked." in view.notices for view in shop.screen.views[turns:])


def test_a_recogniser_that_fails_again_and_again(library, row, ward) -> None:
    """After some engines no more are made: each that hangs keeps its memory. The keys lead the job to its end."""
    shop = watched_shop(library, ward)
    ward.engines[0].crashes = ward.fails = True
    within_s = until_said(shop, FAILED.spoken)
    until_said(shop, GONE.spoken, blocks=5_000)
    assert len(ward.engines) <= MOST_LIVES
    assert notices(shop) == (str(GONE),)
    shop.press(Control.DONE)
    assert shop.conversation.state.at.step == "complaint"
    row(
        "recogniser cannot be made again",
        told="voice and screen: I cannot hear any more, use the keys",
        within_s=within_s,
        kept="every fact",
        goes_on="keys and page; `hoodside resume` tries anew",
    )


class Pausing(ScriptedRecogniser):
    """An engine that tells of a pause before it answers, on whatever thread it works."""

    hears_voice = True

    def __init__(self):
        super().__init__()
        self.on_pause = lambda: None

    def accept(self, block):
        """Tell, then answer."""
        self.on_pause()
        return super().accept(block)


def test_a_pause_is_handed_on_by_the_thread_that_waits() -> None:
    """Whoever speaks at a pause need not be ready for another thread; it comes before the answer."""
    engine = Pausing()
    engine.will_hear.append(Heard(words="done", confidence=1.0))
    recogniser = WatchedRecogniser(lambda: engine)
    told = []
    recogniser.on_pause = lambda: told.append(threading.current_thread())
    assert recogniser.accept(None).words == "done"
    assert told == [threading.current_thread()] and recogniser.hears_voice
    recogniser.close()
    assert not recogniser.hears_voice


def network_installed(folder: Path, damage: bytes) -> None:
    """A wheel of the speech network in a folder, whose list of files is right but for that damage."""
    lines = []
    for name in ("encoder_model.ort", "decoder_model_merged.ort", "tokenizer.bin"):
        file = folder / "moonshine_voice" / "assets" / "tiny-en" / name
        file.parent.mkdir(parents=True, exist_ok=True)
        file.write_bytes(b"weights")
        digest = base64.urlsafe_b64encode(hashlib.sha256(b"weights").digest()).rstrip(b"=").decode()
        lines.append(f"{file.relative_to(folder)},sha256={digest},7")
    info = folder / "moonshine_voice-0.0.49.dist-info"
    info.mkdir()
    (info / "METADATA").write_text("Metadata-Version: 2.1\nName: moonshine-voice\nVersion: 0.0.49\n")
    (info / "RECORD").write_text("\n".join(lines) + "\n")
    file.write_bytes(damage)


def test_a_damaged_network_file(tmp_path: Path, monkeypatch: pytest.MonkeyPatch, row) -> None:
    """One flipped bit of the network, or of our own layers, is told before anything is heard with it."""
    network_installed(tmp_path, b"weighty")
    monkeypatch.syspath_prepend(tmp_path)
    with pytest.raises(SetupError, match="damaged") as refused:
        find_network()
    assert refused.value.spoken
    layers = bytearray(PHONE_LAYERS[0].read_bytes())
    layers[len(layers) // 2] ^= 1
    (tmp_path / "gate.npz").write_bytes(layers)
    with pytest.raises(SetupError, match="damaged"):
        read_gate_layers(tmp_path / "gate.npz")
    row(
        "network file damaged",
        told="one sentence before the job begins, with the command that mends it",
        within_s=None,
        kept="every fact",
        goes_on="after the wheel was installed again",
    )


def test_a_whole_network_is_taken(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Else the refusal above would mean nothing."""
    network_installed(tmp_path, b"weights")
    monkeypatch.syspath_prepend(tmp_path)
    assert find_network().encoder.is_relative_to(tmp_path)
