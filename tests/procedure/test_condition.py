"""What is so of car and bay, told a second time: what makes it so, what undoes it, and what stays with the car."""

import pytest

from assistant.procedure.condition import (
    AT_FIRST,
    BY_WORD_ALONE,
    HOT_AFTER_MIN,
    ITEMS,
    NOT_HERE,
    OF_THE_CAR,
    ONLY_TOLD,
    SPRAYED,
    STEP_MAKES,
    STEP_NEEDS,
    UNDOES,
    VAPOUR_CLEARS_S,
    C,
    after_words,
    begun,
    finished,
    words_of,
)
from assistant.procedure.model import Action, Hazard, Kind, Pace, Place, Step

UNDONE_BY = {
    "key-off": {C.KEY_ON, C.ENGINE_RUNS}, "engine-off": {C.ENGINE_RUNS},
    "leak-mended": {C.LEAK}, "fuel-flushed": {C.WRONG_FUEL}, "line-closed": {C.LINE_OPEN},
    "can-away": {C.CAN_OUT}, "duct-closed": {C.DUCT_OPEN}, "prop-out": {C.PROP_IN}, "tester-off": {C.TESTER_HUNG},
    "battery-sound": {C.BATTERY_UNSAFE}, "pack-off": {C.PACK_ON}, "clamp-on": {C.CLAMP_OFF},
    "engine-cool": {C.ENGINE_HOT}, "pressure-down": {C.PRESSURE_UP}, "battery-good": {C.BATTERY_LOW, C.BATTERY_FLAT},
    "burn-mended": {C.BURNED}, "cannot-roll": {C.CAN_ROLL}, "looked-dry": {C.KNOCKED},
    "cooled-down": {C.OVERHEATED}, "alone": {C.HELPER}, "turned-by-hand": {C.BANGED},
    "turns-freely": {C.BINDS, C.BANGED}, "electric-pump": {C.NO_PUMP},
    "everybody-clear": {C.SOMEBODY_NEAR},
}  # fmt: skip


def step(say: str = "Do it.", kind: Kind = Kind.INSTRUCT, *hazards: Hazard, **more: object) -> Step:
    """A plain step."""
    plain = {"id": "it", "minutes": 1.0, "place": Place.HOOD}
    return Step(kind=kind, say=say, hazards=frozenset(hazards), **(plain | more))


def test_each_word_undoes_just_its_own() -> None:
    """And none undoes vapour, which only its five minutes clear."""
    assert UNDOES == UNDONE_BY and VAPOUR_CLEARS_S == 300.0
    assert not any(C.VAPOUR in undone for undone in UNDOES.values())
    everything = frozenset(C)
    for word, undone in UNDONE_BY.items():
        assert after_words(everything, [word]) == everything - undone
        assert after_words(frozenset(), [word]) == frozenset()
    for condition in C:
        assert after_words(frozenset(), [str(condition)]) == {condition}


def test_no_file_may_claim_what_only_the_technician_can_say() -> None:
    """That a leak is mended, fuel flushed, or a battery sound; and nothing may be needed in a leak."""
    assert {
        *("leak-mended", "fuel-flushed", "battery-sound", "burn-mended", "looked-dry", "cannot-roll", "cooled-down"),
        *("alone", "turned-by-hand", "turns-freely", "electric-pump", "everybody-clear"),
    } == BY_WORD_ALONE
    assert set(STEP_MAKES) == {*map(str, C), *UNDONE_BY} - BY_WORD_ALONE
    done_in = {C.KEY_ON, C.LINE_OPEN, C.CAN_OUT, C.DUCT_OPEN, C.PROP_IN, C.PACK_ON, C.PRESSURE_UP, C.VAPOUR}
    assert set(STEP_NEEDS) == {*map(str, done_in), *UNDONE_BY} - {"battery-good", *ONLY_TOLD}
    assert {"alone", "turned-by-hand", "turns-freely", "electric-pump", "everybody-clear"} == ONLY_TOLD


def test_what_nobody_said_is_on_the_side_on_which_nobody_is_hurt() -> None:
    """The key counts as on, the pressure as up, the car as not held."""
    assert {C.KEY_ON, C.PRESSURE_UP, C.CAN_ROLL} == AT_FIRST and {C.VAPOUR, C.CAN_OUT} == SPRAYED


def test_what_stays_with_the_car_goes_on_to_its_next_job() -> None:
    """All that endangers but key, heat, an engine that runs, pressure and what holds the car: asked, or so anyway."""
    told_only = {C.BATTERY_LOW, C.BATTERY_FLAT, C.HELPER, C.BANGED, *map(C, NOT_HERE)}
    gone = {C.KEY_ON, C.ENGINE_HOT, C.ENGINE_RUNS, C.OVERHEATED, C.PRESSURE_UP, C.CAN_ROLL, C.SOMEBODY_NEAR}
    assert set(C) - told_only - gone == OF_THE_CAR
    assert len(NOT_HERE) == 7 and all(word.startswith("no-") for word in NOT_HERE)


def test_things_off_the_car_make_what_they_are_off_for() -> None:
    """Each by its name in the files."""
    assert ITEMS == {
        "fuel line at the rail": C.LINE_OPEN, "fuel line at the filter": C.LINE_OPEN, "intake duct": C.DUCT_OPEN,
        "pedal prop": C.PROP_IN, "spark tester": C.TESTER_HUNG, "jump pack": C.PACK_ON, "ground clamp": C.CLAMP_OFF,
    }  # fmt: skip


def test_conditions_are_kept_in_the_order_of_the_list() -> None:
    """Whatever order they came in."""
    assert words_of([C.VAPOUR, C.KEY_ON, C.LEAK]) == ["key-on", "leak", "vapour"] and words_of([]) == []


@pytest.mark.parametrize("minutes", [HOT_AFTER_MIN, HOT_AFTER_MIN + 0.1])
def test_an_engine_is_hot_once_it_ran_longer_than_a_minute(minutes: float) -> None:
    """Not a start that is let run just that long, nor one that only cranks."""
    running = begun(step("Let it run.", Kind.INSTRUCT, Hazard.RUNNING_ENGINE, minutes=minutes))
    assert (C.ENGINE_HOT in running) is (minutes > HOT_AFTER_MIN)
    assert {C.KEY_ON, C.PRESSURE_UP} <= running
    cranks = begun(step("Crank.", Kind.CRANK, Hazard.RUNNING_ENGINE, minutes=9.0))
    assert cranks == {C.KEY_ON, C.PRESSURE_UP}
    assert begun(step("Look.", Kind.ASK, minutes=9.0)) == frozenset()


def test_a_spray_endangers_from_its_first_word_unless_tones_pace_it() -> None:
    """Then from its first tone on, which the guide tells."""
    assert begun(step("Spray once.", Kind.INSTRUCT, Hazard.SPRAYING)) == SPRAYED
    paced = step("Spray.", Kind.PACE, Hazard.SPRAYING, pace=Pace(action=Action.SPRAY, on_s=1.0))
    assert begun(paced) == frozenset()


@pytest.mark.parametrize("say", ["Start the engine.", "Starts it.", "Key at start.", "KEY ON now."])
def test_the_key_is_on_by_these_words(say: str) -> None:
    """Whatever case they are written in."""
    assert {C.KEY_ON, C.PRESSURE_UP} <= begun(step(say))


def test_what_a_step_makes_is_parted_into_danger_and_undoing() -> None:
    """Danger counts at once; what is undone only at the end, each word once, the key by its last mention."""
    both = step("Key off. Hang it.", makes=("tester-hung", "can-away", "can-away"))
    assert begun(both) == {C.TESTER_HUNG}
    assert finished(both) == ("can-away", "key-off")
    assert finished(step("Key off. Key on.")) == () and finished(step("Key on. Key off.")) == ("key-off",)
    assert finished(step("Key off.", Kind.CRANK)) == ()
    assert finished(step("Key off.", makes=("key-off",))) == ("key-off",)
