"""The class of each kind."""

from __future__ import annotations

from collections.abc import Mapping
from types import MappingProxyType

from assistant.facts import answers, ends, job, step, timed
from assistant.facts.kinds import FactKind
from assistant.facts.said import Said

CLASSES: Mapping[FactKind, type[Said]] = MappingProxyType(
    {
        each.KIND: each
        for room in (job, step, answers, timed, ends)
        for each in vars(room).values()
        if isinstance(each, type) and issubclass(each, Said) and hasattr(each, "KIND")
    }
)
"""A class says of which kind it is; one that only gathers what several carry says none."""
