"""Procedure text becomes a Procedure, with every fault of its shape at once."""

from __future__ import annotations

from hypothesis import given
from hypothesis import strategies as st

from assistant.procedure.model import Action, Finding, Hazard, Kind, Pace, Place, Signal, Spot
from assistant.procedure.reader import read_procedure


def test_reads_every_kind_and_key(every_kind: str) -> None:
    """All that the format can say arrives in the model."""
    loaded = read_procedure("every-kind.yaml", every_kind)
    assert loaded.faults == ()
    assert loaded.whole
    procedure = loaded.procedure
    assert procedure is not None
    assert {step.kind for step in procedure.steps} == set(Kind)
    assert procedure.version == 2
    assert procedure.duty.source == "practice"
    assert [limit.value for limit in procedure.limits] == [12.4, 12.2]
    assert procedure.cautions[0].signal is Signal.DANGER
    assert procedure.cautions[0].covers == {Hazard.SPRAYING, Hazard.FUEL_VAPOUR}
    assert procedure.step("spray").pace == Pace(action=Action.SPRAY, on_s=1, tries=2)
    assert procedure.step("open").done == ("duct is open",)
    assert procedure.step("turn").place is Place.SEAT
    assert procedure.step("turn").walk_s == 8
    assert procedure.step("by-drive").cases == {"no": "by-throttle", "yes": "volts"}
    assert procedure.step("volts").bands[1].at_least == "half"
    assert procedure.step("fuel").results[0].phrases == ("petrol", "gasoline")
    assert procedure.step("flat").finding == Finding(
        fault="flat-battery",
        proved=("battery is low",),
        likely=("old battery",),
        untested=("starter",),
        advice="Charge it.",
        customer="Your battery was empty.",
    )


def test_parts_know_where_their_values_stand(every_kind: str) -> None:
    """A step gives the place of each of its keys and of each item of a list."""
    procedure = read_procedure("every-kind.yaml", every_kind).procedure
    assert procedure is not None
    line = every_kind.splitlines().index("    gates: [can-away, duct-closed, prop-out, hands-clear]") + 1
    spots = procedure.step("turn").spots
    assert spots["gates"] == Spot(line=line, column=12)
    assert spots["gates.1"] == Spot(line=line, column=23)


def test_hazards_by_kind_are_added_to_those_written(every_kind: str) -> None:
    """A spray is hazardous whatever the author wrote."""
    text = every_kind.replace("hazards: [spraying, fuel-vapour]", "hazards: []")
    procedure = read_procedure("every-kind.yaml", text).procedure
    assert procedure is not None
    assert procedure.step("spray").all_hazards == {Hazard.SPRAYING, Hazard.FUEL_VAPOUR}


def test_folded_text_is_one_line() -> None:
    """A text over several lines is joined with single blanks."""
    loaded = read_procedure("x.yaml", "id: x\ntitle: >\n  two\n  lines\n")
    assert loaded.procedure is not None
    assert loaded.procedure.title == "two lines"


@given(st.data())
def test_a_damaged_file_is_read_or_told(every_kind: str, data: st.DataObject) -> None:
    """Whatever line is lost or doubled, there is a whole procedure or a fault, never an exception or silence."""
    lines = every_kind.splitlines(keepends=True)
    number = data.draw(st.integers(0, len(lines) - 1))
    change = data.draw(st.sampled_from(["lose", "double", "indent", "cut"]))
    line = lines[number]
    lines[number] = {"lose": "", "double": line * 2, "indent": "  " + line, "cut": line[: len(line) // 2] + "\n"}[
        change
    ]
    loaded = read_procedure("every-kind.yaml", "".join(lines))
    assert loaded.whole or loaded.faults
