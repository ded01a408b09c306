"""What Alembic runs to make the changes: in the transaction of the connection that it is given."""

from __future__ import annotations

from alembic import context

from assistant.records.store.migrations import TABLE

context.configure(connection=context.config.attributes["connection"], version_table=TABLE)
with context.begin_transaction():
    context.run_migrations()
