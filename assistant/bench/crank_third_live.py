"""What a technician is told of the third maker's scenes as they happen: engines, and starters that turn none."""

from __future__ import annotations

from collections import Counter
from functools import partial
from typing import Any

import numpy as np

from assistant.bench.crank_live import Make, asked_first, measure_live, ruled, told_live
from assistant.bench.crank_third import Attempt, make_third
from assistant.bench.crank_third_place import mixed
from assistant.cranking.arbiter import Place, Ruling
from assistant.cranking.layers import StarterLayers
from assistant.cranking.scenes import Scene
from assistant.guide.timing import WEAK_SHARE
from assistant.language.model import BurstHeard, StarterClicked, StarterEvent

SNRS_DB = (18.0, 9.0, 3.0)
PIECE_S = 240.0

NAMES = {Attempt.LIGHT: "light", Attempt.FREE: "whine", Attempt.CHATTER: "chatter"}
"""What each attempt should be told as; a click has an event of its own."""


def measure_third(count: int, seed: int, layers: StarterLayers) -> dict[str, Any]:
    """What is told of `count` attempts that turn an engine at each noise level, and of uneven ones among them."""
    found: dict[str, Any] = {}
    for snr_db in SNRS_DB:
        make: Make = partial(make_third, attempt=Attempt.TURNS, snr_db=snr_db)
        found[f"{snr_db:g}_db"] = measure_live(make, count, seed, layers)
    return found


def measure_odd(count: int, seed: int, layers: StarterLayers) -> dict[str, Any]:
    """What is told of `count` attempts of each kind that turn no engine as usual, at each noise level."""
    return {
        str(attempt): {f"{snr_db:g}_db": dict(_told_as(attempt, snr_db, count, seed, layers)) for snr_db in SNRS_DB}
        for attempt in (Attempt.LIGHT, Attempt.FREE, Attempt.CHATTER, Attempt.CLICK)
    }


def _told_as(attempt: Attempt, snr_db: float, count: int, seed: int, layers: StarterLayers) -> Counter[str]:
    found = Counter(scenes=count)
    for number in range(count):
        scene = make_third(np.random.default_rng([seed, number]), attempt=attempt, snr_db=snr_db)
        found.update([told_as(attempt, scene, told_live(scene, layers))])
    return found


def told_as(attempt: Attempt, scene: Scene, told: list[tuple[float, StarterEvent]]) -> str:
    """`right` where it was told as what it is, at once or after the question whether the starter turned; else as what
    instead, or that it was not told."""
    own = [
        event
        for at_s, event in told
        if isinstance(event, BurstHeard)
        and at_s - event.ago_s - event.seconds < scene.end_s
        and at_s - event.ago_s > scene.start_s
    ]
    clicked = any(isinstance(event, StarterClicked) and at_s > scene.start_s for at_s, event in told)
    if attempt is Attempt.CLICK:
        return f"told as {own[0].kind}" if own else "right" if clicked else "not told"
    if not own:
        return "told as a click" if clicked else "not told"
    right = [event for event in own if event.kind == NAMES[attempt]]
    if right:
        return "right, asked first" if all(asked_first(event) for event in right) else "right"
    running = " that caught" if any(event.caught for event in own) else ""
    return f"told as {own[0].kind}{running}"


def measure_uneven(count: int, seed: int, layers: StarterLayers) -> dict[str, Any]:
    """How many engines with one cylinder at 60 % or less are told as uneven, and how many others, 0 to 20 dB."""
    told: dict[str, Any] = {}
    for attempt in (Attempt.UNEVEN, Attempt.TURNS):
        heard = uneven = 0
        for number in range(count):
            scene = make_third(np.random.default_rng([seed, number]), attempt=attempt)
            bursts = [event for _, event in told_live(scene, layers) if isinstance(event, BurstHeard)]
            known = [one.uneven for one in bursts if one.uneven is not None]
            heard += bool(known)
            uneven += any(one >= WEAK_SHARE for one in known)
        told[str(attempt)] = {"scenes": count, "could_be_told": heard, "told_uneven": uneven}
    return told


def measure_mixed(hours: float, seed: int, layers: StarterLayers) -> dict[str, Any]:
    """Bursts that are told of in hours without a starter: where a step waits for one, and where none does."""
    pieces = max(1, round(hours * 3600 / PIECE_S))
    found: Counter[str] = Counter()
    for number in range(pieces):
        pcm = mixed(PIECE_S, np.random.default_rng([seed, number]))
        scene = Scene(
            pcm=pcm, cylinders=4, start_s=0.0, end_s=0.0, pulse_hz=0.0, rpm=0.0, caught=False, run_s=None, snr_db=0.0,
            noise="mixed",
        )  # fmt: skip
        for waits in (True, False):
            whole = [event for _, event in told_live(scene, layers, asked=waits) if isinstance(event, BurstHeard)]
            for place in (Place.AWAITED,) if waits else (Place.UNASKED, Place.KEY_OFF):
                found.update(f"{place}: {ruled(one, place)}" for one in whole)
    took = pieces * PIECE_S / 3600
    named = {
        "told_where_a_step_waits": f"{Place.AWAITED}: {Ruling.TAKEN}",
        "asked_about_where_a_step_waits": f"{Place.AWAITED}: {Ruling.ASKS}",
        "asked_about_unasked": f"{Place.UNASKED}: {Ruling.TAKEN}",
        "asked_about_key_off": f"{Place.KEY_OFF}: {Ruling.TAKEN}",
    }
    counts = {name: found[key] for name, key in named.items()}
    per_hour = {name: round(count / took, 1) for name, count in counts.items()}
    return {"hours": round(took, 3)} | counts | {"per_hour": per_hour}
