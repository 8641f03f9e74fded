"""Numbers that time, limit and divide: each within its bounds, each limit with a unit, bands without gap or overlap."""

from __future__ import annotations

from collections.abc import Mapping
from itertools import pairwise

from assistant.procedure.checks.book import Page, at
from assistant.procedure.condition import VAPOUR_CLEARS_S
from assistant.procedure.model import (
    COMPRESSION_FLOOR,
    COMPRESSION_RATIO,
    RECKONED_RESULTS,
    SHORTEST_REST_S,
    Action,
    Band,
    Kind,
    Limit,
    Reckoning,
    Step,
)
from assistant.procedure.read_step import SILENT
from assistant.procedure.units import KNOWN_UNITS, UNITS

MAX_SPRAY_S = 2.0
"""One spray of 1 s, at most this. Source: common practice, no source."""
MAX_SPRAY_TRIES = 2
"""Source: common practice, no source."""
MAX_PUFF_S = 1.0
"""A puff keeps a running engine alive and is shorter than a spray. Source: common practice, no source."""
MAX_STOP_S = 30.0
"""The longest burst of the published duties. Source: TM 10-3930-671-24, page F-303."""
MAX_WALK_S = 60.0
MAX_WAIT_S = 4 * 3600.0


def check_numbers(page: Page) -> None:
    """Limits, starter duty, and the numbers of every step."""
    for limit in page.procedure.limits:
        if limit.unit and limit.unit not in KNOWN_UNITS:
            page.part_fault(
                "limit",
                limit.id,
                at(limit.spots, "unit", limit.spot),
                f"found the unit '{limit.unit}'; expected one of {', '.join(KNOWN_UNITS)}; do write one of them",
            )
    _check_duty(page)
    limits = {limit.id: limit for limit in page.procedure.limits}
    for step in page.procedure.steps:
        _check_times(page, step)
        _check_pace(page, step)
        if step.kind is Kind.READING:
            _check_reading(page, step, limits)
        if step.reckons is not None:
            _check_reckoning(page, step, step.reckons, limits)


def _check_duty(page: Page) -> None:
    duty = page.procedure.duty
    if not 0 < duty.burst_s <= duty.stop_s:
        page.file_fault(
            "duty.burst_s",
            f"found a burst of {duty.burst_s:g} s and a stop at {duty.stop_s:g} s; expected a burst above 0 s that "
            "ends before the stop; do change one of them",
        )
    if duty.stop_s > MAX_STOP_S:
        page.file_fault(
            "duty.stop_s",
            f"found a stop at {duty.stop_s:g} s; expected at most {MAX_STOP_S:g} s, the longest published; "
            "do shorten it",
        )
    if duty.rest_s < SHORTEST_REST_S:
        page.file_fault(
            "duty.rest_s",
            f"found a rest of {duty.rest_s:g} s; expected at least {SHORTEST_REST_S:g} s, the shortest published; "
            "do lengthen it",
        )


def _check_reckoning(page: Page, step: Step, reckons: Reckoning, limits: Mapping[str, Limit]) -> None:
    """A question that the guide works out has the results and the limits that it comes to."""
    offered = {result.id for result in step.results}
    wanted = RECKONED_RESULTS[reckons]
    if not offered.issuperset(wanted):
        page.step_fault(
            step,
            "reckons",
            f"found the results {', '.join(sorted(offered))}; expected {', '.join(wanted)} where "
            f"'{reckons}' is reckoned; do add what is missing",
        )
    missing = [name for name in (COMPRESSION_RATIO, COMPRESSION_FLOOR) if name not in limits]
    if missing:
        page.step_fault(
            step,
            "reckons",
            f"found no limit {' and no limit '.join(missing)}; expected both where '{reckons}' is "
            "reckoned; do write them",
        )


def _check_times(page: Page, step: Step) -> None:
    may_be_none = step.kind in SILENT or step.kind is Kind.FINDING
    if step.minutes < 0 or (step.minutes == 0 and not may_be_none):
        page.step_fault(
            step,
            "minutes",
            f"found {step.minutes:g} minutes; expected more than 0; do write how long the step takes, such as 0.5",
        )
    if step.burst_s is not None and not 0 < step.burst_s <= page.procedure.duty.burst_s:
        page.step_fault(
            step,
            "burst_s",
            f"found a burst of {step.burst_s:g} s; expected more than 0 and at most the duty's "
            f"{page.procedure.duty.burst_s:g} s; do shorten it",
        )
    if not 0 <= step.walk_s <= MAX_WALK_S:
        page.step_fault(
            step,
            "walk_s",
            f"found {step.walk_s:g} s to walk; expected 0 to {MAX_WALK_S:g} s; do write the time from hood to seat",
        )
    if step.wait_s is not None and not 0 < step.wait_s <= MAX_WAIT_S:
        page.step_fault(
            step,
            "wait_s",
            f"found a wait of {step.wait_s:g} s; expected more than 0 and at most {MAX_WAIT_S:g} s; do change it",
        )
    if step.clears_vapour and (step.kind is not Kind.WAIT or (step.wait_s or 0.0) < VAPOUR_CLEARS_S):
        page.step_fault(
            step,
            "clears_vapour",
            f"found vapour cleared without a wait of {VAPOUR_CLEARS_S:g} s; expected a step of kind wait that long; "
            "do wait, with the hood open and the can away",
        )


def _check_pace(page: Page, step: Step) -> None:
    pace = step.pace
    if pace is None:
        return
    most_s = MAX_SPRAY_S if pace.action is Action.SPRAY else MAX_PUFF_S
    if not 0 < pace.on_s <= most_s:
        page.step_fault(
            step,
            "pace.on_s",
            f"found a {pace.action} of {pace.on_s:g} s; expected more than 0 and at most {most_s:g} s; do shorten it",
        )
    if pace.action is Action.SPRAY and pace.times != 1:
        page.step_fault(
            step, "pace.times", f"found {pace.times} sprays in one go; expected one; do write 'times: 1' or a puff"
        )
    if pace.times < 1 or (pace.times > 1 and pace.off_s <= 0):
        page.step_fault(
            step,
            "pace.times",
            f"found {pace.times} times with {pace.off_s:g} s between; expected at least one, and a gap where there are "
            "more; do write 'off_s'",
        )
    if pace.action is Action.PUFF and not step.needs_two and not step.alone:
        page.step_fault(
            step,
            "say",
            "found puffs into a running engine without a word on who holds the key; expected 'needs_two: true' or "
            "'alone' with the remote starter switch; do add one",
        )
    if pace.off_s < 0:
        page.step_fault(step, "pace.off_s", f"found {pace.off_s:g} s between; expected 0 or more; do change it")
    if not 1 <= pace.tries <= MAX_SPRAY_TRIES:
        page.step_fault(
            step,
            "pace.tries",
            f"found {pace.tries} tries; expected 1 to {MAX_SPRAY_TRIES}; do lower it, for more floods the engine",
        )


def _check_reading(page: Page, step: Step, limits: dict[str, Limit]) -> None:
    if step.quantity is not None and step.unit and step.unit not in UNITS[step.quantity]:
        page.step_fault(
            step,
            "unit",
            f"found the unit '{step.unit}' for {step.quantity}; expected one of {', '.join(UNITS[step.quantity])}; "
            "do write one of them",
        )
    ends_known = True
    for band in step.bands:
        for key, name in (("at_least", band.at_least), ("below", band.below)):
            limit = limits.get(name) if name is not None else None
            if name is not None and (limit is None or limit.value != limit.value or limit.unit not in KNOWN_UNITS):
                ends_known = False
            elif limit is not None and step.unit and limit.unit != step.unit:
                ends_known = False
                page.faults.add(
                    at(band.spots, key, band.spot),
                    f"found the limit '{name}' in {limit.unit} for a reading in {step.unit}; "
                    "expected the same unit; do write the limit in the unit of the reading",
                    step=step.id,
                )
    if ends_known and step.bands:
        _check_bands(page, step, limits)


def _check_bands(page: Page, step: Step, limits: dict[str, Limit]) -> None:
    def low(band: Band) -> float:
        return limits[band.at_least].value if band.at_least is not None else float("-inf")

    def high(band: Band) -> float:
        return limits[band.below].value if band.below is not None else float("inf")

    def fault(band: Band, message: str) -> None:
        page.faults.add(band.spot, message, step=step.id)

    unit = step.unit or ""
    for band in step.bands:
        if low(band) >= high(band):
            fault(
                band,
                f"found the band '{band.id}' from {low(band):g} to {high(band):g} {unit}; expected a band that "
                "holds a value; do swap or change its limits",
            )
            return
    bands = sorted(step.bands, key=low)
    if low(bands[0]) != float("-inf"):
        fault(
            bands[0],
            f"found no band below {low(bands[0]):g} {unit}; expected bands over the whole range; "
            f"do add one, or leave 'at_least' out of '{bands[0].id}'",
        )
    for lower, upper in pairwise(bands):
        if high(lower) < low(upper):
            fault(
                upper,
                f"found a gap from {high(lower):g} to {low(upper):g} {unit} between '{lower.id}' and '{upper.id}'; "
                "expected none; do let one end where the next begins",
            )
        elif high(lower) > low(upper):
            fault(
                upper,
                f"found '{lower.id}' and '{upper.id}' to overlap from {low(upper):g} to "
                f"{min(high(lower), high(upper)):g} {unit}; expected one band for each value; "
                "do let one end where the next begins",
            )
    highest = max(bands, key=high)
    if high(highest) != float("inf"):
        fault(
            highest,
            f"found no band from {high(highest):g} {unit} on; expected bands over the whole range; "
            f"do add one, or leave 'below' out of '{highest.id}'",
        )
