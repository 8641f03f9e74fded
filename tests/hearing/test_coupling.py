"""How much of what we play can come back at all, from levels."""

import numpy as np
import pytest

from assistant.hearing.coupling import LEADS, MARGIN, UNKNOWN, Coupling

HOP = 256


def powers(seed, hops, level):
    """Spectra of steady noise: (hops, 257). `level`: root mean square."""
    sound = level * np.random.default_rng(seed).standard_normal((hops, HOP))
    return np.abs(np.fft.rfft(sound, 2 * HOP)) ** 2


def after(heard, played, hops=120, silent=60):
    """What is known after so many hops of silence and of our voice."""
    coupling = Coupling()
    nothing = np.zeros(257)
    for power in powers(1, silent, heard):
        coupling.silent(power)
    ours = 2 * powers(2, hops + LEADS, played)
    for at, power in enumerate(powers(3, hops, heard)):
        coupling.hop(heard=power, left=power, echo=nothing, played=ours[at : at + LEADS])
    return coupling


def test_nothing_is_known_at_first():
    """Any room is possible, and no noise is known."""
    coupling = Coupling()
    assert np.all(coupling.most == MARGIN * UNKNOWN)
    assert not coupling.noise.any()


@pytest.mark.parametrize("noise", [0.005, 0.02])
def test_noise_alone_is_no_way_from_speaker_to_microphone(noise):
    """However loud it is, what may come back lies below it: the shop's noise is never taken for our echo."""
    coupling = after(noise, 0.1)
    assert np.all(coupling.most * 0.1**2 < noise**2)
    assert coupling.noise.mean() == pytest.approx(powers(4, 400, noise).mean(), rel=0.4)


def test_echo_without_noise_is_bounded_by_what_is_heard():
    """The bound holds the way itself, and not a hundred times as much."""
    coupling = after(0.03, 0.1, silent=0)
    way = 0.03**2 / 0.1**2
    assert np.all((coupling.most > way) & (coupling.most < 100 * way))


def test_a_muted_microphone_tells_nothing():
    """Zeros leave everything possible."""
    assert np.all(after(0.0, 0.1).most == MARGIN * UNKNOWN)
