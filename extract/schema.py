"""The records every room shares: one number as read, its place, its part, its sheet.

Comes in: nothing. Goes out: frozen records and closed lists of names.
Does not read files, judge values or convert units.

All values are SI: A, V, W, ohm, s; temperatures in degrees Celsius; ratios as fractions.
Places are in points, origin at the top left of the page as shown, pages counted from 1.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from enum import StrEnum

from extract.boxes import Boxed

WHOLE_SERIES = "*"
"""Part number of a ratio row that a sheet gives for its whole series."""


class Quantity(StrEnum):
    """What a number measures. The values are the names of the long table."""

    HOLD_CURRENT = "hold_current"
    TRIP_CURRENT = "trip_current"
    MAX_VOLTAGE = "max_voltage"
    MAX_INTERRUPT_VOLTAGE = "max_interrupt_voltage"
    MAX_CURRENT = "max_current"
    TRIPPED_POWER = "tripped_power"
    RESISTANCE = "resistance"
    TIME_TO_TRIP = "time_to_trip"
    HOLD_RATIO = "hold_ratio"
    TRIP_RATIO = "trip_ratio"


UNIT_OF = {
    Quantity.HOLD_CURRENT: "A",
    Quantity.TRIP_CURRENT: "A",
    Quantity.MAX_VOLTAGE: "V",
    Quantity.MAX_INTERRUPT_VOLTAGE: "V",
    Quantity.MAX_CURRENT: "A",
    Quantity.TRIPPED_POWER: "W",
    Quantity.RESISTANCE: "ohm",
    Quantity.TIME_TO_TRIP: "s",
    Quantity.HOLD_RATIO: "1",
    Quantity.TRIP_RATIO: "1",
}

AT_AMBIENT = frozenset(
    {Quantity.HOLD_CURRENT, Quantity.TRIP_CURRENT, Quantity.HOLD_RATIO, Quantity.TRIP_RATIO}
)
"""Quantities that mean nothing without the ambient they are stated at."""


class ParticularName(StrEnum):
    """What else a sheet says of a part, beside its ratings."""

    BODY_LENGTH = "body_length"
    BODY_WIDTH = "body_width"
    BODY_HEIGHT = "body_height"
    LEAD_SPACING = "lead_spacing"
    LEAD_LENGTH = "lead_length"
    LEAD_DIAMETER = "lead_diameter"
    DIMENSION = "dimension"  # a letter of a drawing; the letter is the label
    PACKAGE = "package"
    MOUNTING = "mounting"
    OPERATING_TEMPERATURE = "operating_temperature"
    STORAGE_TEMPERATURE = "storage_temperature"
    SURFACE_TEMPERATURE = "surface_temperature"  # of the tripped part
    OPERATING_VOLTAGE = "operating_voltage"
    TRIP_CYCLES = "trip_cycles"  # trips the part is tested for
    TRIPPED_HOURS = "tripped_hours"  # time it is tested in the tripped state
    APPROVAL = "approval"  # the agency is the label
    MOISTURE_LEVEL = "moisture_level"
    REEL_QUANTITY = "reel_quantity"
    MARKING = "marking"
    LIFECYCLE = "lifecycle"


UNIT_OF_PARTICULAR = {
    ParticularName.BODY_LENGTH: "mm",
    ParticularName.BODY_WIDTH: "mm",
    ParticularName.BODY_HEIGHT: "mm",
    ParticularName.LEAD_SPACING: "mm",
    ParticularName.LEAD_LENGTH: "mm",
    ParticularName.LEAD_DIAMETER: "mm",
    ParticularName.DIMENSION: "mm",
    ParticularName.OPERATING_TEMPERATURE: "°C",
    ParticularName.STORAGE_TEMPERATURE: "°C",
    ParticularName.SURFACE_TEMPERATURE: "°C",
    ParticularName.OPERATING_VOLTAGE: "V",
    ParticularName.TRIP_CYCLES: "1",
    ParticularName.TRIPPED_HOURS: "h",
    ParticularName.REEL_QUANTITY: "1",
}
"""Unit of the value of each particular that is a number; the others are texts."""


class Kind(StrEnum):
    """Which limit or which variant of a quantity a number is."""

    NONE = ""
    MIN = "min"
    TYP = "typ"
    MAX = "max"
    POST_TRIP_MAX = "post_trip_max"
    AC = "ac"
    DC = "dc"


class Status(StrEnum):
    """How far a number may be trusted; `extract.standing` orders them. BULK: a person accepted it together
    with others, without looking at it."""

    AGREED = "agreed"
    SINGLE = "single"
    DISPUTED = "disputed"
    ACCEPTED = "accepted"
    CORRECTED = "corrected"
    BULK = "accepted_in_bulk"


class Severity(StrEnum):
    """How grave a finding is."""

    ERROR = "error"
    DOUBT = "doubt"
    NOTE = "note"


@dataclass(frozen=True, slots=True)
class Place(Boxed):
    """Where a text stands: page counted from 1, box in points from the top left."""

    page: int
    x0: float
    top: float
    x1: float
    bottom: float


@dataclass(frozen=True, slots=True)
class Reading:
    """One number as read from one cell of one sheet.

    `value` is SI (A, V, W, ohm, s, fraction); `raw` is the cell's printed text; `unit` the unit
    as printed, empty where the sheet prints none; `notes` say why a reading is disputed and which
    footnote marks stood at it; `cause` is the number of the question it waits for, or 0.
    """

    document: str
    sha256: str
    part_number: str
    quantity: Quantity
    kind: Kind
    ambient_c: float | None
    test_current_a: float | None
    value: float
    status: Status
    place: Place
    raw: str
    unit: str = ""
    notes: tuple[str, ...] = ()
    cause: int = 0


class ChartName(StrEnum):
    """What a curve shows over what. TIME_TO_TRIP: seconds over amperes; the ratios: fraction of the rating at
    the reference ambient over degrees Celsius."""

    TIME_TO_TRIP = "time_to_trip"
    HOLD_RATIO = "hold_ratio"
    TRIP_RATIO = "trip_ratio"


@dataclass(frozen=True, slots=True)
class Curve:
    """A curve as drawn in a chart of a sheet, for one part or the whole series.

    `points` are (x, y) in SI as ChartName says, x rising, one for each vertex drawn; nothing holds beyond
    them. `x_error`, `y_error` are relative. `kind` is TYP where the chart says so. `label` is the text in the
    chart that names it; `place` the chart's frame; `notes` say why it is disputed and what was cut; `on_page`
    has where each point stands on the page, or nothing.
    """

    document: str
    sha256: str
    part_number: str
    chart: ChartName
    kind: Kind
    ambient_c: float | None
    points: tuple[tuple[float, float], ...]
    status: Status
    place: Place
    label: str
    x_error: float
    y_error: float
    notes: tuple[str, ...] = ()
    on_page: tuple[tuple[float, float], ...] = ()


@dataclass(frozen=True, slots=True)
class PartText:
    """A text that a sheet gives for a part: `name` is one of package, marking, series, approval."""

    document: str
    sha256: str
    part_number: str
    name: str
    text: str
    place: Place


@dataclass(frozen=True, slots=True)
class Particular:
    """One thing a sheet says beside the ratings: a number or a text, with its place and status.

    `part_number` is `*` for what holds for the whole sheet; `kind` is min, typ, max or none; `value` is in
    the unit of `UNIT_OF_PARTICULAR`, None for a text; `text` is what a text particular says; `label` is
    the letter of a drawing or an agency; `unit` as printed.
    """

    document: str
    sha256: str
    part_number: str
    name: ParticularName
    kind: Kind
    value: float | None
    text: str
    status: Status
    place: Place
    raw: str
    label: str = ""
    unit: str = ""
    notes: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Finding:
    """Something a check or a reader noticed. A finding never changes a number.

    `code` names the rule; `found` and `expected` are short texts with units; `place` is None
    where no page is known (a typed table).
    """

    code: str
    severity: Severity
    message: str
    found: str = ""
    expected: str = ""
    document: str = ""
    part_number: str = ""
    quantity: Quantity | None = None
    place: Place | None = None
    cause: int = 0


@dataclass(frozen=True, slots=True)
class Cause:
    """Why readings of a sheet are disputed: one question for all of them.

    `number` counts the causes of a sheet from 1; `code` names the kind of doubt, `reach` how far it goes (a
    page, a quantity, a part; empty: the sheet); `facts` are its first doubts in words; `answers` what may be
    said; `count` how many readings it covers, the first of them at `place`; `words` what stands over their
    columns, each with its quantity.
    """

    number: int
    code: str
    reach: str
    question: str
    facts: tuple[str, ...]
    answers: tuple[str, ...]
    count: int
    place: Place
    words: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class ColumnWords:
    """The words printed over a column of numbers of one page, folded."""

    page: int
    quantity: Quantity
    kind: Kind
    words: str


class Fate(StrEnum):
    """What became of a printed number."""

    READ = "read"
    DOUBTED = "doubted"
    NOT_READ = "not_read"


@dataclass(frozen=True, slots=True)
class AccountRow:
    """One printed number and its fate; `reason` is a code: why it was not read, or as what (a condition, a
    repetition), else empty."""

    place: Place
    raw: str
    fate: Fate
    reason: str = ""
    cause: int = 0


@dataclass(frozen=True, slots=True)
class SheetReading:
    """All that was read from one datasheet.

    `sha256` is of the file's bytes; `revision` is the printed revision text or empty;
    `pages_read` are the pages that were worth reading; `curves` were read from its charts; `account` has
    every number printed on the pages that hold ratings or list the sheet's parts; `house` is the likely name
    of its maker, `edges` the lines at the top and foot of its pages, `headings` the words over its columns.
    """

    document: str
    sha256: str
    page_count: int
    pages_read: tuple[int, ...]
    revision: str
    readings: tuple[Reading, ...]
    texts: tuple[PartText, ...]
    findings: tuple[Finding, ...]
    curves: tuple[Curve, ...] = ()
    particulars: tuple[Particular, ...] = ()
    account: tuple[AccountRow, ...] = ()
    causes: tuple[Cause, ...] = ()
    house: str = ""
    edges: tuple[str, ...] = ()
    headings: tuple[ColumnWords, ...] = ()


@dataclass(frozen=True, slots=True)
class Part:
    """One orderable or listed part of one sheet, with every number that applies to it.

    Ratio readings of the whole series (part number `*`) are among `readings` too.
    """

    part_number: str
    document: str
    sha256: str
    readings: tuple[Reading, ...]
    texts: tuple[PartText, ...] = ()
    particulars: tuple[Particular, ...] = ()
    curves: tuple[Curve, ...] = ()


def readings_to_parts(
    readings: Iterable[Reading],
    texts: Iterable[PartText] = (),
    particulars: Iterable[Particular] = (),
    curves: Iterable[Curve] = (),
) -> tuple[Part, ...]:
    """Group readings by sheet and part, in the order read; `*` readings, particulars and curves go to every
    part of their sheet."""
    own: dict[tuple[str, str, str], list[Reading]] = {}
    series: dict[tuple[str, str], list[Reading]] = {}
    for reading in readings:
        sheet = (reading.document, reading.sha256)
        if reading.part_number == WHOLE_SERIES:
            series.setdefault(sheet, []).append(reading)
        else:
            own.setdefault((*sheet, reading.part_number), []).append(reading)
    said: dict[tuple[str, str, str], list[PartText]] = {}
    for text in texts:
        said.setdefault((text.document, text.sha256, text.part_number), []).append(text)
    further: dict[tuple[str, str, str], list[Particular]] = {}
    for one in particulars:
        further.setdefault((one.document, one.sha256, one.part_number), []).append(one)
    drawn: dict[tuple[str, str, str], list[Curve]] = {}
    for curve in curves:
        drawn.setdefault((curve.document, curve.sha256, curve.part_number), []).append(curve)
    return tuple(
        Part(
            number,
            document,
            sha256,
            (*numbers, *series.get((document, sha256), ())),
            tuple(said.get((document, sha256, number), ())),
            (
                *further.get((document, sha256, number), ()),
                *further.get((document, sha256, WHOLE_SERIES), ()),
            ),
            (*drawn.get((document, sha256, number), ()), *drawn.get((document, sha256, WHOLE_SERIES), ())),
        )
        for (document, sha256, number), numbers in own.items()
    )
