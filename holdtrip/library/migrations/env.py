"""Runs migrations on the connection that holdtrip/library/migrating.py hands over, inside its transaction."""

from alembic import context

context.configure(connection=context.config.attributes["connection"], transactional_ddl=True)
with context.begin_transaction():
    context.run_migrations()
