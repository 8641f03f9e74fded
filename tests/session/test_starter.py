"""The ear for the starter, as the live session hears it."""

import numpy as np
import pytest

from assistant.adapters.layers_starter import starter_layers
from assistant.adapters.synthesiser_pyttsx3 import Pyttsx3Synthesiser
from assistant.adapters.voice_silero import voice_detector
from assistant.bench.crank_third_place import saw
from assistant.cranking.arbiter import NEEDED, Place
from assistant.cranking.scenes import make_scene
from assistant.cranking.synthetic import CrankPlan, clunk
from assistant.language.model import BurstCaught, BurstHeard, BurstReleased, BurstStarted, Heard, StarterClicked
from assistant.ports import SAMPLE_RATE_HZ, AudioBlock
from assistant.session.starter import StarterEar

BLOCK = 512


def hear(ear, pcm):
    """Everything that the ear tells of this sound, each with the time at which it was told."""
    told = []
    for at in range(0, len(pcm), BLOCK):
        block = AudioBlock(pcm=pcm[at : at + BLOCK], start_s=at / SAMPLE_RATE_HZ)
        told += [((at + BLOCK) / SAMPLE_RATE_HZ, event) for event in ear.accept(block)]
    return told


def scene():
    """A made-up burst of five seconds at 200 rpm that does not catch, over a steady shop noise 15 dB below it."""
    plan = CrankPlan(cylinders=4, rpm=200.0, burst_s=5.0)
    return make_scene(np.random.default_rng(5), plan=plan, snr_db=15.0, noise="compressor")


@pytest.mark.parametrize("cylinders", [4, None])
def test_a_burst_begins_and_ends_and_gives_its_speed_once_the_cylinders_are_known(cylinders):
    """It begins when it begins, and is told whole soon after its end, with rpm only where cylinders are known."""
    made = scene()
    told = hear(StarterEar(lambda: cylinders, starter_layers()), made.pcm)
    began = [(at_s, event) for at_s, event in told if isinstance(event, BurstStarted)]
    whole = [(at_s, event) for at_s, event in told if isinstance(event, BurstHeard)]
    assert len(whole) == 1
    at_s, event = began[0]
    assert at_s - event.ago_s == pytest.approx(made.start_s, abs=0.5)
    at_s, event = whole[0]
    assert at_s - event.ago_s == pytest.approx(made.end_s, abs=0.3)
    assert event.seconds == pytest.approx(5.0, abs=0.4)
    assert event.caught is False
    assert (event.rpm == pytest.approx(made.rpm, rel=0.05)) if cylinders else (event.rpm is None)


def test_silence_tells_nothing():
    """Ten quiet seconds bring no event."""
    assert hear(StarterEar(lambda: 4, starter_layers()), np.zeros(160_000, dtype=np.int16)) == []


@pytest.mark.parametrize("voice", ["gmw/en-us", "gmw/en-us+m3", "gmw/en-gb-scotland"])
def test_what_the_technician_says_while_the_key_is_asked_for_is_no_burst(voice):
    """Eight answers into a quiet room, each of which the ear alone could take for a starter."""
    speaker = Pyttsx3Synthesiser(voice=voice)
    for words in ("no spark", "key is off", "two wires", "nothing found", "bad fuel went in", "speak faster",
                  "tester stays dark", "silent as before"):  # fmt: skip
        said = speaker.render(words, words_per_minute=150, rate_hz=SAMPLE_RATE_HZ)
        quiet = np.zeros(2 * SAMPLE_RATE_HZ, np.int16)
        ear = StarterEar(lambda: 4, starter_layers(), voice=voice_detector())
        told = [event for _, event in hear(ear, np.concatenate([quiet, said, quiet]))]
        assert told == [], words  # nothing that changes what may be said, so that no word is lost to it


def test_a_burst_is_still_heard_with_an_ear_for_voices():
    """No voice in a starter."""
    made = scene()
    told = hear(StarterEar(lambda: 4, starter_layers(), voice=voice_detector()), made.pcm)
    assert sum(isinstance(event, BurstHeard) for _, event in told) == 1


def test_what_the_recogniser_took_words_from_is_no_burst():
    """However much it sounds like a starter; the same sound unowned is one."""
    made = scene()
    told = []
    ear = StarterEar(lambda: 4, starter_layers())
    for at in range(0, len(made.pcm), BLOCK):
        if at / SAMPLE_RATE_HZ > made.end_s - 0.1:
            ear.understood(Heard(words="made up", confidence=1.0, began_s=made.start_s, ended_s=made.end_s))
        told += ear.accept(AudioBlock(pcm=made.pcm[at : at + BLOCK], start_s=at / SAMPLE_RATE_HZ))
    assert not any(isinstance(event, BurstHeard) for event in told)


def test_a_burst_waits_while_somebody_speaks():
    """The reply would cover the word; it comes once the voice is silent, at its own time."""
    made = scene()
    end = int(made.end_s * SAMPLE_RATE_HZ / BLOCK)
    frames = iter(range(1_000_000))
    ear = StarterEar(lambda: 4, starter_layers(), voice=lambda frame: float(end <= next(frames) < end + 62))
    told = hear(ear, np.concatenate([made.pcm, made.pcm[-2 * SAMPLE_RATE_HZ :]]))
    ((at_s, event),) = [(at_s, event) for at_s, event in told if isinstance(event, BurstHeard)]
    assert at_s > made.end_s + 2.0
    assert at_s - event.ago_s == pytest.approx(made.end_s, abs=0.3)


def test_the_release_is_called_when_the_engine_takes_over():
    """Half a second after it caught, long before it is known how long it runs."""
    plan = CrankPlan(cylinders=4, rpm=210.0, burst_s=3.0, run_s=5.0)
    made = make_scene(np.random.default_rng(7), plan=plan, snr_db=14.0, noise="hum")
    told = hear(StarterEar(lambda: 4, starter_layers()), made.pcm)
    caught = [at_s for at_s, event in told if isinstance(event, BurstCaught)]
    assert made.end_s - 0.1 < caught[0] < made.end_s + 0.5
    assert [event.caught for _, event in told if isinstance(event, BurstHeard)] == [True]


def knock_in_quiet():
    """One knock after three quiet seconds, and three more."""
    rng = np.random.default_rng(4)
    sound = rng.normal(0, 20, 6 * SAMPLE_RATE_HZ)
    hit = 4000 * clunk(rng)
    sound[3 * SAMPLE_RATE_HZ : 3 * SAMPLE_RATE_HZ + len(hit)] += hit
    return np.clip(sound, -32768, 32767).astype(np.int16)


@pytest.mark.parametrize("asked", [True, False])
def test_a_click_is_told_once_where_a_starter_was_asked_for(asked):
    """A second and a half later, when it is clear that nothing follows; unasked a knock means nothing."""
    told = hear(StarterEar(lambda: 4, starter_layers(), asked=lambda: asked), knock_in_quiet())
    assert [type(event) for _, event in told] == ([StarterClicked] if asked else [])
    assert all(4.5 < at_s < 5.5 for at_s, _ in told)


def test_a_word_is_no_click():
    """The same knock while the detector hears a voice is somebody's word."""
    told = hear(StarterEar(lambda: 4, starter_layers(), voice=lambda frame: 1.0), knock_in_quiet())
    assert told == []


def test_the_release_is_called_for_an_engine_that_catches_at_once():
    """Within its first second, before its beginning would be told."""
    plan = CrankPlan(cylinders=4, rpm=230.0, burst_s=0.9, run_s=5.0)
    made = make_scene(np.random.default_rng(9), plan=plan, snr_db=16.0, noise="hum")
    told = hear(StarterEar(lambda: 4, starter_layers()), made.pcm)
    called = [type(event) for _, event in told if not isinstance(event, BurstReleased)]  # which is only shown
    assert called[:2] == [BurstStarted, BurstCaught]
    caught = next(at_s for at_s, event in told if isinstance(event, BurstCaught))
    assert made.end_s - 0.1 < caught < made.end_s + 0.8


def test_whether_it_was_a_starter_is_asked_again_while_its_engine_runs():
    """Refused as it began and at once, and taken 0.8 s later: told of then, not only once it has run for 4 s."""
    plan = CrankPlan(cylinders=4, rpm=230.0, burst_s=0.9, run_s=5.0)
    made = make_scene(np.random.default_rng(9), plan=plan, snr_db=16.0, noise="hum")
    ear, asked = StarterEar(lambda: 4, starter_layers()), []
    ear._ear.judged = lambda: asked.append(ear._heard_s) or float(len(asked) >= 4)
    told = [(at_s, type(event)) for at_s, event in hear(ear, made.pcm) if not isinstance(event, BurstReleased)]
    assert np.diff(asked[1:]) == pytest.approx([0.4, 0.4], abs=0.05)
    assert [kind for _, kind in told] == [BurstStarted, BurstCaught, BurstHeard]
    assert [at_s for at_s, _ in told[:2]] == pytest.approx([asked[3]] * 2, abs=0.04)


@pytest.mark.parametrize(("breath", "heard"), [(200, False), (None, True)])
def test_a_whine_that_passes_for_a_voice_is_heard_where_nobody_could_speak_for_so_long(breath, heard):
    """Ten seconds of starter that the detector takes for a voice throughout; with a breath after six it is talk."""
    plan = CrankPlan(cylinders=4, rpm=200.0, burst_s=10.0)
    made = make_scene(np.random.default_rng(5), plan=plan, snr_db=15.0, noise="compressor")
    frames, first = iter(range(1_000_000)), int(made.start_s * SAMPLE_RATE_HZ / BLOCK)

    def voice(frame):
        at = next(frames) - first
        return float(0 <= at < 10.0 * SAMPLE_RATE_HZ / BLOCK and at != breath)

    told = [type(event) for _, event in hear(StarterEar(lambda: 4, starter_layers(), voice=voice), made.pcm)]
    assert told == ([BurstStarted, BurstReleased, BurstHeard] if heard else [])


def sawing():
    """Twenty seconds of a saw that is pulled, revved and let go."""
    return (3000 * saw(20 * SAMPLE_RATE_HZ, np.random.default_rng([12, 1]))).clip(-32768, 32767).astype(np.int16)


def test_a_beginning_is_told_only_where_it_stands_the_judgement_of_a_whole_burst():
    """A saw seems to begin twice and to catch; nothing of it is told, for what may be said would change by it."""
    assert hear(StarterEar(lambda: 4, starter_layers()), sawing()) == []


def test_after_false_beginnings_a_burst_is_told_less_surely_and_still_told():
    """The saw first, then a quarter of a minute of silence, so that the burst itself sounds the same."""
    made, quiet = scene().pcm, np.zeros(15 * SAMPLE_RATE_HZ, np.int16)
    sure = []
    for before in (np.zeros(20 * SAMPLE_RATE_HZ, np.int16), sawing()):
        told = hear(StarterEar(lambda: 4, starter_layers()), np.concatenate([before, quiet, made]))
        sure += [event.confidence for _, event in told if isinstance(event, BurstHeard)]
    calm, restless = sure
    assert NEEDED[Place.AWAITED] < restless < calm
