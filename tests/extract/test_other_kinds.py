"""Sheets of other kinds of parts that look like ours, as their tables are laid out in the trade: nothing
is read from them as sure. What each kind prints is common practice, no source."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest

from extract.errors import DocumentError
from extract.schema import Status
from extract.sheet import ReadOptions, read_sheet

QUICK = ReadOptions(second_reading=False)
Row = tuple[str, ...]

BREAKER = [
    (
        "Part number",
        "Hold current at 25 °C (A)",
        "Trip temp. (°C)",
        "Reset temp. (°C)",
        "Vmax (V)",
        "Imax (A)",
        "Rmin (mΩ)",
        "Rmax (mΩ)",
    ),
    ("QBR-035-72", "3.5", "72", "40", "9", "60", "1.0", "2.4"),
    ("QBR-060-77", "6.0", "77", "45", "9", "60", "0.6", "1.4"),
    ("QBR-120-82", "12", "82", "45", "9", "80", "0.3", "0.7"),
]
CERAMIC = [
    ("Type", "Hold current 25 °C (mA)", "Trip current 25 °C (mA)", "Vmax (V)", "Imax (A)", "R25 (Ω)"),
    ("QCP-110", "110", "220", "265", "1.0", "25"),
    ("QCP-170", "170", "340", "265", "1.4", "15"),
    ("QCP-330", "330", "660", "265", "2.0", "9.4"),
]
HEATER = [
    ("Type", "Rated voltage (V)", "Rated current (A)", "Max. current (A)", "Power (W)", "R25 (Ω)"),
    ("QHE-10", "24", "0.40", "1.1", "10", "22"),
    ("QHE-20", "24", "0.80", "2.2", "20", "11"),
    ("QHE-40", "24", "1.60", "4.4", "40", "5.5"),
]
EFUSE = [
    ("Part number", "Hold current (A)", "Trip current (A)", "Vmax (V)", "Imax (A)", "RDS(on) typ. (Ω)"),
    ("QEF1510", "1.0", "1.5", "24", "30", "0.055"),
    ("QEF1520", "2.0", "3.0", "24", "30", "0.042"),
    ("QEF1550", "5.0", "7.5", "24", "40", "0.021"),
]
CIRCUIT_BREAKER = [
    (
        "Catalogue no.",
        "Rated current (A)",
        "Trip current (A)",
        "Max. voltage (V)",
        "Rupture capacity (A)",
        "Resistance typ. (Ω)",
    ),
    ("QCB-1", "1", "1.45", "250", "1000", "0.9"),
    ("QCB-3", "3", "4.35", "250", "1000", "0.11"),
    ("QCB-10", "10", "14.5", "250", "1000", "0.02"),
]
THYRISTOR = [
    ("Part number", "VDRM (V)", "VBO max. (V)", "IH hold current (A)", "IT on-state (A)", "IPP (A)"),
    ("QTY0080", "6", "25", "0.05", "2.2", "50"),
    ("QTY0720", "65", "88", "0.12", "2.2", "50"),
    ("QTY3100", "275", "350", "0.15", "2.2", "80"),
]
REED = [
    (
        "Type",
        "Pull-in (V)",
        "Hold current (A)",
        "Max. voltage (V)",
        "Max. current (A)",
        "Coil resistance (Ω)",
    ),
    ("QRL-05", "3.8", "0.010", "200", "0.5", "500"),
    ("QRL-12", "9.0", "0.012", "200", "0.5", "1000"),
    ("QRL-24", "18", "0.011", "200", "0.5", "2150"),
]
NTC = [
    ("Type", "R25 (Ω)", "Max. current (A)", "Residual resistance (Ω)", "Power max. (W)", "Vmax (V)"),
    ("QN5D9", "5", "3.0", "0.21", "2.1", "265"),
    ("QN10D9", "10", "2.0", "0.46", "2.1", "265"),
    ("QN20D9", "20", "1.4", "0.95", "2.1", "265"),
]
FUSE = [
    ("Type", "Hold current 4 h (A)", "Opening current 5 s (A)", "Vmax (V)", "Imax (A)", "Rtyp (Ω)", "A²s"),
    ("QF0500", "0.50", "1.00", "63", "50", "0.240", "0.02"),
    ("QF1000", "1.00", "2.00", "63", "50", "0.105", "0.09"),
    ("QF2000", "2.00", "4.00", "32", "50", "0.038", "0.41"),
]
LINK = [
    ("Type", "Tf (°C)", "Th (°C)", "Tm (°C)", "Ir (A)", "Vmax (V)", "Imax (A)"),
    ("QTL077", "77", "55", "150", "2", "250", "16"),
    ("QTL104", "104", "82", "150", "5", "250", "40"),
    ("QTL133", "133", "111", "180", "10", "250", "80"),
]
TVS = [
    ("Part number", "VRWM (V)", "VBR min. (V)", "IPP max. (A)", "Power max. (W)", "IR (µA)"),
    ("QTV05", "5.0", "6.4", "43.5", "400", "800"),
    ("QTV12", "12", "13.3", "20.1", "400", "1"),
    ("QTV24", "24", "26.7", "10.3", "400", "1"),
]
DISC = [
    ("Type", "V1mA (V)", "Max. voltage AC (V)", "Max. voltage DC (V)", "Imax (A)", "Power (W)"),
    ("QVR220", "22", "14", "18", "500", "0.05"),
    ("QVR470", "47", "30", "38", "500", "0.05"),
    ("QVR471", "470", "300", "385", "2500", "0.4"),
]

SHEETS: list[tuple[str, list[str], list[Row]]] = [
    (
        "breaker of a battery",
        ["Self-resetting thermal protectors for battery packs", "Reset by cooling."],
        BREAKER,
    ),
    ("breaker in German", ["Rückstellende Thermoschutzschalter für Akkupacks"], BREAKER),
    ("breaker without any word", ["Series QBR, battery protection"], BREAKER),
    ("ceramic", ["Ceramic PTC resettable overload protectors", "Curie temperature 120 °C"], CERAMIC),
    ("ceramic that says PTC alone", ["PTC resettable fuses for overload protection"], CERAMIC),
    ("heater", ["Self-regulating PTC heating elements", "Surface temperature 180 °C"], HEATER),
    ("degaussing", ["PTC for degaussing circuits", "Inrush current and residual current"], HEATER),
    ("electronic fuse", ["Resettable electronic fuses (eFuse)", "Auto-retry, thermal shutdown"], EFUSE),
    ("circuit breaker", ["Resettable thermal circuit breakers", "Push to reset, trip-free"], CIRCUIT_BREAKER),
    ("thyristor", ["Thyristor surge protectors", "Hold current and off-state voltage"], THYRISTOR),
    ("reed relay", ["Reed relays", "Pull-in and drop-out at 20 °C"], REED),
    ("inrush limiter", ["NTC inrush current limiters", "B value 3000 K"], NTC),
    ("one-time fuse", ["Chip fuses, slow blow", "Not resettable. Melting I²t in the last column."], FUSE),
    (
        "one-time fuse in Dutch",
        ["Smeltveiligheden voor printmontage", "Houdstroom 4 h, smeltintegraal"],
        FUSE,
    ),
    ("thermal link", ["Thermal-links to IEC 60691", "Hold temperature and functioning temperature"], LINK),
    ("suppressor", ["TVS diodes 400 W", "Stand-off voltage, clamping voltage"], TVS),
    ("varistor", ["Disc varistors", "8/20 µs surge current"], DISC),
]


@pytest.mark.parametrize(
    ("above", "rows"), [sheet[1:] for sheet in SHEETS], ids=[sheet[0] for sheet in SHEETS]
)
def test_nothing_of_another_kind_is_sure(
    above: list[str], rows: list[Row], make_sheet: Callable[..., Path]
) -> None:
    """A sheet of another kind gives no number that nobody is asked about, whatever words it borrows."""
    try:
        readings = read_sheet(make_sheet(rows, above), QUICK).readings
    except DocumentError:  # refused at the door
        return
    assert [r for r in readings if r.status is not Status.DISPUTED] == []
