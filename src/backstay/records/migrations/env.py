"""How alembic runs here: on the connection that `backstay.records.schema` hands over."""

from __future__ import annotations

from alembic import context

from backstay.records.tables import METADATA

context.configure(
    connection=context.config.attributes["connection"],
    target_metadata=METADATA,
    version_table="field_schema",
)
with context.begin_transaction():
    context.run_migrations()
