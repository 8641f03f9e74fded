"""The table of forbidden work: complete by hazard, led out of from every state, and proved on the paths of files."""

import itertools
from dataclasses import replace

import pytest

from assistant.language.commands import command_phrases
from assistant.procedure.checks.book import Page
from assistant.procedure.checks.cautions import check_cautions
from assistant.procedure.checks.library import check_texts
from assistant.procedure.checks.phrases import check_phrases
from assistant.procedure.checks.states import remedies_in_order, way_out
from assistant.procedure.condition import ITEMS, OF_THE_CAR, UNDOES, C, Condition, after_words, begun, finished
from assistant.procedure.forbidden import LIGHT, ROWS, forbids, forbids_hazards, next_remedy, remedies_in_turn, why_not
from assistant.procedure.model import Hazard, Kind, Place, Procedure, Step
from assistant.procedure.remedies import CAUTIONS, FORBIDDING, GATES, REMEDIES


def step(hazards=(), say="Do it.", kind=Kind.INSTRUCT, **more):
    """A step with these hazards."""
    plain = {"id": "it", "minutes": 1.0, "place": Place.SEAT}
    return Step(kind=kind, say=say, hazards=frozenset(hazards), **(plain | more))


WORK = sorted({frozenset(each) for hazards, *_ in ROWS for each in [hazards, *({one} for one in hazards)]}, key=sorted)


@pytest.mark.parametrize("hazards", WORK, ids=lambda hazards: "+".join(sorted(hazards)))
def test_out_of_every_state_the_questions_lead(hazards):
    """Each set of what bears on work of each kind of hazard, alone and together: what forbids it or one of the remedies
    that lead out, and what these make; all else of the 262,144 sets that can be so is not even looked at."""
    work = step(hazards)
    bears: frozenset[Condition] = forbids(work)
    while bears != (more := bears.union(*map(_asked_before, bears))):
        bears = more
    conditions = sorted(bears)
    for size in range(len(conditions) + 1):
        for so in itertools.combinations(conditions, size):
            assert way_out(work, frozenset(so)), so


def _asked_before(condition):
    """What may have to be made undone for the remedy of this, and what that makes."""
    remedy = REMEDIES[condition]
    made = {Condition(word) for word in remedy.makes if word not in UNDOES}
    return made | remedy.first | forbids_hazards(remedy.hazards, (str(condition),))


def test_no_remedy_waits_for_a_later_one():
    """The one order is what the proof rests on."""
    assert list(remedies_in_order()) == []
    assert {condition for _, condition, *_ in ROWS} <= FORBIDDING


def test_what_lights_vapour_and_fuel_is_never_done_in_them():
    """No step may need its way past these rows."""
    fuel = {C.LEAK, C.LINE_OPEN, C.VAPOUR, C.CAN_OUT}
    for hazard in LIGHT:
        needing = step([hazard], needs=tuple(str(each) for each in FORBIDDING))
        assert fuel <= forbids(needing)


def test_every_forbidden_pair_says_why_in_one_sentence():
    """And every condition that stays with a car is one that forbids something."""
    for hazards, condition, *_ in ROWS:
        for hazard in hazards:
            said = why_not(step([hazard]), condition)
            assert said.endswith(".") and said.count(".") == 1 and len(said.split()) <= 14, said
    assert OF_THE_CAR <= FORBIDDING


def test_a_gate_of_the_step_itself_is_not_asked_twice_unless_it_was_passed_before():
    """What is told after the gate was passed forbids again."""
    spray = step([Hazard.SPRAYING], gates=("tool-off",))
    so = frozenset({C.TESTER_HUNG})
    assert next_remedy(spray, so) is None
    assert next_remedy(spray, so, frozenset({"tool-off"})) is C.TESTER_HUNG


@pytest.mark.parametrize(
    ("say", "at_once", "at_last"),
    [
        ("Key out. Pull the fuse.", set(), {"key-off"}),
        ("Key on. Does the lamp go out?", {C.KEY_ON, C.PRESSURE_UP}, set()),
        ("Headlamps on. Then everything off, key out, doors shut.", set(), {"key-off"}),
        ("Key out. New fuse in. Key on. Does it hold?", {C.KEY_ON, C.PRESSURE_UP}, set()),
        ("Key on, look. Then key off.", {C.KEY_ON, C.PRESSURE_UP}, {"key-off"}),
        ("Switch the engine off. Wait.", set(), {"key-off"}),
        ("Leave the key alone.", set(), set()),
    ],
)
def test_the_key_is_read_off_the_words(say, at_once, at_last):
    """What is said is what is done; the last mention counts, and what endangers counts from the first word on."""
    assert begun(step(say=say)) == at_once
    assert set(finished(step(say=say))) == at_last


def test_cranking_and_running_leave_the_key_on():
    """Nobody takes the key out of a car that just cranked without being asked to."""
    assert C.KEY_ON in begun(step(kind=Kind.CRANK)) and not finished(step(say="Key off first.", kind=Kind.CRANK))
    assert {C.KEY_ON, C.ENGINE_HOT} <= begun(step([Hazard.RUNNING_ENGINE], minutes=5.0))


def test_words_make_and_undo():
    """Each word that undoes undoes what some word makes, and things off the car make one each."""
    for word, undone in UNDOES.items():
        assert undone and not after_words(frozenset(undone), [word])
    assert set(ITEMS.values()) <= set(Condition)
    assert set(REMEDIES) == {condition for condition in Condition if condition in FORBIDDING}
    with pytest.raises(ValueError, match="nonsense"):
        after_words(frozenset(), ["nonsense"])


def test_what_passes_a_question_of_the_guide_is_heard_as_what_it_is():
    """Every word is in the dictionary, and none of the phrases is or sounds like a command."""
    steps = [step(gates=(gate.id,)) for gate in GATES] + [step(cautions=(caution.id,)) for caution in CAUTIONS]
    steps = [replace(each, id=f"step-{number}") for number, each in enumerate(steps)]
    made_up = Procedure(
        **dict.fromkeys(("tools", "consumables", "sources", "limits"), ()),
        **{"id": "bay", "version": 1, "title": "Car and bay", "applies_to": "any", "begin": "step-0"},
        cautions=CAUTIONS,
        gates=GATES,
        steps=tuple(steps),
    )
    page = Page(made_up)
    check_phrases(page, command_phrases(), by_ear=True)
    check_cautions(page)
    assert [str(fault) for fault in page.faults.in_order()] == []


HEAD = """id: {id}
version: 1
title: Made up
applies_to: made-up cars
tools: []
consumables: []
sources: []
cautions:
  - {{id: turning, signal: warning, hazard: It turns., avoid: Keep clear., consequence: It hurts.,
     covers: [cranking, running-engine, exhaust-gas, exposed-spark, battery-clamp, battery-gas],
     acknowledge: [area is clear]}}
gates:
  - {{id: no-smell, say: "Does it smell?", acknowledge: [nothing to smell]}}
  - {{id: {gate}, say: "Is it so?", acknowledge: [{words}]}}
begin: first
steps:
"""
TURN = """  - {{id: turn, kind: crank, cautions: [turning], gates: [no-smell, {gate}], say: Go., minutes: 1,
     hazards: [cranking, running-engine, exhaust-gas],
     place: seat, burst_s: 5, results: [{{id: done, phrases: [it turned], goes: back}}]}}
  - {{id: back, kind: instruct, say: Key out. Put it back., hazards: [], minutes: 1, place: hood,
     refits: [pedal prop], next: end}}
  - {{id: end, kind: finding, say: Done., hazards: [], minutes: 0, place: hood,
     finding: {{proved: [], likely: [], untested: [], advice: Go on., customer: Fine.}}}}
"""
PUT_IN = """  - {{id: first, kind: instruct, say: Key out. Put it in., hazards: [], minutes: 1, place: hood,
     removes: [pedal prop], next: turn}}
"""


def told(gate="brake", words="brake is set", prop=PUT_IN):
    """The faults of a small file, without their places."""
    text = (HEAD + prop + TURN).format(id="small", gate=gate, words=words)
    return [fault.message for fault in check_texts({"small.yaml": text}, ())]


def test_a_path_with_the_prop_in_to_a_crank_is_a_fault():
    """Unless the step says that it needs the prop, or asks for it by its own gate."""
    (fault,) = told()
    assert fault.startswith("found a path to this step with prop-in, which forbids it; expected it undone before")
    assert told(gate="prop-out", words="prop is out") == []


def test_a_step_reached_on_two_paths_is_told_of_once():
    """Whatever else is so on them."""
    two = PUT_IN.replace("removes: [pedal prop], next: turn", "removes: [pedal prop], next: more") + (
        "  - {{id: more, kind: ask, say: More?, hazards: [], minutes: 1, place: hood, results: ["
        "{{id: soaked, phrases: [it drips fuel], makes: [leak], goes: turn}}, "
        "{{id: dry, phrases: [bone dry], goes: turn}}]}}\n"
    )
    faults = [fault for fault in told(prop=two) if fault.startswith("found a path to this step with ")]
    assert len(faults) == 1, faults


def test_a_gate_that_says_something_is_passed_by_no_other_phrase():
    """Else the guide would take it as said."""
    faults = told(gate="prop-out", words="brake is set")
    assert any("expected one of prop is out, the prop is out" in fault for fault in faults), faults


def test_a_remedy_is_never_work_that_something_still_forbids():
    """Whatever stands, three things at most and each of them the one that matters: the first remedy may begin, the way
    ends with nothing left that forbids, and what stands in no way is not asked for."""
    remedied = tuple(REMEDIES)
    for count in (1, 2, 3):
        for stand in map(frozenset, itertools.combinations(remedied, count)):
            for matters in stand:
                turns = remedies_in_turn(frozenset({matters}), stand)
                assert turns[-1] == matters or matters in turns
                remedy = REMEDIES[turns[0]]
                in_the_way = remedy.first | forbids_hazards(remedy.hazards, (str(turns[0]),))
                assert not in_the_way & (stand - {turns[0]}), (matters, stand, turns)
    assert remedies_in_turn(frozenset({C.LEAK}), frozenset({C.KEY_ON})) == ()
