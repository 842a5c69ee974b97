"""The tables of a library. Every row is a fact added by one change; no fact is altered or deleted.

Comes in: nothing. Goes out: SQLAlchemy tables. Makes none of them in a database: migrations do.

`replaced_by` is the change that put a newer row in a row's place, so that a row holds from `change_id`
until `replaced_by`; the state at any past change is found in the same way as today's. It is set once.
Numbers are SI, places are points, times are UTC texts of one width, so that they sort.
"""

from __future__ import annotations

from sqlalchemy import (
    Boolean,
    Column,
    Float,
    ForeignKey,
    Index,
    Integer,
    LargeBinary,
    MetaData,
    String,
    Table,
    Text,
    text,
)

from holdtrip.library.any_text import AnyText

metadata = MetaData(
    naming_convention={
        "pk": "pk_%(table_name)s",
        "fk": "fk_%(table_name)s_%(column_0_name)s",
        "ix": "ix_%(table_name)s_%(column_0_N_name)s",
        "uq": "uq_%(table_name)s_%(column_0_N_name)s",
    }
)


def _id() -> Column[int]:
    return Column("id", Integer, primary_key=True)


def _change() -> Column[int]:
    return Column("change_id", ForeignKey("change.id"), nullable=False, index=True)


def _replaced_by() -> Column[int]:
    return Column("replaced_by", ForeignKey("change.id"))


def _place(needed: bool = True) -> list[Column[float]]:
    page: Column[float] = Column("page", Integer, nullable=not needed)
    return [page, *(Column(name, Float(53), nullable=not needed) for name in ("x0", "top", "x1", "bottom"))]


change = Table(
    "change", metadata,
    _id(),
    Column("at", String(32), nullable=False, index=True),
    Column("said_at", String(32)),
    Column("who", AnyText, nullable=False),
    Column("action", String(32), nullable=False),
    Column("reason", AnyText, nullable=False),
)
"""Who did what, when and why. Identifiers rise in the order of writing; `at` never falls.
`said_at` is set where it was said elsewhere earlier: in the library it was imported from."""

sheet = Table(
    "sheet", metadata,
    _id(), _change(),
    Column("sha256", String(64), nullable=False, unique=True),
    Column("document", AnyText, nullable=False),
    Column("page_count", Integer, nullable=False),
    Column("pages_read", Text, nullable=False),
    Column("revision", AnyText, nullable=False),
    Column("family", Integer, nullable=False, index=True),
    Column("age", Float(53), nullable=False),
    Column("house", AnyText, nullable=False, server_default=""),
)
"""One datasheet. Revisions of one sheet share `family`; the larger `age`, the newer the revision. `house` is
the likely name of its maker. `document`, `family` and `age` are today's: `refiling` keeps what they were."""

refiling = Table(
    "refiling", metadata,
    _id(), _change(),
    Column("sheet_id", ForeignKey("sheet.id"), nullable=False, index=True),
    Column("document", AnyText, nullable=False),
    Column("family", Integer, nullable=False),
    Column("age", Float(53), nullable=False),
    Column("now_document", AnyText, nullable=False),
    Column("now_beside", String(64)),
)
"""A sheet that a person renamed or filed with other revisions: what it was before; its name since; and, where
it was filed, the sha256 of the older revision it now stands after, empty for none."""

part = Table(
    "part", metadata,
    _id(),
    Column("sheet_id", ForeignKey("sheet.id"), nullable=False, index=True),
    Column("position", Integer, nullable=False),
    Column("part_number", AnyText, nullable=False),
    Column("folded", AnyText, nullable=False, index=True),
    Column("change_id", ForeignKey("change.id")),
    _replaced_by(),
)
"""One part of one sheet; the whole series (`*`) is one too. `folded`: letters and digits, lower case.
`change_id` is set where the sheet was read again; `replaced_by` where it was read again later."""

part_state = Table(
    "part_state", metadata,
    _id(), _change(), _replaced_by(),
    Column("part_id", ForeignKey("part.id"), nullable=False, index=True),
    Column("own_state", String(16), nullable=False),
    Column("superseded", Boolean, nullable=False),
    Column("live", Boolean, nullable=False),
    Column("undecided", Integer, nullable=False),
    Column("disputed", Integer, nullable=False),
    Column("accepted", Integer, nullable=False),
    Column("rejected", Integer, nullable=False),
    Column("hold_current_min_a", Float(53)),
    Column("hold_current_max_a", Float(53)),
    Column("single", Integer, nullable=False, server_default=text("0")),
    Column("in_bulk", Integer, nullable=False, server_default=text("0")),
    Column("waiting", Integer, nullable=False, server_default=text("0")),
)
"""How far a part is reviewed, counted from its decisions; `change_id` of the row in force is its version.
Of all revisions one is `live`: its numbers go out. `disputed` are those of the undecided a person must see,
`single` those read once, `waiting` those that one person accepted where the library demands two; `in_bulk`
are those of the accepted that nobody looked at one by one.
The hold currents are the least and the largest of its usable numbers, over all ambients."""

reading = Table(
    "reading", metadata,
    _id(),
    Column("sheet_id", ForeignKey("sheet.id"), nullable=False, index=True),
    Column("part_id", ForeignKey("part.id"), nullable=False),
    Column("position", Integer, nullable=False),
    Column("quantity", String(32), nullable=False),
    Column("kind", String(16), nullable=False),
    Column("ambient_c", Float(53)),
    Column("test_current_a", Float(53)),
    Column("value", Float(53), nullable=False),
    Column("status", String(16), nullable=False),
    *_place(),
    Column("raw", AnyText, nullable=False),
    Column("unit", AnyText, nullable=False),
    Column("notes", Text, nullable=False),
    Column("added_by", Integer),
    Index(None, "part_id", "position"),
    Index(None, "quantity", "ambient_c", "part_id", "value", "kind", "test_current_a"),
)
"""One number as printed and read. Never altered. `added_by`: the change it came by, where that is later than
its sheet's. The second index answers screening.py by itself."""

_CORRECTED = text("verdict = 'corrected'")

decision = Table(
    "decision", metadata,
    _id(), _change(), _replaced_by(),
    Column("reading_id", ForeignKey("reading.id"), nullable=False, index=True),
    Column("verdict", String(16), nullable=False),
    Column("value", Float(53)),
    Index("ix_decision_corrected", "reading_id", sqlite_where=_CORRECTED, postgresql_where=_CORRECTED),
)
"""What a person said of one number: see records.Verdict; `value` is the corrected one."""

part_text = Table(
    "part_text", metadata,
    _id(),
    Column("sheet_id", ForeignKey("sheet.id"), nullable=False, index=True),
    Column("part_id", ForeignKey("part.id"), nullable=False),
    Column("position", Integer, nullable=False),
    Column("name", AnyText, nullable=False),
    Column("text", AnyText, nullable=False),
    *_place(),
    Index(None, "part_id", "position"),
)
"""A text that a sheet gives for a part: package, marking, series, approval."""

curve = Table(
    "curve", metadata,
    _id(),
    Column("sheet_id", ForeignKey("sheet.id"), nullable=False, index=True),
    Column("position", Integer, nullable=False),
    Column("part_number", AnyText, nullable=False),
    Column("chart", String(32), nullable=False),
    Column("kind", String(16), nullable=False),
    Column("ambient_c", Float(53)),
    Column("points", Text, nullable=False),
    Column("status", String(16), nullable=False),
    *_place(),
    Column("label", AnyText, nullable=False),
    Column("x_error", Float(53), nullable=False),
    Column("y_error", Float(53), nullable=False),
    Column("notes", Text, nullable=False),
    Column("change_id", ForeignKey("change.id")),
    _replaced_by(),
)
"""A curve as drawn and read, its points as JSON; `change_id` and `replaced_by` as of a part."""

curve_decision = Table(
    "curve_decision", metadata,
    _id(), _change(), _replaced_by(),
    Column("curve_id", ForeignKey("curve.id"), nullable=False, index=True),
    Column("verdict", String(16), nullable=False),
    Column("part_number", AnyText, nullable=False),
)
"""What a person said of one curve; `part_number` is that which its label names, where it was corrected."""

second_signature = Table(
    "second_signature", metadata,
    _id(), _change(), _replaced_by(),
    Column("reading_id", ForeignKey("reading.id"), index=True),
    Column("curve_id", ForeignKey("curve.id"), index=True),
    Column("verdict", String(16), nullable=False),
)
"""Another person than the one who decided says the same of a number or a curve. Replaced as soon as something
else is decided."""

sheet_note = Table(
    "sheet_note", metadata,
    _id(), _change(), _replaced_by(),
    Column("sheet_id", ForeignKey("sheet.id"), nullable=False, index=True),
    Column("kind", String(16), nullable=False),
    Column("text", AnyText, nullable=False),
)
"""What people say of a sheet as a whole: who is to review it, or a comment; see sheet_notes.py."""

particular = Table(
    "particular", metadata,
    _id(),
    Column("change_id", ForeignKey("change.id")),
    _replaced_by(),
    Column("sheet_id", ForeignKey("sheet.id"), nullable=False),
    Column("position", Integer, nullable=False),
    Column("part_number", AnyText, nullable=False),
    Column("name", String(32), nullable=False),
    Column("label", AnyText, nullable=False),
    Column("kind", String(16), nullable=False),
    Column("value", Float(53)),
    Column("text", AnyText, nullable=False),
    Column("status", String(16), nullable=False),
    *_place(),
    Column("raw", AnyText, nullable=False),
    Column("unit", AnyText, nullable=False),
    Column("notes", Text, nullable=False),
    Index(None, "sheet_id", "position"),
)
"""One thing a sheet says beside the ratings; `part_number` is `*` for what holds for all its parts.
`change_id` and `replaced_by` as of a part."""

finding = Table(
    "finding", metadata,
    _id(),
    Column("sheet_id", ForeignKey("sheet.id"), nullable=False, index=True),
    Column("position", Integer, nullable=False),
    Column("code", AnyText, nullable=False),
    Column("severity", String(16), nullable=False),
    Column("message", AnyText, nullable=False),
    Column("found", AnyText, nullable=False),
    Column("expected", AnyText, nullable=False),
    Column("document", AnyText, nullable=False),
    Column("part_number", AnyText, nullable=False),
    Column("quantity", String(32)),
    *_place(needed=False),
    Column("change_id", ForeignKey("change.id")),
    _replaced_by(),
)
"""What a reader or a check noticed when the sheet was read; `change_id` and `replaced_by` as of a part."""

failure = Table(
    "failure", metadata,
    _id(), _change(),
    Column("document", AnyText, nullable=False),
    Column("sha256", String(64), nullable=False),
    Column("reason", AnyText, nullable=False),
)
"""A file of an import that could not be read, and why. `sha256` is empty where it could not be told."""

silence = Table(
    "silence", metadata,
    _id(), _change(), _replaced_by(),
    Column("code", AnyText, nullable=False),
    Column("part_number", AnyText, nullable=False),
    Column("quantity", String(32), nullable=False),
    Column("value", AnyText, nullable=False),
)
"""A finding of a check that a person has looked at: the source really says this."""

answer = Table(
    "answer", metadata,
    _id(), _change(), _replaced_by(),
    Column("house", AnyText, nullable=False),
    Column("series", AnyText, nullable=False),
    Column("words", Text, nullable=False),
    Column("code", AnyText, nullable=False),
    Column("reach", AnyText, nullable=False),
    Column("answer", AnyText, nullable=False),
    Column("document", AnyText, nullable=False),
    Column("learnt_from", AnyText, nullable=False),
    Column("sha256", String(64), nullable=False),
)
"""What a person answered to a question of a sheet, and of which house it is remembered: see
extract.schema.Remembered; `words` as JSON."""

setting = Table(
    "setting", metadata,
    _id(), _change(), _replaced_by(),
    Column("name", String(32), nullable=False),
    Column("value", AnyText, nullable=False),
)
"""What a team has settled for its library: see settings.py."""

sheet_copy = Table(
    "sheet_copy", metadata,
    _id(),
    Column("sha256", String(64), nullable=False, unique=True),
    Column("data", LargeBinary, nullable=False),
)
"""The bytes of a datasheet, where a team keeps copies in the database."""

comparison = Table(
    "comparison", metadata,
    _id(), _change(), _replaced_by(),
    Column("name", AnyText, nullable=False, index=True),
    Column("requirement", AnyText, nullable=False),
    Column("result", AnyText, nullable=False),
)
"""A comparison kept under a name: the requirement's text and the result as JSON."""

comparison_part = Table(
    "comparison_part", metadata,
    _id(),
    Column("comparison_id", ForeignKey("comparison.id"), nullable=False, index=True),
    Column("part_number", AnyText, nullable=False),
    Column("folded", AnyText, nullable=False),
    Column("sha256", String(64), nullable=False, index=True),
)
"""A part that a kept comparison judged, and the sheet its numbers came from."""
