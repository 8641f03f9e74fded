"""`hoodside shop verify`: every chain on the server, its log, and that it goes on from where this machine saw it."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

from assistant.record.log import Signed
from assistant.record.verify import Verdict, verify_job, verify_log, verify_older
from assistant.wiring.folders import data_folder
from assistant.wiring.keys import remembered

if TYPE_CHECKING:
    from assistant.adapters.journal_postgres import ShopDesk

REMEMBERED = "of-the-shop"
"""Beside the heads of our own store, under this name below the data folder."""


def verify_shop(desk: ShopDesk, signed: Signed | None, data: Path | None) -> tuple[int, Verdict]:
    """How many jobs there are, and what is wrong or told. `signed`: None leaves the bays' keys out.

    Where nothing is wrong, what was seen is remembered, apart from the server: an older copy that is put back later, or
    a history that is made anew, shows from then on.
    """
    verdict = Verdict(wrong=(*desk.damage(), *desk.line_faults()))
    jobs = desk.jobs()
    for job in jobs:
        verdict += verify_job(desk, job)
    verdict += verify_log(desk)
    seen = remembered(data_folder(data) / REMEMBERED)
    for head in seen.heads():
        said_by = f"what this machine last saw of the server, on {head.utc[:16].replace('T', ' at ')} UTC,"
        found = verify_older(desk, head, said_by)
        verdict += Verdict(wrong=(*found.wrong, *found.told))
    if signed is not None:
        verdict += Verdict(told=desk.unsigned_deliveries(signed))
    if not verdict.wrong:
        seen.add(desk.log_head(), follows=True)
    return len(jobs), verdict
