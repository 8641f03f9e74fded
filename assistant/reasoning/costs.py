"""What a test costs from where the technician stands, and whether it is safe to begin now."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field, replace

from assistant.procedure.model import Duty, Place
from assistant.reasoning.model import Model, Opening, Variable, Work
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
    """Whether the way to this test is open: one of the results that open it has been seen, or none is needed."""
    return not lacking(test, evidence)


def lacking(test: Variable, evidence: Evidence) -> tuple[Opening, ...]:
    """The openings of which one must be seen before this test, in so far as none was; empty where its way is open."""
    work = _work(test)
    return next((ways for ways in (work.opened_by, work.cranked_by) if not is_open(ways, evidence)), ())


def is_open(openings: tuple[Opening, ...], evidence: Evidence) -> bool:
    """Whether one of the openings has been seen, or none is needed."""
    return not openings or any(
        opening.test in evidence and (not opening.results or evidence[opening.test] in opening.results)
        for opening in openings
    )


def minutes_for(model: Model, test: Variable, situation: Situation, duty: Duty) -> float:
    """Minutes until the result of `test` is known: moving, set-up not yet made, waiting that safety asks, the test.

    Raises ValueError when `test` is not a test.
    """
    work = _work(test)
    return _begin(model, work, situation, duty) + work.minutes - situation.minutes


def do_test(model: Model, test: Variable, situation: Situation, duty: Duty) -> Situation:
    """The situation after `test`. Raises ValueError when `test` is not a test."""
    work = _work(test)
    begin = _begin(model, work, situation, duty)
    end = begin + work.minutes
    rested = begin >= situation.cranked_at + duty.rest_s / 60.0
    leaves = {known.id: end + known.minutes for known in model.lingers if known.id in work.leaves}
    return replace(
        situation,
        place=work.place,
        minutes=end,
        set_ups=situation.set_ups | frozenset(work.set_ups),
        cranked_s=work.cranks_s + (0.0 if rested else situation.cranked_s) if work.cranks_s else situation.cranked_s,
        cranked_at=end if work.cranks_s else situation.cranked_at,
        clear_at={**situation.clear_at, **leaves},
    )


def after_tests(model: Model, tests: Iterable[str], duty: Duty) -> Situation:
    """The situation after tests done one after the other in that order. Raises KeyError for an unknown test."""
    situation = Situation()
    for test in tests:
        situation = do_test(model, model.test(test), situation, duty)
    return situation


def _work(test: Variable) -> Work:
    if test.work is None:
        raise ValueError(f"{test.id} is not a test")
    return test.work


def _begin(model: Model, work: Work, situation: Situation, duty: Duty) -> float:
    """Minute at which the test itself may begin, after moving, set-up and the waiting that safety asks.

    Cranking adds up; before it would pass `duty.burst_s` a rest of `duty.rest_s` is due (adding up is judgement).
    """
    begin = situation.minutes + _moving(model, situation.place, work.place)
    if work.set_ups:
        missing = set(work.set_ups) - situation.set_ups
        begin += sum(known.minutes for known in model.set_ups if known.id in missing)
    for name in work.not_during:
        begin = max(begin, situation.clear_at.get(name, 0.0))
    if work.cranks_s and situation.cranked_s and situation.cranked_s + work.cranks_s > duty.burst_s:
        begin = max(begin, situation.cranked_at + duty.rest_s / 60.0)
    return begin


def _moving(model: Model, here: Place, there: Place) -> float:
    if here == there:
        return 0.0
    return model.settings.moving.get(here, 0.0) + model.settings.moving.get(there, 0.0)
