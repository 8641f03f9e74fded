"""What a test costs from where the technician stands, and whether it is safe to begin now."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field, replace

from assistant.procedure.model import Duty, Place
from assistant.reasoning.model import Model, Variable
from assistant.reasoning.posterior import Evidence


@dataclass(frozen=True, slots=True, kw_only=True)
class Situation:
    """Where the job stands between two tests.

    `minutes`: since the job began. `cranked_s`: cranking since the last full rest; `cranked_at`: minute of its end.
    `clear_at`: minute from which each lingering thing is gone.
    """

    place: Place = Place.HOOD
    minutes: float = 0.0
    set_ups: frozenset[str] = frozenset()
    cranked_s: float = 0.0
    cranked_at: float = 0.0
    clear_at: Mapping[str, float] = field(default_factory=dict)


def allowed(test: Variable, evidence: Evidence) -> bool:
    """Whether everything that must be seen before this test has been seen, with a result that permits it."""
    if test.work is None:
        return False
    return all(
        after.test in evidence and (not after.results or evidence[after.test] in after.results)
        for after in test.work.after
    )


def minutes_for(model: Model, test: Variable, situation: Situation, duty: Duty) -> float:
    """Minutes until the result of `test` is known: moving, set-up not yet made, waiting that safety asks, the test."""
    return do_test(model, test, situation, duty).minutes - situation.minutes


def do_test(model: Model, test: Variable, situation: Situation, duty: Duty) -> Situation:
    """The situation after `test`: cranking adds up to `duty.burst_s`, then a rest of `duty.rest_s` is due. Waiting is part of it: a due rest of the starter, and vapour that must be gone.

    Raises ValueError when `test` is not a test.
    """
    work = test.work
    if work is None:
        raise ValueError(f"{test.id} is not a test")
    begin = situation.minutes + _moving(model, situation.place, work.place)
    begin += sum(
        known.minutes for known in model.set_ups if known.id in work.set_ups and known.id not in situation.set_ups
    )
    begin = max([begin, *(situation.clear_at.get(name, 0.0) for name in work.not_during)])
    cranked = situation.cranked_s
    if work.cranks_s:
        rested_at = situation.cranked_at + duty.rest_s / 60.0
        if cranked + work.cranks_s > duty.burst_s and cranked:
            begin = max(begin, rested_at)
        cranked = work.cranks_s + (0.0 if begin >= rested_at else cranked)
    end = begin + work.minutes
    leaves = {known.id: end + known.minutes for known in model.lingers if known.id in work.leaves}
    return replace(
        situation,
        place=work.place,
        minutes=end,
        set_ups=situation.set_ups | frozenset(work.set_ups),
        cranked_s=cranked,
        cranked_at=end if work.cranks_s else situation.cranked_at,
        clear_at={**situation.clear_at, **leaves},
    )


def _moving(model: Model, here: Place, there: Place) -> float:
    if here == there:
        return 0.0
    return model.settings.moving.get(here, 0.0) + model.settings.moving.get(there, 0.0)
