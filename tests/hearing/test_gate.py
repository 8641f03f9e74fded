"""The gate by itself: made-up frames, no network."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest
from numpy.typing import NDArray

from assistant.adapters.recogniser_embedded.files import GATE_LAYERS, read_gate_layers, write_gate_layers
from assistant.hearing.endpoint import FRAME_S, Endpoint, EndpointSettings, Mark
from assistant.hearing.gate import FRAME, LOUDEST_DBFS, NEW_FRAMES, NOISE_DBFS, TRAITS, Gate, GateLayers
from assistant.hearing.level import rms_dbfs

Pcm = NDArray[np.int16]

UNSURE = 0.2
"""What the detector gives a short word in noise: far less than the half that once had to come twice."""


def noise(frames: int, level: float, seed: int = 1) -> Pcm:
    """White noise of that root mean square: (frames, 512)."""
    return (np.random.default_rng(seed).standard_normal((frames, FRAME)) * level).astype(np.int16)


def voiced(frames: int, level: float) -> Pcm:
    """Something like a vowel: harmonics of 120 Hz under two formants."""
    seconds = np.arange(frames * FRAME) / 16_000
    harmonics = np.arange(120, 4000, 120)
    formants = np.exp(-(((harmonics - 600) / 300) ** 2)) + 0.5 * np.exp(-(((harmonics - 1700) / 400) ** 2))
    sound = np.sin(2 * np.pi * harmonics * seconds[:, None]) @ formants
    sound = sound * level / np.sqrt(np.mean(np.square(sound)))
    return sound.astype(np.int16).reshape(frames, FRAME)


def scores(sound: Pcm, chances: list[float]) -> list[float]:
    """What the shipped gate makes of each frame; `chances`: what the detector said."""
    gate = Gate(read_gate_layers(GATE_LAYERS))
    return [gate.speaks(frame, chance) for frame, chance in zip(sound, chances, strict=True)]


def marks(probabilities: list[float]) -> list[tuple[int, Mark]]:
    """What the endpoint makes of them, as shipped."""
    endpoint = Endpoint(EndpointSettings())
    told = [(place, endpoint.frame(chance)) for place, chance in enumerate(probabilities)]
    return [(place, mark) for place, mark in told if mark is not Mark.NOTHING]


@pytest.mark.parametrize("level", [30.0, 300.0, 3000.0])
def test_a_word_that_the_detector_doubts_begins_an_utterance_and_ends_it(level: float) -> None:
    """Nine frames of voice 9 dB over the noise of any loudness, the detector at 0.2: begun, tried, ended."""
    before, word, after = 120, 9, 40
    sound = noise(before + word + after, level)
    sound[before : before + word] += voiced(word, level * 10 ** (9 / 20))
    chances = [0.01] * before + [UNSURE] * word + [0.01] * after
    told = marks(scores(sound, chances))
    assert [told[0][1], told[-1][1]] == [Mark.BEGAN, Mark.ENDED]
    assert Mark.TRY in [mark for _, mark in told]
    assert before <= told[0][0] <= before + word


def test_noise_alone_begins_nothing_though_the_detector_wavers() -> None:
    """A minute of steady noise in which the detector says up to 0.2; the first second teaches what is usual."""
    frames = round(60 / FRAME_S)
    wavering = [float(each) for each in np.random.default_rng(2).uniform(0.0, UNSURE, frames)]
    assert marks(scores(noise(frames, 300.0), wavering)[round(1 / FRAME_S) :]) == []


@pytest.mark.parametrize("level", [10.0, 100.0, 1000.0])
def test_the_detector_is_given_its_sound_at_one_level(level: float) -> None:
    """Whatever the microphone's gain, noise comes out alike, and nothing passes the loudest."""
    gate = Gate()
    out = [gate.levelled(frame) for frame in noise(200, level)]
    assert rms_dbfs(np.concatenate(out[100:])) == pytest.approx(NOISE_DBFS, abs=0.5)
    loud = gate.levelled(noise(1, 12_000.0)[0])
    assert rms_dbfs(loud) <= LOUDEST_DBFS + 0.1


def test_digital_silence_is_no_speech() -> None:
    """Zeros give numbers, and low ones."""
    found = scores(np.zeros((50, FRAME), np.int16), [0.0] * 50)
    assert max(found) < 0.1


def test_after_a_reset_nothing_is_remembered() -> None:
    """The same sound gives the same traits again."""
    gate, sound = Gate(), noise(20, 300.0)
    first = [gate.traits(frame, 0.3) for frame in sound]
    gate.reset()
    again = [gate.traits(frame, 0.3) for frame in sound]
    assert all(np.array_equal(one, other) for one, other in zip(first, again, strict=True))
    assert first[0].shape == (TRAITS,)


def test_a_gate_without_layers_says_so() -> None:
    """It is for training."""
    with pytest.raises(RuntimeError, match="no layers"):
        Gate().speaks(noise(1, 10.0)[0], 0.5)


def test_layers_come_back_as_they_were_written(tmp_path: Path) -> None:
    """With 32 bits."""
    random = np.random.default_rng(1)
    layers = GateLayers(
        middle=random.standard_normal(TRAITS), spread=random.uniform(1, 2, TRAITS),
        inner=random.standard_normal((TRAITS, 4)), inner_bias=random.standard_normal(4),
        outer=random.standard_normal(4), outer_bias=0.5,
    )  # fmt: skip
    write_gate_layers(layers, tmp_path / "gate.npz")
    traits = random.standard_normal(TRAITS)
    assert read_gate_layers(tmp_path / "gate.npz")(traits) == pytest.approx(layers(traits), abs=1e-5)


def test_what_begins_with_the_stream_is_told_by_the_detector() -> None:
    """Nothing is usual yet, so nothing rises over it; once something is, the detector alone is not enough."""
    word = [*voiced(8, 3_000.0), *noise(NEW_FRAMES, 30.0)]
    assert min(scores(np.array(word), [0.95] * 8 + [0.0] * NEW_FRAMES)[:8]) >= 0.95
    late = np.array([*noise(NEW_FRAMES, 3_000.0), *noise(4, 3_000.0, seed=2)])
    assert max(scores(late, [0.0] * NEW_FRAMES + [0.4] * 4)[NEW_FRAMES:]) < 0.4
