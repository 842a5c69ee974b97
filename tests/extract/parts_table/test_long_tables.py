"""Long tables of any team: part, parameter, value, and perhaps unit and ambient in columns of their own."""

from collections.abc import Callable

import pytest

from extract.parts_table import PartsTable, check_table
from extract.schema import Kind, Quantity, Reading, Severity

Typed = Callable[..., PartsTable]
Rows = list[list[str]]
Source = tuple[Reading, ...]

PARAMETERS = {
    1: ("Hold current", "A", ""), 2: ("Trip current", "A", ""), 3: ("Max voltage", "V", ""),
    4: ("Max current", "A", ""), 8: ("Rmin", "Ohm", ""), 9: ("R1max", "Ohm", ""),
    11: ("Hold current", "A", "40"),
}


HEADING = ("Part number", "Parameter", "Value", "Unit", "Ambient")


def long(rows: Rows, heading: tuple[str, ...] = HEADING) -> Rows:
    """Some columns of the invented table, a row for each number."""
    listed = [[row[0], name, row[index], unit, ambient]
              for row in rows[1:] for index, (name, unit, ambient) in PARAMETERS.items()]
    return [list(heading), *listed]


@pytest.mark.parametrize("heading", [
    ("Part number", "Parameter", "Value", "Unit", "Ambient"),
    ("Typ", "Kenngröße", "Wert", "Einheit", "Temperatur"),
    ("Référence", "Paramètre", "Valeur", "Unité", "Température"),
])
def test_a_long_table_is_compared_number_by_number(
    typed: Typed, rows: Rows, source: Source, heading: tuple[str, ...]
) -> None:
    """Every number is read and right; a wrong one is found in its own row."""
    table = long(rows, heading)
    report = check_table(typed(table), source)
    assert [f for f in report.findings if f.severity is not Severity.NOTE] == []
    assert f"{len(table) - 1} numbers against the sheets" in report.checked
    table[5][2] = "2.4"  # Rmin of the first part, 0.80 on the sheet
    found = [f for f in check_table(typed(table), source).findings if f.severity is Severity.ERROR]
    assert [(f.row, f.cell) for f in found] == [(6, "C6")]


def test_units_that_differ_from_row_to_row_stay_with_their_numbers(typed: Typed, rows: Rows) -> None:
    """500 mA beside 0.35 A in one parameter."""
    table = long(rows)
    for row in table[1:]:
        if row[1] == "Hold current" and row[0] == "QLM-0050-60" and not row[4]:
            row[2:4] = ["500", "mA"]
    (sheet,) = typed(table).sheets
    holds = {row.part_number: cell.value for row in sheet.rows for cell in row.cells
             if cell.column.quantity is Quantity.HOLD_CURRENT and cell.column.ambient_c is None}
    assert (holds["QLM-0050-60"], holds["QLM-0035-60"]) == (0.5, 0.35)


def test_a_table_with_a_value_column_only_is_no_long_table(typed: Typed, rows: Rows) -> None:
    """A remark headed "Value" beside wide columns changes nothing."""
    for n, row in enumerate(rows):
        row.append("Value" if n == 0 else "good")
    (sheet,) = typed(rows).sheets
    assert len(sheet.rows) == len(rows) - 1
    assert any(c.quantity is Quantity.RESISTANCE and c.kind is Kind.MIN for c in sheet.columns)


def test_a_number_said_twice_in_a_long_table_is_told(typed: Typed, rows: Rows, source: Source) -> None:
    """The second is not passed over: the two are compared with each other, and with the sheet."""
    table = long(rows)
    table.append(["QLM-0050-60", "Rmin", "0.42", "Ohm", ""])
    alone = [f for f in check_table(typed(table)).findings if f.severity is Severity.ERROR]
    assert [(f.code, f.cell) for f in alone] == [("duplicate-contradicts", f"C{len(table)}")]
    against = [f for f in check_table(typed(table), source).findings if f.severity is Severity.ERROR]
    assert [f.cell for f in against] == [f"C{len(table)}"]
