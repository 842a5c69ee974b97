"""The first form of a library: changes, sheets, parts, numbers, decisions, findings, comparisons."""

import sqlalchemy as sa
from alembic import op

revision = "0001_first"
down_revision = None


def upgrade() -> None:
    """Make the tables, those that others point to first."""
    _make_change()
    _make_sheet()
    _make_part()
    _make_part_state()
    _make_reading()
    _make_decision()
    _make_part_text()
    _make_finding()
    _make_failure()
    _make_silence()
    _make_comparison()
    _make_comparison_part()


def _make_change() -> None:
    op.create_table(
        "change",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("at", sa.String(length=32), nullable=False),
        sa.Column("said_at", sa.String(length=32), nullable=True),
        sa.Column("who", sa.Text(), nullable=False),
        sa.Column("action", sa.String(length=32), nullable=False),
        sa.Column("reason", sa.Text(), nullable=False),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_change")),
    )
    op.create_index(op.f("ix_change_at"), "change", ["at"])


def _make_sheet() -> None:
    op.create_table(
        "sheet",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("change_id", sa.Integer(), nullable=False),
        sa.Column("sha256", sa.String(length=64), nullable=False),
        sa.Column("document", sa.Text(), nullable=False),
        sa.Column("page_count", sa.Integer(), nullable=False),
        sa.Column("pages_read", sa.Text(), nullable=False),
        sa.Column("revision", sa.Text(), nullable=False),
        sa.Column("family", sa.Integer(), nullable=False),
        sa.Column("age", sa.Float(precision=53), nullable=False),
        sa.ForeignKeyConstraint(["change_id"], ["change.id"], name=op.f("fk_sheet_change_id")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_sheet")),
        sa.UniqueConstraint("sha256", name=op.f("uq_sheet_sha256")),
    )
    op.create_index(op.f("ix_sheet_change_id"), "sheet", ["change_id"])
    op.create_index(op.f("ix_sheet_family"), "sheet", ["family"])


def _make_part() -> None:
    op.create_table(
        "part",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("sheet_id", sa.Integer(), nullable=False),
        sa.Column("position", sa.Integer(), nullable=False),
        sa.Column("part_number", sa.Text(), nullable=False),
        sa.Column("folded", sa.Text(), nullable=False),
        sa.ForeignKeyConstraint(["sheet_id"], ["sheet.id"], name=op.f("fk_part_sheet_id")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_part")),
    )
    op.create_index(op.f("ix_part_folded"), "part", ["folded"])
    op.create_index(op.f("ix_part_sheet_id"), "part", ["sheet_id"])


def _make_part_state() -> None:
    op.create_table(
        "part_state",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("change_id", sa.Integer(), nullable=False),
        sa.Column("replaced_by", sa.Integer(), nullable=True),
        sa.Column("part_id", sa.Integer(), nullable=False),
        sa.Column("own_state", sa.String(length=16), nullable=False),
        sa.Column("superseded", sa.Boolean(), nullable=False),
        sa.Column("live", sa.Boolean(), nullable=False),
        sa.Column("undecided", sa.Integer(), nullable=False),
        sa.Column("disputed", sa.Integer(), nullable=False),
        sa.Column("accepted", sa.Integer(), nullable=False),
        sa.Column("rejected", sa.Integer(), nullable=False),
        sa.Column("hold_current_min_a", sa.Float(precision=53), nullable=True),
        sa.Column("hold_current_max_a", sa.Float(precision=53), nullable=True),
        sa.ForeignKeyConstraint(["change_id"], ["change.id"], name=op.f("fk_part_state_change_id")),
        sa.ForeignKeyConstraint(["part_id"], ["part.id"], name=op.f("fk_part_state_part_id")),
        sa.ForeignKeyConstraint(["replaced_by"], ["change.id"], name=op.f("fk_part_state_replaced_by")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_part_state")),
    )
    op.create_index(op.f("ix_part_state_change_id"), "part_state", ["change_id"])
    op.create_index(op.f("ix_part_state_part_id"), "part_state", ["part_id"])


def _make_reading() -> None:
    op.create_table(
        "reading",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("sheet_id", sa.Integer(), nullable=False),
        sa.Column("part_id", sa.Integer(), nullable=False),
        sa.Column("position", sa.Integer(), nullable=False),
        sa.Column("quantity", sa.String(length=32), nullable=False),
        sa.Column("kind", sa.String(length=16), nullable=False),
        sa.Column("ambient_c", sa.Float(precision=53), nullable=True),
        sa.Column("test_current_a", sa.Float(precision=53), nullable=True),
        sa.Column("value", sa.Float(precision=53), nullable=False),
        sa.Column("status", sa.String(length=16), nullable=False),
        sa.Column("page", sa.Integer(), nullable=False),
        sa.Column("x0", sa.Float(precision=53), nullable=False),
        sa.Column("top", sa.Float(precision=53), nullable=False),
        sa.Column("x1", sa.Float(precision=53), nullable=False),
        sa.Column("bottom", sa.Float(precision=53), nullable=False),
        sa.Column("raw", sa.Text(), nullable=False),
        sa.Column("unit", sa.Text(), nullable=False),
        sa.Column("notes", sa.Text(), nullable=False),
        sa.ForeignKeyConstraint(["part_id"], ["part.id"], name=op.f("fk_reading_part_id")),
        sa.ForeignKeyConstraint(["sheet_id"], ["sheet.id"], name=op.f("fk_reading_sheet_id")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_reading")),
    )
    op.create_index(op.f("ix_reading_part_id_position"), "reading", ["part_id", "position"])
    op.create_index(op.f("ix_reading_sheet_id"), "reading", ["sheet_id"])


def _make_decision() -> None:
    op.create_table(
        "decision",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("change_id", sa.Integer(), nullable=False),
        sa.Column("replaced_by", sa.Integer(), nullable=True),
        sa.Column("reading_id", sa.Integer(), nullable=False),
        sa.Column("verdict", sa.String(length=16), nullable=False),
        sa.Column("value", sa.Float(precision=53), nullable=True),
        sa.ForeignKeyConstraint(["change_id"], ["change.id"], name=op.f("fk_decision_change_id")),
        sa.ForeignKeyConstraint(["reading_id"], ["reading.id"], name=op.f("fk_decision_reading_id")),
        sa.ForeignKeyConstraint(["replaced_by"], ["change.id"], name=op.f("fk_decision_replaced_by")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_decision")),
    )
    op.create_index(op.f("ix_decision_change_id"), "decision", ["change_id"])
    op.create_index(op.f("ix_decision_reading_id"), "decision", ["reading_id"])


def _make_part_text() -> None:
    op.create_table(
        "part_text",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("sheet_id", sa.Integer(), nullable=False),
        sa.Column("part_id", sa.Integer(), nullable=False),
        sa.Column("position", sa.Integer(), nullable=False),
        sa.Column("name", sa.Text(), nullable=False),
        sa.Column("text", sa.Text(), nullable=False),
        sa.Column("page", sa.Integer(), nullable=False),
        sa.Column("x0", sa.Float(precision=53), nullable=False),
        sa.Column("top", sa.Float(precision=53), nullable=False),
        sa.Column("x1", sa.Float(precision=53), nullable=False),
        sa.Column("bottom", sa.Float(precision=53), nullable=False),
        sa.ForeignKeyConstraint(["part_id"], ["part.id"], name=op.f("fk_part_text_part_id")),
        sa.ForeignKeyConstraint(["sheet_id"], ["sheet.id"], name=op.f("fk_part_text_sheet_id")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_part_text")),
    )
    op.create_index(op.f("ix_part_text_part_id_position"), "part_text", ["part_id", "position"])
    op.create_index(op.f("ix_part_text_sheet_id"), "part_text", ["sheet_id"])


def _make_finding() -> None:
    op.create_table(
        "finding",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("sheet_id", sa.Integer(), nullable=False),
        sa.Column("position", sa.Integer(), nullable=False),
        sa.Column("code", sa.Text(), nullable=False),
        sa.Column("severity", sa.String(length=16), nullable=False),
        sa.Column("message", sa.Text(), nullable=False),
        sa.Column("found", sa.Text(), nullable=False),
        sa.Column("expected", sa.Text(), nullable=False),
        sa.Column("document", sa.Text(), nullable=False),
        sa.Column("part_number", sa.Text(), nullable=False),
        sa.Column("quantity", sa.String(length=32), nullable=True),
        sa.Column("page", sa.Integer(), nullable=True),
        sa.Column("x0", sa.Float(precision=53), nullable=True),
        sa.Column("top", sa.Float(precision=53), nullable=True),
        sa.Column("x1", sa.Float(precision=53), nullable=True),
        sa.Column("bottom", sa.Float(precision=53), nullable=True),
        sa.ForeignKeyConstraint(["sheet_id"], ["sheet.id"], name=op.f("fk_finding_sheet_id")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_finding")),
    )
    op.create_index(op.f("ix_finding_sheet_id"), "finding", ["sheet_id"])


def _make_failure() -> None:
    op.create_table(
        "failure",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("change_id", sa.Integer(), nullable=False),
        sa.Column("document", sa.Text(), nullable=False),
        sa.Column("sha256", sa.String(length=64), nullable=False),
        sa.Column("reason", sa.Text(), nullable=False),
        sa.ForeignKeyConstraint(["change_id"], ["change.id"], name=op.f("fk_failure_change_id")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_failure")),
    )
    op.create_index(op.f("ix_failure_change_id"), "failure", ["change_id"])


def _make_silence() -> None:
    op.create_table(
        "silence",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("change_id", sa.Integer(), nullable=False),
        sa.Column("replaced_by", sa.Integer(), nullable=True),
        sa.Column("code", sa.Text(), nullable=False),
        sa.Column("part_number", sa.Text(), nullable=False),
        sa.Column("quantity", sa.String(length=32), nullable=False),
        sa.Column("value", sa.Text(), nullable=False),
        sa.ForeignKeyConstraint(["change_id"], ["change.id"], name=op.f("fk_silence_change_id")),
        sa.ForeignKeyConstraint(["replaced_by"], ["change.id"], name=op.f("fk_silence_replaced_by")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_silence")),
    )
    op.create_index(op.f("ix_silence_change_id"), "silence", ["change_id"])


def _make_comparison() -> None:
    op.create_table(
        "comparison",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("change_id", sa.Integer(), nullable=False),
        sa.Column("replaced_by", sa.Integer(), nullable=True),
        sa.Column("name", sa.Text(), nullable=False),
        sa.Column("requirement", sa.Text(), nullable=False),
        sa.Column("result", sa.Text(), nullable=False),
        sa.ForeignKeyConstraint(["change_id"], ["change.id"], name=op.f("fk_comparison_change_id")),
        sa.ForeignKeyConstraint(["replaced_by"], ["change.id"], name=op.f("fk_comparison_replaced_by")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_comparison")),
    )
    op.create_index(op.f("ix_comparison_change_id"), "comparison", ["change_id"])
    op.create_index(op.f("ix_comparison_name"), "comparison", ["name"])


def _make_comparison_part() -> None:
    op.create_table(
        "comparison_part",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("comparison_id", sa.Integer(), nullable=False),
        sa.Column("part_number", sa.Text(), nullable=False),
        sa.Column("folded", sa.Text(), nullable=False),
        sa.Column("sha256", sa.String(length=64), nullable=False),
        sa.ForeignKeyConstraint(
            ["comparison_id"], ["comparison.id"], name=op.f("fk_comparison_part_comparison_id")
        ),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_comparison_part")),
    )
    op.create_index(op.f("ix_comparison_part_comparison_id"), "comparison_part", ["comparison_id"])
    op.create_index(op.f("ix_comparison_part_sha256"), "comparison_part", ["sha256"])
