"""Collection files: tables, engine, journal, migrations, copies. The only place with SQLAlchemy."""
