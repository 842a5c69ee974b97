"""Units, shares, kinds and test currents that only the whole sheet can settle.

Comes in: entries of all tables. Goes out: the same entries with units proven or doubted. A unit is
proven where only one reading of the column fits the trade's bounds; else the entry is doubted.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import replace
from decimal import Decimal
from statistics import median

from extract.cell_entries import NO_TEST_CURRENT, Entry
from extract.derating_entries import UNNAMED_DERATING
from extract.joins import label_to_parts
from extract.schema import Kind, Quantity
from extract.vocabulary import Unit, unit_of_quantity, unit_spellings

# Published vendor data: the range of a column's middle value. Outside it a unit is not believed.
_BELIEVED = {
    "A": (Decimal("0.008"), Decimal("40")),
    "V": (Decimal("3"), Decimal("1000")),
    "W": (Decimal("0.05"), Decimal("15")),
    "ohm": (Decimal("0.0008"), Decimal("120")),
    "s": (Decimal("0.004"), Decimal("200")),
}
HEAT_LOW, HEAT_HIGH = Decimal("0.006"), Decimal("1.0")  # wider than ever seen, a thousandth apart
_MAX_CURRENT = (Decimal("0.3"), Decimal("400"))
MOST_ROWS = Decimal("0.6")


def settle_units(entries: Sequence[Entry]) -> list[Entry]:
    """Give unit-less columns the SI unit if it alone fits, else a doubt; doubt units that cannot be."""
    settled = list(entries)
    for numbers in _by(settled, _column_key).values():
        group = [settled[n] for n in numbers]
        if group[0].is_factor:
            continue
        proven = _prove_resistance_unit(group, entries)
        if proven is not None:
            for n in numbers:
                settled[n] = _with_proven_unit(settled[n], proven)
            continue
        middle = median(entry.value for entry in group)
        for n in numbers:
            settled[n] = _settle_unit(settled[n], middle, all(e.unit is None for e in group))
    return settled


def _with_proven_unit(entry: Entry, unit: Unit) -> Entry:
    note = f"unit not printed; {unit.name} proven by the heat ratio of hold, resistance and power"
    return replace(entry, unit=unit, value=entry.value * unit.factor, notes=(*entry.notes, note))


def _prove_resistance_unit(group: Sequence[Entry], entries: Sequence[Entry]) -> Unit | None:
    """The one unit with which hold current squared times resistance over tripped power lies where it
    lies for every part (published vendor data: 0.018 to 0.5); None where hold or power is not known."""
    if group[0].quantity is not Quantity.RESISTANCE or any(entry.unit is not None for entry in group):
        return None
    hold = {e.label: e.value for e in entries if e.quantity is Quantity.HOLD_CURRENT and _is_in_units(e)}
    power = {e.label: e.value for e in entries if e.quantity is Quantity.TRIPPED_POWER and _is_in_units(e)}
    heats = [
        hold[e.label] ** 2 * e.value / power[e.label] for e in group if e.label in hold and e.label in power
    ]
    if len(heats) < max(2, len(group) // 2):
        return None
    fitting = [
        unit
        for unit in _units_of("ohm")
        if sum(HEAT_LOW <= heat * unit.factor <= HEAT_HIGH for heat in heats) >= 0.9 * len(heats)
    ]
    return fitting[0] if len(fitting) == 1 else None


def _is_in_units(entry: Entry) -> bool:
    """A rating with a printed unit and a value above zero."""
    return entry.is_rating and not entry.is_factor and entry.unit is not None and entry.value > 0


def _by(entries: Sequence[Entry], key: Callable[[Entry], object]) -> dict[object, list[int]]:
    groups: dict[object, list[int]] = defaultdict(list)
    for number, entry in enumerate(entries):
        groups[key(entry)].append(number)
    return groups


def _column_key(entry: Entry) -> tuple[object, ...]:
    return id(entry.table), entry.cell.column, entry.quantity, entry.kind


def _settle_unit(entry: Entry, middle: Decimal, unprinted: bool) -> Entry:
    low, high = _bounds(entry.quantity)
    if entry.unit is not None:
        if low <= middle <= high:
            return entry
        return replace(
            entry,
            doubts=(
                *entry.doubts,
                f"the column's middle value {middle} {entry.unit.base} is beyond the trade's range",
            ),
        )
    if not unprinted:
        return replace(
            entry, doubts=(*entry.doubts, "no unit printed here, though in other cells of the column")
        )
    base = unit_of_quantity(entry.quantity)
    fitting = [unit for unit in _units_of(base) if low <= middle * unit.factor <= high]
    if len(fitting) == 1 and fitting[0].factor == 1:
        return replace(entry, notes=(*entry.notes, f"unit not printed; only {base} fits the trade's range"))
    if any(unit.factor == 1 for unit in fitting):
        return replace(
            entry,
            notes=(*entry.notes, f"unit not printed; read as {base}"),
            doubts=(*entry.doubts, *_unit_doubt(entry, fitting)),
        )
    return replace(
        entry, doubts=(*entry.doubts, f"unit not printed and {middle} {base} is beyond the trade's range")
    )


def _unit_doubt(entry: Entry, fitting: Sequence[Unit]) -> tuple[str, ...]:
    """A printed decimal point below ten settles amps, watts and seconds; resistance stays open."""
    if entry.quantity is Quantity.RESISTANCE or len(fitting) > 1:
        return (f"unit not printed: {' or '.join(unit.name for unit in fitting)}",)
    return ()


def _units_of(base: str) -> tuple[Unit, ...]:
    return tuple(dict.fromkeys(unit for unit in unit_spellings().values() if unit.base == base))


def _bounds(quantity: Quantity) -> tuple[Decimal, Decimal]:
    return _MAX_CURRENT if quantity is Quantity.MAX_CURRENT else _BELIEVED[unit_of_quantity(quantity)]


def settle_milliamps(entries: Sequence[Entry], parts: Sequence[str]) -> list[Entry]:
    """Rows of derating without a unit whose reference column repeats the ratings a thousandfold are in mA."""
    settled = list(entries)
    for numbers in _by(settled, lambda e: (id(e.table), e.quantity, e.is_rating)).values():
        group = [settled[n] for n in numbers]
        if group[0].is_rating or any(e.is_factor or e.unit is not None for e in group):
            continue
        rated = _rated_values(entries, group[0].quantity, parts)
        near = [e for e in group if _is_near(e)]
        met = {e.label for e in near if e.value / 1000 in _values_of(e.label, rated, parts)}
        if near and len(met) >= MOST_ROWS * len({e.label for e in near}):
            note = "unit not printed; mA proven by the ratings in the reference column"
            milliamps = unit_spellings()["ma"]
            for n in numbers:
                value = settled[n].value * milliamps.factor
                settled[n] = replace(
                    settled[n], value=value, unit=milliamps, notes=(*settled[n].notes, note)
                )
    return settled


def _rated_values(
    entries: Sequence[Entry], quantity: Quantity, parts: Sequence[str]
) -> dict[str, Decimal]:
    """Part -> its rating of a quantity, in SI units."""
    return {
        part: e.value
        for e in entries
        if e.quantity is quantity and e.is_rating and not e.is_factor
        for part in label_to_parts(e.label, parts, 99).parts
    }


def _values_of(label: str, rated: Mapping[str, Decimal], parts: Sequence[str]) -> set[Decimal]:
    return {rated[part] for part in label_to_parts(label, parts, 99).parts if part in rated}


def settle_deratings(entries: Sequence[Entry], parts: Sequence[str]) -> list[Entry]:
    """Prove hold or trip of derating tables in amps by their reference column; shares without a name
    are of the hold current, by the trade's usage (common practice, no source)."""
    rated = {
        quantity: _rated_values(entries, quantity, parts)
        for quantity in (Quantity.HOLD_CURRENT, Quantity.TRIP_CURRENT)
    }
    settled = list(entries)
    for numbers in _by(settled, lambda e: (id(e.table), e.quantity, e.is_rating)).values():
        group = [settled[n] for n in numbers]
        if group[0].is_rating:
            continue
        proven = None if group[0].is_factor else _prove_quantity(group, rated, parts)
        for n in numbers:
            settled[n] = _with_quantity(settled[n], proven)
    return settled


def _prove_quantity(
    group: Sequence[Entry], rated: dict[Quantity, dict[str, Decimal]], parts: Sequence[str]
) -> Quantity | None:
    """The quantity whose ratings the reference column repeats in most rows, if only one does."""
    near = [e for e in group if _is_near(e)]
    proven = []
    for quantity, values in rated.items():
        met = seen = 0
        for label in {e.label for e in near}:
            own = [values[part] for part in label_to_parts(label, parts, 99).parts if part in values]
            seen += bool(own)
            met += any(e.label == label and e.value in own for e in near)
        if seen and met >= 0.6 * seen:
            proven.append(quantity)
    return proven[0] if len(proven) == 1 else None


def _with_quantity(entry: Entry, proven: Quantity | None) -> Entry:
    unnamed = [doubt for doubt in entry.doubts if doubt == UNNAMED_DERATING]
    others = tuple(doubt for doubt in entry.doubts if doubt != UNNAMED_DERATING)
    if proven is None:
        if unnamed and entry.is_factor:
            return replace(
                entry,
                doubts=others,
                notes=(*entry.notes, "shares without a name read as shares of the hold current"),
            )
        return entry
    note = f"{proven.value} proven by the ratings in the reference column"
    if proven is entry.quantity or unnamed:
        return replace(
            entry, quantity=proven, doubts=others, notes=(*entry.notes, note) if unnamed else entry.notes
        )
    return replace(entry, doubts=(*others, f"named {entry.quantity.value}, but {note}"))


def settle_shares(entries: Sequence[Entry], parts: Sequence[str]) -> list[Entry]:
    """Tell amps from bare shares in derating tables without a percent sign in their cells.

    1 or 100 in the reference column of most rows, where the ratings are not, proves factors or percent;
    the ratings there prove amps, whatever word of shares stands near the table.
    """
    rated = _rated_holds(entries, parts)
    settled = list(entries)
    for numbers in _by(settled, lambda e: (id(e.table), e.is_rating)).values():
        group = [settled[n] for n in numbers]
        settles_itself = any("%" in e.cell.text or (e.printed_unit and not e.is_factor) for e in group)
        if group[0].is_rating or settles_itself:
            continue
        if any(e.is_factor for e in group):
            for n, entry in zip(numbers, _doubt_shares(group, rated, parts), strict=True):
                settled[n] = entry
            continue
        factor = _prove_share(group, rated, parts)
        for n in numbers if factor is not None else ():
            value = settled[n].value * (factor or 1)
            note = "1 or 100 at the reference ambient: shares of the rating"
            settled[n] = replace(settled[n], value=value, is_factor=True, notes=(*settled[n].notes, note))
    return settled


def _doubt_shares(
    group: Sequence[Entry], rated: dict[str, set[Decimal]], parts: Sequence[str]
) -> list[Entry]:
    """A table read as shares by a word: amps if its reference column repeats the ratings; doubted if
    that column is neither those nor 1."""
    near = [e for e in group if _is_near(e)]
    rows = {e.label for e in near}
    whole = {e.label for e in near if e.value == 1}
    for scale in (Decimal(1), Decimal(100), Decimal("0.1"), Decimal("0.001")):  # A or mA, taken for % or 1
        same = {
            e.label
            for e in near
            for part in label_to_parts(e.label, parts, 99).parts
            if e.value * scale in rated.get(part, ())
        }
        if len(same) >= MOST_ROWS * len(rows) and len(same) > len(whole):
            note = "amps: the reference column repeats the ratings"
            amps = unit_spellings()["a"]
            return [
                replace(e, value=e.value * scale, is_factor=False, unit=amps, notes=(*e.notes, note))
                if e.is_factor
                else e
                for e in group
            ]
    if not rows or len(whole) >= MOST_ROWS * len(rows):
        return list(group)
    doubt = "read as shares by a word near the table, but its reference column is not 1 or 100"
    return [replace(e, doubts=(*e.doubts, doubt)) for e in group]


def _is_near(entry: Entry) -> bool:
    """Whether a number is of an ambient at which sheets state their ratings."""
    return entry.ambient_c is not None and 15 <= entry.ambient_c <= 30


def _rated_holds(entries: Sequence[Entry], parts: Sequence[str]) -> dict[str, set[Decimal]]:
    """Part -> its hold currents at the reference ambient: more than one if the sheet gives several; of a
    part that is rated nowhere else, that of the only column near such an ambient."""
    rated: dict[str, set[Decimal]] = defaultdict(set)
    derated: dict[str, set[Decimal]] = defaultdict(set)
    for e in entries:
        is_hold = e.quantity is Quantity.HOLD_CURRENT and not e.is_factor
        if is_hold and (_is_near(e) or (e.is_rating and e.ambient_c is None)):
            for part in label_to_parts(e.label, parts, 99).parts:
                (rated if e.is_rating else derated)[part].add(e.value)
    return {**{part: values for part, values in derated.items() if len(values) == 1}, **rated}


def _prove_share(
    group: Sequence[Entry], rated: dict[str, set[Decimal]], parts: Sequence[str]
) -> Decimal | None:
    near = [e for e in group if _is_near(e)]
    same = sum(
        e.value in rated.get(part, ()) for e in near for part in label_to_parts(e.label, parts, 99).parts
    )
    for whole, factor in ((Decimal(1), Decimal(1)), (Decimal(100), Decimal("0.01"))):
        rows = {e.label for e in near if e.value == whole}
        if len(rows) >= 0.8 * len({e.label for e in near}) and len(rows) > same:
            return factor
    return None


def settle_multiples(
    entries: Sequence[Entry], parts: Sequence[str], noted: float | None = None
) -> list[Entry]:
    """Test currents given as a multiple of the hold current become amps. `noted`: the only multiple that
    the notes of the sheet name, for times without any test current beside them."""
    rated = _rated_holds(entries, parts)
    noting = [_with_noted_multiple(entry, noted) if noted is not None else entry for entry in entries]
    return [_settle_multiple(entry, rated, parts) for entry in noting]


def _with_noted_multiple(entry: Entry, noted: float) -> Entry:
    if NO_TEST_CURRENT not in entry.doubts:
        return entry
    doubts = tuple(doubt for doubt in entry.doubts if doubt != NO_TEST_CURRENT)
    return replace(
        entry, test_multiple=noted, doubts=doubts, notes=(*entry.notes, "test current by a note of the sheet")
    )


def _settle_multiple(entry: Entry, rated: dict[str, set[Decimal]], parts: Sequence[str]) -> Entry:
    if entry.test_multiple is None:
        return entry
    own = [rated[part] for part in label_to_parts(entry.label, parts, 99).parts if part in rated]
    values = set[Decimal]().union(*own)
    if len(values) != 1:
        which = "of which the sheet gives several" if values else "that was not read"
        doubt = f"test current is a multiple of a hold current {which}"
        return replace(entry, doubts=(*entry.doubts, doubt))
    current = values.pop() * Decimal(str(entry.test_multiple))
    return replace(
        entry,
        test_current_a=float(current),
        notes=(*entry.notes, f"test current {entry.test_multiple:g} x hold"),
    )


def settle_kinds(entries: Sequence[Entry]) -> list[Entry]:
    """AC and DC are kept only where the sheet gives both for a quantity."""
    kinds: dict[Quantity, set[Kind]] = defaultdict(set)
    for entry in entries:
        kinds[entry.quantity].add(entry.kind)
    return [_drop_lone_current_kind(entry, kinds[entry.quantity]) for entry in entries]


def _drop_lone_current_kind(entry: Entry, kinds: Iterable[Kind]) -> Entry:
    if entry.kind in (Kind.AC, Kind.DC) and not {Kind.AC, Kind.DC} <= set(kinds):
        return replace(entry, kind=Kind.NONE)
    return entry
