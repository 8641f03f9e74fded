"""Which version of the shop's store this program knows, and which one a server has."""

from __future__ import annotations

from sqlalchemy import Connection, text

NEWEST = "0003"
"""The version that this program knows."""
GATHERED_FROM = "0003"
"""The first one that gathers a job's words for searches."""


def version_of(connection: Connection) -> str:
    """The version of the store there; empty where there is none."""
    if connection.execute(text("SELECT to_regclass('shop.version')")).scalar() is None:
        return ""
    return str(connection.execute(text("SELECT version_num FROM shop.version")).scalar() or "")
