"""What Alembic runs: one step after another, on the connection that it was handed, within its transaction."""

from __future__ import annotations

from alembic import context

context.configure(connection=context.config.attributes["connection"], transactional_ddl=True, version_table="layout")
context.run_migrations()
