"""Runs the migrations on the connection handed over by the shelf; never by itself."""

from __future__ import annotations

from alembic import context

from loosewell.store.tables import metadata

context.configure(
    connection=context.config.attributes["connection"],
    target_metadata=metadata,
    render_as_batch=True,
    # The shelf holds the one transaction around all steps, so that a stop in between leaves
    # the file as it was.
    transactional_ddl=False,
)
context.run_migrations()
