"""The questions a workbook puts to the trip-time model: which current, at which ambient, after which load.

Comes in: a requirement. Goes out: the questions it asks, as formula texts. Calculates nothing.
"""

from __future__ import annotations

from dataclasses import dataclass

from compare.requirement import Requirement
from compare.workbook_inputs import COLDEST, HOTTEST, input_name


@dataclass(frozen=True, slots=True)
class Question:
    """A current through the part, as formula texts.

    name: the margin that asks; current: its value, A, empty for the lowest fault of Corners; ambient: name of
    the ambient; hot: whether that is the hottest; preload: the load before, A, or empty; duration: how
    long it lasts, s, or empty.
    """

    name: str
    title: str
    current: str
    ambient: str
    hot: bool
    preload: str = ""
    duration: str = ""


def requirement_to_questions(requirement: Requirement) -> tuple[Question, ...]:
    """The trip-time questions of a requirement, in the order of its margins."""
    questions = []
    load = input_name("normal_current_a")
    if requirement.peak_current_a is not None and requirement.peak_duration_s is not None:
        peak, lasts = input_name("peak_current_a"), input_name("peak_duration_s")
        repeated = (f"SQRT({load}^2+({peak}^2-{load}^2)*MIN(1,{lasts}/{input_name('peak_every_s')}))"
                    if requirement.peak_every_s is not None else load)
        questions.append(Question("inrush", "Peak", peak, HOTTEST, True, repeated,
                                  input_name("peak_duration_s")))
    if requirement.hot_plug is not None:
        ohm, farad = input_name("hot_plug.resistance_ohm"), input_name("hot_plug.capacitance_f")
        questions.append(Question("hot_plug", "Hot plug", f"(in_supply_voltage_v/{ohm})", HOTTEST, True, load,
                                  f"(0.5*{ohm}*{farad})"))
    if requirement.trip_time_max_s is not None:
        questions.append(Question("time_to_trip", "Lowest fault", "", COLDEST, False))
    return tuple(questions)
