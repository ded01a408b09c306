"""Confirmed causes summed for each unit; the sums are made after the changes."""

from alembic import op

revision, down_revision = "0002", "0001"


def upgrade() -> None:
    """Make the table."""
    op.execute(
        "CREATE TABLE IF NOT EXISTS causes (invented BOOLEAN, fault TEXT, unit_plain TEXT, count INTEGER NOT NULL, "
        "last VARCHAR(10) NOT NULL, PRIMARY KEY (invented, fault, unit_plain))"
    )
    op.execute("CREATE INDEX IF NOT EXISTS repairs_of_unit ON repairs (unit_plain)")
