"""The codes of all findings: name, severity, title, and the page that explains each.

Comes in: nothing. Goes out: CODES and `code_to_page`. A code's severity is the worst it can have:
a doubt that the rest of the table supports is raised as a note.
"""

from __future__ import annotations

from dataclasses import dataclass
from importlib.resources import files

from extract.schema import Severity


@dataclass(frozen=True, slots=True)
class Code:
    """One kind of finding: `name` as printed, worst `severity`, `title` in one line."""

    name: str
    severity: Severity
    title: str

    @property
    def cause(self) -> str:
        """The title as a likely cause, within a sentence."""
        return self.title[0].lower() + self.title[1:]


ERROR, DOUBT, NOTE = Severity.ERROR, Severity.DOUBT, Severity.NOTE

# One number alone.
VALUE_NOT_POSITIVE = Code("value-not-positive", ERROR, "A rating is zero or negative")
VALUE_IMPOSSIBLE = Code("value-impossible", ERROR, "A value no polymer PTC fuse has")
VALUE_UNUSUAL = Code("value-unusual", DOUBT, "A value outside the range seen in published tables")
AMBIENT_IMPOSSIBLE = Code("ambient-impossible", ERROR, "An ambient no part is rated at")
VALUE_NOT_IN_LIST = Code("value-not-in-list", NOTE, "A voltage or fault current that is seldom used")

# Two numbers of one part.
TRIP_NOT_ABOVE_HOLD = Code("trip-not-above-hold", ERROR, "Trip current is not above hold current")
RESISTANCE_ORDER = Code("resistance-order", ERROR, "Resistance limits in the wrong order")
INTERRUPT_BELOW_RATED = Code("interrupt-below-rated", DOUBT, "Interrupt voltage below the rated voltage")
AC_ABOVE_DC = Code("ac-above-dc", DOUBT, "An AC rating above the DC rating")
TYPICAL_ABOVE_MAXIMUM = Code("typical-above-maximum", ERROR, "A typical value above the maximum")
TEST_CURRENT_BELOW_HOLD = Code("test-current-below-hold", ERROR, "Trip time at a current the part holds")
TEST_CURRENT_BELOW_TRIP = Code(
    "test-current-below-trip", DOUBT, "Trip time at a current below the trip current"
)
TEST_CURRENT_ABOVE_MAXIMUM = Code(
    "test-current-above-maximum", DOUBT, "Test current above the largest fault current"
)
MAXIMUM_CURRENT_LOW = Code(
    "maximum-current-low", ERROR, "Largest fault current below or near the trip current"
)
TIME_RISES_WITH_CURRENT = Code("time-rises-with-current", ERROR, "Trip time rises with the current")

# Ratios of one part.
TRIP_HOLD_RATIO = Code("trip-hold-ratio", ERROR, "Trip current over hold current out of range")
RESISTANCE_RATIO = Code("resistance-ratio", ERROR, "Post-trip over smallest resistance out of range")
HEAT_RATIO = Code("heat-ratio", ERROR, "Heat at hold current does not fit the tripped power")
HEAT_AT_HOLD = Code("heat-at-hold", ERROR, "Heat at hold current far from that of any published part")
LEAKAGE_RATIO = Code("leakage-ratio", ERROR, "Leakage when tripped does not fit the hold current")
POWER_RATIO = Code("power-ratio", ERROR, "Largest over typical tripped power out of range")
TEST_CURRENT_RATIO = Code("test-current-ratio", ERROR, "Test current over hold current out of range")

# Rows over the ambient.
RISES_WITH_AMBIENT = Code("rises-with-ambient", ERROR, "Hold or trip current rises with the ambient")
DERATING_SLOPE = Code("derating-slope", DOUBT, "A derating step steeper or flatter than any published one")
DERATING_OFF_LINE = Code("derating-off-line", DOUBT, "A derating cell off the line between its neighbours")
DERATING_OFF_SHAPE = Code("derating-off-shape", DOUBT, "A derating cell off the shape its series shares")
REFERENCE_DIFFERS = Code(
    "reference-differs", DOUBT, "Two tables give two hold currents at the reference ambient"
)
REFERENCE_RATIO = Code("reference-ratio", DOUBT, "The ratio at the reference ambient is not 100 %")

# Rows of one series.
CODE_CURRENT_DIFFERS = Code(
    "code-current-differs", DOUBT, "Hold current differs from the code in the part number"
)
CODE_VOLTAGE_DIFFERS = Code("code-voltage-differs", DOUBT, "Voltage differs from the code in the part number")
TEST_PATTERN_DIFFERS = Code("test-pattern-differs", DOUBT, "Test current breaks the pattern of the series")
NEIGHBOUR_OUTLIER = Code("neighbour-outlier", DOUBT, "A value far from its neighbours in the series")
NEIGHBOUR_COPY = Code("neighbour-copy", DOUBT, "A value looks copied from the row above or below")
SIBLING_DIFFERS = Code("sibling-differs", DOUBT, "Parts of one hold current have different trip currents")
RATINGS_EXCHANGED = Code("ratings-exchanged", DOUBT, "Voltage and fault current seem exchanged")
FOOTNOTE_DIGIT = Code("footnote-digit", DOUBT, "A footnote's digit seems glued to the value")

ODD_DIGITS = Code("odd-digits", DOUBT, "More digits than any other cell of the column")

# Reading a datasheet.
CELL_UNREADABLE = Code("cell-unreadable", DOUBT, "A cell that cannot be read as one number")
NUMBER_CUT_OFF = Code("number-cut-off", ERROR, "A number that ends in its decimal sign")
ROW_WITHOUT_PART = Code("row-without-part", DOUBT, "Numbers that belong to no part")
PAGE_NOT_READ = Code("page-not-read", NOTE, "A page of a datasheet that was left out")
HIDDEN_TEXT = Code("hidden-text", NOTE, "A page holds text nobody can see")
NUMBERS_NOT_READ = Code("numbers-not-read", DOUBT, "Numbers of a table that nothing was read from")
NEWER_REVISION = Code("newer-revision", DOUBT, "A newer revision of the datasheet is stored")
SECOND_READING_LOST = Code("second-reading-lost", ERROR, "The second, independent reading failed")
CURVE_ABOVE_MAXIMUM = Code("curve-above-maximum", DOUBT, "A typical curve above the tabulated maximum")
CURVE_MISSING = Code("curve-missing", NOTE, "A part without a curve in charts that show its neighbours")
CURVES_ALIKE = Code("curves-alike", DOUBT, "A curve whose part cannot be told for sure")
CHART_PICTURE = Code("chart-is-picture", NOTE, "A chart that is a picture: read once, or not at all")
CHART_CROWDED = Code("chart-crowded", NOTE, "A page that holds too many lines for its charts to be read")
DERATING_APART = Code("derating-apart", NOTE, "A derating chart that says other than its table")
GRID_IRREGULAR = Code("grid-irregular", NOTE, "A chart whose grid fits no regular scale well")
OTHER_KIND = Code("other-kind-of-part", ERROR, "A sheet or page about another kind of part")
KIND_UNSURE = Code("kind-unsure", DOUBT, "It cannot be told what kind of part a sheet is about")
PART_NAME_DOUBTFUL = Code("part-name-doubtful", DOUBT, "What stands for a part number is none")

# Layout of a typed table.
COLUMN_SHIFTED = Code("column-shifted", ERROR, "A column stands one row too high or too low")
ROW_SHIFTED = Code("row-shifted", ERROR, "A row's cells stand one column too far left or right")
ROWS_SLID = Code("rows-slid", ERROR, "The cells of several rows stand beside the wrong parts")
ROWS_SWAPPED = Code("rows-swapped", ERROR, "Two rows, or two part numbers, are exchanged")
ROW_OF_OTHER_PART = Code("row-of-other-part", ERROR, "Cells of a row are those of another part")
CELLS_SWAPPED = Code("cells-swapped", ERROR, "Two cells are exchanged")
HEADINGS_SWAPPED = Code("headings-swapped", ERROR, "Two headings, or two columns, are exchanged")
HEADING_UNIT = Code("heading-unit", ERROR, "A column is in another unit than its heading says")
HEADING_SIGN = Code("heading-sign", ERROR, "The sign of a heading's temperature is lost")
HEADING_AMBIENT = Code("heading-ambient", ERROR, "A column holds another temperature than its heading says")
HEADING_KIND = Code("heading-kind", ERROR, "A column holds another limit than its heading says")
COLUMN_NOT_UNDERSTOOD = Code("column-not-understood", NOTE, "A column whose heading says nothing known")
COLUMN_TWICE = Code("column-twice", DOUBT, "Two columns say the same thing")
AMBIENTS_DISORDERED = Code("ambients-disordered", DOUBT, "Temperatures in the headings do not rise")
UNIT_ASSUMED = Code("unit-assumed", NOTE, "A column without a unit")
UNIT_UNCLEAR = Code("unit-unclear", DOUBT, "A column whose unit cannot be told")
CELL_IS_DATE = Code("cell-is-date", ERROR, "A date stands where a number belongs")
CELL_IS_ERROR = Code("cell-is-error", ERROR, "An error of a spreadsheet stands where a number belongs")
COMMA_FOR_POINT = Code("comma-for-point", ERROR, "A decimal comma among decimal points")
UNIT_MISMATCH = Code("unit-mismatch", ERROR, "A cell's unit does not measure what its column holds")
CELL_EMPTY = Code("cell-empty", DOUBT, "An empty cell in a column that is otherwise filled")
DUPLICATE_ROW = Code("duplicate-row", DOUBT, "A part stands in two rows that say the same")
DUPLICATE_CONTRADICTS = Code("duplicate-contradicts", ERROR, "A part stands in two rows that differ")
LOOK_ALIKE = Code("look-alike", ERROR, "A character that looks like another one")

# Against the source.
SOURCE_DIFFERS = Code("source-differs", ERROR, "The sheet prints another value")
SOURCE_DIGITS_SWAPPED = Code("source-digits-swapped", ERROR, "Two digits swapped against the sheet")
SOURCE_DECIMAL_POINT = Code("source-decimal-point", ERROR, "Decimal point misplaced against the sheet")
SOURCE_UNIT_SLIP = Code("source-unit-slip", ERROR, "A factor of a thousand against the sheet")
SOURCE_NEIGHBOUR_ROW = Code("source-neighbour-row", ERROR, "The value of another part of the sheet")
SOURCE_NEIGHBOUR_COLUMN = Code("source-neighbour-column", ERROR, "The value of another column of the sheet")
SOURCE_SIGN_LOST = Code("source-sign-lost", ERROR, "A sign differs from the sheet")
SOURCE_FOOTNOTE_DIGIT = Code(
    "source-footnote-digit", ERROR, "A footnote's digit was typed as part of the value"
)
SOURCE_OTHER_REVISION = Code(
    "source-other-revision", DOUBT, "Another revision of the sheet prints this value"
)
SOURCE_ROUNDED = Code("source-rounded", NOTE, "The sheet's value, rounded")
SOURCE_DIGIT_MISSING = Code("source-digit-missing", ERROR, "A digit is missing against the sheet")
SOURCE_GIVES_NONE = Code(
    "source-gives-none", DOUBT, "A number where the sheet gives none, and gives it for other parts"
)
SOURCE_DISPUTED = Code("source-disputed", DOUBT, "Unlike the sheet's own value, which is disputed")
PART_NOT_IN_SHEETS = Code("part-not-in-sheets", ERROR, "A part the sheets do not have")
PART_MATCH_DOUBTFUL = Code("part-match-doubtful", DOUBT, "A part number that is nearly one of the sheets")

RULE_CODES = frozenset(
    {
        VALUE_NOT_POSITIVE,
        VALUE_IMPOSSIBLE,
        VALUE_UNUSUAL,
        AMBIENT_IMPOSSIBLE,
        VALUE_NOT_IN_LIST,
        TRIP_NOT_ABOVE_HOLD,
        RESISTANCE_ORDER,
        INTERRUPT_BELOW_RATED,
        AC_ABOVE_DC,
        TYPICAL_ABOVE_MAXIMUM,
        TEST_CURRENT_BELOW_HOLD,
        TEST_CURRENT_BELOW_TRIP,
        TEST_CURRENT_ABOVE_MAXIMUM,
        MAXIMUM_CURRENT_LOW,
        TIME_RISES_WITH_CURRENT,
        TRIP_HOLD_RATIO,
        RESISTANCE_RATIO,
        HEAT_RATIO,
        HEAT_AT_HOLD,
        LEAKAGE_RATIO,
        POWER_RATIO,
        TEST_CURRENT_RATIO,
        RISES_WITH_AMBIENT,
        DERATING_SLOPE,
        DERATING_OFF_LINE,
        DERATING_OFF_SHAPE,
        REFERENCE_DIFFERS,
        REFERENCE_RATIO,
        CODE_CURRENT_DIFFERS,
        CODE_VOLTAGE_DIFFERS,
        TEST_PATTERN_DIFFERS,
        NEIGHBOUR_OUTLIER,
        NEIGHBOUR_COPY,
        SIBLING_DIFFERS,
        RATINGS_EXCHANGED,
        FOOTNOTE_DIGIT,
        ODD_DIGITS,
    }
)
"""Codes of rules over numbers: many of them speak of one cell."""

CODES: dict[str, Code] = {code.name: code for code in list(globals().values()) if isinstance(code, Code)}
"""Name → code, in the order of this file."""


def code_to_page(name: str) -> str:
    """The page that explains a code, as Markdown. Raises KeyError for a name that is no code."""
    return (files("extract.checks") / "pages" / f"{CODES[name].name}.md").read_text(encoding="utf-8")
