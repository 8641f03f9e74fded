"""The journal on the shop's PostgreSQL: one record for many bays."""

from assistant.adapters.journal_postgres.link import JobHeld, ShopRefused, ShopUnreachable, checked_url
from assistant.adapters.journal_postgres.store import PostgresJournal

__all__ = ["JobHeld", "PostgresJournal", "ShopRefused", "ShopUnreachable", "checked_url"]
