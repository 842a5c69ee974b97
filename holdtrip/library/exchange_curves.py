"""Drawn curves and the decisions on them in exchange files: out of a library, and into another one.

Comes in: a connection and a version, or records. Goes out: records, or curves and decisions stored. What was
decided here stays as it is.
"""

from __future__ import annotations

import json
from collections.abc import Iterator, Sequence
from datetime import datetime
from itertools import groupby

from sqlalchemy import Connection, Subquery, func, select

from extract.errors import InputError
from extract.schema import ChartName, Curve, Kind, Place, Status
from holdtrip.library.curves import TO_ACTION, add_curve_decisions, text_to_points
from holdtrip.library.exchange_records import CurveDecisionRecord, CurveRecord, SheetRecord
from holdtrip.library.history import SAID_AT, add_change, fact_holds_at, version_at
from holdtrip.library.records import Signature, Verdict
from holdtrip.library.tables import change, curve, curve_decision, sheet


def connection_to_curve_records(connection: Connection, version: int) -> Iterator[CurveRecord]:
    """Every curve in force, in the order imported."""
    numbered = numbered_curves(version)
    query = (
        select(curve, sheet.c.sha256, numbered.c.number)
        .join(numbered, numbered.c.curve_id == curve.c.id).join(sheet, sheet.c.id == curve.c.sheet_id)
        .where(sheet.c.change_id <= version).order_by(sheet.c.id, curve.c.position))
    for row in connection.execute(query).mappings():
        yield CurveRecord(
            row["sha256"], row["number"], row["part_number"], row["chart"], row["kind"], row["ambient_c"],
            row["points"], row["status"], row["page"], row["x0"], row["top"], row["x1"], row["bottom"],
            row["label"], row["x_error"], row["y_error"],
            tuple(json.loads(row["notes"])) if row["notes"] else ())


def connection_to_curve_decision_records(
    connection: Connection, version: int
) -> Iterator[CurveDecisionRecord]:
    """All that was said of curves, in the order said."""
    numbered = numbered_curves(version)
    query = (
        select(sheet.c.sha256, numbered.c.number, curve_decision.c.verdict, curve_decision.c.part_number,
               change.c.who, SAID_AT, change.c.reason)
        .join(numbered, numbered.c.curve_id == curve_decision.c.curve_id)
        .join(sheet, sheet.c.id == numbered.c.sheet_id)
        .join(change, change.c.id == curve_decision.c.change_id)
        .where(curve_decision.c.change_id <= version).order_by(curve_decision.c.id))
    for row in connection.execute(query):
        yield CurveDecisionRecord(*row)


def numbered_curves(version: int) -> Subquery:
    """`sheet_id`, `curve_id`, `number` of every curve in force at a version."""
    count = func.row_number().over(partition_by=curve.c.sheet_id, order_by=curve.c.position)
    return (select(curve.c.sheet_id, curve.c.id.label("curve_id"), count.label("number"))
            .where(fact_holds_at(curve, version)).subquery())


def record_to_curve(of: SheetRecord, row: CurveRecord) -> Curve:
    """A curve of a file; raises InputError for points or names that are none."""
    where = f"table curves, {of.document} curve {row.curve}"
    try:
        points, on_page = text_to_points(row.points)
        return Curve(
            of.document, of.sha256, row.part_number, ChartName(row.chart), Kind(row.kind), row.ambient_c,
            points, Status(row.status), Place(row.page, row.x0, row.top, row.x1, row.bottom), row.label,
            row.x_error, row.y_error, row.notes, on_page)
    except (ValueError, TypeError) as error:
        raise InputError(where, f"no curve ({error})", "points as a JSON list of [x, y], and known names"
                         ) from error


def store_curve_decisions(
    connection: Connection, sha256: str, said: Sequence[CurveDecisionRecord]
) -> tuple[int, int]:
    """(decisions added, curves left as decided here)."""
    numbered = numbered_curves(version_at(connection))
    ids: dict[int, int] = dict(connection.execute(
        select(numbered.c.number, numbered.c.curve_id).join(sheet, sheet.c.id == numbered.c.sheet_id)
        .where(sheet.c.sha256 == sha256)).all())
    for row in said:
        if row.curve not in ids:
            raise InputError(f"table curve_decisions, {sha256[:12]}", f"curve {row.curve}",
                             f"a curve from 1 to {len(ids)}")
    stories = _stories(connection, sha256)
    news = [row for row in said if row.curve not in stories]
    there: dict[int, list[tuple[str, str, str, str]]] = {}
    for row in said:
        there.setdefault(row.curve, []).append((row.verdict, row.part_number, row.who, row.reason))
    left = [number for number, story in there.items() if stories.get(number, story) != story]
    for (who, at, reason, verdict), rows in groupby(
            news, key=lambda row: (row.who, row.at, row.reason, row.verdict)):
        try:
            what, when = Verdict(verdict), datetime.fromisoformat(at)
        except ValueError as error:
            raise InputError("table curve_decisions", str(error), "a verdict and a time") from error
        change_id = add_change(connection, TO_ACTION[what], Signature(who, reason, when))
        add_curve_decisions(connection, change_id, [(ids[row.curve], what, row.part_number) for row in rows])
    return len(news), len(left)


def _stories(connection: Connection, sha256: str) -> dict[int, list[tuple[str, str, str, str]]]:
    """Curve → all that was said of it here."""
    stories: dict[int, list[tuple[str, str, str, str]]] = {}
    for row in connection_to_curve_decision_records(connection, version_at(connection)):
        if row.sha256 == sha256:
            stories.setdefault(row.curve, []).append((row.verdict, row.part_number, row.who, row.reason))
    return stories
