"""The sheet Trip curves of the workbook: drawn times on log paper, never more than the datasheet draws."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest
from openpyxl import load_workbook

from compare.ranking import parts_to_ranking
from compare.requirement import Requirement
from compare.sheet_trip_curves import TITLE
from compare.workbook import SHEETS, ranking_to_workbook
from extract.schema import Curve, Part, Status
from tests.compare.test_drawn_times import POINTS, curve, drawn

MakePart = Callable[..., Part]
MakeRequirement = Callable[..., Requirement]
ASKED = {"trip_time_max_s": 4.0, "peak_current_a": 2.0, "peak_duration_s": 0.05, "allow_model": True}


def written(path: Path, part: Part, requirement: Requirement) -> Any:
    """The workbook of one part, as saved."""
    ranking_to_workbook(parts_to_ranking([part], requirement), path)
    return load_workbook(path)


def series_names(sheet: Any) -> list[str]:
    """The names of what the chart draws."""
    return [series.tx.v for series in sheet._charts[0].series]


def column_of(sheet: Any, head: str) -> list[float]:
    """The numbers below a heading."""
    for row in sheet.iter_rows():
        for cell in row:
            if cell.value == head:
                below = (sheet.cell(cell.row + step, cell.column).value for step in range(1, 40))
                return [value for value in below if value is not None]
    raise AssertionError(head)


def test_a_drawn_curve_is_shown_on_log_paper(
    make_part: MakePart, make_requirement: MakeRequirement, tmp_path: Path
) -> None:
    """Every vertex as read, both axes logarithmic, called typical and no limit, its page and label beside."""
    book = written(tmp_path / "out.xlsx", drawn(make_part()), make_requirement(**ASKED))
    assert book.sheetnames == [title for title in SHEETS if title != "Ports"]
    sheet = book[TITLE]
    chart = sheet._charts[0]
    assert chart.x_axis.scaling.logBase == chart.y_axis.scaling.logBase == 10
    names = series_names(sheet)
    part = names[0].removesuffix(", typical")
    assert column_of(sheet, f"{part}, typical: A") == [a for a, _ in POINTS]
    assert column_of(sheet, f"{part}, typical: s") == [s for _, s in POINTS]
    assert "no limit" in sheet["A2"].value
    assert column_of(sheet, "Page")[0] == 3
    assert column_of(sheet, "Label in the chart")[0] == "P1"


def test_the_points_asked_follow_the_inputs(
    make_part: MakePart, make_requirement: MakeRequirement, tmp_path: Path
) -> None:
    """Must trip by, must not trip before: formulas of the inputs, not numbers."""
    sheet = written(tmp_path / "out.xlsx", drawn(make_part()), make_requirement(**ASKED))[TITLE]
    assert "must trip by" in series_names(sheet)
    assert column_of(sheet, "must trip by: s")[0] == "=in_trip_time_max_s"
    assert str(column_of(sheet, "must trip by: A")[0]).startswith("=IF(ISNUMBER(Corners!")
    assert column_of(sheet, "must not trip before: A")[0] == "=in_peak_current_a"
    assert column_of(sheet, "must not trip before: s")[0] == "=in_peak_duration_s"


def test_the_tabulated_time_stands_beside_the_curve(
    make_part: MakePart, make_requirement: MakeRequirement, tmp_path: Path
) -> None:
    """The table's longest time is a mark of its own."""
    part = drawn(make_part(time=(8.0, 0.3)))
    sheet = written(tmp_path / "out.xlsx", part, make_requirement(**ASKED))[TITLE]
    name = next(name for name in series_names(sheet) if name.endswith(", table"))
    assert (column_of(sheet, f"{name}: A"), column_of(sheet, f"{name}: s")) == ([8.0], [0.3])


@pytest.mark.parametrize("curves", [(), (curve(status=Status.DISPUTED),)])
def test_without_a_usable_curve_there_is_no_such_sheet(
    make_part: MakePart, make_requirement: MakeRequirement, tmp_path: Path, curves: tuple[Curve, ...]
) -> None:
    """No curve, or one that a person must look at first: nothing is drawn."""
    part = replace(make_part(), curves=curves)
    assert TITLE not in written(tmp_path / "out.xlsx", part, make_requirement(**ASKED)).sheetnames


def test_the_best_part_without_a_curve_is_named(
    make_part: MakePart, make_requirement: MakeRequirement, tmp_path: Path
) -> None:
    """Curves of lower ranks are shown with their rank, and the sheet says that the best part has none."""
    plain = replace(make_part(time=(8.0, 0.3)), part_number="PLAIN")
    other = replace(drawn(make_part(time=(8.0, 0.3), hold=0.3, trip=0.6)), part_number="DRAWN")
    path = tmp_path / "out.xlsx"
    ranking = parts_to_ranking([plain, other], make_requirement(**ASKED))
    ranking_to_workbook(ranking, path)
    sheet = load_workbook(path)[TITLE]
    ranks = {one.part_number: rank for rank, one in enumerate(ranking.candidates, 1)}
    assert column_of(sheet, "Rank as stated")[0] == ranks["DRAWN"]
    assert ("PLAIN" in str(sheet["A3"].value)) is (ranks["PLAIN"] == 1)
