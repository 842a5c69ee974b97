"""What a protected circuit asks of a part.

Comes in: nothing. Goes out: frozen records with every default, each once.
Does not read files (see `requirement_file`) and does not judge parts.

Units stand in the names: `_a` ampere, `_v` volt, `_w` watt, `_ohm` ohm, `_s` second, `_c` degree Celsius,
`_k` kelvin (a difference of temperature), `_mm` millimetre, `_um` micrometre, `_f` farad,
`_h` henry. The meaning of each
field, as a reader of the file sees it, is in `requirement_fields.toml`.
"""

from __future__ import annotations

from dataclasses import dataclass

MODELS = ("time", "leakage", "reset", "limited_power", "track", "drop")
"""What a model may answer, each with a switch of its own: times to trip, the leakage and the reset of a
tripped part, the current of a limited power source, the steady current of a track, the drop of a warm
part."""

COPPER_MELTS_C = 1083.0
"""Melting temperature of copper, °C (the figure of Onderdonk's equation)."""


@dataclass(frozen=True, slots=True)
class HotPlug:
    """A capacitor charged through a resistance when the load is plugged in."""

    capacitance_f: float
    resistance_ohm: float


@dataclass(frozen=True, slots=True)
class Wire:
    """A copper wire that must survive until the part trips; its size as AWG or as a cross-section."""

    insulation_max_c: float
    awg: float | None = None
    area_mm2: float | None = None
    ampacity_a: float | None = None


@dataclass(frozen=True, slots=True)
class Track:
    """A copper track of a printed board that must survive until the part trips."""

    width_mm: float
    copper_um: float
    layer: str
    temperature_rise_max_k: float | None = None
    temperature_max_c: float = COPPER_MELTS_C


@dataclass(frozen=True, slots=True)
class DamagePoint:
    """A current that the protected thing stands for at most this time."""

    current_a: float
    time_s: float


@dataclass(frozen=True, slots=True)
class Endurance:
    """How often the part is expected to trip in its service life.

    100 rated trips is the trip-cycle test usual in published vendor data (at the rated voltage and
    current, no arcing or burning); a sheet that states another number should be entered.
    """

    trips_per_month: float
    service_years: float
    rated_trips: float = 100.0


@dataclass(frozen=True, slots=True)
class LimitedPower:
    """Limits of a limited power source, and how long after the fault begins they are measured."""

    clause: str
    current_max_a: float
    power_max_va: float
    measured_after_s: float


@dataclass(frozen=True, slots=True)
class Requirement:
    """All that a part is held against. Fields that are None are not asked.

    supply: "dc" or "ac" (then voltages and currents are rms). supply_voltage_v: highest voltage across the
    tripped part. supply_voltage_min_v: lowest, for trip certainty and leakage; None means that nobody said
    it, and then nothing that rests on it can be told. supply_limit_tolerance: share by which a limiting
    supply may give less than it says.
    switching_temperature_c: where the polymer switches; 125 °C is usual for general types in published
    vendor handbooks, battery types lie lower. battery: whether a battery supplies it; a series pack says
    so. hold_factor: design margin on the hold current; 1.0 adds none (10 to 25 % is common practice, no
    source). allow_models: which models may say "fits" (see `MODELS`); allow_model: all of them.
    typical_to_max_factor, typical_to_min_factor: the longest time to trip is so many times the typical one
    of a drawn curve, the shortest so many times less; None: a curve proves neither.
    """

    supply: str
    supply_voltage_v: float
    normal_current_a: float
    ambient_cold_c: float
    ambient_hot_c: float
    title: str = ""
    neighbour_heating_k: float = 0.0
    hold_factor: float = 1.0
    peak_current_a: float | None = None
    peak_duration_s: float | None = None
    peak_every_s: float | None = None
    parallel_parts: int | None = None
    supply_voltage_min_v: float | None = None
    transient_voltage_v: float | None = None
    transient_source_resistance_ohm: float | None = None
    load_inductance_h: float | None = None
    load_current_a: float | None = None
    supply_current_limit_a: float | None = None
    supply_short_current_a: float | None = None
    supply_limit_tolerance: float | None = None
    source_resistance_min_ohm: float | None = None
    source_resistance_max_ohm: float | None = None
    fault_current_min_a: float | None = None
    fault_current_max_a: float | None = None
    trip_time_max_s: float | None = None
    trip_current_max_a: float | None = None
    voltage_drop_max_v: float | None = None
    leakage_max_a: float | None = None
    load_resistance_ohm: float | None = None
    reset: str = ""
    packages: tuple[str, ...] = ()
    allow_model: bool = False
    allow_models: tuple[str, ...] = ()
    switching_temperature_c: float = 125.0
    assume_reference_ambient_c: float | None = None
    hot_plug: HotPlug | None = None
    wire: Wire | None = None
    track: Track | None = None
    damage_curve: tuple[DamagePoint, ...] = ()
    endurance: Endurance | None = None
    limited_power: LimitedPower | None = None
    preset_notes: tuple[str, ...] = ()
    battery: bool = False
    overrides: tuple[str, ...] = ()
    length_max_mm: float | None = None
    width_max_mm: float | None = None
    height_max_mm: float | None = None
    lead_spacing_mm: float | None = None
    mounting: str = ""
    operating_margin_k: float | None = None
    approvals: tuple[str, ...] = ()
    typical_to_max_factor: float | None = None
    typical_to_min_factor: float | None = None

    @property
    def hottest_c(self) -> float:
        """Hottest ambient at the part: the room and its neighbours' heating, °C."""
        return self.ambient_hot_c + self.neighbour_heating_k

    @property
    def coldest_c(self) -> float:
        """Coldest ambient at the part, °C: the board just switched on, so neighbours heat nothing yet."""
        return self.ambient_cold_c

    @property
    def load_before_peak_a(self) -> float:
        """Long load before a peak, A: the normal current, with repeated peaks the root of the mean square of
        both.

        Between peaks a part is never warmer than by this load at the moment a peak begins: in a linear heat
        balance the trough of a periodic heating lies below its mean.
        """
        peak_a, every_s, lasts_s = self.peak_current_a, self.peak_every_s, self.peak_duration_s
        if peak_a is None or every_s is None or lasts_s is None:
            return self.normal_current_a
        share = min(1.0, lasts_s / every_s)
        return float((self.normal_current_a**2 + (peak_a**2 - self.normal_current_a**2) * share) ** 0.5)

    def allows(self, model: str) -> bool:
        """Whether a model may say "fits"; `model` is one of `MODELS`."""
        return self.allow_model or model in self.allow_models

    @property
    def models_allowed(self) -> tuple[str, ...]:
        """Every model that may say "fits"."""
        return tuple(model for model in MODELS if self.allows(model))
