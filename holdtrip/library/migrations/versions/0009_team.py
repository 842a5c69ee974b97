"""A datasheet can be renamed and filed with other revisions; people sign second, are assigned, and comment.

Until now name and revisions of a sheet were those found when it was imported, and one person's word was
enough. A library that demands no second signature counts as before.
"""

import sqlalchemy as sa
from alembic import op

revision = "0009_team"
down_revision = "0008_later"


def upgrade() -> None:
    """Make the tables; nothing was filed anew, signed second or said of a sheet before."""
    op.add_column("part_state",
                  sa.Column("waiting", sa.Integer(), nullable=False, server_default=sa.text("0")))
    op.create_table(
        "refiling",
        *_head(),
        sa.Column("sheet_id", sa.Integer(), nullable=False),
        sa.Column("document", sa.Text(), nullable=False),
        sa.Column("family", sa.Integer(), nullable=False),
        sa.Column("age", sa.Float(precision=53), nullable=False),
        sa.Column("now_document", sa.Text(), nullable=False),
        sa.Column("now_beside", sa.String(length=64), nullable=True),
        *_keys("refiling", sheet_id="sheet.id"),
    )
    op.create_table(
        "second_signature",
        *_head(),
        sa.Column("replaced_by", sa.Integer(), nullable=True),
        sa.Column("reading_id", sa.Integer(), nullable=True),
        sa.Column("curve_id", sa.Integer(), nullable=True),
        sa.Column("verdict", sa.String(length=16), nullable=False),
        *_keys("second_signature", replaced_by="change.id", reading_id="reading.id", curve_id="curve.id"),
    )
    op.create_table(
        "sheet_note",
        *_head(),
        sa.Column("replaced_by", sa.Integer(), nullable=True),
        sa.Column("sheet_id", sa.Integer(), nullable=False),
        sa.Column("kind", sa.String(length=16), nullable=False),
        sa.Column("text", sa.Text(), nullable=False),
        *_keys("sheet_note", replaced_by="change.id", sheet_id="sheet.id"),
    )
    for table, name in (("refiling", "change_id"), ("refiling", "sheet_id"),
                        ("second_signature", "change_id"), ("second_signature", "reading_id"),
                        ("second_signature", "curve_id"), ("sheet_note", "change_id"),
                        ("sheet_note", "sheet_id")):
        op.create_index(op.f(f"ix_{table}_{name}"), table, [name])


def _head() -> list[sa.Column[int]]:
    return [sa.Column(name, sa.Integer(), nullable=False) for name in ("id", "change_id")]


def _keys(table: str, **others: str) -> list[sa.Constraint]:
    keys: list[sa.Constraint] = [
        sa.ForeignKeyConstraint([name], [target], name=op.f(f"fk_{table}_{name}"))
        for name, target in {"change_id": "change.id", **others}.items()]
    return [*keys, sa.PrimaryKeyConstraint("id", name=op.f(f"pk_{table}"))]
