"""Reference codes of one's own for varieties."""

import sqlalchemy as sa
from alembic import op

revision = "0005"
down_revision = "0004"


def upgrade() -> None:
    """Make the new table; none of the others changes."""
    op.create_table(
        "own_code",
        sa.Column("id", sa.Integer, primary_key=True),
        *(sa.Column(name, sa.Text, nullable=False) for name in ("series", "variety", "code")),
    )
    op.create_index("uq_own_code_code", "own_code", ["code"], unique=True)
    op.create_index("uq_own_code_variety", "own_code", ["series", "variety"], unique=True)
