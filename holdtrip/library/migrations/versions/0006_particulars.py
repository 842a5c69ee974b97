"""What a sheet says beside the ratings: sizes, temperatures, endurance, approvals, marking."""

import sqlalchemy as sa
from alembic import op

revision = "0006_particulars"
down_revision = "0005_curves"


def upgrade() -> None:
    """Make the table; sheets imported before have none until they are read again."""
    op.create_table(
        "particular",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("change_id", sa.Integer(), nullable=True),
        sa.Column("replaced_by", sa.Integer(), nullable=True),
        sa.Column("sheet_id", sa.Integer(), nullable=False),
        sa.Column("position", sa.Integer(), nullable=False),
        sa.Column("part_number", sa.Text(), nullable=False),
        sa.Column("name", sa.String(length=32), nullable=False),
        sa.Column("label", sa.Text(), nullable=False),
        sa.Column("kind", sa.String(length=16), nullable=False),
        sa.Column("value", sa.Float(precision=53), nullable=True),
        sa.Column("text", sa.Text(), nullable=False),
        sa.Column("status", sa.String(length=16), nullable=False),
        sa.Column("page", sa.Integer(), nullable=False),
        *(sa.Column(name, sa.Float(precision=53), nullable=False) for name in ("x0", "top", "x1", "bottom")),
        *(sa.Column(name, sa.Text(), nullable=False) for name in ("raw", "unit", "notes")),
        sa.ForeignKeyConstraint(["change_id"], ["change.id"], name=op.f("fk_particular_change_id")),
        sa.ForeignKeyConstraint(["replaced_by"], ["change.id"], name=op.f("fk_particular_replaced_by")),
        sa.ForeignKeyConstraint(["sheet_id"], ["sheet.id"], name=op.f("fk_particular_sheet_id")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_particular")),
    )
    op.create_index(op.f("ix_particular_sheet_id_position"), "particular", ["sheet_id", "position"])
