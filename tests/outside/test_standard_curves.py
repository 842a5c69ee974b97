"""Curves of a published standard, drawn by a general plotting library, read back by the chart reader.

IEC 60255-151:2009, inverse-time characteristics A, B, C: t = k / ((I / Is)^a - 1) with k, a of 0.14, 0.02
(inverse), 13.5, 1 (very inverse), 80, 2 (extremely inverse). They are relays' curves, no fuses': they serve
since their points are known to every digit. scipy's interpolation is the second witness.
"""

import math
from pathlib import Path

import numpy
import pytest
from scipy.interpolate import interp1d

from extract.charts.reading import ChartOptions, document_to_curves
from extract.document import Document
from extract.schema import Curve, Kind, Place, Quantity, Reading, Status

CURVES = {"REL-A": (0.14, 0.02, 0.2), "REL-B": (13.5, 1.0, 1.0), "REL-C": (80.0, 2.0, 2.0)}
"""Part: k in s, exponent, setting current Is in A."""
KNOWN = [
    ("REL-A", 2.0, 10.029), ("REL-A", 10.0, 2.9706), ("REL-B", 2.0, 13.5), ("REL-B", 10.0, 1.5),
    ("REL-C", 2.0, 26.667), ("REL-C", 10.0, 0.80808),
]  # fmt: skip
"""Part, multiple of its setting current, time in s."""
WIDTH = 0.03
"""How far a read point may lie from the line, in natural logarithms: the width of the drawn line."""


def time_s(part: str, multiple: float) -> float:
    """The standard's time."""
    k, exponent, _ = CURVES[part]
    return k / (multiple**exponent - 1)


def draw(path: Path) -> None:
    """Log-log axes with grid, each curve in a colour with its name at its end."""
    from matplotlib import pyplot

    figure, axes = pyplot.subplots(figsize=(7, 7))
    multiples = numpy.geomspace(1.5, 20, 60)
    for part, (_, _, setting_a) in CURVES.items():
        times_s = [time_s(part, m) for m in multiples]
        axes.plot(multiples * setting_a, times_s, linewidth=1.0)
        axes.text(multiples[-1] * setting_a * 1.08, times_s[-1], part, fontsize=7, verticalalignment="center")
    axes.set(xscale="log", yscale="log", xlim=(0.1, 100), ylim=(0.1, 100),
             title="Typical time to trip at 23 °C", xlabel="Fault current (A)",
             ylabel="Time to trip (s)")  # fmt: skip
    axes.grid(which="both", linewidth=0.3)
    figure.savefig(path)
    pyplot.close(figure)


@pytest.fixture(scope="module")
def read(tmp_path_factory: pytest.TempPathFactory) -> dict[str, Curve]:
    """The curves as read, by part."""
    path = tmp_path_factory.mktemp("chart") / "relays.pdf"
    draw(path)
    place = Place(1, 0, 0, 1, 1)
    holds = [
        Reading("relays.pdf", "", part, Quantity.HOLD_CURRENT, Kind.NONE, 23.0, None, setting_a,
                Status.AGREED, place, f"{setting_a:g}")
        for part, (_, _, setting_a) in CURVES.items()
    ]  # fmt: skip
    curves = document_to_curves(Document(path, path.name, "", ("",), (1,)), holds, ChartOptions())
    return {curve.part_number: curve for curve in curves}


@pytest.mark.parametrize(("part", "multiple", "expected_s"), KNOWN)
def test_known_points_of_a_standard_are_read_back(
    read: dict[str, Curve], part: str, multiple: float, expected_s: float
) -> None:
    """The standard's own formula gives the times as published, and the curve read passes through them."""
    assert time_s(part, multiple) == pytest.approx(expected_s, rel=1e-4)
    currents, times = zip(*read[part].points, strict=True)
    between = interp1d(numpy.log(currents), numpy.log(times))
    found = float(between(math.log(multiple * CURVES[part][2])))
    assert found == pytest.approx(math.log(expected_s), abs=WIDTH)


def test_every_curve_goes_to_its_part(read: dict[str, Curve]) -> None:
    """Three curves that cross, three names: each read once, none disputed."""
    assert set(read) == set(CURVES)
    assert all(curve.status is not Status.DISPUTED for curve in read.values())
