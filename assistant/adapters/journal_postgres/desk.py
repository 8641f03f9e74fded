"""What the shop's desk and its owner do with the whole record, beside reading it as any archive."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from sqlalchemy import Connection, text

from assistant.adapters.journal_postgres import rows
from assistant.adapters.journal_postgres.adding import write_line
from assistant.adapters.journal_postgres.delivery import delivered
from assistant.adapters.journal_postgres.lines import SHOWN, rows_found, summary_of
from assistant.adapters.journal_postgres.store import PostgresJournal, ask_to_remove, forget_old_pages
from assistant.errors import UsageError
from assistant.record.chain import Entry
from assistant.record.log import LENGTHENING, Signed
from assistant.record.summary import JobQuery, Summary, summary_from, tidied
from assistant.record.taught import taught_by


@dataclass(frozen=True, slots=True, kw_only=True)
class ShopLine:
    """A job as the shop knows it. `skew_s`: by how much its bay's clock was off when it last delivered. `told`: what
    it teaches. `received`: the server's own time then."""

    summary: Summary
    bay: str
    skew_s: float | None
    received: datetime
    told: dict[str, Any]


_MORE = ", j.bay, j.skew_s, j.received, l.told"


class ShopDesk(PostgresJournal):
    """The shop's record for an account that reads; some of it only for an owner's."""

    def find(self, query: JobQuery, technician: str = "") -> tuple[ShopLine, ...]:
        """The jobs that answer the query, newest first. `technician`: a part of who did the work."""

        def look(connection: Connection) -> tuple[ShopLine, ...]:
            return tuple(_shop_line(row) for row in rows_found(connection, query, _MORE, technician=technician))

        return self.link.work(look)

    def jobs_of_car(self, plates: Sequence[str], most: int = 20) -> tuple[ShopLine, ...]:
        """The jobs of the car with one of these plates or VINs, newest first."""
        query = text(
            f"SELECT {SHOWN}{_MORE} FROM lines l JOIN jobs j USING (job_no) WHERE l.job_no IN "
            "(SELECT job_no FROM said WHERE car AND words = ANY (:plates) AND length(words) < 100) "
            "ORDER BY l.started_utc DESC LIMIT :most"
        )
        values = {"plates": [tidied(one) for one in plates if tidied(one)], "most": most}
        return self.link.work(lambda connection: tuple(map(_shop_line, connection.execute(query, values))))

    def taught(self, since: str, until: str) -> tuple[tuple[str, dict[str, Any]], ...]:
        """When each job of these days began, and what it teaches."""
        query = text("SELECT started_utc, told FROM lines WHERE started_utc >= :since AND started_utc < :until")
        values = {"since": since, "until": until}
        return self.link.work(lambda connection: tuple((row[0], row[1]) for row in connection.execute(query, values)))

    def visits(self, since: str, until: str) -> tuple[tuple[str, str, str, dict[str, Any]], ...]:
        """Each visit of a car that came more than once: car, job, begun, told; by car and day.

        `since`, `until`: days between which at least the later visit lies.
        """
        query = text(
            "SELECT s.words, j.label, l.started_utc, l.told FROM said s JOIN lines l USING (job_no) JOIN jobs j "
            "USING (job_no) WHERE s.car AND length(s.words) < 100 AND s.words IN (SELECT words FROM said s2 "
            "JOIN lines l2 USING (job_no) WHERE s2.car AND length(s2.words) < 100 AND l2.started_utc >= :since AND "
            "l2.started_utc < :until) AND l.started_utc < :until ORDER BY s.words, l.started_utc"
        )
        values = {"since": since, "until": until}
        return self.link.work(lambda connection: tuple(tuple(row) for row in connection.execute(query, values)))

    def readings(self) -> tuple[dict[str, Any], ...]:
        """This shop's known-good readings by model: name, unit, count, least, median, most."""
        query = text(
            "SELECT concat_ws(' ', told ->> 'make', told ->> 'model', told ->> 'year') AS model, r ->> 'name' AS name, "
            "r ->> 'unit' AS unit, count(*) AS count, min((r ->> 'value')::float8) AS least, "
            "percentile_cont(0.5) WITHIN GROUP (ORDER BY (r ->> 'value')::float8) AS median, "
            "max((r ->> 'value')::float8) AS most FROM lines, jsonb_array_elements(told -> 'readings') AS r "
            "WHERE told ? 'model' AND (r ->> 'good')::boolean GROUP BY 1, 2, 3 ORDER BY 1, 2, 3"
        )
        return self.link.work(lambda connection: tuple(dict(row._mapping) for row in connection.execute(query)))

    def confirmed(self, procedure: str) -> tuple[str, ...]:
        """The fault of each confirmed repair of the shop in jobs that began with this procedure."""
        query = text("SELECT told ->> 'repaired' FROM lines WHERE told ? 'repaired' AND procedure = :procedure")
        return self.link.work(lambda connection: tuple(connection.execute(query, {"procedure": procedure}).scalars()))

    def reads_all(self) -> bool:
        """Whether this account reads the jobs of every bay, and not its own alone."""
        query = text("SELECT pg_has_role(session_user, 'hoodside_desk', 'MEMBER')")
        return bool(self.link.work(lambda connection: connection.execute(query).scalar()))

    def hand(self, job: str, bay: str) -> None:
        """From now on this bay alone may lengthen the job; the log and the audit tell of it. Raises RecordError."""
        job_no = self._number(job)
        query = text("SELECT hand(:job, :bay)")
        self.link.work(lambda connection: connection.execute(query, {"job": job_no, "bay": bay}))

    def held_by(self, job: str) -> tuple[str, float]:
        """Which bay may lengthen the job, and how many seconds ago it last sent of it. Raises UsageError."""
        query = text("SELECT bay, extract(epoch FROM clock_timestamp() - received) FROM jobs WHERE job_no = :job")
        values = {"job": self._number(job)}
        bay, ago_s = self.link.work(lambda connection: connection.execute(query, values).one())
        return str(bay), max(0.0, float(ago_s))

    def handed_by(self, job: str) -> str:
        """Which bay had the job before it was handed over last; empty where it never was."""
        query = text(
            "SELECT leaf::json ->> 'from' FROM log WHERE job_no = :job AND kind = 'handed' ORDER BY place DESC LIMIT 1"
        )
        values = {"job": self._number(job)}
        return str(self.link.work(lambda connection: connection.execute(query, values).scalar()) or "")

    def shred_what_was_asked(self) -> int:
        """Carry out every removal that was asked for anywhere; returns how many values went. Only for an owner."""
        query = text("SELECT DISTINCT job_no FROM removals WHERE done IS NULL ORDER BY job_no")
        gone = 0
        for job_no in self.link.work(lambda connection: connection.execute(query).scalars().all()):
            values, shredding = {"no": job_no}, text("SELECT shred(:no)")
            gone += self.link.work(lambda connection: int(connection.execute(shredding, values).scalar_one()))  # noqa: B023 - done at once
        if gone:
            self.link.work(lambda connection: connection.execute(text("SELECT wipe(NULL)")))
            forget_old_pages(self.link)
        return gone

    def unsigned_deliveries(self, signed: Signed) -> tuple[str, ...]:
        """A sentence for each delivery that came with a bay's password and without its key."""
        query = text(
            "SELECT l.place, l.number, j.key, j.label, l.bay, l.leaf::json ->> 'hash' AS hash, l.signature, "
            "b.key AS bay_key FROM log l JOIN jobs j USING (job_no) LEFT JOIN bays b ON b.bay = l.bay "
            "WHERE l.kind = ANY (:kinds) ORDER BY l.place"
        )
        values = {"kinds": [kind.value for kind in LENGTHENING]}
        found = []
        for row in self.link.work(lambda connection: connection.execute(query, values).all()):
            last = Entry(job="", number=row.number, id="", body="", recorded_utc="", hash=bytes.fromhex(row.hash))
            if not signed(bytes(row.bay_key or b""), delivered(row.key, last), bytes(row.signature)):
                found.append(
                    f"entry {row.place} of the server's log: job '{row.label}' up to fact {row.number} came with the "
                    f"password of '{row.bay}' and without its key"
                )
        return tuple(found)

    def refill(self) -> int:
        """Work out anew the line of each job, and what it teaches; returns how many there are. Only for an owner."""
        jobs = self.jobs()
        for job in jobs:
            entries = self.entries(job)

            def write(connection: Connection, job: str = job, entries: tuple[Entry, ...] = entries) -> None:
                job_no = rows.number_of_job(connection, job)
                if job_no is not None and entries:
                    write_line(connection, job_no, summary_from(entries, job), taught_by(entries))

            self.link.work(write)
        return len(jobs)

    def note(self, what: str, about: str) -> None:
        """Write into the shop's audit who did what."""
        query = text("SELECT note(:what, :about)")
        self.link.work(lambda connection: connection.execute(query, {"what": what, "about": about}))

    def audit(self, most: int = 100) -> tuple[tuple[datetime, str, str, str, str], ...]:
        """Who did what to which job when, the latest first."""
        query = text(
            "SELECT a.at, a.who, a.what, coalesce(j.label, ''), a.told FROM audit a LEFT JOIN jobs j USING (job_no) "
            "ORDER BY a.at DESC LIMIT :most"
        )
        return self.link.work(lambda c: tuple(tuple(row) for row in c.execute(query, {"most": most})))

    def chains(self) -> Iterator[tuple[str, tuple[Entry, ...]]]:
        """Every job with its chain, oldest first."""
        for job in self.jobs():
            yield job, self.entries(job)

    def old_values(self, before: str) -> tuple[tuple[str, tuple[tuple[int, str], ...]], ...]:
        """Jobs begun before this day that still keep personal values, with their places: what a retention removes."""
        query = text(
            "SELECT j.label, array_agg(p.number ORDER BY p.number, p.place), "
            "array_agg(p.place ORDER BY p.number, p.place) "
            "FROM personal p JOIN jobs j USING (job_no) JOIN lines l USING (job_no) WHERE l.started_utc < :before AND "
            "p.sealed IS NOT NULL AND NOT EXISTS (SELECT FROM removals r WHERE (r.job_no, r.number, r.place) = "
            "(p.job_no, p.number, p.place)) GROUP BY j.label ORDER BY j.label"
        )
        found = self.link.work(lambda connection: connection.execute(query, {"before": before}).all())
        return tuple((label, tuple(zip(numbers, places, strict=True))) for label, numbers, places in found)

    def retire(self, old: Sequence[tuple[str, tuple[tuple[int, str], ...]]], *, key: bytes) -> None:
        """Ask for the removal of these values of these jobs, which travels to every bay that keeps them."""
        utc = self._recorded_utc()
        for job, places in old:
            number = self._number(job)

            def ask(connection: Connection, number: int = number, places: tuple[tuple[int, str], ...] = places) -> None:
                ask_to_remove(connection, number, places, key, utc)

            self.link.work(ask)

    def _number(self, job: str) -> int:
        number = self.link.work(lambda connection: rows.number_of_job(connection, job))
        if number is None:
            raise UsageError(f"The shop has no job '{job}'; `hoodside shop find` names them.")
        return number


def _shop_line(row: Any) -> ShopLine:
    bay, skew_s, received, told = tuple(row)[8:12]
    return ShopLine(summary=summary_of(row), bay=bay, skew_s=skew_s, received=received, told=told)
