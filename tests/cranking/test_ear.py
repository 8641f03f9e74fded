"""The ear on whole sounds: bursts, speed, caught or not, whine and knock; all sounds are made up."""

from __future__ import annotations

import numpy as np
import pytest

from assistant.adapters.layers_starter import starter_layers
from assistant.bench.crank_variant import make_variant
from assistant.cranking.ear import listen
from assistant.cranking.model import Kind
from assistant.cranking.scenes import make_scene
from assistant.cranking.synthetic import CrankPlan, clunk, free_whine

LAYERS = starter_layers()


def heard(seed: int, *, cylinders: int, rpm: float, run_s: float | None = None, snr_db: float = 12.0):
    """A made-up attempt of 4 s in a steady shop, and what the ear makes of it."""
    plan = CrankPlan(cylinders=cylinders, rpm=rpm, burst_s=4.0, run_s=run_s)
    scene = make_scene(np.random.default_rng(seed), plan=plan, snr_db=snr_db, noise="hum")
    return scene, listen(scene.pcm, LAYERS, cylinders)


def in_quiet(sound: np.ndarray, rng: np.random.Generator) -> np.ndarray:
    """The sound between two seconds of a quiet room, int16."""
    whole = np.concatenate([np.zeros(32_000), sound, np.zeros(32_000)])
    whole += 0.05 * rng.standard_normal(len(whole))
    return (whole / np.abs(whole).max() * 20_000).astype(np.int16)


@pytest.mark.parametrize(
    ("rpm", "cylinders", "pulse_hz"), [(200, 4, 6.667), (250, 6, 12.5), (180, 8, 12.0), (200, 3, 5.0)]
)
def test_a_burst_gives_the_pulse_rate_that_physics_asks_for(rpm, cylinders, pulse_hz):
    """Rate = rpm x cylinders / 120 for a four-stroke engine; the mean speed of a made burst sags up to a tenth."""
    scene, hearing = heard(3, cylinders=cylinders, rpm=rpm)
    assert len(hearing.bursts) == 1
    burst = hearing.bursts[0]
    assert burst.start_s == pytest.approx(scene.start_s, abs=0.3)
    assert burst.end_s == pytest.approx(scene.end_s, abs=0.3)
    assert burst.pulse_hz == pytest.approx(scene.pulse_hz, rel=0.02)
    assert burst.pulse_hz == pytest.approx(pulse_hz, rel=0.1)
    assert burst.rpm == pytest.approx(burst.pulse_hz * 120 / cylinders)
    assert hearing.caught is False


def test_an_engine_that_catches_is_told_with_how_long_it_ran():
    """The burst ends where the engine takes over, and the run is timed."""
    _, hearing = heard(4, cylinders=4, rpm=200, run_s=3.0)
    assert hearing.caught is True
    assert hearing.run_s == pytest.approx(3.0, abs=0.6)


def test_a_solved_crankshaft_with_deep_fades_is_heard_as_well():
    """A scene by other formulas, whose pulses fade by more than 10 dB, is one burst at its true speed."""
    scene = make_variant(np.random.default_rng(30_073), snr_db=18.0, noise="fan")
    hearing = listen(scene.pcm, LAYERS)
    assert len(hearing.bursts) == 1
    assert hearing.bursts[0].pulse_hz == pytest.approx(scene.pulse_hz, rel=0.02)


def test_a_whine_without_pulses_is_no_burst():
    """A starter that spins without turning the engine is told as a whine."""
    rng = np.random.default_rng(1)
    hearing = listen(in_quiet(free_whine(3.0, rng), rng), LAYERS)
    assert hearing.bursts == ()
    assert [sound.kind for sound in hearing.others] == [Kind.WHINE]
    assert hearing.others[0].start_s == pytest.approx(2.0, abs=0.3)


def test_a_single_knock_is_told_as_a_clunk():
    """A starter that only clicks is told as a clunk, and nothing caught or not."""
    rng = np.random.default_rng(2)
    hearing = listen(in_quiet(2 * clunk(rng), rng), LAYERS)
    assert hearing.bursts == ()
    assert [sound.kind for sound in hearing.others] == [Kind.CLUNK]
    assert hearing.caught is None


@pytest.mark.parametrize("frames", [0, 1, 127, 16_000, 160_000])
def test_silence_of_any_length_holds_nothing(frames):
    """No sample, one sample, ten seconds of nothing: no burst, no knock, no error."""
    hearing = listen(np.zeros(frames, dtype=np.int16), LAYERS)
    assert (hearing.bursts, hearing.others, hearing.caught) == ((), (), None)


def test_a_clipped_recording_is_still_heard():
    """A microphone that was driven six times too loud changes neither edges nor speed."""
    scene, _ = heard(3, cylinders=4, rpm=200)
    loud = scene.pcm / np.quantile(np.abs(scene.pcm), 0.999) * 6 * 32_767
    hearing = listen(np.clip(loud, -32_768, 32_767).astype(np.int16), LAYERS)
    assert len(hearing.bursts) == 1
    assert hearing.bursts[0].pulse_hz == pytest.approx(scene.pulse_hz, rel=0.02)


def test_a_short_recording_that_begins_and_ends_while_the_starter_turns_is_a_burst():
    """Two seconds out of the middle of a burst: sound at once, nothing around it."""
    scene, _ = heard(3, cylinders=4, rpm=200)
    first = int((scene.start_s + 1.0) * 16_000)
    hearing = listen(scene.pcm[first : first + 32_000], LAYERS)
    assert len(hearing.bursts) == 1
    assert hearing.bursts[0].start_s == pytest.approx(0.0, abs=0.1)
    assert hearing.bursts[0].end_s == pytest.approx(2.0, abs=0.1)
    assert hearing.bursts[0].pulse_hz == pytest.approx(scene.pulse_hz, rel=0.05)


def test_clips_of_starts_within_a_second_are_heard_and_caught():
    """Three seconds of sound, in which the starter turns for 0.8 s and the engine takes over: nine of ten (59 of 60
    measured)."""
    plan = CrankPlan(cylinders=4, rpm=220.0, burst_s=0.8, run_s=2.0)
    right = 0
    for number in range(20, 30):
        scene = make_scene(np.random.default_rng([33, number]), plan=plan, snr_db=15.0, noise="hum")
        first = int((scene.start_s - 0.4) * 16_000)
        hearing = listen(scene.pcm[first : first + 48_000], LAYERS)
        edges = [(burst.start_s, burst.end_s) for burst in hearing.bursts]
        right += edges == [pytest.approx((0.4, 1.2), abs=0.3)] and hearing.caught is True
    assert right >= 9


def test_a_weak_cylinder_is_told_where_the_cylinders_are_known():
    """One compression of four much smaller than the others shows as unevenness; without the number it cannot."""
    plan = CrankPlan(cylinders=4, rpm=200.0, burst_s=8.0, weak=1)
    scene = make_scene(np.random.default_rng(50), plan=plan, snr_db=15.0, noise="hum")
    known, unknown = listen(scene.pcm, LAYERS, 4), listen(scene.pcm, LAYERS)
    assert known.bursts[0].uneven is not None
    assert known.bursts[0].uneven > 0.3
    assert unknown.bursts[0].uneven is None
