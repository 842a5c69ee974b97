"""What a person measured on the bench becomes records.

Comes in: a measurement file (TOML). Goes out: `Measurements`. Raises InputError as `field_file` does.
Does not compare with a datasheet: see `bench_check`.
"""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

from compare.field_file import FieldFile, Rules, file_to_values, load_rules, read_text, require
from extract.errors import InputError


@dataclass(frozen=True, slots=True)
class DropStep:
    """Voltage across the cold part at a current."""

    current_a: float
    voltage_v: float


@dataclass(frozen=True, slots=True)
class MeasuredTrip:
    """The current that tripped the part, and how long that took."""

    current_a: float
    time_s: float


@dataclass(frozen=True, slots=True)
class MeasuredTripped:
    """The steady tripped state; surface, time it had settled and lag of the thermometer where known."""

    current_a: float
    voltage_v: float
    surface_c: float | None = None
    settled_s: float | None = None
    thermometer_lag_s: float | None = None


@dataclass(frozen=True, slots=True)
class MeasuredRecovery:
    """Resistance before a trip and some time after it."""

    resistance_before_ohm: float
    resistance_after_ohm: float
    after_s: float


@dataclass(frozen=True, slots=True)
class Measurements:
    """All that was measured; what was not is None. Drop steps stand in order of current."""

    ambient_c: float | None = None
    four_wire: bool = False
    meter_lead_resistance_ohm: float | None = None
    drops: tuple[DropStep, ...] = ()
    trip: MeasuredTrip | None = None
    tripped: MeasuredTripped | None = None
    recovery: MeasuredRecovery | None = None

    @property
    def lead_ohm(self) -> float | None:
        """Resistance to take off every two-wire measurement, ohm; None where it is not known."""
        return 0.0 if self.four_wire else self.meter_lead_resistance_ohm


def bench_rules() -> Rules:
    """Every field a measurement file may hold, in the order of the documentation."""
    return load_rules("bench_fields.toml")


def read_measurements(path: str | Path) -> Measurements:
    """The measurements a TOML file states. Raises InputError."""
    return text_to_measurements(read_text(path, "a measurement file"), Path(path).name)


def text_to_measurements(text: str, name: str = "measurements") -> Measurements:
    """The measurements a TOML text states; `name` is the file's name for messages. Raises InputError."""
    file = FieldFile(name, text, bench_rules(), lists=("drop",))
    values, nested = file_to_values(file)
    require(values, file)
    if not nested:
        raise InputError(name, "nothing measured", "a table [[drop]], [trip], [tripped] or [recovery]")
    if values.get("four_wire") and "meter_lead_resistance_ohm" in values:
        raise InputError(file.where("meter_lead_resistance_ohm"), "given with four_wire = true",
                         "one of them", "A four-wire measurement has no leads to take off")
    drops = sorted((DropStep(**row) for row in nested.get("drop", ())), key=lambda step: step.current_a)
    return Measurements(
        **values, drops=tuple(drops),
        trip=MeasuredTrip(**nested["trip"]) if "trip" in nested else None,
        tripped=MeasuredTripped(**nested["tripped"]) if "tripped" in nested else None,
        recovery=MeasuredRecovery(**nested["recovery"]) if "recovery" in nested else None)
