"""Numbers can come to a stored sheet later: by a person's answer, or from a table that a person framed.

Until now every number came with its sheet. One that came later names the change it came by, so that the
library of an earlier day is shown without it.
"""

import sqlalchemy as sa
from alembic import op

revision = "0008_later"
down_revision = "0007_settings"


def upgrade() -> None:
    """Add the column; empty for all that came with their sheets."""
    op.add_column("reading", sa.Column("added_by", sa.Integer(), nullable=True))
