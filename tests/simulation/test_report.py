"""What the walk of small made-up procedures comes to: the sound one's figures, and each broken one's faults."""

from __future__ import annotations

from dataclasses import replace

from assistant.bay import Bay
from assistant.cranking.duty import NOT_CRANKED
from assistant.guide import Mode, State, Turn, advance
from assistant.guide.state import Frame, Position
from assistant.guide.turn import Choose
from assistant.language.model import Command, Control, GiveControl, TellTest
from assistant.procedure.model import Finding, Hazard, Leading, Procedure, Proof, Step
from assistant.simulation import Report, Rule, simulate
from assistant.simulation.led import put_aside
from assistant.simulation.moves import Lead
from tests.simulation import made_up as m

Library = dict[str, Procedure]


def forgetting(**forgotten: object) -> Lead:
    """A guide that loses part of its state after each turn: what the onlooker is there for."""

    def lead(library: Library, state: State, command: Command, at_s: float, *, choose: Choose | None = None) -> Turn:
        turn = advance(library, state, command, at_s, choose=choose)
        return replace(turn, state=replace(turn.state, **forgotten))  # type: ignore[arg-type]  # fields of State

    return lead  # type: ignore[return-value]  # Library is a narrower mapping


def unguarded_after(control: Control) -> Lead:
    """A guide that forgets its table of forbidden work with this one word."""

    def lead(library: Library, state: State, command: Command, at_s: float, *, choose: Choose | None = None) -> Turn:
        said = command == GiveControl(control=control) and state.mode is not Mode.GATING
        return advance(library, replace(state, guarded=state.guarded and not said), command, at_s, choose=choose)

    return lead  # type: ignore[return-value]  # Library is a narrower mapping


def broken(report: Report) -> dict[Rule, list[str]]:
    """The faults by rule, in words."""
    return {rule: [str(fault) for fault in faults] for rule, faults in report.broken.items() if faults}


def test_a_sound_procedure_is_walked_whole() -> None:
    """Every step and result, no fault; minutes and cranking are those of the longest path."""
    report = simulate(m.sound(), ["job", "facts"], whole_jobs=10)
    assert broken(report) == {}
    assert report.share("steps") == (14, 14)
    assert report.share("results") == (13, 13)
    job = report.accounts[0]
    assert job.longest_min == 0.5 + 1 + 1 + 1 + 2 + 1 + 5 + 1
    assert job.longest_crank_s == 6 + 6
    assert (job.rounds, job.findings, job.whole_jobs) == (0, 3, 10)
    assert job.rests > 0, "six seconds and six are more than ten: the starter rests between"


def test_the_account_is_plain_json() -> None:
    """Every rule is there, kept or not, and each fault has its place and its rule."""
    family = m.library(m.procedure("job", m.instruct("one", "end"), m.instruct("lost", "end"), m.finding("end")))
    plain = simulate(family, ["job"]).plain()
    assert set(plain["kept"]) == {rule.value for rule in Rule}
    assert plain["kept"]["ends"] is True and plain["kept"]["covered"] is False
    assert plain["steps"] == {"walked": 2, "of": 3}
    assert [(each["path"], each["line"], each["step"], each["rule"]) for each in plain["faults"]] == [
        ("job.yaml", 12, "lost", "covered")
    ]


def test_a_way_that_can_never_end_is_a_dead_end() -> None:
    """With one vehicle the job goes round for ever; the flow alone cannot show it, and the fault names the vehicle."""
    family = m.library(
        m.procedure(
            "job",
            m.ask("look", {"good": "by-drive", "bad": "by-drive"}),
            m.choose("by-drive", "hybrid", {"yes": "look"}, "end"),
            m.finding("end"),
        )
    )
    (told,) = broken(simulate(family, ["job"])).values()
    assert told == [
        "job.yaml:11:5 step 'look': found a way to this step from which the job can never end; do lead one of its ways "
        "to an end (given hybrid yes; said it is good)"
    ]


def test_a_silent_round_is_a_dead_end() -> None:
    """Two choices that lead to each other never ask anything: the guide gives up, and that is told as a fault."""
    family = m.library(
        m.procedure(
            "job",
            m.ask("look", {"good": "round", "bad": "end"}),
            m.choose("round", "hybrid", {}, "back"),
            m.choose("back", "hybrid", {}, "round"),
            m.finding("end"),
        )
    )
    told = broken(simulate(family, ["job"]))[Rule.ENDS]
    assert len(told) == 1 and "round of silent steps" in told[0]


def test_a_step_that_leads_nowhere_is_a_dead_end() -> None:
    """A target that does not exist is told at the step that names it."""
    family = m.library(m.procedure("job", m.ask("look", {"good": "end", "bad": "nowhere"}), m.finding("end")))
    told = broken(simulate(family, ["job"]))[Rule.ENDS]
    assert len(told) == 1 and told[0].startswith("job.yaml:11:5 step 'look': found a dead end") and "nowhere" in told[0]


def test_a_result_that_cannot_be_given_is_told() -> None:
    """A band that no voltage can reach, and a case that an earlier choice has ruled out."""
    family = m.library(
        m.procedure(
            "job",
            m.choose("first", "fuel", {"diesel": "end"}, "battery"),
            m.volts("battery", "beyond", "second", "second"),
            m.choose("second", "fuel", {"diesel": "end", "gas": "end"}, "end"),
            m.finding("end"),
        )
    )
    assert broken(simulate(family, ["job"], whole_jobs=5)) == {
        Rule.COVERED: [
            "job.yaml:12:5 step 'battery': found no path on which the result 'high' is given; do make it possible or "
            "delete it",
            "job.yaml:13:5 step 'second': found no path on which the result 'diesel' is given; do make it possible or "
            "delete it",
        ]
    }


def test_a_hazard_without_its_caution_is_told() -> None:
    """A crank that warns of nothing."""
    family = m.library(m.procedure("job", m.crank("turn", 5, {"dead": "end"}, cautions=()), m.finding("end")))
    told = broken(simulate(family, ["job"]))
    assert set(told) == {Rule.CAUTIONS}
    assert "without an acknowledged caution for cranking" in told[Rule.CAUTIONS][0]


def test_a_guide_that_forgets_the_starter_breaks_its_duty() -> None:
    """Twelve seconds without a rest are told, with the way there."""
    report = simulate(m.sound(), ["job", "facts"], lead=forgetting(duty=NOT_CRANKED))
    told = broken(report)
    assert set(told) == {Rule.DUTY, Rule.BOOKS}
    (duty,) = told[Rule.DUTY]
    assert "step 'again': found a way on which the starter turns 12 s without a rest of 120 s; expected at most" in duty
    assert duty.endswith("it is dead)")


def test_a_spark_after_a_spray_is_told_though_the_guide_waits() -> None:
    """Without a step that clears the vapour only the guide's own wait stands between spray and spark."""
    family = m.library(
        m.procedure(
            "job",
            m.spray("spray", "look"),
            m.ask("look", {"spark": "end"}, hazards=frozenset({Hazard.EXPOSED_SPARK}), cautions=("turning",)),
            m.finding("end"),
        )
    )
    told = broken(simulate(family, ["job"]))
    assert set(told) == {Rule.VAPOUR}
    assert (
        "from the spray at 'job/spray' to this step with exposed-spark on which no step clears" in told[Rule.VAPOUR][0]
    )
    careless = broken(simulate(family, ["job"], lead=forgetting(bay=Bay())))
    assert "and the vapour not cleared" in careless[Rule.VAPOUR][0]


def test_vapour_called_gone_too_soon_is_told() -> None:
    """One minute is no five."""
    family = m.library(m.procedure("job", m.spray("spray", "wait"), m.clear("wait", "end", 60.0), m.finding("end")))
    (told,) = broken(simulate(family, ["job"])).values()
    assert "found the vapour called gone 61 s after the spray; expected 300 s" in told[0]


def test_a_spray_too_many_is_told() -> None:
    """A guide that forgets its tries sprays again; the real one goes on without."""
    family = m.library(
        m.procedure(
            "job", m.spray("spray", "more"), m.ask("more", {"again": "spray", "enough": "end"}), m.finding("end")
        )
    )
    assert broken(simulate(family, ["job"], whole_jobs=3)) == {}
    assert Rule.TRIES in broken(simulate(family, ["job"], lead=forgetting(tries={})))


def test_something_left_off_is_told() -> None:
    """A guide that forgets what is off the car ends the job with it."""
    family = m.library(m.procedure("job", m.instruct("take", "end", removes=("coil",)), m.finding("end")))
    assert broken(simulate(family, ["job"])) == {}
    told = broken(simulate(family, ["job"], lead=forgetting(bay=Bay())))
    assert "found the job ended with coil off the car" in told[Rule.NOTHING_LEFT][0]


def test_a_whole_job_that_its_facts_do_not_rebuild_is_told() -> None:
    """A guide that changes its state beside the facts is found out at the end of a whole job."""
    report = simulate(m.sound(), ["job", "facts"], whole_jobs=4, lead=forgetting(volume=0.3))
    assert set(broken(report)) == {Rule.BOOKS}


def test_the_same_seed_walks_the_same_jobs() -> None:
    """Nothing but the seed draws."""
    first, second = (simulate(m.sound(), ["job", "facts"], whole_jobs=6, seed=3) for _ in range(2))
    assert first == second


def test_work_in_a_state_that_forbids_it_is_told() -> None:
    """A guide that forgets what was told, or what an earlier job left, turns the engine over a leak."""
    family = m.library(m.procedure("job", m.crank("turn", 5, {"dead": "end"}), m.finding("end")))
    leak = TellTest(test="look", result="leak", words="it leaks", makes=("leak", "vapour"))
    sound = simulate(family, ["job"], told={"job": (leak,)})
    assert broken(sound) == {}
    assert sound.accounts[0].told > 0 and sound.accounts[0].inherited > 10 and sound.accounts[0].aside > 0
    unmarked = Bay(marks=())  # not even that the car can roll, which would be asked for ever
    careless = broken(simulate(family, ["job"], told={"job": (leak,)}, lead=forgetting(bay=unmarked)))
    assert "found a way to this step's cranking with" in careless[Rule.STATE][0]


def test_what_only_another_order_of_the_blocks_brings_is_told() -> None:
    """By the book nothing is wrong; led from the tester to the running engine the guide must ask by itself."""
    family = m.library(
        m.procedure(
            "job",
            m.instruct("run", "hang", hazards=frozenset({Hazard.RUNNING_ENGINE}), cautions=("turning",)),
            m.instruct("hang", "late", makes=("tester-hung",)),
            m.instruct("late", "end"),
            m.finding("end"),
        )
    )
    assert broken(simulate(family, ["job"])) == {}
    report = simulate(family, ["job"], blocks={"job": ["run", "hang", "late"]})
    (told,) = broken(report)[Rule.STATE]
    assert "found a way to this step with tester-hung, so that the guide had to ask by itself" in told
    assert report.accounts[0].led > 0 and report.accounts[0].led_situations > 0


def led_family() -> Library:
    """A plan leads behind `safe`; in the middle of `duct` the intake is open; a repair is checked by a start."""
    job = m.procedure(
        "job",
        m.instruct("safe", "duct"),
        m.instruct("duct", "look", makes=("duct-open",)),
        m.ask("look", {"clear": "shut", "dirty": "shut"}),
        m.instruct("shut", "turn", makes=("duct-closed",)),
        m.crank("turn", 5, {"dead": "end"}),
        m.finding("end"),
        m.finding("mend"),
        m.finding("open"),
    )
    start = m.procedure("start", m.crank("first", 5, {"runs": "holds", "dead": "fails"}), *_ends())
    led = Leading(after="safe", only=("mend", "open"), repair="mend", search="open", recheck="start")
    return m.library(replace(job, led=led), start)


def _ends() -> tuple[Step, ...]:
    return tuple(
        replace(m.finding(name), finding=Finding(fault=name, repair=proof, advice="Go on.", customer="It goes on."))
        for name, proof in (("holds", Proof.HOLDS), ("fails", Proof.FAILS))
    )


def test_another_test_out_of_the_middle_of_a_block_and_a_repair_are_walked() -> None:
    """Left with the duct open, the engine is turned nowhere before it is closed; what is told is walked there too."""
    leak = TellTest(test="look", result="leak", words="it leaks", makes=("leak", "vapour"))
    where = {"told": {"job": (leak,)}, "blocks": {"job": ["duct", "turn"]}}
    report = simulate(led_family(), ["job", "start"], **where)  # type: ignore[arg-type]  # a dict of two kinds of value
    assert broken(report) == {}
    assert report.share("steps") == (11, 11)
    for control, step_id in ((Control.ANOTHER, "turn"), (Control.REPAIR_DONE, "first")):
        careless = broken(simulate(led_family(), ["job", "start"], lead=unguarded_after(control), **where))  # type: ignore[arg-type]
        assert step_id in {fault.split("'")[1] for fault in careless[Rule.STATE]}, control


def test_a_question_that_a_step_should_have_spared_is_told() -> None:
    """The guide asks for the prop by itself; the procedure should have led through a step that takes it out."""
    family = m.library(
        m.procedure(
            "job",
            m.instruct("fit", "turn", removes=("pedal prop",)),
            m.crank("turn", 5, {"dead": "end"}),
            m.finding("end"),
        )
    )
    (told,) = broken(simulate(family, ["job"]))[Rule.STATE]
    assert "found a way to this step with prop-in, so that the guide had to ask by itself" in told


def test_what_is_told_counts_for_nothing_but_the_rules() -> None:
    """Steps, results, paths and minutes are those of the procedure alone."""
    leak = TellTest(test="look", result="leak", words="it leaks", makes=("leak", "vapour"))
    plain, told = simulate(m.sound(), ["job", "facts"]), simulate(m.sound(), ["job", "facts"], told={"job": (leak,)})
    for before, after in zip(plain.accounts, told.accounts, strict=True):
        same = ("steps", "results", "paths", "longest_min", "longest_crank_s", "hazardous", "findings")
        assert [getattr(before, name) for name in same] == [getattr(after, name) for name in same]


def put_aside_family() -> Library:
    """A plan leads behind `safe`; `hang` opens the intake; the second step of what `part` calls turns the engine."""
    job = m.procedure(
        "job",
        m.instruct("safe", "hang"),
        m.instruct("hang", "look", makes=("duct-open",)),
        m.ask("look", {"clear": "shut"}),
        m.instruct("shut", "part", makes=("duct-closed",)),
        m.call("part", "inner", {"done": "end"}),
        m.finding("end"),
        m.finding("mend"),
        m.finding("open"),
    )
    inner = m.procedure(
        "inner", m.ask("first", {"seen": "second"}), m.crank("second", 5, {"dead": "done"}), m.returns("done")
    )
    start = m.procedure("start", m.crank("first", 5, {"runs": "holds", "dead": "fails"}), *_ends())
    led = Leading(after="safe", only=("mend", "open"), repair="mend", search="open", recheck="start")
    return m.library(replace(job, led=led), inner, start)


def test_wherever_a_block_can_wait_is_a_place_to_come_back_to() -> None:
    """Each step behind the block's first, with the calls that wait; none of another block."""
    at, stack = Frame(procedure="inner", step="second"), (Frame(procedure="job", step="part"),)
    found = put_aside(put_aside_family(), "job", ["hang", "part"])
    assert Position(at=at, stack=stack) in found
    assert {(*each.stack, each.at)[0].step for each in found} == {"look", "shut", "part", "end"}
    assert Position(at=Frame(procedure="job", step="part")) not in found


def test_coming_back_into_the_middle_of_a_block_is_walked() -> None:
    """With the duct open the engine is turned nowhere, not at a step that only coming back enters from there either."""
    where = {"blocks": {"job": ["hang", "part"]}}
    assert broken(simulate(put_aside_family(), ["job", "start"], **where)) == {}  # type: ignore[arg-type]
    lead = unguarded_after(Control.ANOTHER)
    careless = broken(simulate(put_aside_family(), ["job", "start"], lead=lead, **where))  # type: ignore[arg-type]
    assert "second" in {fault.split("'")[1] for fault in careless[Rule.STATE]}
