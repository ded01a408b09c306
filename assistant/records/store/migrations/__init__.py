"""Changes to the tables of the shop's database, one after the other, run by Alembic."""

from __future__ import annotations

from pathlib import Path

from alembic import command
from alembic.config import Config
from alembic.runtime.migration import MigrationContext
from alembic.script import ScriptDirectory
from sqlalchemy import Connection

TABLE = "leadsman_schema"
"""Where the database keeps which change was made last."""
_CONFIG = Config()
_CONFIG.set_main_option("script_location", str(Path(__file__).parent).replace("%", "%%"))
_SCRIPT = ScriptDirectory.from_config(_CONFIG)
LATEST = _SCRIPT.get_current_head() or ""
"""The newest change that this program knows."""
NUMBERS = frozenset({"", *(one.revision for one in _SCRIPT.walk_revisions())})
"""Every change that it knows, and '' for none."""


def migrate(connection: Connection, to: str = "head") -> str:
    """Make every change that the database lacks, in the connection's transaction.

    Args:
        connection: to the database.
        to: the last change to make.

    Returns:
        The change that was made last before: '' for a new database and for one from before these changes were
        numbered; one that this program does not know when a newer program made it, and then nothing is done.
    """
    before = MigrationContext.configure(connection, opts={"version_table": TABLE}).get_current_revision() or ""
    if before in NUMBERS and before != LATEST:
        config = Config()
        config.set_main_option("script_location", _CONFIG.get_main_option("script_location") or "")
        config.attributes["connection"] = connection
        command.upgrade(config, to)
    return before
