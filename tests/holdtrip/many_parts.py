"""Random invented sheets, decisions and requirements: every odd thing a table of a part may say."""

from collections.abc import Iterator
from contextlib import suppress
from dataclasses import replace
from hashlib import sha256
from random import Random

from compare.requirement import HotPlug, Requirement, Wire
from extract.errors import HoldtripError
from extract.schema import WHOLE_SERIES, Kind, PartText, Place, Quantity, Reading, SheetReading, Status
from holdtrip.library.records import Signature, Target
from holdtrip.library.store import Library

PLACE = Place(1, 10.0, 20.0, 40.0, 30.0)
GRIDS = ((-40.0, -20.0, 0.0, 23.0, 40.0, 50.0, 60.0, 70.0, 85.0), (-20.0, 20.0, 40.0, 60.0),
         (0.0, 25.0, 70.0), (-10.0, 0.0, 10.0, 20.0, 23.0, 25.0, 30.0, 50.0, 85.0))
ROW_QUANTITIES = {"hold": (Quantity.HOLD_CURRENT, Quantity.HOLD_RATIO),
                  "trip": (Quantity.TRIP_CURRENT, Quantity.TRIP_RATIO)}
RATINGS = {Quantity.MAX_VOLTAGE: (6.0, 16.0, 30.0, 60.0), Quantity.MAX_CURRENT: (10.0, 40.0, 100.0)}
KINDS: tuple[tuple[Kind, ...], ...] = (
    (Kind.NONE,),) * 8 + ((Kind.DC, Kind.AC), (Kind.AC,), (Kind.NONE, Kind.DC), ())
FORMS = ("row", "row", "rating", "rating", "rating", "own share", "elsewhere", "unplaced", "twice", "none")
"""How a sheet may give a current of a part."""
Said = tuple[str, Quantity, Kind, float | None, float | None, float]
"""Part number, quantity, kind, ambient in °C, test current in A, value."""


def random_sheet(chance: Random, document: str, parts: int, first: int = 0) -> SheetReading:
    """A sheet of parts; the same numbers in another document are a revision of it."""
    said: list[Said] = []
    grid, reference_c = chance.choice(GRIDS), chance.choice((20.0, 23.0, 25.0))
    for number in (f"QX-{first + index:03d}" for index in range(parts)):
        said += _part(chance, number, grid, reference_c)
    for words in ("hold", "trip"):
        if chance.random() < (0.6 if words == "hold" else 0.15):
            columns = chance.choice((grid, chance.choice(GRIDS)))
            said += _ratios(chance, WHOLE_SERIES, words, columns, reference_c)
        if chance.random() < 0.1:
            said.append((WHOLE_SERIES, ROW_QUANTITIES[words][0], Kind.NONE, reference_c, None, 0.9))
    digest = sha256(document.encode()).hexdigest()
    statuses = (Status.AGREED,) * 12 + (Status.SINGLE,) * 3 + (Status.DISPUTED,)
    readings = tuple(
        Reading(document, digest, number, quantity, kind, ambient_c, test_a, value, chance.choice(statuses),
                PLACE, f"{value:g}")
        for number, quantity, kind, ambient_c, test_a, value in said)
    texts = tuple(PartText(document, digest, number, "package", chance.choice(("1812", "1206")), PLACE)
                  for number in dict.fromkeys(one[0] for one in said) if number != WHOLE_SERIES)
    return SheetReading(document, digest, 2, (1,), "", readings, texts, ())


def _part(chance: Random, number: str, grid: tuple[float, ...], reference_c: float) -> Iterator[Said]:
    hold_a = round(chance.uniform(0.3, 2.5), 2)
    yield from _currents(chance, number, "hold", hold_a, grid, reference_c)
    trip_a = round(hold_a * chance.uniform(1.6, 2.4), 2)
    yield from _currents(chance, number, "trip", trip_a, grid, reference_c)
    for quantity, values in RATINGS.items():
        for kind in chance.choice(KINDS):
            yield number, quantity, kind, None, None, chance.choice(values)
    least_ohm = round(0.1 / hold_a * chance.uniform(0.7, 1.3), 4)
    ohms = ((Kind.MIN, least_ohm), (Kind.MAX, 2 * least_ohm), (Kind.POST_TRIP_MAX, 3 * least_ohm))
    for kind, ohm in ohms:
        if chance.random() < 0.9:
            yield number, Quantity.RESISTANCE, kind, None, None, ohm
    yield number, Quantity.TRIPPED_POWER, Kind.TYP, None, None, 0.8
    if chance.random() < 0.9:
        kind = chance.choice((Kind.NONE, Kind.NONE, Kind.TYP))
        ambient_c = chance.choice((None, reference_c, -40.0))
        time_s = round(chance.uniform(0.1, 8.0), 2)
        yield number, Quantity.TIME_TO_TRIP, kind, ambient_c, round(5 * hold_a, 2), time_s
    if chance.random() < 0.15:  # a second number for the same thing
        yield number, Quantity.MAX_VOLTAGE, Kind.NONE, None, None, 60.0
        yield number, Quantity.RESISTANCE, Kind.POST_TRIP_MAX, None, None, least_ohm


def _currents(
    chance: Random, number: str, words: str, rated_a: float, grid: tuple[float, ...], reference_c: float
) -> Iterator[Said]:
    quantity = ROW_QUANTITIES[words][0]
    form = chance.choice(FORMS)
    if form in ("row", "twice"):
        for ambient_c in grid:
            value = round(rated_a * _ratio(chance, ambient_c, reference_c), 3)
            yield number, quantity, Kind.NONE, ambient_c, None, value
            if form == "twice" and chance.random() < 0.4:
                other = round(value * chance.choice((0.8, 1.0, 1.1)), 3)
                yield number, quantity, Kind.NONE, ambient_c, None, other
    elif form != "none":
        ambient_c = {"unplaced": None, "elsewhere": chance.choice((0.0, 20.0, 40.0))}.get(form, reference_c)
        yield number, quantity, Kind.NONE, ambient_c, None, rated_a
    if form == "own share":
        yield from _ratios(chance, number, words, grid, reference_c)


def _ratios(
    chance: Random, number: str, words: str, grid: tuple[float, ...], reference_c: float
) -> Iterator[Said]:
    columns: list[float | None] = [*grid, reference_c] if chance.random() < 0.7 else [None]
    for ambient_c in dict.fromkeys(columns):
        ratio = 0.7 if ambient_c is None else _ratio(chance, ambient_c, reference_c)
        yield number, ROW_QUANTITIES[words][1], Kind.NONE, ambient_c, None, round(ratio, 2)


def _ratio(chance: Random, ambient_c: float, reference_c: float) -> float:
    if ambient_c == reference_c:
        return 1.0
    return max(0.0, 1.0 - chance.uniform(0.006, 0.011) * (ambient_c - reference_c)
               - (2.0 if chance.random() < 0.01 else 0.0))


def decide_at_random(chance: Random, library: Library) -> None:
    """Accept most parts; correct, reject and reopen some numbers; what makes no sense is left."""
    by = Signature("Ann", "seen")
    for row in library.list_parts(live_only=False):
        target = Target(row.part_number, sha256=row.sha256)
        if chance.random() < 0.9:
            library.accept(target, by, singles=True)
        number = replace(target, quantity=chance.choice(list(Quantity)))
        roll = chance.random()
        with suppress(HoldtripError):
            if roll < 0.08:
                library.correct(number, round(chance.uniform(0.2, 70.0), 2), by)
            elif roll < 0.16:
                library.reject(number, by)
            elif roll < 0.2:
                library.reopen(number, by)
    for one in library.sheets():
        series = Target(WHOLE_SERIES, sha256=one.sha256, quantity=Quantity.HOLD_RATIO, ambient_c=40.0)
        with suppress(HoldtripError):
            if chance.random() < 0.1:
                library.correct(series, 1.2, by)
            elif chance.random() < 0.1:
                library.reject(series, by)


def random_requirement(chance: Random) -> Requirement:
    """A requirement of a small circuit, that asks now one thing and now another."""
    maybe = chance.random
    cold_c = chance.choice((-40.0, -20.0, -10.0, 0.0, 3.7, 20.0, 23.0, 25.0))
    asked = Requirement(
        supply="dc" if maybe() < 0.9 else "ac", supply_voltage_v=chance.choice((5.0, 6.0, 12.6, 16.0)),
        normal_current_a=round(chance.uniform(0.1, 0.8), 2), ambient_cold_c=cold_c,
        ambient_hot_c=chance.choice((25.0, 40.0, 44.4, 50.0, 60.0, 85.0, 90.0)),
        hold_factor=chance.choice((1.0, 1.1)), neighbour_heating_k=chance.choice((0.0, 0.0, 5.0)),
        allow_model=maybe() < 0.4)
    if maybe() < 0.6:
        asked = replace(asked, fault_current_min_a=chance.choice((3.0, 5.0, 8.0)), fault_current_max_a=10.0)
    else:
        asked = replace(asked, source_resistance_min_ohm=chance.choice((0.3, 1.0)),
                        source_resistance_max_ohm=chance.choice((1.2, 2.0)), supply_voltage_min_v=4.75)
    extras: dict[str, dict[str, object]] = {
        "limit": {"supply_current_limit_a": 6.0}, "time": {"trip_time_max_s": 10.0},
        "drop": {"voltage_drop_max_v": 0.15}, "port": {"trip_current_max_a": 4.0},
        "peak": {"peak_current_a": 1.2, "peak_duration_s": 0.01}, "package": {"packages": ("1812",)},
        "assume": {"assume_reference_ambient_c": chance.choice((cold_c, 23.0, asked.hottest_c))},
        "wire": {"wire": Wire(150.0, awg=24.0, ampacity_a=3.5)}, "plug": {"hot_plug": HotPlug(1e-4, 0.5)},
        "leakage": {"leakage_max_a": 0.3}}
    for fields in extras.values():
        if maybe() < 0.15:
            asked = replace(asked, **fields)  # type: ignore[arg-type]
    return asked
