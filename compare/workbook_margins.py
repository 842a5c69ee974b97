"""Each margin as formulas over the inputs and the corners, or marked as computed for what was stated.

Comes in: a margin as judged, its case, and where it shall stand. Goes out: the cells of one row of the sheet
Margins. The formulas say what `margins_steady`, `margins_trip` and `margins_tripped` say;
bench/workbook_engine.py holds the two against each other. Writes nothing.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

from compare.conductors import MM_PER_INCH, TRACK_FACTOR
from compare.corners import (
    LARGEST_POWER,
    SMALLEST_POWER,
    power_of_kinds,
    rating_for_supply,
)
from compare.judging import MODEL_NOT_ALLOWED
from compare.margins_steady import (
    BARE_DROP_MARGIN,
    BARE_DROP_SHARE,
    COLD_RESISTANCE,
    WARM_MODEL,
    WARM_MODEL_SHARE,
    surge_at_rating,
)
from compare.margins_trip import BETWEEN
from compare.margins_tripped import unproven_by
from compare.records import Basis, Number, Sense, weakest
from compare.thermal import REFERENCE_C, WARM
from compare.workbook_cells import Build, Cells, Row, met, number_text, text
from compare.workbook_inputs import (
    COLDEST,
    HOTTEST,
    INPUTS_OK,
    LOWEST_V,
    NEEDED_HOLD,
    RESTS_ON,
    input_name,
    same_name,
)
from compare.workbook_look import Formula, Value
from compare.workbook_timed import CHANGED, by_fault, pulse_cells, time_to_trip_cells
from extract.schema import Kind, Quantity

NEVER_TRIPS = "the lowest fault current does not exceed the hold current: the part never trips"


def row_to_cells(row: Row) -> Cells:
    """The formulas of a margin; every one is empty rather than an error."""
    cells = BUILDERS[row.margin.name](row) if row.margin.name in BUILDERS else _as_stated(row)
    number = f"AND(ISNUMBER({row.value}),ISNUMBER({row.limit}))"
    verdict = cells.verdict or f'IF({number},{_simple(row)},"undetermined")'
    over, under = _over_under(row)
    margin = cells.margin or f'IF({number},IF({under}>0,{over}/{under},""),"")'
    return replace(cells, verdict=f'IF({INPUTS_OK},{verdict},"recompute")',
                   margin=f'IF({INPUTS_OK},IFERROR({margin},""),"")',
                   value=f'IFERROR({cells.value},"")', limit=f'IFERROR({cells.limit},"")')


def _simple(row: Row, fits: str = '"fits"') -> str:
    return f'IF({met(row.value, row.limit, row.margin.sense)},{fits},"fails")'


def _over_under(row: Row) -> tuple[str, str]:
    return (row.value, row.limit) if row.margin.sense is Sense.AT_LEAST else (row.limit, row.value)


def _as_stated(row: Row) -> Cells:
    """A margin without formula: its stated outcome (columns R to U) while nothing it rests on has changed."""
    same, r = same_name(row.margin.name), row.row
    return Cells(value=f'IF(AND({same},ISNUMBER($R{r})),$R{r},"")',
                 limit=f'IF(AND({same},ISNUMBER($S{r})),$S{r},"")',
                 verdict=f'IF({same},$U{r},"recompute")',
                 margin=f'IF({same},IF(ISNUMBER($T{r}),$T{r},""),"")',
                 note=f'IF({same},IF($V{r}="","",$V{r}),{text(CHANGED)})')


def _plain(row: Row, limit: str) -> Cells:
    """A rating that depends on no input, or none; then the note as judged stands in column V."""
    value = row.margin.value
    return Cells(value='""' if value is None else number_text(value), limit=limit,
                 note=f"$V{row.row}" if row.margin.note else "")


def _hold(row: Row) -> Cells:
    here, most, least = (row.at(key) for key in ("hold_hot", "hold_hot_most", "hold_hot_least"))
    over = met(least, row.limit, Sense.AT_LEAST)
    enough = f'IF(ISNUMBER({least}),IF({over},{least},""),"")'
    under = f'AND(ISNUMBER({most}),NOT({met(most, row.limit, Sense.AT_LEAST)}))'
    beyond = f"IF({under},{most},{enough})"
    return Cells(value=f"IF(ISNUMBER({here}),{here},{beyond})", limit=NEEDED_HOLD,
                 basis=f'IF(ISNUMBER({here}),{row.line("I", "hold_hot_row")},'
                       f'IF(ISNUMBER({row.value}),"assumed",""))',
                 note=f'IF(ISNUMBER({row.value}),"",{row.line("J", "hold_hot_row")})',
                 source=row.line("N", "hold_hot_row"), assumed=_if_known(row, "M", "hold_hot_row"))


def _trip_certainty(row: Row) -> Cells:
    fault, trip, held = row.at("fault_low"), row.at("trip_cold"), row.at("hold_cold_least")
    most = row.at("fault_most")
    never = f"AND(ISNUMBER({held}),{fault}<={held})"
    never_more = f"AND(ISNUMBER({held}),ISNUMBER({most}),{most}<={held})"
    trips, at_most = met(trip, fault, Sense.AT_MOST), row.at("trip_cold_most")
    bounded = f"IF(ISNUMBER({at_most}),IF({never},FALSE,{met(at_most, fault, Sense.AT_MOST)}),FALSE)"
    otherwise = f'IF({never},"fails","undetermined")'
    with_trip = f'IF({trips},"fits",{otherwise})'
    known = f"ISNUMBER({fault})"
    missing = f'$V{row.row}' if row.case.lowest_fault.value is None else '""'
    between = f'IF({trips},"",{text(BETWEEN)})'
    note = (f'IF({known},IF({never},{text(NEVER_TRIPS)},IF(ISNUMBER({trip}),{between},'
            f'IF({bounded},"",{row.line("J", "trip_cold_row")}))),'
            f'IF({never_more},{text(NEVER_TRIPS)},{missing}))')
    return Cells(value=f'IF({known},IF(ISNUMBER({trip}),{trip},IF({bounded},{at_most},"")),"")',
                 limit=f'IF({known},{fault},IF({never_more},{most},""))',
                 verdict=f'IF({known},IF(ISNUMBER({trip}),{with_trip},IF({bounded},"fits",{otherwise})),'
                         f'IF({never_more},"fails","undetermined"))',
                 basis=by_fault(row, _basis_of_trip(row)), note=note,
                 source=f'{row.line("N", "trip_cold_row")}&IF($W{row.row}="","","; "&$W{row.row})',
                 assumed=_if_known(row, "M", "trip_cold_row"))


def _if_known(row: Row, column: str, key: str) -> str:
    """What Lines says, where there is a value."""
    return f'IF(ISNUMBER({row.value}),{row.line(column, key)},"")'


def _basis_of_trip(row: Row) -> str:
    own = f'IF(ISNUMBER({row.at("trip_cold")}),{row.line("I", "trip_cold_row")},"assumed")'
    return f'IF(ISNUMBER({row.value}),{own},"")'


def _trip_against(limit: Callable[[Row], str], *, bounded: bool = True) -> Build:
    """The trip current at the coldest against a limit, or where it is not known its bounds."""
    def build(row: Row) -> Cells:
        here, most, least = (row.at(key) for key in ("trip_cold", "trip_cold_most", "trip_cold_least"))
        enough = f'IF(ISNUMBER({most}),IF({met(most, row.limit, Sense.AT_MOST)},{most},""),"")'
        over = f"IF(ISNUMBER({least}),NOT({met(least, row.limit, Sense.AT_MOST)}),FALSE)"
        value = f"IF(ISNUMBER({here}),{here},IF({over},{least},{enough}))" if bounded else here
        return Cells(value=value, limit=limit(row), basis=_basis_of_trip(row),
                     note=f'IF(ISNUMBER({row.value}),"",{row.line("J", "trip_cold_row")})',
                     source=row.line("N", "trip_cold_row"), assumed=_if_known(row, "M", "trip_cold_row"))
    return build


def _input(field: str) -> Callable[[Row], str]:
    return lambda row: input_name(field)  # noqa: ARG005 - the same for every row


def _track_ampacity(row: Row) -> Cells:
    track = row.case.requirement.track
    assert track is not None  # else the margin would not be asked
    square_mils = (f"({input_name('track.width_mm')}*{input_name('track.copper_um')}/1000/"
                   f"{number_text(MM_PER_INCH / 1000)}^2)")
    limit = (f"{number_text(TRACK_FACTOR[track.layer])}*{input_name('track.temperature_rise_max_k')}^0.44*"
             f"{square_mils}^0.725")
    cells = _trip_against(lambda _: limit, bounded=False)(row)
    basis, why = f'IF(ISNUMBER({row.value}),"model","")', _why_not(row, "track")
    return replace(cells, verdict=_by_model(row, why), basis=basis, note=_model_note(row, why, cells.note))


def _why_not(row: Row, model: str, unproven: str = "") -> str:
    """Why a model may not say fits, or empty."""
    return unproven or ("" if row.case.requirement.allows(model) else MODEL_NOT_ALLOWED)


def _by_model(row: Row, why: str) -> str:
    """A model fits only where nothing stands against it."""
    fits = '"undetermined"' if why else '"fits"'
    number = f"AND(ISNUMBER({row.value}),ISNUMBER({row.limit}))"
    return f'IF({number},{_simple(row, fits)},"undetermined")'


def _model_note(row: Row, why: str, otherwise: str) -> str:
    if not why:
        return otherwise
    fits = f"AND(ISNUMBER({row.value}),ISNUMBER({row.limit}),{met(row.value, row.limit, row.margin.sense)})"
    return f"IF({fits},{text(why)},{otherwise or _empty()})"


def _empty() -> str:
    return '""'


def _max_current(row: Row) -> Cells:
    requirement, fault = row.case.requirement, row.at("fault_high")
    surge = surge_at_rating(row.case)
    if surge is not None:
        fault = f'IF(AND(ISNUMBER({fault}),ISNUMBER({_surge(row)})),MAX({fault},{_surge(row)}),"")'
    value = rating_for_supply(row.case.numbers, Quantity.MAX_CURRENT, requirement.supply).value
    basis = weakest(row.case.highest_fault.basis, Basis.DATA if surge is None else surge.basis)
    rating = '""' if value is None else number_text(value)
    return Cells(value=f'IF(ISNUMBER({row.limit}),{rating},"")', limit=fault,
                 basis=f'IF(ISNUMBER({row.value}),{text(basis.value)},"")',
                 note=f"$V{row.row}" if row.margin.note else "")


def _surge(row: Row) -> str:
    """As `corners.transient_current`: what the transient drives through the part, A."""
    if row.case.requirement.load_current_a is not None:
        return input_name("load_current_a")
    smallest = row.case.numbers.number(Quantity.RESISTANCE, Kind.MIN)
    if smallest is not None and smallest.value is None:
        return '""'
    part = "0" if smallest is None else row.at("r_min")
    return f"({input_name('transient_voltage_v')}/({input_name('transient_source_resistance_ohm')}+{part}))"


def _voltage_drop(row: Row) -> Cells:
    numbers, limit = row.case.numbers, input_name("voltage_drop_max_v")
    after = numbers.number(Quantity.RESISTANCE, Kind.POST_TRIP_MAX)
    resistance = after or numbers.number(Quantity.RESISTANCE, Kind.MAX) or numbers.number(
        Quantity.RESISTANCE, Kind.MIN)
    if resistance is None or resistance.value is None:
        return Cells('""', limit, note=f"$V{row.row}")
    drop = f"{number_text(resistance.value)}*in_normal_current_a"
    if after is not None:
        return _warm_drop(row, drop, limit)
    note = f'IF(ISNUMBER({row.value}),"","the sheet gives no post-trip resistance")'
    return Cells(f'IF({drop}>{limit},{drop},"")', limit, note=note)


def _warm_drop(row: Row, drop: str, limit: str) -> Cells:
    """As `margins_steady._warm_drop`."""
    held, load = row.at("hold_hot"), "in_normal_current_a"
    reference_c = row.case.derating.rated_hold()[0]
    known = f"ISNUMBER({held})" if reference_c is not None else "FALSE"
    cold_ok = met(f"({drop})", limit, Sense.AT_MOST)
    bare = f"AND({drop}*{BARE_DROP_MARGIN:g}<={limit},{load}<={BARE_DROP_SHARE:g}*{held})"
    far = f"{load}>{WARM_MODEL_SHARE:g}*{held}"
    per_k, share = f"{WARM.rise_per_k:g}", f"({load}/{held})^2"
    way = f"(in_switching_temperature_c-{HOTTEST})"
    rise = f"({per_k}*{way}/(1+{per_k}*({HOTTEST}-{REFERENCE_C:g})))"
    warmed = f"({share}/(1+{rise}*(1-{share})))"
    factor = f"MAX(1,1+{per_k}*({HOTTEST}+{warmed}*{way}-{number_text(reference_c or 0.0)}))"
    modelled = f"IF({cold_ok},IF({known},NOT(OR({bare},{far})),FALSE),FALSE)"
    allowed = row.case.requirement.allows("drop")
    fits = f'IF({met(row.value, row.limit, Sense.AT_MOST)},{text("fits" if allowed else "undetermined")},'
    verdict = (f'IF(NOT({cold_ok}),"fails",IF(NOT({known}),"undetermined",IF({bare},"fits",'
               f'IF({far},"undetermined",{fits}"undetermined")))))')
    why = (f'IF(NOT({cold_ok}),"",IF({modelled},{text(MODEL_NOT_ALLOWED if not allowed else "")},'
           f'IF({verdict}="fits","","how far the resistance of the warm part rises cannot be told")))')
    return Cells(f"IF({modelled},{drop}*{factor},{drop})", limit, verdict=verdict,
                 basis=f'IF({modelled},"model","assumed")', note=why,
                 assumed=f"IF({modelled},{text(WARM_MODEL)},{text(COLD_RESISTANCE)})")


def _power_at(row: Row, ambient: str, power: Number) -> str:
    """A tripped power of the sheet at an ambient, W, as a formula; empty where the sheet does not say."""
    stated_c = power.readings[0].ambient_c if power.readings else None
    known_c = stated_c if stated_c is not None else row.case.derating.rated_hold()[0]
    if power.value is None or known_c is None:
        return ""
    switching, known = input_name("switching_temperature_c"), number_text(known_c)
    value = f"{number_text(power.value)}*({switching}-{ambient})/({switching}-{known})"
    return f'IF({known}<{switching},{value},"")'


def _leakage(row: Row) -> Cells:
    number, kind = power_of_kinds(row.case.numbers, LARGEST_POWER)
    power, limit = _power_at(row, COLDEST, number), input_name("leakage_max_a")
    if not power:
        return Cells('""', limit, note=f"$V{row.row}")
    why = _why_not(row, "leakage", unproven_by(kind, Kind.MAX))
    return Cells(f"{power}/{LOWEST_V}", limit, verdict=_by_model(row, why), note=_model_note(row, why, ""),
                 basis=f'IF(ISNUMBER({row.value}),"model","")')


def _reset(row: Row) -> Cells:
    requirement = row.case.requirement
    itself = requirement.reset == "self"
    number, kind = power_of_kinds(row.case.numbers, SMALLEST_POWER if itself else LARGEST_POWER)
    power = _power_at(row, HOTTEST if itself else COLDEST, number)
    voltage = input_name("supply_voltage_v") if itself else LOWEST_V
    if not power or requirement.load_resistance_ohm is None:
        return Cells('""', power or '""', note=f"$V{row.row}")
    why = _why_not(row, "reset", unproven_by(kind, Kind.MIN if itself else Kind.MAX))
    return Cells(f"{voltage}^2/(4*{input_name('load_resistance_ohm')})", power, verdict=_by_model(row, why),
                 note=_model_note(row, why, ""), basis=f'IF(ISNUMBER({row.value}),"model","")')


def _endurance(row: Row) -> Cells:  # noqa: ARG001 - as every builder
    expected = f"{input_name('endurance.trips_per_month')}*12*{input_name('endurance.service_years')}"
    return Cells(input_name("endurance.rated_trips"), expected)


BUILDERS: dict[str, Build] = {
    "hold_current": _hold,
    "inrush": pulse_cells,
    "hot_plug": pulse_cells,
    "trip_certainty": _trip_certainty,
    "time_to_trip": time_to_trip_cells,
    "trip_current_limit": _trip_against(_input("trip_current_max_a")),
    "max_voltage": lambda row: _plain(row, input_name("supply_voltage_v")),
    "max_current": _max_current,
    "voltage_drop": _voltage_drop,
    "leakage": _leakage,
    "reset": _reset,
    "wire_ampacity": _trip_against(_input("wire.ampacity_a")),
    "track_ampacity": _track_ampacity,
    "endurance": _endurance,
}
"""Formulas by the name of a margin; the others (`RESTS_ON`) are computed for what was stated."""


def follows_inputs(name: str) -> bool:
    """Whether a margin follows the inputs; else it turns to "recompute" when what it rests on changes."""
    assert (name in BUILDERS) != (name in RESTS_ON), name
    return name in BUILDERS


def ambient_formula(row: Row) -> Value:
    """The ambient a margin is asked at, following the inputs."""
    if row.margin.at_c is None:
        return None
    requirement = row.case.requirement
    hot = row.margin.name in ("hold_current", "inrush", "hot_plug") or (
        row.margin.name == "reset" and requirement.reset == "self")
    return Formula(f"={HOTTEST if hot else COLDEST}")
