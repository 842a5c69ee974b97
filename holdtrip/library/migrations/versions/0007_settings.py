"""What a team has settled for its library, and copies of datasheets in the database itself."""

import sqlalchemy as sa
from alembic import op

revision = "0007_settings"
down_revision = "0006_particulars"


def upgrade() -> None:
    """Make both tables; nothing is settled, and no copy is there, before somebody says so."""
    op.create_table(
        "setting",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("change_id", sa.Integer(), nullable=False),
        sa.Column("replaced_by", sa.Integer(), nullable=True),
        sa.Column("name", sa.String(length=32), nullable=False),
        sa.Column("value", sa.Text(), nullable=False),
        sa.ForeignKeyConstraint(["change_id"], ["change.id"], name=op.f("fk_setting_change_id")),
        sa.ForeignKeyConstraint(["replaced_by"], ["change.id"], name=op.f("fk_setting_replaced_by")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_setting")),
    )
    op.create_index(op.f("ix_setting_change_id"), "setting", ["change_id"])
    op.create_table(
        "sheet_copy",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("sha256", sa.String(length=64), nullable=False),
        sa.Column("data", sa.LargeBinary(), nullable=False),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_sheet_copy")),
        sa.UniqueConstraint("sha256", name=op.f("uq_sheet_copy_sha256")),
    )
