"""${message}."""

import sqlalchemy as sa
from alembic import op

revision = ${repr(up_revision)}
down_revision = ${repr(down_revision)}


# batch_alter_table rebuilds a table without AUTOINCREMENT and forgets its last number: for coin
# give table_kwargs={"sqlite_autoincrement": True} and look at sqlite_sequence.
def upgrade() -> None:
    """Change tables and rows; images and triggers of the journal are made anew afterwards."""
    ${upgrades if upgrades else "pass"}
