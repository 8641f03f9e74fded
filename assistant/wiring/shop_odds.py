"""The repairs that the odds of a job begin with: this machine's own, and what the shop's other bays repaired."""

from __future__ import annotations

from collections import Counter
from contextlib import closing
from dataclasses import dataclass
from pathlib import Path

from assistant.adapters.journal_sqlite import SqliteJournal
from assistant.adapters.shop_repairs import read_repairs
from assistant.adapters.shop_settings import OWN
from assistant.reasoning.learning import strength
from assistant.reasoning.model import Model, Priors
from assistant.record.wording import times
from assistant.wiring.folders import data_folder
from assistant.wiring.records import confirmed_repairs, holds_records, look_into_journal
from assistant.wiring.shop import shop_settings


@dataclass(frozen=True, slots=True, kw_only=True)
class Repairs:
    """Faults, one for each confirmed repair. `own`: of the jobs kept here. `elsewhere`: of other bays' jobs, as they
    were fetched at `fetched_utc`."""

    own: tuple[str, ...] = ()
    elsewhere: tuple[str, ...] = ()
    fetched_utc: str = ""

    @property
    def both(self) -> tuple[str, ...]:
        """All of them."""
        return self.own + self.elsewhere

    def strength(self, model: Model) -> float:
        """The share that they have in the odds that a job begins with; the model's file has the rest."""
        return strength(model, self.both)

    @property
    def whose(self) -> str:
        """Whose they are, in words."""
        if not self.fetched_utc:
            return "This machine; of other bays nothing was fetched"
        return f"This machine, and other bays as fetched on {self.fetched_utc[:16].replace('T', ' at ')} UTC"

    def sentence(self, model: Model) -> str:
        """What the odds begin with, for who starts a job."""
        day = self.fetched_utc[:16].replace("T", " at ")
        own, others = times(len(self.own), "repair"), len(self.elsewhere)
        return (
            f"The odds begin with {own} of this machine and {others} of the shop's other bays, fetched on {day} UTC; "
            f"strength {self.strength(model):.0%}."
        )


def repairs_known(journal: SqliteJournal, model: Model, data: Path | None) -> Repairs:
    """What is known here, also off-line. Those of other bays are left out by `hoodside shop settings --odds own`, and
    where repairs cannot move the model."""
    return _with_others(confirmed_repairs(journal, model.id), model, data)


def _with_others(own: tuple[str, ...], model: Model, data: Path | None) -> Repairs:
    if shop_settings(data).odds == OWN or model.settings.priors is not Priors.SHARES:
        return Repairs(own=own)
    fetched = read_repairs(data_folder(data))
    counts = Counter(dict(fetched.counts.get(model.id, {})))
    return Repairs(own=own, elsewhere=tuple(sorted(counts.elements())), fetched_utc=fetched.fetched_utc)


def known_here(model: Model, data: Path | None) -> Repairs:
    """The same where no journal is open; nothing of this machine's own where it keeps no record."""
    if not holds_records(data):
        return _with_others((), model, data)
    with closing(look_into_journal(data)) as journal:
        return repairs_known(journal, model, data)
