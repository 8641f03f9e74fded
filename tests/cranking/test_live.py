"""The ear on a stream: what it tells of while the sound goes on. Times are seconds of the sound, nothing is timed."""

from __future__ import annotations

import numpy as np
import pytest

from assistant.adapters.layers_starter import starter_layers
from assistant.bench.crank_live import listen_live
from assistant.bench.crank_third import Attempt, make_third
from assistant.bench.crank_variant import make_variant
from assistant.cranking.events import Began, Caught, Dropped, Ended, Released
from assistant.cranking.live import CrankEar
from assistant.cranking.model import Kind
from assistant.cranking.scenes import Scene, make_scene
from assistant.cranking.shop_noise import talk
from assistant.cranking.synthetic import CrankPlan

LAYERS = starter_layers()


def made(seed: int, run_s: float | None = None) -> Scene:
    """A made-up attempt of 4 s in a steady shop."""
    plan = CrankPlan(cylinders=4, rpm=210, burst_s=4.0, run_s=run_s)
    return make_scene(np.random.default_rng(seed), plan=plan, snr_db=14.0, noise="hum")


def at(told, kind) -> list[tuple[float, object]]:
    return [(when, event) for when, event in told if isinstance(event, kind)]


def test_beginning_and_release_are_told_while_they_are_fresh():
    """The beginning within half a second, the release within 0.3 s, the whole burst soon after."""
    scene = made(3)
    told = listen_live(scene, LAYERS)
    assert at(told, Began)[0][0] == pytest.approx(scene.start_s, abs=0.5)
    assert at(told, Released)[0][0] == pytest.approx(scene.end_s, abs=0.3)
    [(when, event)] = at(told, Ended)
    assert when < scene.end_s + 1.5
    assert event.burst.caught is False


def test_an_engine_that_takes_over_is_told_of_at_once():
    """No pause marks the end of the burst, only a change of the sound."""
    scene = made(15, run_s=4.0)
    told = listen_live(scene, LAYERS)
    assert at(told, (Released, Caught))[0][0] == pytest.approx(scene.end_s, abs=0.3)
    assert at(told, Ended)[-1][1].burst.caught is True


def test_a_word_just_before_the_starter_does_not_hide_its_beginning():
    """What was taken for a beginning is taken back, and the true one is told."""
    scene = made(6)
    begin = int(scene.start_s * 16_000)
    pcm = scene.pcm.astype(np.float64)
    word = talk(0.35, np.random.default_rng(2))[:5_000] * np.sqrt(np.mean(pcm[begin : begin + 16_000] ** 2)) * 1.5
    pcm[begin - 9_000 : begin - 4_000] += word
    spoken = Scene(
        **{name: getattr(scene, name) for name in Scene.__slots__}
        | {"pcm": np.clip(pcm, -32768, 32767).astype(np.int16)}
    )
    told = listen_live(spoken, LAYERS)
    last = [event for _, event in told if isinstance(event, Began | Dropped) and event.at_s < scene.start_s + 1][-1]
    assert isinstance(last, Began)
    assert last.at_s == pytest.approx(scene.start_s, abs=0.5)
    assert at(told, Ended)[-1][1].burst.start_s == pytest.approx(scene.start_s, abs=0.3)


@pytest.mark.parametrize("number", [2, 6, 10, 14, 16, 25])
def test_what_never_ran_is_not_told_as_running(number):
    """What seems to take over is judged again before it is told: of six short scenes of the second maker that do not
    start none is told as running (nor of the first 16, measured)."""
    scene = make_variant(np.random.default_rng([777, number]))
    assert not scene.caught
    assert not any(event.burst.caught for _, event in at(listen_live(scene, LAYERS), Ended))


def test_what_goes_on_when_the_starter_lets_go_is_not_told_as_a_dead_engine():
    """An engine that ran for a second among voices: nobody heard it as one, but something went on that rose with it."""
    scene = make_variant(np.random.default_rng([77, 7]))
    assert scene.caught
    [(_, event)] = at(listen_live(scene, LAYERS), Ended)
    assert event.burst.caught is None


@pytest.mark.parametrize("number", [0, 4, 22])
def test_a_spin_that_goes_on_is_told_as_a_whole(number):
    """Its first moment sounds like a starter under load, and is no burst by itself."""
    scene = make_third(np.random.default_rng([77, number]), attempt=Attempt.FREE, snr_db=18.0)
    [(_, event)] = at(listen_live(scene, LAYERS), Ended)
    assert event.burst.kind is Kind.WHINE
    assert event.burst.end_s > scene.end_s - 0.5


def test_the_release_is_not_called_in_the_midst_of_cranking():
    """An impact wrench beside the car was an engine that took over, 3.9 s before the key was let go."""
    scene = make_scene(np.random.default_rng([62001, 103]))
    assert not scene.caught
    assert at(listen_live(scene, LAYERS), Caught) == []


def test_a_long_burst_that_the_layers_lose_sight_of_is_not_over():
    """It was told as a dead engine half a second before the engine caught."""
    scene = make_variant(np.random.default_rng([62001, 132]))
    [(_, event)] = at(listen_live(scene, LAYERS), Ended)
    assert event.burst.caught is scene.caught is True
    assert event.burst.end_s == pytest.approx(scene.end_s, abs=0.4)


def test_an_engine_that_took_over_is_no_chatter():
    """It knocks, and rose where the release was called: nobody is told that the starter chattered."""
    scene = make_variant(np.random.default_rng([90555, 31]))
    told = listen_live(scene, LAYERS)
    assert at(told, Caught)
    assert not any(event.burst.kind is Kind.CHATTER for _, event in at(told, Ended))


def follow(ear: CrankEar, pcm: np.ndarray, until_s: float, since_s: float = 0.0) -> list[object]:
    """Hears the sound between two seconds in blocks of 20 ms; what is told meanwhile."""
    heard = pcm[int(since_s * 16_000) : int(until_s * 16_000)]
    return [event for first in range(0, len(heard), 320) for event in ear.feed(heard[first : first + 320])]


def test_it_is_asked_at_any_moment_whether_a_starter_turns_and_how_surely():
    """Neither before a start nor after it; in the midst of it both, and surely."""
    scene = made(3)
    ear = CrankEar(LAYERS, 4)
    assert not ear.turns and ear.judged() == 0.0 and ear.expected == 0.0
    follow(ear, scene.pcm, scene.start_s - 0.3)
    assert not ear.turns and ear.judged() == 0.0
    follow(ear, scene.pcm, scene.start_s + 2.5, scene.start_s - 0.3)
    assert ear.turns and ear.judged() > 0.8
    follow(ear, scene.pcm, scene.end_s + 2.0, scene.start_s + 2.5)
    assert not ear.turns and ear.judged() == 0.0


def test_sound_that_breaks_off_is_judged_as_far_as_it_goes():
    """A burst that the end of the sound cuts off is told of, up to there; and once alone."""
    scene = made(3)
    ear = CrankEar(LAYERS, 4)
    follow(ear, scene.pcm, scene.end_s - 0.5)
    [ended] = [event for event in ear.finish() if isinstance(event, Ended)]
    assert ended.burst.start_s == pytest.approx(scene.start_s, abs=0.3)
    assert ended.burst.end_s == pytest.approx(scene.end_s - 0.5, abs=0.3)
    assert ear.finish() == []


@pytest.mark.parametrize("block", [1, 160, 4_000, 1_000_000])
def test_blocks_of_any_size_tell_the_same_burst(block):
    """Looks fall elsewhere, and edges with them by one look at most."""
    scene = made(3)
    told = list[object]()
    ear, pcm = CrankEar(LAYERS, 4), scene.pcm[: int((scene.end_s + 2) * 16_000)]
    step = max(block, 16)  # single samples would take minutes; sixteen are less than a level
    for first in range(0, len(pcm), step):
        told += ear.feed(pcm[first : first + step])
    [ended] = [event for event in (*told, *ear.finish()) if isinstance(event, Ended)]
    assert ended.burst.start_s == pytest.approx(scene.start_s, abs=0.3)
    assert ended.burst.end_s == pytest.approx(scene.end_s, abs=0.3)
    assert ended.burst.caught is False
