"""Whole made-up scenes and what is true in them: an attempt to start, in a room and shop noise, by a microphone."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from assistant.cranking import shop_noise
from assistant.cranking.synthetic import RATE_HZ, CrankPlan, crank


@dataclass(frozen=True, slots=True, kw_only=True)
class Scene:
    """`pcm`: int16, mono, (frames,), 16 000 Hz. The rest is the truth of it; `snr_db` within the burst.

    `fires_s`: since when the mixture burns, before the engine takes over at `end_s`, where the maker knows.
    """

    pcm: NDArray[np.int16]
    cylinders: int
    start_s: float
    end_s: float
    pulse_hz: float
    rpm: float
    caught: bool
    run_s: float | None
    snr_db: float
    noise: str
    fires_s: float | None = None


def draw_plan(rng: np.random.Generator) -> CrankPlan:
    """A random attempt: 3 to 8 cylinders, 60 to 350 rpm, 1 to 15 s, one in three catches."""
    cylinders = int(rng.choice([3, 4, 4, 4, 5, 6, 6, 8]))
    caught = rng.random() < 0.35
    return CrankPlan(
        cylinders=cylinders,
        rpm=float(rng.uniform(60, 350)),
        burst_s=float(rng.uniform(1, 15)),
        run_s=float(rng.uniform(0.8, 8)) if caught else None,
        dies=bool(rng.random() < 0.6),
        weak=int(rng.integers(cylinders)) if rng.random() < 0.2 else None,
        firings=int(rng.integers(1, 4)) if rng.random() < 0.2 else 0,
        idle_rpm=float(rng.uniform(600, 1000)),
    )


def make_scene(
    rng: np.random.Generator,
    *,
    plan: CrankPlan | None = None,
    snr_db: float | None = None,
    noise: str | None = None,
) -> Scene:
    """One scene. What is not given is drawn from `rng`: SNR 0 to 20 dB, any noise, 1 to 5 s before and after."""
    plan = plan or draw_plan(rng)
    snr_db = float(rng.uniform(0, 20)) if snr_db is None else snr_db
    kind = noise or str(rng.choice(list(shop_noise.NOISES)))
    made = crank(plan, rng)
    before_s = float(rng.uniform(1, 5))
    after_s = float(rng.uniform(1, 5)) if plan.dies or plan.run_s is None else 0.0
    start = int(before_s * RATE_HZ)
    quiet = np.zeros(int(after_s * RATE_HZ))
    sound = shop_noise.room(np.concatenate([np.zeros(start), made.samples, quiet]), rng)
    noise_sound = shop_noise.NOISES[kind](len(sound) / RATE_HZ + 0.01, rng)[: len(sound)]
    burst = slice(start, start + int(plan.burst_s * RATE_HZ))
    crank_power = np.mean(sound[burst] ** 2)
    # Noise that happens to pause during the burst must not be made deafening around it.
    noise_power = max(np.mean(noise_sound[burst] ** 2), 0.5 * np.mean(noise_sound**2))
    sound = sound + noise_sound * np.sqrt(crank_power / noise_power / 10 ** (snr_db / 10))
    pcm = shop_noise.microphone(sound, rng)
    return Scene(
        pcm=pcm,
        cylinders=plan.cylinders,
        start_s=before_s,
        end_s=before_s + plan.burst_s,
        pulse_hz=made.pulse_hz,
        rpm=made.rpm,
        caught=made.caught,
        run_s=made.run_s,
        snr_db=snr_db,
        noise=kind,
    )
