"""Each rule is silent on a sound series and speaks of one planted error."""

from collections.abc import Callable
from dataclasses import replace

import pytest

from extract.checks import readings_to_findings
from extract.schema import Finding, Kind, Place, Quantity, Reading, Severity, Status

Planter = Callable[..., list[Reading]]
HOLD, TRIP = Quantity.HOLD_CURRENT, Quantity.TRIP_CURRENT
POWER, OHM, TIME = Quantity.TRIPPED_POWER, Quantity.RESISTANCE, Quantity.TIME_TO_TRIP


def grave(readings: list[Reading]) -> list[Finding]:
    """Errors and doubts."""
    return [f for f in readings_to_findings(readings) if f.severity is not Severity.NOTE]


def to(value: float) -> Callable[[Reading], Reading]:
    """Change a reading to a value, printed so."""
    return lambda r: replace(r, value=value, raw=str(value))


def at(current_a: float) -> Callable[[Reading], Reading]:
    """Change a reading's test current."""
    return lambda r: replace(r, test_current_a=current_a)


def test_a_sound_series_raises_neither_error_nor_doubt(sound: list[Reading]) -> None:
    """Rows that follow published shapes and ratios are left alone."""
    assert grave(sound) == []


PLANTED = [
    ("value-not-positive", OHM, Kind.POST_TRIP_MAX, None, to(-0.8)),
    ("value-impossible", POWER, Kind.TYP, None, to(600.0)),
    ("value-unusual", TIME, Kind.NONE, None, to(300.0)),
    ("trip-not-above-hold", TRIP, Kind.NONE, None, to(0.45)),
    ("resistance-order", OHM, Kind.MIN, None, to(0.95)),
    ("test-current-below-hold", TIME, Kind.NONE, None, at(0.4)),
    ("test-current-below-trip", TIME, Kind.NONE, None, at(0.8)),
    ("test-current-above-maximum", TIME, Kind.NONE, None, at(60.0)),
    ("maximum-current-low", Quantity.MAX_CURRENT, Kind.NONE, None, to(1.5)),
    ("trip-hold-ratio", TRIP, Kind.NONE, None, to(10.0)),
    ("resistance-ratio", OHM, Kind.MIN, None, to(0.0024)),
    ("heat-ratio", POWER, Kind.TYP, None, to(6.0)),
    ("leakage-ratio", Quantity.MAX_VOLTAGE, Kind.NONE, None, to(1.3)),
    ("test-current-ratio", TIME, Kind.NONE, None, at(39.0 * 2)),
    ("rises-with-ambient", HOLD, Kind.NONE, 60.0, to(0.40)),
    ("derating-slope", HOLD, Kind.NONE, 85.0, to(0.08)),
    ("derating-off-line", HOLD, Kind.NONE, 0.0, to(0.64)),
    ("derating-off-shape", HOLD, Kind.NONE, 70.0, to(0.33)),
    ("code-current-differs", HOLD, Kind.NONE, 23.0, to(0.52)),
    ("code-voltage-differs", Quantity.MAX_VOLTAGE, Kind.NONE, None, to(16.0)),
    ("test-pattern-differs", TIME, Kind.NONE, None, at(3.75)),
    ("neighbour-outlier", OHM, Kind.POST_TRIP_MAX, None, to(3.4)),
    ("neighbour-copy", TRIP, Kind.NONE, None, to(0.70)),
]


@pytest.mark.parametrize(
    ("code", "quantity", "kind", "ambient_c", "change"), PLANTED, ids=[p[0] for p in PLANTED]
)
def test_a_planted_error_is_found(
    plant: Planter,
    code: str,
    quantity: Quantity,
    kind: Kind,
    ambient_c: float | None,
    change: Callable[[Reading], Reading],
) -> None:
    """One wrong number of one part raises the rule's own code for that part and no error elsewhere."""
    findings = grave(plant("QLM-0050-60", quantity, change, kind, ambient_c))
    assert code in {f.code for f in findings if f.part_number == "QLM-0050-60"}
    assert {f.part_number for f in findings if f.severity is Severity.ERROR} <= {"QLM-0050-60"}


@pytest.mark.parametrize("factor", [1000.0, 0.001])
@pytest.mark.parametrize("kind", [Kind.MIN, Kind.POST_TRIP_MAX])
def test_a_hold_current_in_another_unit_does_not_fit_the_resistance(
    sound: list[Reading], factor: float, kind: Kind
) -> None:
    """Without trip current, power and derating the resistance alone tells A from mA; sound rows pass."""
    for part in dict.fromkeys(r.part_number for r in sound):
        alone = [r for r in sound if r.part_number == part
                 and ((r.quantity, r.ambient_c) == (HOLD, 23.0) or (r.quantity, r.kind) == (OHM, kind))]
        assert grave(alone) == []
        slipped = [replace(r, value=r.value * factor) if r.quantity is HOLD else r for r in alone]
        assert "heat-at-hold" in {f.code for f in grave(slipped) if f.severity is Severity.ERROR}


@pytest.mark.parametrize("factor", [10.0, 0.1, 1000.0, 0.001])
@pytest.mark.parametrize(
    ("quantity", "kind"),
    [(HOLD, Kind.NONE), (TRIP, Kind.NONE), (POWER, Kind.TYP), (OHM, Kind.MIN), (OHM, Kind.POST_TRIP_MAX)],
)
def test_slips_of_a_factor_are_always_found(
    sound: list[Reading], factor: float, quantity: Quantity, kind: Kind
) -> None:
    """x10 and x1000 in hold, trip, resistance and power are found in every part, without its neighbours
    (published vendor data: the ratios of 94 rows)."""
    for part in dict.fromkeys(r.part_number for r in sound):
        alone = [
            replace(r, value=r.value * factor)
            if (r.quantity, r.kind) == (quantity, kind) and r.ambient_c in (None, 23.0)
            else r
            for r in sound
            if r.part_number == part
        ]
        assert grave(alone), part


def extra(part: str, quantity: Quantity, value: float, **more: object) -> Reading:
    """One more reading for the sound sheet."""
    made = Reading(
        "invented.pdf",
        "0" * 64,
        part,
        quantity,
        Kind.NONE,
        None,
        None,
        value,
        Status.AGREED,
        Place(1, 0.0, 0.0, 1.0, 1.0),
        str(value),
    )
    return replace(made, **more)  # type: ignore[arg-type]


ADDED = [
    ("interrupt-below-rated", [extra("QLM-0050-60", Quantity.MAX_INTERRUPT_VOLTAGE, 45.0)]),
    (
        "ac-above-dc",
        [
            extra("QLM-0050-60", Quantity.MAX_VOLTAGE, 72.0, kind=Kind.AC),
            extra("QLM-0050-60", Quantity.MAX_VOLTAGE, 60.0, kind=Kind.DC),
        ],
    ),
    ("typical-above-maximum", [extra("QLM-0050-60", POWER, 0.4, kind=Kind.MAX)]),
    ("power-ratio", [extra("QLM-0050-60", POWER, 6.4, kind=Kind.MAX)]),
    ("time-rises-with-current", [extra("QLM-0050-60", TIME, 9.0, test_current_a=8.0)]),
    ("reference-differs", [extra("QLM-0050-60", HOLD, 0.47, ambient_c=23.0)]),
    ("ambient-impossible", [extra("QLM-0050-60", HOLD, 0.2, ambient_c=850.0)]),
    (
        "reference-ratio",
        [
            extra("QLM-0300-30", HOLD, 3.0, ambient_c=23.0),
            extra("QLM-0300-30", Quantity.HOLD_RATIO, 0.97, ambient_c=23.0),
            extra("QLM-0300-30", Quantity.HOLD_RATIO, 1.17, ambient_c=0.0),
        ],
    ),
]


@pytest.mark.parametrize(("code", "more"), ADDED, ids=[a[0] for a in ADDED])
def test_an_added_contradiction_is_found(sound: list[Reading], code: str, more: list[Reading]) -> None:
    """A number that contradicts the part's others is found once it stands there."""
    assert code in {f.code for f in grave(sound + more)}


def test_a_voltage_with_a_footnote_digit_is_found(plant: Planter) -> None:
    """60 V with a note 2 typed as 602 is a usual voltage of the series with a digit behind it."""
    findings = grave(plant("QLM-0050-60", Quantity.MAX_VOLTAGE, to(602.0)))
    assert "footnote-digit" in {f.code for f in findings}


def test_exchanged_voltage_and_fault_current_are_doubted(sound: list[Reading]) -> None:
    """40 V and 60 A in a series of 60 V and 40 A; the same two numbers in all rows are how it is rated."""
    other = {Quantity.MAX_VOLTAGE: 40.0, Quantity.MAX_CURRENT: 60.0}
    swapped = [replace(r, value=other[r.quantity], raw=f"{other[r.quantity]:g}")
               if r.part_number == "QLM-0050-60" and r.quantity in other else r for r in sound]
    assert "ratings-exchanged" in {f.code for f in grave(swapped)}
    everywhere = [replace(r, value=other[r.quantity], raw=f"{other[r.quantity]:g}")
                  if r.quantity in other else r for r in sound]
    assert "ratings-exchanged" not in {f.code for f in grave(everywhere)}


def test_a_part_whose_resistances_all_differ_is_made_otherwise(sound: list[Reading]) -> None:
    """Both resistances four times as large is a note; one of them is a doubt."""
    def larger(*kinds: Kind) -> list[Reading]:
        return [replace(r, value=r.value * 4.0, raw="")
                if r.part_number == "QLM-0050-60" and r.quantity is Quantity.RESISTANCE and r.kind in kinds
                else r for r in sound]

    assert "neighbour-outlier" in {f.code for f in grave(larger(Kind.MIN))}
    assert "neighbour-outlier" not in {f.code for f in grave(larger(Kind.MIN, Kind.POST_TRIP_MAX))}


def test_a_code_has_no_room_for_tenths_of_a_volt(sound: list[Reading]) -> None:
    """13.2 V under the code 13 is right, 12 V is not."""
    def rated(volts: float) -> list[Reading]:
        return [replace(r, part_number=r.part_number.replace("-60", "-13") if r.part_number == "QLM-0050-60"
                        else r.part_number, value=volts if r.quantity is Quantity.MAX_VOLTAGE else r.value)
                if r.part_number == "QLM-0050-60" else r for r in sound]

    assert "code-voltage-differs" not in {f.code for f in grave(rated(13.2))}
    assert "code-voltage-differs" in {f.code for f in grave(rated(12.0))}


def test_siblings_of_one_hold_current_trip_alike(sound: list[Reading]) -> None:
    """A second part of 0.50 A in the series that trips far elsewhere is doubted; what differs by no more than
    sizes of one current do is not."""
    def doubts(trip_a: float) -> set[str]:
        more = [extra("QLM-0050-30", HOLD, 0.5, ambient_c=23.0),
                extra("QLM-0050-30", TRIP, trip_a, ambient_c=23.0)]
        return {f.code for f in grave(sound + more)}

    assert "sibling-differs" in doubts(1.3)
    assert "sibling-differs" not in doubts(1.1)
    assert "sibling-differs" not in doubts(1.0)


def test_a_seldom_voltage_is_only_noted(plant: Planter) -> None:
    """A voltage off the list is for information."""
    found = [
        f
        for f in readings_to_findings(plant("QLM-0050-60", Quantity.MAX_VOLTAGE, to(61.0)))
        if f.code == "value-not-in-list"
    ]
    assert [f.severity for f in found] == [Severity.NOTE]


def test_a_finding_tells_place_and_values(plant: Planter) -> None:
    """A finding names the document, the part, the value found and what was expected."""
    finding = next(f for f in grave(plant("QLM-0050-60", TRIP, to(0.45))) if f.code == "trip-not-above-hold")
    assert finding.document == "invented.pdf"
    assert finding.place is not None
    assert finding.found in ("0.45 A", "0.5 A")
    assert finding.expected


def test_the_same_oddity_in_two_rows_is_a_note(sound: list[Reading]) -> None:
    """Two rows of one hold current with the same odd value are the source's own oddity, not a slip."""
    twin = [
        replace(r, part_number="QLM-0050-30")
        for r in sound
        if r.part_number == "QLM-0050-60" and r.quantity is not Quantity.MAX_VOLTAGE
    ]
    odd = [
        replace(r, value=0.64, raw="0.64")
        if r.quantity is HOLD and r.ambient_c == 0.0 and r.part_number.startswith("QLM-0050")
        else r
        for r in sound + twin
    ]
    found = [f for f in readings_to_findings(odd) if f.code == "derating-off-line"]
    assert len(found) == 2
    assert {f.severity for f in found} == {Severity.NOTE}


def test_a_series_made_of_unlike_pairs_is_left_alone(sound: list[Reading]) -> None:
    """Where every hold current stands in two rows that trip differently, that is how the series is made."""
    twins = [
        replace(
            r,
            part_number=r.part_number[:9] + "16",
            value=round(r.value * (1.06 if r.quantity is TRIP else 1.0), 3),
            raw="",
        )
        for r in sound
        if r.quantity in (HOLD, TRIP)
    ]
    both = sorted(sound + twins, key=lambda r: r.part_number)
    assert {f.code for f in grave(both)}.isdisjoint({"neighbour-copy", "sibling-differs"})
