"""What a repairer saw and measured on an unknown part becomes records.

Comes in: a file of what was seen (TOML). Goes out: `Seen`. Raises InputError as `field_file` does. Does not
know any part.
"""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

from compare.field_file import FieldFile, Rules, file_to_values, load_rules, read_text, require
from extract.errors import InputError

MEASURED = ("marking", "length_mm", "width_mm", "height_mm", "lead_spacing_mm", "resistance_ohm")


@dataclass(frozen=True, slots=True)
class Held:
    """A current carried without tripping, A, and for how long, s."""

    current_a: float
    time_s: float


@dataclass(frozen=True, slots=True)
class Tripped:
    """A current that tripped it, A, and how long that took, s (None: not measured)."""

    current_a: float
    time_s: float | None = None


@dataclass(frozen=True, slots=True)
class Drop:
    """Voltage at the cold part, V, at a current, A."""

    current_a: float
    voltage_v: float


@dataclass(frozen=True, slots=True)
class TrippedState:
    """The part once it has tripped and is steady; the surface, °C, where it was measured."""

    current_a: float
    voltage_v: float
    surface_c: float | None = None


@dataclass(frozen=True, slots=True)
class Seen:
    """All that is known of the part; what is not is None or empty.

    The accuracies are those of usual hand tools. Common practice, no source.
    """

    ambient_c: float | None = None
    marking: str = ""
    length_mm: float | None = None
    width_mm: float | None = None
    height_mm: float | None = None
    lead_spacing_mm: float | None = None
    calliper_accuracy_mm: float = 0.1
    resistance_ohm: float | None = None
    four_wire: bool = False
    meter_lead_resistance_ohm: float | None = None
    resistance_accuracy_ohm: float | None = None
    current_accuracy: float = 0.03
    held: tuple[Held, ...] = ()
    trips: tuple[Tripped, ...] = ()
    drops: tuple[Drop, ...] = ()
    tripped: TrippedState | None = None

    @property
    def lead_ohm(self) -> float | None:
        """Resistance of the meter's leads in `resistance_ohm`; None where it is not known."""
        return 0.0 if self.four_wire else self.meter_lead_resistance_ohm


def seen_rules() -> Rules:
    """Every field a file of what was seen may hold, in the order of the documentation."""
    return load_rules("identify/seen_fields.toml")


def read_seen(path: str | Path) -> Seen:
    """What a TOML file states. Raises InputError."""
    return text_to_seen(read_text(path, "a file of what was seen"), Path(path).name)


def text_to_seen(text: str, name: str = "seen") -> Seen:
    """What a TOML text states; `name` is the file's name for messages. Raises InputError."""
    file = FieldFile(name, text, seen_rules(), lists=("held", "trip", "drop"))
    values, nested = file_to_values(file)
    require(values, file)
    if not nested and not any(field in values for field in MEASURED):
        raise InputError(name, "nothing seen or measured", f"one of {', '.join(MEASURED)}, or a table"
                         " [[held]], [[trip]], [[drop]], [tripped]")
    if values.get("four_wire") and "meter_lead_resistance_ohm" in values:
        raise InputError(file.where("meter_lead_resistance_ohm"), "given with four_wire = true",
                         "one of them", "A four-wire measurement has no leads to take off")
    lead_ohm, shown_ohm = values.get("meter_lead_resistance_ohm"), values.get("resistance_ohm")
    if lead_ohm is not None and shown_ohm is not None and lead_ohm >= shown_ohm:
        raise InputError(file.where("resistance_ohm"), f"{shown_ohm:g} ohm, no more than the leads alone",
                         f"more than the {lead_ohm:g} ohm of the leads", "Measure with four wires")
    tripped = nested.get("tripped")
    return Seen(
        **values,
        held=tuple(Held(**row) for row in nested.get("held", ())),
        trips=tuple(Tripped(**row) for row in nested.get("trip", ())),
        drops=tuple(sorted((Drop(**row) for row in nested.get("drop", ())), key=lambda drop: drop.current_a)),
        tripped=TrippedState(**tripped) if tripped is not None else None)
