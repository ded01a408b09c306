"""The first tables. They are there already in a database from before the changes were numbered."""

from alembic import op

revision, down_revision = "0001", None

_TABLES = (
    "leadsman_state (name VARCHAR(40) PRIMARY KEY, value TEXT NOT NULL)",
    (
        "sessions (number SERIAL PRIMARY KEY, id VARCHAR(80) NOT NULL UNIQUE, started VARCHAR(40) NOT NULL, "
        "day VARCHAR(10) NOT NULL, unit TEXT NOT NULL, unit_plain TEXT NOT NULL, procedure TEXT NOT NULL, "
        "ending VARCHAR(40) NOT NULL, causes TEXT NOT NULL, minutes FLOAT NOT NULL, damaged BOOLEAN NOT NULL, "
        "invented BOOLEAN NOT NULL, technician TEXT NOT NULL, size BIGINT NOT NULL, seal VARCHAR(64) NOT NULL)"
    ),
    (
        'readings (session INTEGER, number INTEGER, at FLOAT NOT NULL, "check" TEXT NOT NULL, place TEXT NOT NULL, '
        "title TEXT NOT NULL, value TEXT NOT NULL, unit TEXT NOT NULL, low TEXT NOT NULL, high TEXT NOT NULL, "
        "uncertainty TEXT NOT NULL, shown TEXT NOT NULL, grade VARCHAR(20) NOT NULL, withdrawn BOOLEAN NOT NULL, "
        "repairs_before INTEGER NOT NULL, PRIMARY KEY (session, number))"
    ),
    (
        "repairs (session INTEGER, number INTEGER, at FLOAT NOT NULL, fix TEXT NOT NULL, title TEXT NOT NULL, "
        "place TEXT NOT NULL, part TEXT NOT NULL, fault TEXT NOT NULL, cause TEXT NOT NULL, "
        "confirmed VARCHAR(10) NOT NULL, day VARCHAR(10) NOT NULL, unit_plain TEXT NOT NULL, "
        "invented BOOLEAN NOT NULL, PRIMARY KEY (session, number))"
    ),
    "found (rowid INTEGER PRIMARY KEY, words TEXT NOT NULL)",
    (
        "lines (session_id VARCHAR(80), seq INTEGER, hash VARCHAR(64) NOT NULL, raw BYTEA NOT NULL, "
        "PRIMARY KEY (session_id, seq))"
    ),
    "private (session_id VARCHAR(80) PRIMARY KEY, fields TEXT NOT NULL)",
)


def upgrade() -> None:
    """Make them."""
    for table in _TABLES:
        op.execute(f"CREATE TABLE IF NOT EXISTS {table}")
    for column in ("started", "day", "ending", "technician"):
        op.execute(f"CREATE INDEX IF NOT EXISTS ix_sessions_{column} ON sessions ({column})")
    op.execute("CREATE INDEX IF NOT EXISTS sessions_by_unit ON sessions (unit_plain, started)")
