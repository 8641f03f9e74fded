"""What nobody may overlook stands at the top of the page: dangers left, duty exceeded, a changed record."""

from __future__ import annotations

from dataclasses import replace

import pytest

from assistant.record.page.top import MOST_DAMAGE, damage, warnings


def told(record, **changes):
    """The warnings of the record with these things otherwise, and nothing else to warn of."""
    quiet = replace(
        record,
        open_items=(),
        bay=(),
        cautions=(),
        vehicle=replace(record.vehicle, vin_check="right"),
        bursts=tuple(replace(one, rest_due_s=0.0, seconds=1.0) for one in record.bursts),
    )
    return warnings(replace(quiet, **changes))


def test_a_job_with_nothing_to_warn_of_warns_of_nothing(record):
    """Bursts as long as they may be are no matter."""
    assert told(record) == ()
    longest = replace(record.bursts[0], rest_due_s=0.0, seconds=record.duty.stop_limit_s)
    assert told(record, bursts=(longest,)) == ()


def test_what_is_still_off_is_named_with_how_sure_that_is(record):
    """Left off as said, perhaps, or simply off."""
    items = tuple(replace(record.open_items[0], item=state, state=state) for state in ("removed", "left-off", "unsure"))
    assert told(record, open_items=items) == (
        "Still off the vehicle: removed",
        "Still off the vehicle: left-off (left off, as said)",
        "Still off the vehicle: unsure (perhaps: its step was left in the middle)",
    )


def test_a_starter_that_was_turned_too_soon_or_too_long_is_counted(record):
    """Each burst of its kind, by the limit of the job."""
    first, second, *_ = record.bursts
    early = (replace(first, rest_due_s=0.1, seconds=1.0), replace(second, rest_due_s=5.0, seconds=1.0))
    assert told(record, bursts=early) == ("The starter was turned 2 times while a rest was still due.",)
    long = (replace(first, rest_due_s=0.0, seconds=record.duty.stop_limit_s + 0.1),)
    (said,) = told(record, bursts=long)
    assert said.startswith("1 burst lasted longer than ")


def test_a_caution_that_nobody_answered_is_counted(record):
    """One answered is none."""
    answered, *_ = record.cautions
    assert answered.acknowledged_at_s is not None
    assert told(record, cautions=(answered,)) == ()
    (said,) = told(record, cautions=(answered, replace(answered, acknowledged_at_s=None)))
    assert said.startswith("Spoken and not acknowledged: 1 caution;")


@pytest.mark.parametrize(
    ("check", "warns"), [("right", False), ("not-applicable", False), ("wrong", True), ("not-a-vin", True)]
)
def test_a_vin_that_cannot_be_is_told(record, check, warns):
    """One that was read right, or has no check digit, is not."""
    assert bool(told(record, vehicle=replace(record.vehicle, vin_check=check))) is warns


@pytest.mark.parametrize("count", [0, 1, MOST_DAMAGE, MOST_DAMAGE + 1])
def test_damage_is_named_up_to_a_handful_and_the_rest_counted(record, count):
    """Nothing is said where nothing is wrong."""
    found = damage(replace(record, damage=tuple(f"fact {each}" for each in range(count))))
    assert found[:MOST_DAMAGE] == tuple(f"fact {each}" for each in range(min(count, MOST_DAMAGE)))
    assert found[MOST_DAMAGE:] == (("and 1 more: run hoodside jobs verify",) if count > MOST_DAMAGE else ())
