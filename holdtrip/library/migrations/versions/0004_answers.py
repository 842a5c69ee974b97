"""Answers to the questions of sheets are remembered; parts may be read again and sheets withdrawn.

A part that was read again is replaced as any fact is: `change_id` is empty for one as old as its sheet.
"""

import sqlalchemy as sa
from alembic import op

revision = "0004_answers"
down_revision = "0003_bulk"


def upgrade() -> None:
    """Make the table of answers; let parts and findings be replaced; keep the maker of a sheet."""
    op.create_table(
        "answer",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("change_id", sa.Integer(), nullable=False),
        sa.Column("replaced_by", sa.Integer(), nullable=True),
        *(sa.Column(name, sa.Text(), nullable=False)
          for name in ("house", "series", "words", "code", "reach", "answer", "document", "learnt_from")),
        sa.Column("sha256", sa.String(length=64), nullable=False),
        sa.ForeignKeyConstraint(["change_id"], ["change.id"], name=op.f("fk_answer_change_id")),
        sa.ForeignKeyConstraint(["replaced_by"], ["change.id"], name=op.f("fk_answer_replaced_by")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_answer")),
    )
    op.create_index(op.f("ix_answer_change_id"), "answer", ["change_id"])
    for table in ("part", "finding"):
        for name in ("change_id", "replaced_by"):
            # SQLite adds a column that points to a table only without a named constraint.
            op.execute(f"ALTER TABLE {table} ADD COLUMN {name} INTEGER REFERENCES change (id)")
    op.add_column("sheet", sa.Column("house", sa.Text(), nullable=False, server_default=""))
