"""What Alembic runs: the versions one after another over the connection that it was handed, as one transaction."""

from __future__ import annotations

from alembic import context

context.configure(
    connection=context.config.attributes["connection"],
    version_table="version",
    version_table_schema="shop",
    transaction_per_migration=False,
)
with context.begin_transaction():
    context.run_migrations()
