"""${message}."""

import sqlalchemy as sa
from alembic import op

revision = ${repr(up_revision)}
down_revision = ${repr(down_revision)}


def upgrade() -> None:
    """Change tables and rows; images and triggers of the journal are made anew afterwards."""
    ${upgrades if upgrades else "pass"}
