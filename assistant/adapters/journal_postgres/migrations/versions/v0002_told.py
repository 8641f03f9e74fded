"""What a job teaches the shop, beside the line that searches read."""

from __future__ import annotations

from alembic import op

revision = "0002"
down_revision = "0001"

UP = """
ALTER TABLE lines ADD COLUMN told jsonb NOT NULL DEFAULT '{}';
CREATE INDEX lines_models ON lines ((told ->> 'model')) WHERE told ? 'model';
CREATE INDEX lines_repaired ON lines (started_utc) WHERE told ? 'repaired';
GRANT INSERT, UPDATE ON lines TO hoodside_owner;
CREATE POLICY made_anew ON lines FOR INSERT TO hoodside_owner WITH CHECK (true);
CREATE POLICY made_anew_again ON lines FOR UPDATE TO hoodside_owner USING (true);
"""
DOWN = """
DROP POLICY made_anew_again ON lines;
DROP POLICY made_anew ON lines;
REVOKE INSERT, UPDATE ON lines FROM hoodside_owner;
ALTER TABLE lines DROP COLUMN told;
"""


def upgrade() -> None:
    """Room for it; `hoodside shop upgrade` fills it from the facts."""
    op.get_bind().exec_driver_sql(UP)


def downgrade() -> None:
    """It is derived, so nothing is lost."""
    op.get_bind().exec_driver_sql(DOWN)
