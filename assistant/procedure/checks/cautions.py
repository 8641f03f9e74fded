"""Cautions stand before their step, cover all its hazards, and are acknowledged in words that name the state."""

from __future__ import annotations

import re
from itertools import pairwise

from assistant.procedure.checks.book import Page, at
from assistant.procedure.model import Caution, Hazard, Signal, Step

HARMS_THINGS_ONLY = frozenset({Hazard.CATALYST_DAMAGE, Hazard.STARTER_HEAT})
"""Hazards for which NOTICE is the right word: no injury is expected. Source: ANSI Z535.4-2007 definitions."""

SEVERITY = (Signal.DANGER, Signal.WARNING, Signal.CAUTION, Signal.NOTICE)
"""Spoken order where several apply: the gravest first. Source: MIL-DTL-23618 (warning, caution, note)."""

_AT_THE_COILS = re.compile(r"\b(?:coil|plug leads?|distributor cap)\b", re.IGNORECASE)
_SIGNAL_START = re.compile(r"(?:^|[.!?;]\s+)(danger|warning|caution|notice)\s*[:,.!\u2013\u2014-]", re.IGNORECASE)
_SIGNAL_LOUD = re.compile(r"\b(DANGER|WARNING|CAUTION|NOTICE)\b")


def check_cautions(page: Page) -> None:
    """Every caution by itself, then every step with its own."""
    for caution in page.procedure.cautions:
        _check_caution(page, caution)
    cautions = {caution.id: caution for caution in page.procedure.cautions}
    for step in page.procedure.steps:
        attached = [cautions[name] for name in step.cautions if name in cautions]
        _check_order(page, step)
        _check_severity(page, step, attached)
        if len(attached) == len(step.cautions):
            _check_covered(page, step, attached)
        _check_coils(page, step)
        _check_words(page, step)


def _check_coils(page: Page, step: Step) -> None:
    """A coil, its lead or its cap comes off only behind the word about its voltage, which also asks for the key."""
    off = next((item for item in step.removes if _AT_THE_COILS.search(item)), None)
    if off is not None and Hazard.HIGH_SECONDARY_VOLTAGE not in step.all_hazards:
        page.step_fault(
            step,
            "hazards",
            f"found '{off}' coming off without high-secondary-voltage; expected the hazard, and a caution that covers "
            "it; do add both",
        )


def _check_caution(page: Page, caution: Caution) -> None:
    hurting = sorted(caution.covers - HARMS_THINGS_ONLY)
    if caution.signal is Signal.NOTICE and hurting:
        page.part_fault(
            "caution",
            caution.id,
            at(caution.spots, "signal", caution.spot),
            f"found the signal word notice for {', '.join(hurting)}; expected danger, warning or caution, "
            "for notice is said where nobody can be hurt; do choose by how badly it can hurt",
        )


def _check_order(page: Page, step: Step) -> None:
    say = step.spots.get("say")
    for key in ("cautions", "gates"):
        spot = step.spots.get(key)
        if say and spot and (spot.line, spot.column) > (say.line, say.column):
            page.step_fault(
                step,
                key,
                f"found '{key}' after 'say'; expected it before, for it is spoken before; do move it above 'say'",
            )


def _check_severity(page: Page, step: Step, attached: list[Caution]) -> None:
    for before, after in pairwise(attached):
        if SEVERITY.index(after.signal) < SEVERITY.index(before.signal):
            page.step_fault(
                step,
                f"cautions.{step.cautions.index(after.id)}",
                f"found the {after.signal} '{after.id}' after the {before.signal} '{before.id}'; "
                "expected the gravest first; do change the order",
            )
            return


def _check_covered(page: Page, step: Step, attached: list[Caution]) -> None:
    covered = frozenset[Hazard]().union(*(caution.covers for caution in attached))
    missing = sorted(step.all_hazards - covered)
    if not missing:
        return
    offers = [
        caution.id
        for caution in page.procedure.cautions
        if caution.covers & set(missing) and caution.id not in step.cautions
    ]
    by_kind = sorted(set(missing) - step.hazards)
    because = f" ({', '.join(by_kind)} by kind)" if by_kind else ""
    do = f"do attach {' or '.join(repr(offer) for offer in offers)}" if offers else "do write one and attach it"
    page.step_fault(
        step,
        "hazards",
        f"found no caution for {', '.join(missing)}{because}; expected each hazard in the 'covers' of a caution of "
        f"this step; {do}",
    )


def _check_words(page: Page, step: Step) -> None:
    for key, text in step.texts():
        word = _SIGNAL_START.search(text) or _SIGNAL_LOUD.search(text)
        if word:
            page.step_fault(
                step,
                key,
                f"found the signal word '{word.group(1)}' inside '{key}'; expected warnings before the step; "
                "do write a caution and attach it under 'cautions'",
            )
