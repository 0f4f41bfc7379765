"""Run the revisions on the connection that `core.store.migrate` hands over, in its transaction."""

from alembic import context

from core.store.tables import metadata

context.configure(
    connection=context.config.attributes["connection"],
    target_metadata=metadata,  # for its names of constraints
    transactional_ddl=False,
)
context.run_migrations()
