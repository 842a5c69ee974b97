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
    """Resistance some time after a trip, and before it where it was measured."""

    resistance_after_ohm: float
    after_s: float
    resistance_before_ohm: float | None = None


@dataclass(frozen=True, slots=True)
class HeldCurrent:
    """A current that the part carried for some minutes without tripping."""

    current_a: float
    minutes: float


@dataclass(frozen=True, slots=True)
class Measurements:
    """All that was measured; what was not is None. Drop steps stand in order of current."""

    ambient_c: float | None = None
    four_wire: bool = False
    meter_lead_resistance_ohm: float | None = None
    meter_accuracy: float = 0.0
    drops: tuple[DropStep, ...] = ()
    trip: MeasuredTrip | None = None
    tripped: MeasuredTripped | None = None
    recovery: MeasuredRecovery | None = None
    held: tuple[HeldCurrent, ...] = ()

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
    file = FieldFile(name, text, bench_rules(), lists=("drop", "held"))
    values, nested = file_to_values(file)
    require(values, file)
    if not nested:
        raise InputError(name, "nothing measured", "a table [[drop]], [trip], [tripped], [recovery] or "
                                                   "[[held]]")
    if values.get("four_wire") and "meter_lead_resistance_ohm" in values:
        raise InputError(file.where("meter_lead_resistance_ohm"), "given with four_wire = true",
                         "one of them", "A four-wire measurement has no leads to take off")
    drops = sorted((DropStep(**row) for row in nested.get("drop", ())), key=lambda step: step.current_a)
    found = Measurements(
        **values, drops=tuple(drops), held=tuple(HeldCurrent(**row) for row in nested.get("held", ())),
        trip=MeasuredTrip(**nested["trip"]) if "trip" in nested else None,
        tripped=MeasuredTripped(**nested["tripped"]) if "tripped" in nested else None,
        recovery=MeasuredRecovery(**nested["recovery"]) if "recovery" in nested else None)
    _refuse_negative(found, file)
    return found


def _refuse_negative(found: Measurements, file: FieldFile) -> None:
    """Raise InputError where the leads are taken for more than all that was measured."""
    lead_ohm = found.lead_ohm or 0.0
    measured = [("drop", step.voltage_v / step.current_a) for step in found.drops]
    if found.recovery is not None:
        measured += [("recovery", ohm) for ohm in (found.recovery.resistance_before_ohm,
                                                   found.recovery.resistance_after_ohm) if ohm is not None]
    for table, ohm in measured:
        if ohm <= lead_ohm:
            raise InputError(file.where(table), f"{ohm:.4g} ohm, of which the leads are {lead_ohm:.4g} ohm",
                             "more than the leads alone", "No part has a resistance of zero or less: measure "
                             "the leads anew, tips together, or use four wires")
