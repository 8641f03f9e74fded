"""The shop's store: facts, the log, personal values apart, who may what."""

from __future__ import annotations

from pathlib import Path

from alembic import op

revision = "0001"
down_revision = None


def upgrade() -> None:
    """Make it."""
    script = Path(__file__).with_name("v0001.sql").read_text(encoding="utf-8")
    cursor = op.get_bind().connection.cursor()  # the driver's own, to which a percent sign is only a sign
    cursor.execute(script)
    cursor.close()


def downgrade() -> None:
    """There is nothing before it, and a record is not thrown away by going back."""
    raise RuntimeError("There is no older version of the shop's store.")
