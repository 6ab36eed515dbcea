"""Runs migrations on the connection it is given, inside that connection's transaction."""

from __future__ import annotations

from alembic import context

from strandwright.store.tables import metadata, schema

context.configure(
    connection=context.config.attributes["connection"],
    target_metadata=metadata,
    version_table=schema.name,
    # SQLite cannot alter most of a table: it is made anew and filled.
    render_as_batch=True,
)
context.run_migrations()
