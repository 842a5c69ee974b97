"""Made-up sheets of an invented vendor for the library's tests: readings, texts, findings, no PDF."""

from hashlib import sha256

from extract.schema import (
    UNIT_OF,
    WHOLE_SERIES,
    Finding,
    Kind,
    Particular,
    ParticularName,
    PartText,
    Place,
    Quantity,
    Reading,
    Severity,
    SheetReading,
    Status,
)

PLACE = Place(1, 10.5, 20.25, 40.0, 30.125)
HOLD, TRIP, OHM = Quantity.HOLD_CURRENT, Quantity.TRIP_CURRENT, Quantity.RESISTANCE


def reading(document: str, number: str, quantity: Quantity, value: float, *, kind: Kind = Kind.NONE,
            ambient_c: float | None = None, status: Status = Status.AGREED, raw: str = "") -> Reading:
    """One number of a sheet, at one place."""
    return Reading(document, hash_of(document), number, quantity, kind, ambient_c, None, value, status, PLACE,
                   raw or f"{value:g}", UNIT_OF[quantity].replace("1", "%"))


def hash_of(document: str) -> str:
    """What stands for the hash of a made-up file's bytes."""
    return sha256(document.encode()).hexdigest()


def numbers_of(document: str, number: str, hold_a: float) -> list[Reading]:
    """The four numbers of one made-up part."""
    return [
        reading(document, number, HOLD, hold_a, ambient_c=23.0),
        reading(document, number, TRIP, 2 * hold_a, ambient_c=23.0),
        reading(document, number, Quantity.MAX_VOLTAGE, 16.0),
        reading(document, number, OHM, 0.2 / hold_a, kind=Kind.POST_TRIP_MAX, status=Status.SINGLE),
    ]


def sheet(document: str = "qx.pdf", holds_a: dict[str, float] | None = None, revision: str = "",
          more: tuple[Reading, ...] = (), series: bool = True) -> SheetReading:
    """Parts with their hold currents in A, a package each, and a derating row of the whole series."""
    holds_a = {"QX-050": 0.5, "QX-110": 1.1} if holds_a is None else holds_a
    numbers = [one for number, hold_a in holds_a.items() for one in numbers_of(document, number, hold_a)]
    if series:
        numbers.append(reading(document, WHOLE_SERIES, Quantity.HOLD_RATIO, 0.6, ambient_c=60.0))
    texts = tuple(PartText(document, hash_of(document), number, "package", "1812", PLACE)
                  for number in holds_a)
    findings = (Finding("unread-cell", Severity.DOUBT, "a cell left unread", document=document, place=PLACE),
                Finding("bare", Severity.NOTE, "no place known", quantity=OHM))
    particulars = (
        Particular(document, hash_of(document), WHOLE_SERIES, ParticularName.OPERATING_TEMPERATURE, Kind.MAX,
                   85.0, "", Status.AGREED, PLACE, "+85 °C", unit="°C"),
        *(Particular(document, hash_of(document), number, ParticularName.APPROVAL, Kind.NONE, None,
                     "file 1", Status.SINGLE, PLACE, "file 1", label="UL") for number in holds_a))
    return SheetReading(document, hash_of(document), 4, (1, 3), revision, (*numbers, *more), texts, findings,
                        particulars=particulars, house="Quarrow")


def many_parts(document: str, parts: int) -> SheetReading:
    """A sheet of that many parts, named after the document."""
    return sheet(document, {f"{document.upper()}{index:05d}": 0.1 + index / 1000 for index in range(parts)})
