"""What a technician is told of a burst while it happens, and how late: its end, an engine that took over, the whole."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Sequence
from typing import Any

import numpy as np

from assistant.adapters.voice_silero import voice_detector
from assistant.cranking.arbiter import Place, Ruling, rule_burst
from assistant.cranking.events import Event
from assistant.cranking.layers import StarterLayers
from assistant.cranking.live import CrankEar
from assistant.cranking.model import Kind
from assistant.cranking.scenes import Scene
from assistant.language.model import BurstCaught, BurstDropped, BurstHeard, BurstReleased, BurstStarted, StarterEvent
from assistant.ports import SAMPLE_RATE_HZ, AudioBlock
from assistant.session.starter import EXPECTED, StarterEar

BLOCK = 320
END_S, CAUGHT_S = 0.3, 0.5
_QUIET_S = 5  # of stream after a scene: an engine that runs to its end is told of after four
_BEFORE_S = 0.1  # an event told so much before the truth is of something else
_NEAR_S = 0.5  # an event that lies further before the truth is of something else

Make = Callable[[np.random.Generator], Scene]
Told = tuple[float, Event]


def measure_live(make: Make, count: int, seed: int, layers: StarterLayers) -> dict[str, Any]:
    """What a technician is told of `count` scenes, and how late, heard in blocks of 20 ms where a step asked for it.

    One that is not told of counts against its share.
    """
    starts, ends, let_go, engines, wholes, taken_back = [], [], [], [], [], 0
    outcomes: Counter[str] = Counter()
    for number in range(count):
        scene = make(np.random.default_rng([seed, number]))
        told = told_live(scene, layers)
        starts.append(late(told, BurstStarted, scene.start_s))
        ends.append(late(told, (BurstReleased, BurstCaught, BurstHeard), scene.end_s))
        if not scene.caught:
            let_go.append(ends[-1])
        else:
            engines.append(late(told, (BurstCaught, BurstHeard), scene.end_s))
        wholes.append(late(told, BurstHeard, scene.end_s, within_s=np.inf))
        outcomes.update([*outcome(scene, told), *called(scene, told), *shown(scene, told)])
        taken_back += sum(isinstance(event, BurstDropped) for _, event in told)
    return {
        "scenes": count,
        "bursts_right": outcomes["right"],
        "bursts_asked_about_first": outcomes["asked"],
        "bursts_extra": outcomes["extra"],
        "bursts_extra_asked_about": outcomes["extra asked"],
        "bursts_told_as_another_kind": outcomes["another kind"],
        "no_start_scenes": outcomes["no start"],
        "no_start_told_running": outcomes["told running"],
        "no_start_not_sure": outcomes["unsure"],
        "engines": len(engines),
        "engine_told_not_running": outcomes["told dead"],
        "engine_not_sure": outcomes["unsure engine"],
        "told_whole": round(sum(late is not None for late in wholes) / count, 4),
        "whole_told_late_s": _spread(wholes),
        "start_late_s": _spread(starts),
        "end_told_within_0.3_s": _share(ends, END_S),
        "no_start_end_told_within_0.3_s": _share(let_go, END_S),
        "end_late_s": _spread(ends),
        "end_told_too_early": outcomes["shown too early"],
        "engine_told_within_0.5_s": _share(engines, CAUGHT_S),
        "engine_told_late_s": _spread(engines),
        "release_called_in_no_starts": outcomes["called in vain"],
        "release_called_in_no_starts_while_it_turns": outcomes["called in vain while it turns"],
        "release_called_too_early": outcomes["called too early"],
        "release_called_while_it_fires": outcomes["called while it fires"],
        "taken_back": taken_back,
    }


def told_live(scene: Scene, layers: StarterLayers, *, asked: bool = True) -> list[tuple[float, StarterEvent]]:
    """Everything that a session is told of a scene, each with the second at which it was told. `asked`: for a burst."""
    ear = StarterEar(lambda: scene.cylinders, layers, asked=lambda: asked, voice=voice_detector())
    quiet = np.zeros(_QUIET_S * SAMPLE_RATE_HZ, np.int16)
    pcm = np.concatenate([scene.pcm, quiet])  # the stream goes on
    told: list[tuple[float, StarterEvent]] = []
    for at in range(0, len(pcm), BLOCK):
        block = AudioBlock(pcm=pcm[at : at + BLOCK], start_s=at / SAMPLE_RATE_HZ)
        told += [((at + len(block.pcm)) / SAMPLE_RATE_HZ, event) for event in ear.accept(block)]
    return told


def listen_live(scene: Scene, layers: StarterLayers) -> list[Told]:
    """Everything that the ear tells of a scene, each with the second at which it was told."""
    ear = CrankEar(layers, scene.cylinders)
    ear.expected = EXPECTED  # as in a step that asks for the starter
    told: list[Told] = []
    for at in range(0, len(scene.pcm), BLOCK):
        block = scene.pcm[at : at + BLOCK]
        told += [((at + len(block)) / SAMPLE_RATE_HZ, event) for event in ear.feed(block)]
    return told + [(len(scene.pcm) / SAMPLE_RATE_HZ, event) for event in ear.finish()]


def outcome(scene: Scene, told: Sequence[tuple[float, StarterEvent]]) -> list[str]:
    """What was told of a scene in which a starter turns an engine as usual, as a technician hears it: whether the
    outcome was right, whether it was told as a starter with little or nothing to turn, and what was told besides."""
    whole = [(at_s - event.ago_s, event) for at_s, event in told if isinstance(event, BurstHeard)]
    own = [one for end_s, one in whole if end_s - one.seconds < scene.end_s and end_s > scene.start_s]
    others = [one for _, one in whole if one not in own[:1]]
    found = ["extra asked" if asked_first(one) else "extra" for one in others]
    found += ["asked"] if own and asked_first(own[0]) else []
    found += [] if scene.caught else ["no start"]
    if own and own[0].caught is scene.caught:
        found.append("right")
    if own and own[0].kind != Kind.CRANK:
        found.append("another kind")
    if own and own[0].caught is None:
        found.append("unsure engine" if scene.caught else "unsure")
    if not scene.caught and any(one.caught for one in own):
        found.append("told running")
    if scene.caught and own and own[0].caught is False:
        found.append("told dead")
    return found


def called(scene: Scene, told: Sequence[tuple[float, StarterEvent]]) -> list[str]:
    """Whether the release was called where no engine took over, or before one did: it cuts an attempt short; less so
    while the engine fires already, for the key is let go a moment after the call, and not once it was let go."""
    calls_s = [at_s for at_s, event in told if isinstance(event, BurstCaught)]
    early_s = [at_s for at_s in calls_s if at_s < scene.end_s - _BEFORE_S]
    if not scene.caught:
        return (["called in vain"] if calls_s else []) + (["called in vain while it turns"] if early_s else [])
    fires = scene.fires_s is not None and min(early_s, default=0.0) >= scene.fires_s
    return ["called while it fires" if fires else "called too early"] if early_s else []


def shown(scene: Scene, told: Sequence[tuple[float, StarterEvent]]) -> list[str]:
    """Whether the starter was shown to let go while it turned on."""
    early = (scene.start_s < at_s < scene.end_s - _BEFORE_S for at_s, one in told if isinstance(one, BurstReleased))
    return ["shown too early"] if any(early) else []


def ruled(burst: BurstHeard, place: Place) -> Ruling:
    """What becomes of a whole burst in a session in this place."""
    return rule_burst(burst.seconds, burst.confidence, place, outcome_known=burst.caught is not None)


def asked_first(burst: BurstHeard) -> bool:
    """Whether a step that waits asks the technician if the starter turned, before this counts."""
    return ruled(burst, Place.AWAITED) is Ruling.ASKS


def late(
    told: Sequence[tuple[float, StarterEvent]],
    kinds: type | tuple[type, ...],
    true_s: float,
    *,
    within_s: float = _NEAR_S,
) -> float | None:
    """How long after the truth the first event of these kinds that is about it was told, s; None where none was.

    One that was told before the truth is about something else; a whole burst is about it wherever its end is put.
    """
    for at_s, event in told:
        about_s = at_s - getattr(event, "ago_s", 0.0)
        near = (
            within_s == np.inf or not isinstance(event, BurstHeard | BurstStarted) or abs(about_s - true_s) <= within_s
        )
        if isinstance(event, kinds) and at_s >= true_s - _BEFORE_S and near:
            return at_s - true_s
    return None


def _share(late: Sequence[float | None], most_s: float) -> float | None:
    return round(sum(one is not None and one <= most_s for one in late) / len(late), 4) if late else None


def _spread(late: Sequence[float | None]) -> dict[str, float] | None:
    known = [one for one in late if one is not None]
    if not known:
        return None
    return {name: round(float(np.quantile(known, share)), 2) for name, share in (("median", 0.5), ("95_percent", 0.95))}
