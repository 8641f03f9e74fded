"""Learning from the shop: confirmed repairs shift the priors by Dirichlet counts.

Nothing is kept here: the learned priors follow from the file and the list of repairs alone. So a repair that is struck
from the list is unlearned, to the last digit.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable
from dataclasses import dataclass, replace

from assistant.reasoning.model import NONE_OF_THESE, Model, Priors


@dataclass(frozen=True, slots=True, kw_only=True)
class Learned:
    """How one prior has moved: from the file's to the shop's, by how many confirmed repairs."""

    fault: str
    before: float
    after: float
    repairs: int


def learn(model: Model, repairs: Iterable[str]) -> Model:
    """The model with priors that the confirmed repairs have moved: (prior · n + count) / (n + all repairs).

    `repairs`: the fault of each, as a finding or the desk names it; what is no fault to the model is passed over. n is
    the model's `prior_repairs`. Raises ValueError where the priors are independent: repairs alone say nothing about
    healthy cars.
    """
    counts = _count(model, repairs)
    total = sum(counts.values())
    if not total:
        return model
    if model.settings.priors is not Priors.SHARES:
        raise ValueError(f"the model '{model.id}' has independent priors; repairs can only move shares")
    weight = model.settings.prior_repairs

    def moved(name: str, prior: float) -> float:
        return (prior * weight + counts[name]) / (weight + total)

    return replace(
        model,
        settings=replace(model.settings, none_of_these=moved(NONE_OF_THESE, model.settings.none_of_these)),
        faults=tuple(replace(fault, prior=moved(fault.id, fault.prior)) for fault in model.faults),
    )


def show_learned(model: Model, repairs: Iterable[str]) -> tuple[Learned, ...]:
    """Every prior before and after, those with most repairs first."""
    repairs = tuple(repairs)
    counts = _count(model, repairs)
    after = learn(model, repairs)
    rows = [
        Learned(fault=old.id, before=old.prior, after=new.prior, repairs=counts[old.id])
        for old, new in zip(model.faults, after.faults, strict=True)
    ]
    rows.append(
        Learned(
            fault=NONE_OF_THESE,
            before=model.settings.none_of_these,
            after=after.settings.none_of_these,
            repairs=counts[NONE_OF_THESE],
        )
    )
    return tuple(sorted(rows, key=lambda row: (-row.repairs, -row.after)))


def strength(model: Model, repairs: Iterable[str]) -> float:
    """The share that the repairs have in the learned priors; the file's have the rest. 0 to 1."""
    counted = sum(_count(model, repairs).values())
    return counted / (counted + model.settings.prior_repairs) if counted else 0.0


def _count(model: Model, repairs: Iterable[str]) -> Counter[str]:
    meant = (model.meant_by(repair) for repair in repairs)
    return Counter(fault for fault in meant if fault is not None)
