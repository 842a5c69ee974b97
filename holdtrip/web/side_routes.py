"""Two to six parts as columns, their traits as rows, as `holdtrip compare --table` puts them.

Comes in: parts by number and sheet, a requirement as fields of a query where there is one. Goes out: JSON.
Judges nothing itself: compare.side_by_side does.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Annotated

from fastapi import APIRouter, Query, Request

from compare.explain import quantity_text
from compare.requirement_file import text_to_requirement
from compare.side_by_side import FEWEST, MOST, SideBySide, SideRow, parts_to_side_by_side
from extract.errors import InputError
from holdtrip.web.compare_routes import FIELDS, NAME, Unreviewed, query_to_toml, wanted_numbers
from holdtrip.web.desk import Desk
from holdtrip.web.typed_fields import Sha256InQuery, WordsInQuery

Parts = Annotated[list[WordsInQuery], Query(alias="part", min_length=FEWEST, max_length=MOST)]
Sheets = Annotated[list[Sha256InQuery], Query(alias="sheet", min_length=FEWEST, max_length=MOST,
                                              description="the sheet of each part, in the same order")]


@dataclass(frozen=True, slots=True)
class SideLine:
    """One trait: what the requirement asks of it, the value of each part with its unit (empty where its sheet
    does not say), and which columns, from 0, hold the better one."""

    title: str
    asked: str
    values: tuple[str, ...]
    best: tuple[int, ...]


@dataclass(frozen=True, slots=True)
class SideTable:
    """The parts' numbers, their traits, their verdicts under the requirement, and what the values assume."""

    parts: tuple[str, ...]
    lines: tuple[SideLine, ...]
    verdicts: tuple[str, ...]
    assumed: tuple[str, ...]


def side_router(desk: Desk) -> APIRouter:
    """The route of parts as columns."""
    router = APIRouter(prefix="/api", tags=["compare"])

    @router.get("/ranking/table", openapi_extra=FIELDS)
    def table(request: Request, parts: Parts, sheets: Sheets, unreviewed: Unreviewed = False) -> SideTable:
        """Two to six parts as columns, the better of each row marked, with the limits of the requirement."""
        if len(parts) != len(sheets):
            raise InputError("side by side", f"{len(parts)} parts, {len(sheets)} sheets",
                             "a sheet for each part")
        wanted = [wanted_numbers(desk, unreviewed, one).part for one in zip(parts, sheets, strict=True)]
        requirement = text_to_requirement(query_to_toml(request), NAME)
        return _to_table(parts_to_side_by_side(wanted, requirement))

    return router


def _to_table(found: SideBySide) -> SideTable:
    assumed = dict.fromkeys(text for row in found.rows for trait in row.traits
                            if trait.number.value is not None for text in trait.number.assumed)
    return SideTable(tuple(part.part_number for part in found.parts), tuple(map(_to_line, found.rows)),
                     tuple(verdict.value for verdict in found.verdicts), tuple(assumed))


def _to_line(row: SideRow) -> SideLine:
    values = tuple("" if trait.number.value is None else quantity_text(trait.number.value, trait.unit)
                   for trait in row.traits)
    return SideLine(row.title, row.limit, values, tuple(sorted(row.best)))
