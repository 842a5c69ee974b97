"""Drawn curves are kept, with what people decide on them.

Sheets stored before have none until they are read again.
"""

import sqlalchemy as sa
from alembic import op

revision = "0005_curves"
down_revision = "0004_answers"


def upgrade() -> None:
    """Make the tables of curves and of the decisions on them."""
    op.create_table(
        "curve",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("sheet_id", sa.Integer(), nullable=False),
        sa.Column("position", sa.Integer(), nullable=False),
        sa.Column("part_number", sa.Text(), nullable=False),
        sa.Column("chart", sa.String(length=32), nullable=False),
        sa.Column("kind", sa.String(length=16), nullable=False),
        sa.Column("ambient_c", sa.Float(precision=53), nullable=True),
        sa.Column("points", sa.Text(), nullable=False),
        sa.Column("status", sa.String(length=16), nullable=False),
        sa.Column("page", sa.Integer(), nullable=False),
        *(sa.Column(name, sa.Float(precision=53), nullable=False) for name in ("x0", "top", "x1", "bottom")),
        sa.Column("label", sa.Text(), nullable=False),
        sa.Column("x_error", sa.Float(precision=53), nullable=False),
        sa.Column("y_error", sa.Float(precision=53), nullable=False),
        sa.Column("notes", sa.Text(), nullable=False),
        sa.Column("change_id", sa.Integer(), nullable=True),
        sa.Column("replaced_by", sa.Integer(), nullable=True),
        sa.ForeignKeyConstraint(["sheet_id"], ["sheet.id"], name=op.f("fk_curve_sheet_id")),
        sa.ForeignKeyConstraint(["change_id"], ["change.id"], name=op.f("fk_curve_change_id")),
        sa.ForeignKeyConstraint(["replaced_by"], ["change.id"], name=op.f("fk_curve_replaced_by")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_curve")),
    )
    op.create_index(op.f("ix_curve_sheet_id"), "curve", ["sheet_id"])
    op.create_table(
        "curve_decision",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("change_id", sa.Integer(), nullable=False),
        sa.Column("replaced_by", sa.Integer(), nullable=True),
        sa.Column("curve_id", sa.Integer(), nullable=False),
        sa.Column("verdict", sa.String(length=16), nullable=False),
        sa.Column("part_number", sa.Text(), nullable=False),
        sa.ForeignKeyConstraint(["change_id"], ["change.id"], name=op.f("fk_curve_decision_change_id")),
        sa.ForeignKeyConstraint(["replaced_by"], ["change.id"], name=op.f("fk_curve_decision_replaced_by")),
        sa.ForeignKeyConstraint(["curve_id"], ["curve.id"], name=op.f("fk_curve_decision_curve_id")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_curve_decision")),
    )
    for name in ("change_id", "curve_id"):
        op.create_index(op.f(f"ix_curve_decision_{name}"), "curve_decision", [name])
