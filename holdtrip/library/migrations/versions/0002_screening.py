"""Indexes of numbers by quantity and ambient, and of corrections: a comparison leaves parts out by them."""

import sqlalchemy as sa
from alembic import op

revision = "0002_screening"
down_revision = "0001_first"


def upgrade() -> None:
    """Add both; no row changes."""
    op.create_index(
        op.f("ix_reading_quantity_ambient_c_part_id_value_kind_test_current_a"), "reading",
        ["quantity", "ambient_c", "part_id", "value", "kind", "test_current_a"])
    corrected = sa.text("verdict = 'corrected'")
    op.create_index("ix_decision_corrected", "decision", ["reading_id"],
                    sqlite_where=corrected, postgresql_where=corrected)
