"""What a stretch of raised sound most likely was, and what that makes of a burst."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from assistant.adapters.layers_starter import starter_layers
from assistant.cranking.case import Case
from assistant.cranking.ear import listen
from assistant.cranking.judge import odds_of
from assistant.cranking.kinds import KINDS
from assistant.cranking.levels import levels_of
from assistant.cranking.likely import (
    ALONE,
    BELIEVED,
    BLOWS_BEFORE,
    BLOWS_DROWNED_DB,
    CHATTERS,
    EASY,
    EVEN_BLOWS,
    LEARNT_LIGHT_S,
    NOTHING,
    PLAIN_RHYTHM,
    SPUN_HZ,
    TURNS,
    TURNS_FROM,
    WHINES,
    YET_WHINES,
    Likely,
    likely_of,
)
from assistant.cranking.model import Burst, Kind
from assistant.cranking.rate import Pulses
from assistant.cranking.scenes import make_scene
from assistant.cranking.synthetic import CrankPlan
from assistant.cranking.turning import NONE
from assistant.training.crank_practice_kinds import chatter, free_spin, machines

LAYERS = starter_layers()
BURST = Burst(start_s=1.0, end_s=4.0, pulse_hz=8.0, rpm=240.0, caught=False, uneven=0.5)


def likely(pcm: np.ndarray, start: int, stop: int) -> Likely:
    levels = levels_of(pcm)
    return likely_of(LAYERS.kinds, levels, pcm, odds_of(levels, pcm, LAYERS), (start, stop))


def in_quiet(sound: np.ndarray) -> tuple[np.ndarray, int, int]:
    """The sound after three quiet seconds, and where it is in levels."""
    rng = np.random.default_rng(0)
    whole = np.concatenate([np.zeros(48_000), 3_000 * sound, np.zeros(16_000)]) + rng.normal(0, 30, len(sound) + 64_000)
    return np.clip(whole, -32_768, 32_767).astype(np.int16), 375, 375 + len(sound) // 128


def shares(kind: Kind, share: float, *rest: Kind) -> dict[Kind, float]:
    return dict.fromkeys(KINDS, 0.0) | dict.fromkeys(rest, (1 - share) / len(rest)) | {kind: share}


@pytest.mark.parametrize(("make", "kind", "least"), [(free_spin, Kind.WHINE, 3), (chatter, Kind.CHATTER, 5)])
def test_a_motor_that_turns_nothing_and_a_chatter_are_told_in_quiet(make, kind, least):
    """Of six each most, by the whole ear; a quiet whine by itself is seldom sure."""
    found = [listen(in_quiet(make(np.random.default_rng([3, number])))[0], LAYERS).others for number in range(6)]
    assert sum(any(one.kind is kind for one in others) for others in found) >= least


def test_a_starter_that_turns_an_engine_is_neither():
    """Six engines at 12 dB stand, chatter and spin lightly in nobody's view."""
    for number in range(6):
        plan = CrankPlan(cylinders=4, rpm=150.0 + 25 * number, burst_s=4.0)
        scene = make_scene(np.random.default_rng(number), plan=plan, snr_db=12.0, noise="hum")
        found = likely(scene.pcm, round(scene.start_s * 125), round(scene.end_s * 125))
        assert not found.odd
        assert not found.nothing
        assert found.told(BURST).kind is Kind.CRANK


def test_a_machine_that_starts_and_stops_is_no_starter():
    """Of eight runs of machines, each as loud as a starter would be, most are nothing of the kind."""
    nothing = 0
    for number in range(8):
        made = machines(160_000, np.random.default_rng([8, number]))
        pcm = (3_000 * made / np.sqrt(np.mean(made**2))).clip(-32_768, 32_767).astype(np.int16)
        nothing += likely(pcm, 375, 800).kind is Kind.OTHER
    assert nothing >= 5


def test_what_the_two_views_took_for_nothing_must_be_surer():
    """A whine or a chatter alone; a usual engine is never odd, and something else is nothing."""
    for kind, needed in ((Kind.WHINE, WHINES), (Kind.CHATTER, CHATTERS)):
        hardly = BELIEVED - 0.01
        assert Likely(shares=shares(kind, needed, Kind.CRANK, Kind.LIGHT), believed=hardly).odd
        assert not Likely(shares=shares(kind, needed - 0.01, Kind.CRANK, Kind.LIGHT), believed=hardly).odd
        assert not Likely(shares=shares(kind, ALONE - 0.01, Kind.CRANK), believed=None).odd
        assert Likely(shares=shares(kind, ALONE, Kind.CRANK), believed=None).odd
        assert not Likely(shares=shares(kind, 1.0, Kind.CRANK), caught=True).odd, "an engine that ran was turned"
    assert not TURNS.odd
    assert Likely(shares=shares(Kind.OTHER, NOTHING, Kind.CRANK)).nothing
    assert not Likely(shares=shares(Kind.OTHER, NOTHING - 0.01, Kind.CRANK)).nothing


def test_where_the_two_views_are_sure_a_whine_must_be_likelier():
    """A recording that clips loses its pulses and is a starter all the same; a chatter needs more anyway."""
    assert Likely(shares=shares(Kind.WHINE, YET_WHINES, Kind.CRANK), believed=BELIEVED).odd
    assert not Likely(shares=shares(Kind.WHINE, YET_WHINES - 0.01, Kind.CRANK), believed=BELIEVED).odd
    assert Likely(shares=shares(Kind.CHATTER, CHATTERS, Kind.CRANK), believed=1.0).odd


def test_where_hardly_a_usual_engine_is_left_a_whine_need_not_be_likelier():
    """Between a whine and a light engine it is told as the likelier, never as the usual engine that it hardly is."""
    hardly = YET_WHINES - 0.01
    assert Likely(shares=shares(Kind.WHINE, hardly, Kind.LIGHT), believed=1.0).odd
    assert not Likely(shares=shares(Kind.WHINE, hardly, Kind.LIGHT, Kind.CRANK, Kind.OTHER), believed=1.0).odd


def test_blows_that_were_there_before_are_no_chatter():
    """A tool beside the car goes on; what is far softer explains nothing."""
    chatters = Likely(shares=shares(Kind.CHATTER, 0.95, Kind.CRANK))
    assert chatters.odd
    assert not replace(chatters, blows_before=BLOWS_BEFORE).odd
    assert replace(chatters, blows_before=BLOWS_BEFORE, rise_db=BLOWS_DROWNED_DB).odd


def test_a_light_engine_is_told_without_a_speed_and_never_where_it_ran():
    """Where it is likely enough; else the burst stands."""
    light = Likely(shares=shares(Kind.LIGHT, EASY, Kind.CRANK))
    told = light.told(BURST)
    assert (told.kind, told.pulse_hz, told.rpm, told.uneven) == (Kind.LIGHT, None, None, None)
    assert light.told(replace(BURST, caught=True)).kind is Kind.CRANK
    assert Likely(shares=shares(Kind.LIGHT, EASY - 0.01, Kind.CRANK)).told(BURST) == BURST
    assert Likely(shares=shares(Kind.LIGHT, EASY - 0.1, Kind.WHINE)).told(BURST).kind is Kind.LIGHT


def pulsing(hz: float, clear: float = PLAIN_RHYTHM) -> Pulses:
    return Pulses(hz=hz, strength=0.5, clear=clear)


def test_what_pulses_as_slowly_as_a_crankshaft_turns_is_no_whine():
    """It is a light engine; a quicker rhythm is the motor's own, one that is not plain tells nothing."""
    whines = Likely(shares=shares(Kind.WHINE, 0.9, Kind.CRANK, Kind.LIGHT), believed=1.0)
    assert whines.odd
    slow = replace(whines, pulses=pulsing(SPUN_HZ))
    assert not slow.odd
    assert slow.told(BURST).kind is Kind.LIGHT
    assert replace(whines, pulses=pulsing(SPUN_HZ + 0.1)).odd
    assert replace(whines, pulses=pulsing(4.0, PLAIN_RHYTHM - 0.01)).odd


def test_what_swells_as_slowly_and_evenly_as_a_crankshaft_is_no_whine():
    """Though no compressions are found, or at another rate; told as light however little the nets think of that."""
    whines = Likely(shares=shares(Kind.WHINE, 0.9, Kind.CRANK, Kind.LIGHT), believed=1.0)
    for pulses in (None, pulsing(SPUN_HZ + 0.1, PLAIN_RHYTHM - 0.01)):
        turns = replace(whines, turn=TURNS_FROM, pulses=pulses)
        assert (turns.kind, turns.odd) == (Kind.LIGHT, False)
        assert turns.told(BURST).kind is Kind.LIGHT
        assert replace(turns, turn=TURNS_FROM - 0.01).odd
    assert not replace(whines, turn=9.0, pulses=pulsing(SPUN_HZ + 0.1)).light, "compressions turn slowly, too"
    assert Likely(shares=shares(Kind.CRANK, 0.9, Kind.WHINE), turn=9.0).told(BURST).kind is Kind.CRANK
    assert Likely(shares=shares(Kind.CHATTER, 0.9, Kind.CRANK), turn=9.0).odd, "blows swell as well"


def test_a_chatter_may_pulse_as_slowly_but_never_so_evenly():
    """Its blows are its rhythm, but no flywheel keeps them even."""
    chatters = Likely(shares=shares(Kind.CHATTER, 0.9, Kind.CRANK), pulses=pulsing(6.0, 1.0))
    assert chatters.odd
    assert replace(chatters, pulses=Pulses(hz=6.0, strength=EVEN_BLOWS - 0.01, clear=1.0)).odd
    even = replace(chatters, pulses=Pulses(hz=6.0, strength=EVEN_BLOWS, clear=1.0))
    assert not even.odd
    assert even.told(BURST).kind is Kind.CRANK


def test_a_rhythm_quicker_than_a_crankshaft_turns_is_of_compressions():
    """Such an engine is not light, and keeps its speed; nor one with a plain rhythm for longer than any learnt from."""
    light = Likely(shares=shares(Kind.LIGHT, 0.9, Kind.CRANK), seconds=LEARNT_LIGHT_S, pulses=pulsing(SPUN_HZ))
    assert light.told(BURST).kind is Kind.LIGHT
    assert replace(light, pulses=pulsing(SPUN_HZ + 0.1)).told(BURST) == replace(BURST, confidence=light.sure)
    assert replace(light, pulses=pulsing(SPUN_HZ + 0.1, PLAIN_RHYTHM - 0.01)).told(BURST).kind is Kind.LIGHT
    longer = replace(light, seconds=LEARNT_LIGHT_S + 0.1)
    assert longer.told(BURST).kind is Kind.CRANK
    assert replace(longer, pulses=None).told(BURST).kind is Kind.LIGHT


def test_the_rhythm_is_that_of_the_case():
    """And the time that of the stretch."""
    plan = CrankPlan(cylinders=4, rpm=200.0, burst_s=4.0)
    scene = make_scene(np.random.default_rng(2), plan=plan, snr_db=15.0, noise="hum")
    levels = levels_of(scene.pcm)
    odds, span = odds_of(levels, scene.pcm, LAYERS), (round(scene.start_s * 125), round(scene.end_s * 125))
    case = Case(
        start=span[0], stop=span[1], pulses=pulsing(3.0), uneven=None, confidence=0.9, rest_stop=None, caught=False
    )
    found = likely_of(LAYERS.kinds, levels, scene.pcm, odds, span, case=case)
    assert found.pulses == case.pulses
    assert found.turn > TURNS_FROM
    assert found.seconds == pytest.approx(4.0, abs=0.02)
    alone = likely_of(LAYERS.kinds, levels, scene.pcm, odds, span)
    assert (alone.pulses, alone.turn) == (None, NONE), "nobody knows its edges"


def test_a_burst_is_no_surer_than_that_it_was_a_starter():
    """A sound that may well be something else is not asked about unasked."""
    assert Likely(shares=shares(Kind.CRANK, 0.7, Kind.OTHER)).told(BURST).confidence == pytest.approx(0.7)


def test_without_layers_or_sound_before_it_everything_turns_an_engine():
    """As before there were kinds."""
    pcm, start, stop = in_quiet(chatter(np.random.default_rng(1)))
    levels = levels_of(pcm)
    assert likely_of(None, levels, pcm, odds_of(levels, pcm, LAYERS), (start, stop)) is TURNS
    assert likely(pcm, 0, stop) is TURNS
    plain = {"caught": False, "blows_before": 0.0, "rise_db": 0.0, "clipped": False, "wobble": 1.0, "seconds": 0.0}
    assert Likely(shares=shares(Kind.CRANK, 1.0, Kind.OTHER), believed=1.0, pulses=None, **plain) == TURNS
    assert TURNS.told(BURST) == BURST
