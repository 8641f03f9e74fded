"""How the shop's store is made and brought from one version to another, by Alembic; by the server's own superuser."""

from __future__ import annotations

from pathlib import Path

from alembic import command
from alembic.config import Config
from sqlalchemy import Connection, text

from assistant.adapters.journal_postgres.version import NEWEST, version_of

ROLES = ("hoodside_bay", "hoodside_desk", "hoodside_owner")
KEEPER = "hoodside_keeper"


def bring_to(connection: Connection, version: str = NEWEST) -> str:
    """Make the store or bring it to that version, whole or not at all; returns the version that it had, or ''.

    `connection`: of a superuser, outside of a transaction; extensions and roles are made where they are missing.
    """
    prepare(connection)
    with connection.begin():
        connection.exec_driver_sql(f"CREATE SCHEMA IF NOT EXISTS shop AUTHORIZATION {KEEPER}")
        connection.exec_driver_sql(f"GRANT USAGE ON SCHEMA shop TO {', '.join(ROLES)}")
    had = version_of(connection)
    connection.rollback()
    config = Config()
    config.set_main_option("script_location", str(Path(__file__).with_name("migrations")))
    config.attributes["connection"] = connection
    with connection.begin():
        connection.exec_driver_sql(f"SET LOCAL ROLE {KEEPER}")
        connection.exec_driver_sql("SET LOCAL search_path = shop")
        if had > version:
            command.downgrade(config, version)
        else:
            command.upgrade(config, version)
        connection.exec_driver_sql("GRANT SELECT ON shop.version TO PUBLIC")
    return had


def prepare(connection: Connection) -> None:
    """Roles and extensions, where they are missing: what a store needs before it can be made or put back."""
    with connection.begin():
        for name in (KEEPER, *ROLES):
            there = connection.execute(text("SELECT 1 FROM pg_roles WHERE rolname = :name"), {"name": name}).scalar()
            if not there:
                connection.exec_driver_sql(f"CREATE ROLE {name} NOLOGIN")
        for name in ("pgcrypto", "pg_trgm"):
            connection.exec_driver_sql(f"CREATE EXTENSION IF NOT EXISTS {name} SCHEMA public")
        connection.exec_driver_sql("GRANT pg_checkpoint TO hoodside_owner")
        connection.exec_driver_sql("GRANT EXECUTE ON FUNCTION pg_switch_wal() TO hoodside_owner")
        connection.exec_driver_sql("REVOKE CREATE ON SCHEMA public FROM PUBLIC")
