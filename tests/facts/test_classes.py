"""Each kind of fact has its class, each field its writer and its reader, and the plain forms are what they were."""

from __future__ import annotations

import ast
import json
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from assistant.facts import (
    CLASSES,
    BurstEnded,
    Fact,
    FactKind,
    HowHeard,
    JobStarted,
    NoteTaken,
    ReadingLogged,
    ResultHeard,
    ResultLogged,
    Struck,
    Unsaid,
    VehicleNoted,
    Weighed,
    fact_from_plain,
    fact_of,
)
from assistant.facts.values import fields_of
from assistant.session.thoughts import KEPT
from tests.facts import field_use
from tests.guide.conftest import read_library
from tests.guide.led import Led

PLAIN = [json.loads(line) for line in (Path(__file__).parent / "plain.jsonl").read_text(encoding="utf-8").splitlines()]
"""One fact of each shape that the guide and the session had made before the classes were, as they were written."""

FOR_WHO_READS_THE_RECORD = {
    ("ActionEnded", "action"), ("ActionEnded", "seconds"), ("BurstEnded", "confirmed"),
    ("EndConfirmed", "finding"), ("FindingReached", "outcome"), ("InstructionSpoken", "spoken"),
    ("JobEnded", "finding"), ("PlanChanged", "instead"), ("ReadingHeard", "said"), ("ReadingLogged", "goes"),
    ("ReadingLogged", "judgement"), ("ReleaseCalled", "hard"), ("RestBegun", "rest_s"),
    ("ResultLogged", "ear_result"), ("ResultLogged", "outcome_of"), ("ResultRejected", "facts_kept"),
    ("StepEntered", "outcome"), ("StrikeAsked", "asked"), ("WaitBegun", "wait_s"),
}  # fmt: skip
"""Written into journal and report, and asked for by no room of ours but theirs (`outcome_of`: by its class alone)."""


def fact(kind: FactKind, data: dict[str, Any]) -> Fact:
    """As the journal gives it back."""
    plain = {"id": "k-1", "job": "j", "number": 1, "at_s": 0.0, "kind": kind.value, "data": data}
    return fact_from_plain(plain)


def test_each_kind_has_its_class() -> None:
    """And each class its kind; no two share one."""
    assert set(CLASSES) == set(FactKind)
    assert all(each.KIND is kind for kind, each in CLASSES.items())
    assert len(set(CLASSES.values())) == len(FactKind)


def test_what_can_move_the_odds_can_keep_them() -> None:
    """Each kind that the thinking along looks at, and the finding; what comes off or goes on only tells how a
    speed that is heard later counts."""
    moving = {*KEPT, FactKind.FINDING_REACHED} - {FactKind.ITEM_REMOVED, FactKind.ITEM_REFITTED}
    assert all(issubclass(CLASSES[kind], Weighed) for kind in moving)


def test_nobody_outside_the_room_reads_bare_keys() -> None:
    """Nowhere is something taken out of a `data` by its key, asked whether it is in there, or gone through."""
    bare = []
    for module in field_use.modules(having=".data"):
        for node in ast.walk(module):
            inside: list[ast.expr] = []
            if isinstance(node, ast.Subscript) or (
                isinstance(node, ast.Attribute) and node.attr in ("get", "items", "keys", "values")
            ):
                inside = [node.value]
            elif isinstance(node, ast.Compare):
                inside = node.comparators
            elif isinstance(node, ast.Call):
                inside = [*node.args, *(each.value for each in node.keywords)]
            elif isinstance(node, ast.Assign):
                inside = [node.value]
            bare += [ast.unparse(node) for one in inside if isinstance(one, ast.Attribute) and one.attr == "data"]
    assert [line for line in bare if "world.data" not in line and "self.data" not in line] == []


def test_each_field_is_written_and_read() -> None:
    """By the rooms of the program: a name misspelt on either side would show here, if a checker had not seen it."""
    assert field_use.fields() - field_use.written() == set()
    assert field_use.fields() - field_use.read() == FOR_WHO_READS_THE_RECORD


@pytest.mark.parametrize("told", PLAIN, ids=lambda told: f"{told['kind']} {' '.join(told['data'])}")
def test_the_plain_form_is_what_it_was(told: dict[str, Any]) -> None:
    """Byte for byte and in its order, from what the class has read of it."""
    kept = fact(FactKind(told["kind"]), told["data"])
    assert json.dumps(kept.said.plain()) == json.dumps(told["data"])
    if not (isinstance(kept.said, VehicleNoted) and isinstance(kept.said.value, float)):  # that is shown in words
        assert kept.legible == kept.said


def test_every_kind_has_a_plain_form_from_before() -> None:
    """So that none can change unseen."""
    assert {told["kind"] for told in PLAIN} == {kind.value for kind in FactKind}


def test_what_is_made_equals_what_is_read_of_it() -> None:
    """A fact says the same after it was kept as before: led through a procedure with readings, bursts and sprays."""
    library = read_library()
    for procedure, step in (("fuel-substitute", "close"), ("battery-state", "rest-volts"), ("cranking-check", "turn")):
        for made in Led(library, procedure).until(step).facts:
            assert fact(made.kind, json.loads(json.dumps(made.plain()["data"]))).said == made.said


def test_a_fact_is_made_of_all_that_its_kind_needs() -> None:
    """Nothing without a default can be left out, nothing else can be put in."""
    with pytest.raises(TypeError, match="words"):
        NoteTaken()  # type: ignore[call-arg]
    with pytest.raises(TypeError, match="wrods"):
        NoteTaken(wrods="x")  # type: ignore[call-arg]


def test_an_old_job_keeps_what_nobody_knows_any_more() -> None:
    """What a field of today's is missing has its default, what another version put there stays in the plain form."""
    old = {"key": "k", "always_confirm": False, "ear": True, "bench": {"number": 3}}
    kept = fact(FactKind.JOB_STARTED, old)
    assert kept.plain()["data"] == old
    said = kept.says(JobStarted)
    assert (said.key, said.ear, said.guarded, said.texts, said.inherits) == ("k", True, False, None, None)


def test_what_is_not_there_is_told_once_it_is_asked_for() -> None:
    """As a KeyError and a ValueError, with kind and name; what is there can be had beside it."""
    kept = fact(FactKind.READING_LOGGED, {"value": "12.4", "name": "rest volts"})
    said = kept.says(ReadingLogged)
    assert said.name == "rest volts"
    for name in ("value", "unit"):
        with pytest.raises(Unsaid, match=f"reading-logged says no '{name}'") as told:
            getattr(said, name)
        assert isinstance(told.value, KeyError) and isinstance(told.value, ValueError)
    with pytest.raises(AttributeError):
        said.volts  # type: ignore[attr-defined]  # noqa: B018 - asked for, and not there
    with pytest.raises(TypeError, match="reading-logged was read as Struck"):
        kept.says(Struck)


def test_as_far_as_it_can_be_read_the_rest_is_blank() -> None:
    """A number stands for words, a list of words too; what fits nothing is no words, no number, nothing in it."""
    said = fact(FactKind.VEHICLE_NOTED, {"fact": ["fuel", "kind"], "value": 12.5, "hearing": {"engine": 3}}).shows(
        VehicleNoted
    )
    assert (said.fact, said.value, said.by) == ("fuel, kind", "12.5", "")
    assert said.hearing is not None and said.hearing.engine == "3" and said.hearing.confidence != 0.0
    burst = fact(FactKind.BURST_ENDED, {"rpm": "many", "corrects": "yes", "sound": []}).shows(BurstEnded)
    assert (burst.by, burst.rpm, burst.corrects, burst.sound) == ("", None, False, None)


def test_what_may_be_unknown_is_written_where_an_ear_has_listened() -> None:
    """Null tells that it was not sure; of a burst that nobody heard nothing is written."""
    by_word = BurstEnded(start_s=1.0, end_s=2.0, seconds=1.0, by="word", assumed=False)
    assert list(by_word.plain()) == ["start_s", "end_s", "seconds", "by", "assumed"]
    heard = BurstEnded(start_s=1.0, end_s=2.0, seconds=1.0, by="ear", confidence=0.5)
    assert heard.plain() | {"rpm": None, "caught": None, "run_s": None, "confidence": 0.5} == heard.plain()


def test_a_fact_that_says_something_else_is_the_same_fact() -> None:
    """Its id, place and time stay."""
    first = fact_of(ResultLogged(result="good"), id="k-3", job="j", number=3, at_s=1.0, procedure="p", step="s")
    other = first.saying(ResultLogged(result="bad", hearing=HowHeard(engine="typed", confidence=1.0)))
    assert (other.id, other.number, other.at_s, other.procedure, other.step) == ("k-3", 3, 1.0, "p", "s")
    assert other.data == {"result": "bad", "hearing": {"engine": "typed", "confidence": 1.0}}
    assert ResultHeard(words="x", code="P0335").plain() == {"code": "P0335", "words": "x"}


ODD = st.recursive(
    st.none() | st.booleans() | st.integers(-(10**20), 10**400) | st.floats() | st.text(max_size=6),
    lambda inside: (
        st.lists(inside, max_size=3)
        | st.dictionaries(
            st.sampled_from(("engine", "confidence", "marks", "starter", "cranked_s", "limit", "x")), inside, max_size=3
        )
    ),
    max_leaves=8,
)


@settings(max_examples=300, deadline=None)
@given(st.sampled_from(list(FactKind)), st.data())
def test_what_is_not_ours_raises_nothing_but_what_is_promised(kind: FactKind, draw: st.DataObject) -> None:
    """Whatever stands in a fact: its plain form stays, each field is told or unsaid, and as far as it goes all is."""
    fields = fields_of(CLASSES[kind])
    keys = st.sampled_from([*(field.key for field in fields), "x"])
    data = draw.draw(st.dictionaries(keys, ODD, max_size=6))
    kept = fact(kind, data)
    for field in fields:
        getattr(kept.legible, field.name)
        try:
            getattr(kept.said, field.name)
        except Unsaid:
            assert field.key in data or field.required
    assert kept.data == data or data != data  # noqa: PLR0124 - no number equals none
