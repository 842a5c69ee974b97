"""Where a datasheet is filed: its name, and of which sheet it is a revision, where a person says otherwise
than the import found.

Comes in: a writing connection, a sheet, a signature. Goes out: sheets renamed, set apart or filed after
another, with the parts in force renewed; and how each was filed at an earlier version. Changes no number.
"""

from __future__ import annotations

from dataclasses import dataclass

from sqlalchemy import Connection, func, insert, or_, select, update

from extract.errors import InputError
from extract.safe_text import name_to_text
from holdtrip.library.history import add_change
from holdtrip.library.records import Action, Signature
from holdtrip.library.state_rows import renew_states
from holdtrip.library.tables import part, refiling, sheet

APART = "none"
"""What stands for the older revision of a sheet that a person set apart."""


@dataclass(frozen=True, slots=True)
class Filed:
    """A sheet as it is filed: revisions of one sheet share `family`; the larger `age`, the newer."""

    sheet_id: int
    sha256: str
    document: str
    revision: str
    family: int
    age: float


def named_sheet(connection: Connection, named: str) -> Filed:
    """The one sheet whose file is called so or whose sha256 begins so; raises InputError for none, or
    several."""
    is_named = or_(sheet.c.sha256.startswith(named, autoescape=True), sheet.c.document == named)
    found = connection.execute(select(*_FILED).where(is_named)).all()
    if len(found) != 1:
        raise InputError("library", f"{len(found)} datasheets are called '{named}'", "one",
                         "Name it by the first letters of its sha256; `holdtrip sheet` lists them")
    return Filed(*found[0])


def filed_sheets(connection: Connection, version: int) -> list[Filed]:
    """Every sheet as it was filed at a version, family by family, oldest revision first."""
    otherwise = filed_otherwise(connection, version)
    rows = [Filed(*row) for row in connection.execute(select(*_FILED).where(sheet.c.change_id <= version))]
    return sorted((otherwise.get(row.sheet_id, row) for row in rows), key=lambda row: (row.family, row.age))


def filed_otherwise(connection: Connection, version: int) -> dict[int, Filed]:
    """Sheet → how it was filed at a version, of those that were filed otherwise since."""
    query = (
        select(sheet.c.id, sheet.c.sha256, refiling.c.document, sheet.c.revision, refiling.c.family,
               refiling.c.age)
        .join(sheet, sheet.c.id == refiling.c.sheet_id)
        .where(refiling.c.change_id > version).order_by(refiling.c.id.desc()))
    return {row[0]: Filed(*row) for row in connection.execute(query)}  # the earliest change comes last


def names_then(connection: Connection, version: int) -> dict[str, str]:
    """sha256 → what a sheet was called at a version, of those called otherwise since."""
    return {one.sha256: one.document for one in filed_otherwise(connection, version).values()}


def refiled_beside(connection: Connection, version: int) -> dict[int, str]:
    """Sheet → what a person said it is a revision of: a sha256, or APART; of those filed by a person."""
    query = (select(refiling.c.sheet_id, refiling.c.now_beside)
             .where(refiling.c.change_id <= version, refiling.c.now_beside.is_not(None))
             .order_by(refiling.c.id))
    return {sheet_id: beside or APART for sheet_id, beside in connection.execute(query)}


def rename_sheet(connection: Connection, named: str, document: str, by: Signature) -> tuple[str, str]:
    """Call a sheet otherwise; returns the name before and since. Raises InputError for a name that another
    sheet has."""
    one = named_sheet(connection, named)
    new = name_to_text(document.strip())
    if not document.strip() or new == one.document:
        raise InputError(one.document, "no new name", "a name that differs")
    taken = select(sheet.c.sha256).where(sheet.c.document == new, sheet.c.id != one.sheet_id)
    if (other := connection.execute(taken).scalar()) is not None:
        raise InputError(new, f"another datasheet is called so ({other[:12]})", "a name of its own")
    version = add_change(connection, Action.RENAME, by)
    _refile(connection, version, one, Filed(one.sheet_id, one.sha256, new, one.revision, one.family, one.age),
            None)
    return one.document, new


def set_apart(connection: Connection, named: str, by: Signature) -> Filed:
    """A sheet is no revision of those it was filed with: its parts and theirs stand beside each other. Raises
    InputError without a reason, or where it stands alone."""
    one = named_sheet(connection, named)
    _need_reason(by, one.document)
    others = _family(connection, one)
    if not others:
        raise InputError(one.document, "it is filed as no revision of another datasheet")
    last = connection.execute(select(func.max(sheet.c.family))).scalar_one()
    kept = connection.execute(select(func.max(refiling.c.family))).scalar() or 0
    version = add_change(connection, Action.SET_APART, by)
    now = Filed(one.sheet_id, one.sha256, one.document, one.revision, max(last, kept) + 1, 1.0)
    _refile(connection, version, one, now, "")
    _renew(connection, version, [one.sheet_id])
    _renew(connection, version, [other.sheet_id for other in others])
    return now


def file_after(connection: Connection, named: str, older_named: str, by: Signature) -> tuple[Filed, Filed]:
    """A sheet is the next newer revision of another; returns it and the older. Raises InputError without a
    reason, or where it is that already."""
    one, older = named_sheet(connection, named), named_sheet(connection, older_named)
    _need_reason(by, one.document)
    if one.sheet_id == older.sheet_id:
        raise InputError(one.document, "a datasheet is no revision of itself", "another datasheet")
    left = [] if one.family == older.family else _family(connection, one)
    newer = [other.age for other in _family(connection, older)
             if other.age > older.age and other.sheet_id != one.sheet_id]
    before = [other for other in _family(connection, one) if other.age < one.age]
    if one.family == older.family and before and before[-1].sheet_id == older.sheet_id:
        raise InputError(one.document, f"it is filed after {older.document} already")
    age = (older.age + min(newer)) / 2 if newer else older.age + 1.0
    version = add_change(connection, Action.FILE_AFTER, by)
    now = Filed(one.sheet_id, one.sha256, one.document, one.revision, older.family, age)
    _refile(connection, version, one, now, older.sha256)
    _renew(connection, version, [one.sheet_id, *(other.sheet_id for other in _family(connection, now))])
    if left:
        _renew(connection, version, [other.sheet_id for other in left])
    return now, older


def _refile(connection: Connection, version: int, was: Filed, now: Filed, beside: str | None) -> None:
    connection.execute(insert(refiling).values(
        change_id=version, sheet_id=was.sheet_id, document=was.document, family=was.family, age=was.age,
        now_document=now.document, now_beside=beside))
    connection.execute(update(sheet).where(sheet.c.id == was.sheet_id).values(
        document=now.document, family=now.family, age=now.age))


def _family(connection: Connection, one: Filed) -> list[Filed]:
    """The other sheets of a family, oldest first."""
    query = (select(*_FILED).where(sheet.c.family == one.family, sheet.c.id != one.sheet_id)
             .order_by(sheet.c.age))
    return [Filed(*row) for row in connection.execute(query)]


def _renew(connection: Connection, version: int, sheet_ids: list[int]) -> None:
    """Put one revision of each part in force again, of sheets of one family."""
    ids = connection.execute(select(part.c.id).where(
        part.c.sheet_id.in_(sheet_ids), part.c.replaced_by.is_(None))).scalars().all()
    if ids:
        renew_states(connection, version, ids)


def _need_reason(by: Signature, document: str) -> None:
    if not by.reason.strip():
        raise InputError(document, "filed otherwise without a reason", "a reason that others can follow",
                         "Say why, such as --because 'another series, only the numbers are alike'")


_FILED = (sheet.c.id, sheet.c.sha256, sheet.c.document, sheet.c.revision, sheet.c.family, sheet.c.age)
