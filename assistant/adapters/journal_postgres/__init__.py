"""The journal on the shop's PostgreSQL: one record for many bays."""

from assistant.adapters.journal_postgres.delivery import Delivery
from assistant.adapters.journal_postgres.desk import ShopDesk, ShopLine
from assistant.adapters.journal_postgres.link import JobHeld, checked_url
from assistant.adapters.journal_postgres.store import PostgresJournal

__all__ = ["Delivery", "JobHeld", "PostgresJournal", "ShopDesk", "ShopLine", "checked_url"]
