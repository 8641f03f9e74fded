"""A tool that begins as the starter lets go, or while it turns: what is loud then is no engine that caught."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import numpy as np
from numpy.typing import NDArray

from assistant.bench.crank_live import Make, measure_live
from assistant.bench.crank_third import make_third
from assistant.bench.crank_third_place import NO_STARTER
from assistant.bench.crank_variant import make_variant
from assistant.cranking.layers import StarterLayers
from assistant.cranking.scenes import Scene, make_scene
from assistant.ports import SAMPLE_RATE_HZ

TOOLS = ("ratchet", "drill", "compressor", "engine", "street", "saw", "grinder", "blows", "rotor")
BEGINS_S = (-0.25, 0.35)
"""After the end of the burst."""
AMID_S, LEAST_S = (0.8, -0.5), 2.0
"""After its beginning and after its end, between which a tool begins amid it; how long such a burst is at least."""
LOUD_DB = (-6.0, 10.0)
"""Against the starter."""
LASTS_S, RISES_S = (0.8, 6.0), (0.01, 0.2)
GOES_ON_S = 7.0
"""So long the room is heard after the burst."""

MAKERS: dict[str, Make] = {"first": make_scene, "second": make_variant, "third": make_third}

Sound = NDArray[np.float64]


def measure_tools(count: int, seed: int, layers: StarterLayers) -> dict[str, Any]:
    """What is told of `count` scenes of each maker so, as it lets go and amid it, heard live."""
    return {
        f"{named}_{name}": measure_live(beside_a_tool(make, amid=amid), count, seed, layers)
        for named, amid in (("tools", False), ("tools_amid", True))
        for name, make in MAKERS.items()
    }


def beside_a_tool(make: Make, *, amid: bool = False) -> Make:
    """The maker's scenes, a tool beginning about the end of each burst, or amid it: all ranges above, evenly drawn."""

    def scene(rng: np.random.Generator) -> Scene:
        plain = make(rng)
        while amid and plain.end_s - plain.start_s <= LEAST_S:
            plain = make(rng)
        name = str(rng.choice(TOOLS))
        sound = _gone_on(plain)
        turned = sound[_at(plain.start_s) : _at(plain.end_s)]
        tool = _tool(name, rng) * np.sqrt((turned**2).mean()) * 10 ** (rng.uniform(*LOUD_DB) / 20)
        begins = (plain.start_s + AMID_S[0], plain.end_s + AMID_S[1]) if amid else plain.end_s + np.array(BEGINS_S)
        first = max(0, _at(rng.uniform(*begins)))
        sound[first : first + len(tool)] += tool[: len(sound) - first]
        pcm = np.clip(np.round(sound), -32_768, 32_767).astype(np.int16)
        return replace(plain, pcm=pcm, noise=f"{plain.noise}, {name}")

    return scene


def _gone_on(scene: Scene) -> Sound:
    """The scene, its last second to and fro until the room was heard long enough."""
    sound = scene.pcm.astype(np.float64)
    last = sound[-SAMPLE_RATE_HZ:]
    more = max(0, _at(scene.end_s + GOES_ON_S) - len(sound))
    return np.concatenate([sound, np.resize(np.concatenate([last[::-1], last]), more)])


def _tool(name: str, rng: np.random.Generator) -> Sound:
    """A run of it, with a power of 1."""
    run = NO_STARTER[name](_at(rng.uniform(*LASTS_S)), rng)
    rises = _at(rng.uniform(*RISES_S))
    run[:rises] *= np.linspace(0, 1, rises)
    run[-rises:] *= np.linspace(1, 0, rises)
    return np.asarray(run / np.sqrt((run**2).mean() + 1e-12), np.float64)


def _at(seconds: float) -> int:
    return round(seconds * SAMPLE_RATE_HZ)
