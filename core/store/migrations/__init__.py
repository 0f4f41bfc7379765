"""Alembic's environment: run by `core.store.migrate`, never imported by the program itself."""
