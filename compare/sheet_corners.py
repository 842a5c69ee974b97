"""The sheet Corners: what every part gives at the corners of the requirement, as formulas.

Comes in: cases (part and requirement), the rows of Lines and of Trip model, the layout. Goes out: the
sheet and the names of what follows from the inputs. Judges nothing.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from openpyxl import Workbook
from openpyxl.workbook.defined_name import DefinedName
from openpyxl.worksheet.worksheet import Worksheet

from compare.corners import Case
from compare.records import Number
from compare.sheet_lines import LineRows, line_cell, row_formula, value_formula
from compare.sheet_trip_model import ModelRows, question_to_aggregates
from compare.workbook_corners import Corners
from compare.workbook_inputs import (
    COLDEST,
    DRAWN,
    HOTTEST,
    INPUTS_OK,
    LOWEST_V,
    RESTS_ON,
    derived_formulas,
    derived_words,
    input_name,
    requirement_to_inputs,
    same_name,
    supply_cap,
)
from compare.workbook_look import (
    ASIDE,
    STRONG,
    Column,
    Formula,
    Value,
    at,
    finish,
    put,
    put_away,
    put_table,
    put_title,
)
from extract.schema import Kind, Quantity


def add_corners(book: Workbook, cases: Sequence[Case], lines: Sequence[LineRows],
                models: Sequence[ModelRows], corners: Corners) -> None:
    """Write the sheet and the defined names that follow from the inputs."""
    sheet = book.create_sheet("Corners")
    requirement = cases[0].requirement
    given = frozenset(one.field for one in requirement_to_inputs(requirement))
    row = put_title(sheet, "Corners", "What follows from the inputs of Summary, and what each part gives at "
                    "the corners. Change nothing here.")
    _put_derived(book, sheet, row, given)
    columns = (Column("Part", 20), *(Column(title, 11, style) for title, style in corners.titles.values()))
    head = corners.first_row - 1
    put_table(sheet, head, columns, (
        _row(_Row(case, place, corners, number, given), model) for number, (case, place, model)
        in enumerate(zip(cases, lines, models, strict=True))))
    sheet.row_dimensions[head].height = 58
    finish(sheet, head, len(columns))
    put_away(sheet)


def _put_derived(book: Workbook, sheet: Worksheet, row: int, given: frozenset[str]) -> None:
    """What follows from the inputs alone, and which fixed margins still rest on what was stated."""
    for name, formula in derived_formulas(given).items():
        _put_named(book, sheet, row, name, Formula(formula), derived_words(name))
        row += 1
    for margin, fields in (RESTS_ON | DRAWN).items():
        watched = [f"state_{field.replace('.', '_')}=\"as stated\"" for field in dict.fromkeys(fields)
                   if field in given]
        formula = f"=AND({INPUTS_OK},{','.join(watched)})" if watched else f"={INPUTS_OK}"
        _put_named(book, sheet, row, same_name(margin), Formula(formula),
                   f"all that the margin of {margin.replace('_', ' ')} rests on is as stated")
        row += 1


def _put_named(book: Workbook, sheet: Worksheet, row: int, name: str, formula: Formula, words: str) -> None:
    put(at(sheet, row, 1), name, font=ASIDE)
    put(at(sheet, row, 2), formula, "General", STRONG)
    put(at(sheet, row, 3), words, font=ASIDE)
    book.defined_names[name] = DefinedName(name, attr_text=f"Corners!$B${row}")


@dataclass(frozen=True, slots=True)
class _Row:
    """One candidate in one row."""

    case: Case
    lines: LineRows
    corners: Corners
    number: int
    given: frozenset[str]

    def here(self, key: str) -> str:
        """Address of a corner in this row."""
        return f"${self.corners.columns[key]}{self.corners.first_row + self.number}"


def _row(row: _Row, model: ModelRows) -> list[Value]:
    here, smallest = row.here, _resistance(row.case, Kind.MIN)
    formulas: dict[str, Value] = {
        **_current("hold", row.lines.hold, row), **_current("trip", row.lines.trip, row),
        "hold_hot_most": _ok(_given(line_cell("K", here("hold_hot_row")))),
        "hold_hot_least": _ok(_given(line_cell("L", here("hold_hot_row")))),
        "hold_cold_least": _ok(f'IF(ISNUMBER({here("hold_cold")}),{here("hold_cold")},'
                               f'{_given(line_cell("L", here("hold_cold_row")))})'),
        "trip_cold_most": _ok(_given(line_cell("K", here("trip_cold_row")))),
        "trip_cold_least": _ok(_given(line_cell("L", here("trip_cold_row")))),
        "r_min": smallest.value, "r_1max": _resistance(row.case, Kind.POST_TRIP_MAX).value,
        "fault_low": _fault_low(here("r_1max"), row.given),
        "fault_most": _fault_most(here("r_1max"), row.given),
        "fault_high": _fault_high(here("r_min"), row.given, smallest),
    }
    for question in row.corners.questions:
        corner = "hot" if question.hot else "cold"
        states = [here(f"{name}_{corner}_state") for name in ("hold", "trip")]
        for key, formula in question_to_aggregates(question, model, states).items():
            formulas[f"{question.name}_{key}"] = _ok(formula)
    return [row.case.numbers.part.part_number, *(formulas[key] for key in row.corners.columns)]


def _current(name: str, rows: tuple[int, int], row: _Row) -> dict[str, Value]:
    """Hold or trip at the hottest and at the coldest, and the rows of Lines where they stand."""
    found: dict[str, Value] = {}
    for corner, ambient in (("hot", HOTTEST), ("cold", COLDEST)):
        line = f"{name}_{corner}_row"
        found[line] = _ok(row_formula(rows, ambient))
        found[f"{name}_{corner}_state"] = _ok(line_cell("H", row.here(line)))
        found[f"{name}_{corner}"] = _ok(value_formula(row.here(line), ambient))
    return found


def _resistance(case: Case, kind: Kind) -> Number:
    """The resistance; one that the sheet does not give has no readings, a disputed one has."""
    return case.numbers.number(Quantity.RESISTANCE, kind) or Number(None)


def _ok(formula: str) -> Formula:
    """A formula that is empty rather than an error, as where an input is no number."""
    return Formula(f'=IFERROR({formula},"")')


def _given(cell: str) -> str:
    """A cell that may be blank, as empty text: a reference to a blank cell would be zero."""
    return f'IF(ISNUMBER({cell}),{cell},"")'


def _fault_most(r_1max: str, given: frozenset[str]) -> Formula:
    """As `corners.fault_at_most_a`."""
    found, cap = _unlimited(r_1max, given), supply_cap(given)
    both = ",".join(part for part in (f"N({found})", cap) if part)
    alone = cap or '""'
    return _ok(f"IF(ISNUMBER({found}),MIN({both}),{alone})")


def _fault_low(r_1max: str, given: frozenset[str]) -> Formula:
    """As `corners.lowest_fault`."""
    found, cap = _unlimited(r_1max, given), supply_cap(given)
    if not cap:
        return _ok(found)
    if "supply_short_current_a" not in given:
        return _ok(f'IF({found}<={cap},{found},"")' if "fault_current_min_a" in given else '""')
    otherwise = '""' if "source_resistance_max_ohm" in given else cap
    return _ok(f"IF(ISNUMBER({found}),MIN({found},{cap}),{otherwise})")


def _unlimited(r_1max: str, given: frozenset[str]) -> str:
    """Lowest fault current of a supply that does not limit, as a formula."""
    if "fault_current_min_a" in given:
        return input_name("fault_current_min_a")
    if "source_resistance_max_ohm" in given:
        source = input_name("source_resistance_max_ohm")
        return f'IF(AND(ISNUMBER({r_1max}),ISNUMBER({LOWEST_V})),{LOWEST_V}/({source}+{r_1max}),"")'
    return '""'


def _fault_high(r_min: str, given: frozenset[str], smallest: Number) -> Formula:
    """As `corners.highest_fault`."""
    if "fault_current_max_a" in given:
        return _ok(input_name("fault_current_max_a"))
    if "source_resistance_min_ohm" not in given or (smallest.value is None and smallest.readings):
        return Formula('=""')
    source = input_name("source_resistance_min_ohm")
    whole = source if smallest.value is None else f"({source}+{r_min})"
    return _ok(f'IF({whole}>0,in_supply_voltage_v/{whole},"")')
