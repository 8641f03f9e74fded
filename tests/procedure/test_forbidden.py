"""The table of forbidden work, told a second time: who changes what may hurt somebody has to say so twice."""

import pytest

from assistant.procedure.condition import UNDOES, C
from assistant.procedure.forbidden import forbids, forbids_hazards, next_remedy, remedies_in_turn, why_not
from assistant.procedure.model import Hazard as H
from assistant.procedure.model import Kind, Place, Step
from assistant.procedure.remedies import ASSERTS, NEVER_LEFT, REMEDIES, REPAIRED, SAID_BY

BURNS = {C.LEAK, C.LINE_OPEN, C.CAN_OUT}
TURNS = BURNS | {C.WRONG_FUEL, C.DUCT_OPEN, C.PROP_IN, C.CLAMP_OFF, C.BATTERY_UNSAFE, C.BURNED, C.CAN_ROLL}
TURNS |= {C.KNOCKED, C.BINDS, C.SOMEBODY_NEAR}
LETS_OUT = {C.LEAK, C.TESTER_HUNG, C.PACK_ON, C.ENGINE_HOT, C.ENGINE_RUNS, C.BURNED}
NOT_IN = {
    H.CRANKING: TURNS | {C.VAPOUR, C.ENGINE_RUNS},
    H.RUNNING_ENGINE: TURNS | {C.VAPOUR, C.TESTER_HUNG},
    H.MOVING_PARTS: {C.SOMEBODY_NEAR},
    H.SPRAYING: LETS_OUT | {C.WRONG_FUEL, C.LINE_OPEN, C.SOMEBODY_NEAR},
    H.OPEN_FUEL_LINE: LETS_OUT | {C.KEY_ON, C.PRESSURE_UP},
    H.EXPOSED_SPARK: BURNS | {C.VAPOUR, C.PACK_ON, C.KNOCKED, C.SOMEBODY_NEAR},
    H.HOT_WORK: BURNS | {C.VAPOUR, C.KNOCKED, C.SOMEBODY_NEAR},
    H.BATTERY_CLAMP: BURNS | {C.VAPOUR, C.KNOCKED, C.PACK_ON, C.KEY_ON, C.BATTERY_UNSAFE, C.SOMEBODY_NEAR},
    H.HIGH_SECONDARY_VOLTAGE: {C.KEY_ON},
}
"""Each hazard, and what it may not begin in. Source: the table's own sentences."""

UNLESS_NEEDED = {
    H.CRANKING: {C.VAPOUR, C.CAN_OUT, C.DUCT_OPEN, C.PROP_IN},
    H.RUNNING_ENGINE: {C.VAPOUR, C.CAN_OUT, C.DUCT_OPEN, C.PROP_IN},
    H.OPEN_FUEL_LINE: {C.KEY_ON, C.PRESSURE_UP},
    H.BATTERY_CLAMP: {C.PACK_ON},
}
"""Of these, what a step may ask for that is done with it so."""

FIRST = {
    C.LEAK: {C.KEY_ON}, C.WRONG_FUEL: {C.KEY_ON}, C.LINE_OPEN: {C.KEY_ON}, C.TESTER_HUNG: {C.KEY_ON},
    C.BURNED: {C.KEY_ON}, C.OVERHEATED: {C.KEY_ON}, C.BINDS: {C.KEY_ON, C.CAN_ROLL},
    C.KNOCKED: {C.KEY_ON, C.LEAK, C.WRONG_FUEL},
    C.VAPOUR: {C.ENGINE_RUNS, C.LEAK, C.WRONG_FUEL, C.LINE_OPEN, C.CAN_OUT},
    C.BATTERY_UNSAFE: {C.KEY_ON, C.LEAK, C.LINE_OPEN, C.CAN_OUT, C.VAPOUR, C.KNOCKED},
    C.PRESSURE_UP: {C.KEY_ON, C.ENGINE_HOT},
}  # fmt: skip
"""Each remedy, and what must be made undone before it."""


@pytest.mark.parametrize("hazard", list(H), ids=str)
def test_each_hazard_is_forbidden_in_just_these_states(hazard: H) -> None:
    """No pair may be dropped, added or let through by a step that does not need it."""
    assert forbids_hazards(frozenset({hazard})) == NOT_IN.get(hazard, set())
    everything = tuple(str(condition) for condition in C)
    let_through = UNLESS_NEEDED.get(hazard, set())
    assert forbids_hazards(frozenset({hazard}), everything) == NOT_IN.get(hazard, set()) - let_through


def test_cranking_alone_may_have_the_key_on() -> None:
    """It needs it; whoever has hands at the coils of a standing engine does not."""
    plain = {"id": "it", "say": "Do it.", "minutes": 1.0, "place": Place.HOOD}
    hands = frozenset({H.HIGH_SECONDARY_VOLTAGE})
    assert C.KEY_ON in forbids(Step(kind=Kind.INSTRUCT, hazards=hands, **plain))
    assert C.KEY_ON not in forbids(Step(kind=Kind.CRANK, hazards=hands, **plain))
    assert next_remedy(Step(kind=Kind.INSTRUCT, hazards=hands, **plain), frozenset({C.KEY_ON})) is C.KEY_ON
    assert next_remedy(Step(kind=Kind.CRANK, hazards=hands, **plain), frozenset({C.KEY_ON})) is None


def test_a_step_that_needs_something_undone_is_forbidden_while_it_is_so() -> None:
    """What `needs` names, and nothing else."""
    assert forbids_hazards(frozenset(), ("key-off",)) == {C.KEY_ON, *UNDOES["key-off"]}
    assert forbids_hazards(frozenset()) == frozenset()


def test_each_remedy_comes_after_what_makes_it_safe() -> None:
    """A leak is not mended with the key on, nor a battery changed in vapour."""
    assert {condition: set(remedy.first) for condition, remedy in REMEDIES.items() if remedy.first} == FIRST
    clamps = {condition for condition, remedy in REMEDIES.items() if remedy.hazards}
    assert clamps == {C.PACK_ON, C.CLAMP_OFF}
    assert {REMEDIES[each].hazards for each in clamps} == {frozenset({H.BATTERY_CLAMP})}


def test_each_remedy_undoes_what_forbids_and_fuel_let_out_leaves_vapour() -> None:
    """By a phrase that says just that; only vapour has none and takes its time."""
    assert {condition for condition, remedy in REMEDIES.items() if remedy.gate is None} == {C.VAPOUR}
    for condition, remedy in REMEDIES.items():
        undone = {one for word in remedy.makes for one in UNDOES.get(word, ())}
        assert condition in undone or condition is C.VAPOUR
    assert {condition for condition, remedy in REMEDIES.items() if "vapour" in remedy.makes} == {
        C.LEAK, C.WRONG_FUEL, C.LINE_OPEN
    }  # fmt: skip
    assert {C.LEAK, C.WRONG_FUEL, C.BATTERY_UNSAFE, C.BURNED, C.BINDS} == REPAIRED and {C.LINE_OPEN} == NEVER_LEFT


def test_what_can_burn_or_burst_is_warned_of_before_its_remedy() -> None:
    """Fuel, clamps and pressure each by their own caution."""
    cautions = {condition: remedy.caution.id for condition, remedy in REMEDIES.items() if remedy.caution}
    assert cautions == {
        C.LEAK: "fuel-out", C.WRONG_FUEL: "fuel-out", C.LINE_OPEN: "fuel-out", C.PRESSURE_UP: "fuel-under-pressure",
        C.BATTERY_UNSAFE: "clamp-spark", C.PACK_ON: "clamp-spark", C.CLAMP_OFF: "clamp-spark",
        C.CAN_ROLL: "roll-away", C.KNOCKED: "fuel-out", C.OVERHEATED: "hot-coolant", C.BINDS: "binding-engine",
    }  # fmt: skip


def test_a_gate_of_a_step_asks_away_only_what_its_phrase_says() -> None:
    """Each phrase belongs to one gate, and the coil check is passed by the key alone."""
    assert ASSERTS["coil-volts"] == "key-off"
    assert SAID_BY["coil-volts"] == {"key is off", "the key is off", "ignition is off"}
    gates = {remedy.gate.id: condition for condition, remedy in REMEDIES.items() if remedy.gate}
    for gate, condition in gates.items():
        assert condition in UNDOES[ASSERTS[gate]]
        assert SAID_BY[gate] == frozenset(REMEDIES[condition].gate.acknowledge)
    assert ASSERTS["wheels-chocked"] == "cannot-roll" and all("wheels" in each for each in SAID_BY["wheels-chocked"])
    assert set(ASSERTS) == {*gates, "coil-volts", "wheels-chocked"} == set(SAID_BY)


def test_the_way_out_of_everything_at_once_is_this_one() -> None:
    """Before a spark: who is near, key, leak, fuel, lines and can, then the vapour, the battery and its clamps."""
    everything = frozenset(C)
    spark = forbids_hazards(frozenset({H.EXPOSED_SPARK}))
    found = remedies_in_turn(spark, everything)
    fuel = (C.SOMEBODY_NEAR, C.KEY_ON, C.LEAK, C.WRONG_FUEL, C.KNOCKED, C.LINE_OPEN, C.CAN_OUT, C.VAPOUR)
    assert found == (*fuel, C.BATTERY_UNSAFE, C.PACK_ON)
    assert remedies_in_turn(forbids_hazards(frozenset({H.HOT_WORK})), everything) == fuel
    step = Step(
        kind=Kind.INSTRUCT, id="it", say="Do it.", minutes=1.0, place=Place.SEAT, hazards=frozenset({H.EXPOSED_SPARK})
    )
    assert next_remedy(step, everything) is C.SOMEBODY_NEAR and next_remedy(step, frozenset()) is None


def plain(*hazards: H, **more: object) -> Step:
    """A step with these hazards and nothing else."""
    return Step(
        kind=Kind.INSTRUCT, id="it", say="Do it.", minutes=1.0, place=Place.SEAT, hazards=frozenset(hazards), **more
    )


def test_it_is_told_why_just_where_it_is_forbidden() -> None:
    """Each pair by a sentence that names what is so; nothing where nothing forbids."""
    for hazard in H:
        for condition in C:
            said = why_not(plain(hazard), condition)
            assert bool(said) == (condition in NOT_IN.get(hazard, set())), (hazard, condition, said)
            needing = why_not(plain(hazard, needs=(str(condition),)), condition)
            assert bool(needing) == (condition in NOT_IN.get(hazard, set()) - UNLESS_NEEDED.get(hazard, set()))
    words = {
        C.LEAK: "leaks", C.WRONG_FUEL: "wrong fuel", C.LINE_OPEN: "line", C.CAN_OUT: "fluid", C.DUCT_OPEN: "duct",
        C.PROP_IN: "prop", C.VAPOUR: "Vapour", C.TESTER_HUNG: "tester", C.PACK_ON: "jump pack", C.CLAMP_OFF: "clamp",
        C.BATTERY_UNSAFE: "battery", C.ENGINE_HOT: "hot", C.KEY_ON: "key", C.PRESSURE_UP: "pressure",
        C.BURNED: "burned", C.CAN_ROLL: "roll", C.KNOCKED: "knock", C.ENGINE_RUNS: "runs", C.BINDS: "binds",
        C.SOMEBODY_NEAR: "Somebody",
    }  # fmt: skip
    for hazard, forbidden in NOT_IN.items():
        assert all(words[condition] in why_not(plain(hazard), condition) for condition in forbidden)
    assert why_not(plain(H.CRANKING), C.LEAK).endswith("must not turn.")
    assert why_not(plain(H.EXPOSED_SPARK), C.LEAK).endswith("can light it.")
    assert why_not(plain(H.SPRAYING), C.LEAK).endswith("no more is let out.")


def test_what_a_step_needs_undone_is_told_in_its_own_words() -> None:
    """The key and the heat by a sentence each, all else by its name."""
    assert why_not(plain(needs=("key-off",)), C.KEY_ON) == "This is done with the key out."
    assert why_not(plain(needs=("engine-cool",)), C.ENGINE_HOT) == "This is done on a cool engine."
    assert why_not(plain(needs=("engine-off",)), C.ENGINE_RUNS) == "This is done on an engine that stands."
    assert why_not(plain(needs=("can-away",)), C.CAN_OUT) == "This is not done with can out."
    assert why_not(plain(needs=("can-away",)), C.LEAK) == ""


def test_nothing_forbids_where_nothing_that_forbids_is_so() -> None:
    """Other states do not lead to a question."""
    assert next_remedy(plain(H.CRANKING), frozenset({C.ENGINE_HOT})) is None
    assert next_remedy(plain(), frozenset(C)) is None
    assert set(REMEDIES) == {C.OVERHEATED}.union(*NOT_IN.values())


def test_each_caution_of_a_remedy_covers_the_hazards_of_its_work() -> None:
    """Fuel out: its vapour and the open line; a clamp: itself and the gas; pressure: all three."""
    covers = {remedy.caution.id: remedy.caution.covers for remedy in REMEDIES.values() if remedy.caution}
    assert covers == {
        "fuel-out": {H.FUEL_VAPOUR, H.OPEN_FUEL_LINE},
        "clamp-spark": {H.BATTERY_CLAMP, H.BATTERY_GAS},
        "roll-away": {H.ROLL_AWAY},
        "hot-coolant": {H.HOT_PART},
        "binding-engine": {H.MOVING_PARTS},
        "fuel-under-pressure": {H.STORED_PRESSURE, H.FUEL_VAPOUR, H.OPEN_FUEL_LINE},
    }
    assert all(len(remedy.gate.acknowledge) == 2 for remedy in REMEDIES.values() if remedy.gate)
    minutes = {condition: remedy.minutes for condition, remedy in REMEDIES.items() if remedy.minutes is not None}
    assert minutes == {
        C.KEY_ON: 0.0, C.LINE_OPEN: 3.0, C.CAN_OUT: 0.5, C.DUCT_OPEN: 1.0, C.PROP_IN: 0.3, C.TESTER_HUNG: 1.0,
        C.VAPOUR: 5.0, C.PACK_ON: 1.0, C.CLAMP_OFF: 1.0, C.ENGINE_HOT: 20.0, C.PRESSURE_UP: 0.0,
        C.CAN_ROLL: 0.5, C.KNOCKED: 2.0, C.ENGINE_RUNS: 0.0, C.OVERHEATED: 30.0,
        C.SOMEBODY_NEAR: 0.3,
    }  # fmt: skip


def test_under_a_leak_or_on_the_wrong_fuel_the_key_is_not_turned_on() -> None:
    """With it on the pump pushes out more; the words of the step say that it is, no hazard does."""
    lamp = Step(
        kind=Kind.INSTRUCT, id="it", say="Key on. Watch the lamp.", minutes=1.0, place=Place.SEAT, hazards=frozenset()
    )
    assert forbids(lamp) == {C.LEAK, C.WRONG_FUEL, C.BURNED, C.KNOCKED, C.SOMEBODY_NEAR}
    assert next_remedy(lamp, frozenset({C.LEAK, C.KEY_ON})) is C.KEY_ON, "it is switched off before the leak is sought"
    assert next_remedy(lamp, frozenset({C.LEAK})) is C.LEAK
    assert why_not(lamp, C.LEAK) == "Fuel leaks or smells, and with the key on the pump pushes out more."
    off = Step(
        kind=Kind.INSTRUCT,
        id="it",
        say="Key out. Look at the lamp.",
        minutes=1.0,
        place=Place.SEAT,
        hazards=frozenset(),
    )
    assert next_remedy(off, frozenset({C.LEAK})) is None


@pytest.mark.parametrize(("place", "hands_in"), [(Place.HOOD, True), (Place.UNDER, True), (Place.SEAT, False)])
def test_on_an_overheated_engine_hands_stay_out_from_under_hood_and_car(place: Place, hands_in: bool) -> None:
    """Told to steam, it was led to "look over the engine" and to the oil filler cap without a word."""
    look = Step(kind=Kind.ASK, id="it", say="Look.", minutes=1.0, place=place, hazards=frozenset())
    assert (C.OVERHEATED in forbids(look)) is hands_in
    said = why_not(look, C.OVERHEATED)
    assert said == ("It is overheated, and hot parts and coolant scald." if hands_in else "")
    assert next_remedy(look, frozenset({C.OVERHEATED, C.KEY_ON})) is (C.KEY_ON if hands_in else None)
    assert next_remedy(look, frozenset({C.OVERHEATED})) is (C.OVERHEATED if hands_in else None)
    caution = REMEDIES[C.OVERHEATED].caution
    assert caution is not None and "Never open a hot radiator or tank cap." in caution.avoid


@pytest.mark.parametrize(("place", "kind", "stays"), [
    (Place.HOOD, Kind.ASK, True), (Place.UNDER, Kind.READING, True), (Place.AWAY, Kind.WAIT, True),
    (Place.AWAY, Kind.ASK, False), (Place.SEAT, Kind.ASK, False),
])  # fmt: skip
def test_where_something_smoked_no_hands_go_in_and_no_wait_begins(place: Place, kind: Kind, stays: bool) -> None:
    """After "smoke" the drain was read on as if nothing was."""
    step = Step(kind=kind, id="it", say="Read it.", minutes=1.0, place=place, hazards=frozenset())
    assert (C.BURNED in forbids(step)) is stays
    assert why_not(step, C.BURNED) == ("Something burned or smoked, and that comes first." if stays else "")
