"""The one transition table."""

import itertools

import pytest

from assistant.facts import FactKind
from assistant.guide import table
from assistant.guide.drawing import draw_modes
from assistant.guide.fold import OF_THE_JOB, OF_THE_STEP
from assistant.guide.state import Mode
from assistant.guide.table import CONDITIONS, LIVE, ROWS, SAME, next_mode

ALL = frozenset(CONDITIONS)


def test_every_fact_that_is_recorded_has_a_row_and_every_row_a_fact():
    """No kind of fact is left out of the table, and none stands in it that does not exist."""
    assert {kind for kind, *_ in ROWS} == set(FactKind)


def test_every_mode_can_be_reached_and_left():
    """All modes are reached from the new job; only ended is never left."""
    ways = {(mode, Mode(dest)) for _, modes, dest, _ in ROWS if dest != SAME for mode in modes}
    reached = {Mode.NEW}
    while more := {dest for source, dest in ways if source in reached} - reached:
        reached |= more
    assert reached == set(Mode)
    assert {mode for mode in Mode if not any(source is mode for source, _ in ways)} == {Mode.ENDED}


def test_nothing_happens_in_an_ended_job_or_before_a_new_one_starts():
    """Rule 1: only the desk's word on the repair comes after the end, and it moves nothing."""
    for kind in FactKind:
        after = Mode.ENDED if kind is FactKind.REPAIR_CONFIRMED else None
        assert next_mode(Mode.ENDED, kind, ALL) is after
        assert (next_mode(Mode.NEW, kind, ALL) is not None) == (kind is FactKind.JOB_STARTED)


@pytest.mark.parametrize("mode", LIVE)
def test_stop_and_pause_hold_in_every_live_mode(mode):
    """Rule 6, once nothing timed runs any more."""
    assert next_mode(mode, FactKind.STOPPED, {"nothing_runs"}) is Mode.HELD
    assert next_mode(mode, FactKind.PAUSED, {"nothing_runs"}) is Mode.HELD
    assert next_mode(mode, FactKind.STOPPED, ALL - {"nothing_runs"}) is None


def test_work_begins_only_when_it_may():
    """Rule 3: without `may_start` no instruction is spoken and no timed action begins, whatever else holds."""
    begins = (FactKind.INSTRUCTION_SPOKEN, FactKind.READY_GIVEN, FactKind.BURST_BEGUN, FactKind.ACTION_BEGUN)
    for mode, kind in itertools.product(Mode, begins):
        assert next_mode(mode, kind, ALL - {"may_start"}) is None


def test_a_rest_and_a_wait_are_never_skipped():
    """Rule 9."""
    for mode in (Mode.RESTING, Mode.WAITING, Mode.CAUTIONING, Mode.GATING):
        assert next_mode(mode, FactKind.SKIP_ASKED, ALL) is None
    assert next_mode(Mode.RESTING, FactKind.REST_ENDED, ALL - {"rest_over"}) is None
    assert next_mode(Mode.WAITING, FactKind.WAIT_ENDED, ALL - {"wait_over"}) is None


def test_a_job_ends_only_from_closing_and_only_when_nothing_is_open():
    """Rule 10."""
    for mode in Mode:
        assert (next_mode(mode, FactKind.JOB_ENDED, ALL) is not None) == (mode is Mode.CLOSING)
    assert next_mode(Mode.CLOSING, FactKind.JOB_ENDED, ALL - {"nothing_open"}) is None


def test_what_was_under_a_note_comes_back():
    """Rule 8: a note, a declined skip and a declined end give back exactly the mode under them."""
    for under in table.ASKED_OVER:
        holding = {f"under_{under}"}
        assert next_mode(Mode.NOTING, FactKind.NOTE_TAKEN, holding) is under
        assert next_mode(Mode.ENDING, FactKind.END_DECLINED, holding) is under
        assert next_mode(Mode.STRIKING, FactKind.STRIKE_DECLINED, holding) is under
        assert next_mode(Mode.STRIKING, FactKind.STRUCK, holding) is under
    assert next_mode(Mode.NOTING, FactKind.NOTE_TAKEN, ()) is None


def test_the_file_opens_with_its_rules():
    """The ten rules stand at the head of the file that holds the table."""
    assert [f"{number}." in (table.__doc__ or "") for number in range(1, 11)] == [True] * 10


def test_the_drawing_shows_every_row_that_changes_the_mode():
    """The picture is made from the table itself."""
    drawing = draw_modes()
    for kind, modes, dest, _ in ROWS:
        if dest != SAME and any(str(mode) != str(dest) for mode in modes):
            assert any(kind.value in line and f"--> {dest}:" in line for line in drawing.splitlines()), kind


def test_every_condition_of_the_table_is_known_to_the_fold():
    """One that the fold does not know would never hold, and its row never move."""
    assert set(CONDITIONS) == {*OF_THE_JOB, *OF_THE_STEP}
