"""What the numbers of an axis say: units of titles and numbers, blanks in numbers, raised exponents."""

from __future__ import annotations

import math
from collections.abc import Sequence
from pathlib import Path

import pytest
from reportlab.pdfgen.canvas import Canvas

from extract.charts.figures import text_to_number, words_to_figures
from extract.charts.ink import page_to_drawing, with_letters
from extract.charts.numbers import TickLabel, words_to_ticks
from extract.charts.units import AxisUnit, labels_to_unit, texts_to_unit, words_to_factors
from extract.charts.wording import letters_to_words
from extract.schema import Curve, Status
from tests.extract.charts.drawing import canvas_to_page, log_chart, polyline
from tests.extract.charts.test_other_makers import curves_of


@pytest.mark.parametrize(
    ("text", "factor"),
    [
        ("Time to trip (s)", 1.0),
        ("Trip time (min)", 60.0),
        ("Time in minutes", 60.0),
        ("Auslösezeit t/ms", 1e-3),
        ("Auslösezeit in Sekunden", 1.0),
        ("Time to trip (m s)", 1e-3),  # a program that places letters one by one
        ("Time to trip [µs]", 1e-6),
        ("Time to trip (typical)", 1.0),
        ("动作时间（毫秒）", 1e-3),
    ],
)
def test_the_unit_of_an_axis_scales_its_numbers(text: str, factor: float) -> None:
    """Minutes, milliseconds and microseconds are no seconds (SI brochure, 9th edition, tables 4, 7 and 8)."""
    assert texts_to_unit([text], "time") == AxisUnit(factor)


@pytest.mark.parametrize(
    "text", ["Time (x10 s)", "Time to trip (fortnights)", "Trip time min", "Time (s), (ms)"]
)
def test_a_unit_that_is_not_known_is_a_doubt(text: str) -> None:
    """A factor, an unknown unit, two units, or a word that may be one: the numbers mean nothing."""
    assert texts_to_unit([text], "time").doubt


def test_kiloamperes_are_no_amperes() -> None:
    """kA on the axis of currents."""
    assert texts_to_unit(["1", "10", "Fault current (kA)"], "current") == AxisUnit(1000.0)


def test_numbers_that_carry_units_leave_none_to_the_title() -> None:
    """10 ms, 100 ms, 1 s are in s already; where only some carry one, or the title names another, it is a
    doubt."""
    labels = [TickLabel(0.01, 10, True), TickLabel(0.1, 20, True), TickLabel(1.0, 30, True)]
    assert labels_to_unit(labels, AxisUnit()) == AxisUnit()
    assert labels_to_unit(labels, AxisUnit(1e-3)).doubt
    assert labels_to_unit([*labels, TickLabel(10.0, 40)], AxisUnit()).doubt


def values_of(texts: list[tuple[float, float, float, str]]) -> list[float]:
    """The numbers read from texts at (x, y, size)."""

    def draw(canvas: Canvas) -> None:
        for x, y, size, text in texts:
            canvas.setFont("Helvetica", size)
            canvas.drawString(x, y, text)

    page = canvas_to_page(draw)
    words = letters_to_words(with_letters(page_to_drawing(page, 1), page).letters)
    return sorted(figure.value for figure in words_to_figures(words))


def test_thousands_behind_a_blank_are_one_number() -> None:
    """ISO 80000-1, 7.3.1: digits in groups of three parted by a small space. 1 and 000 are 1000, never 1."""
    assert values_of([(100, 700, 8, "200 000"), (100, 680, 8, "1 000"), (100, 660, 8, "50")]) == [
        50,
        1000,
        200000,
    ]


def test_two_numbers_side_by_side_stay_two() -> None:
    """Only a group of noughts goes on a number: the numbers of a row may stand close."""
    assert values_of([(100, 700, 8, "100 200 500")]) == [100, 200, 500]


def test_an_exponent_apart_from_its_ten_is_its_exponent() -> None:
    """Some programs set the exponent as a text of its own, a little apart."""
    assert values_of(
        [(100, 700, 12, "10"), (113.6, 706, 8, "2"), (100, 650, 12, "10"), (113.6, 656, 8, "0")]
    ) == [
        1,
        100,
    ]


@pytest.mark.parametrize(
    ("text", "value"), [("10 ms", 0.01), ("1 s", 1.0), ("5kA", 5000.0), ("2 min", 120.0)]
)
def test_a_number_with_its_unit(text: str, value: float) -> None:
    """The unit behind a number scales it."""
    assert text_to_number(text) == pytest.approx(value)


def numbers_of(texts: Sequence[str]) -> list[float]:
    """What the numbers of a level axis, from left to right, say."""

    def draw(canvas: Canvas) -> None:
        canvas.setFont("Helvetica", 7)
        for n, text in enumerate(texts):
            canvas.drawCentredString(110 + 60 * n, 391, text)

    page = canvas_to_page(draw)
    words = letters_to_words(with_letters(page_to_drawing(page, 1), page).letters)
    return [label.value for label in words_to_ticks(words, (102.0, 292.0, 402.0, 437.0))[0]]


@pytest.mark.parametrize(
    ("texts", "values"),
    [
        (("0,1", "1", "10", "100", "1.000"), (0.1, 1, 10, 100, 1000)),
        (("0,010", "0,100", "1,000", "10,000"), (0.01, 0.1, 1, 10)),
        (("0.010", "0.100", "1.000", "10.000"), (0.01, 0.1, 1, 10)),
        (("10", "100", "1.000", "10.000"), (10, 100, 1000, 10000)),
        (("10", "100", "1,000", "10,000"), (10, 100, 1000, 10000)),
    ],
)
def test_points_and_commas_are_read_alike_along_an_axis(
    texts: Sequence[str], values: Sequence[float]
) -> None:
    """1.000 is a thousand beside 0,1 or behind 100, and one behind 0.100; so is 1,000 the other way (ISO
    80000-1, 7.3.2: both signs are in use)."""
    assert numbers_of(texts) == pytest.approx(list(values))


@pytest.mark.parametrize(("text", "is_told"), [("1e3", True), ("×10", True), ("100", False)])
def test_a_factor_at_the_end_of_an_axis_is_a_doubt(text: str, is_told: bool) -> None:
    """A program that prints 1, 2, 3 and 1e3 at the end means 1000, 2000, 3000."""

    def draw(canvas: Canvas) -> None:
        canvas.setFont("Helvetica", 7)
        canvas.drawString(396, 380, text)

    page = canvas_to_page(draw)
    words = letters_to_words(with_letters(page_to_drawing(page, 1), page).letters)
    assert bool(words_to_factors(words, (102.0, 292.0, 402.0, 442.0))) is is_told


@pytest.mark.parametrize(
    ("text", "value"),
    [("10⁻²", 0.01), ("10¹", 10.0), ("2×10³", 2000.0), ("10^-1", 0.1), ("5·10²", 500.0), ("5²", None)],
)
def test_powers_in_raised_signs_are_powers(text: str, value: float | None) -> None:
    """10² is 100, never 102, and what is no power of ten is no number of an axis."""
    assert text_to_number(text) == (None if value is None else pytest.approx(value))


def minutes_chart(canvas: Canvas) -> None:
    """Two labelled curves over an axis of times in minutes."""
    to_point = log_chart(canvas, titles=("Fault current (A)", "Time to trip (min)"))
    canvas.setFont("Helvetica-Bold", 10)
    canvas.drawString(180, 680, "Typical time to trip at 23 °C")
    for part, hold in (("QRV-050", 0.5), ("QRV-100", 1.0)):
        points = [(hold * m, 0.15 / (m - 1.3) ** 1.2) for m in (1.8, 2.2, 3.0, 4.5, 7.0)]
        polyline(canvas, [to_point(*point) for point in points], 1.2)
        canvas.setFont("Helvetica", 8)
        x, y = to_point(*points[-1])
        canvas.drawString(x + 3, y - 3, part)


def test_a_chart_in_minutes_gives_seconds(tmp_path: Path) -> None:
    """The time column of what is read is in s whatever the axis says."""
    found: dict[str, Curve] = {
        c.part_number: c for c in curves_of(tmp_path / "m.pdf", minutes_chart, ("QRV-050", "QRV-100"))
    }
    x, y = found["QRV-100"].points[0]
    assert math.isclose(x, 1.8, rel_tol=0.02)
    assert math.isclose(y, 60 * 0.15 / 0.5**1.2, rel_tol=0.03)
    assert found["QRV-100"].status is not Status.DISPUTED


def test_the_first_number_of_the_level_axis_is_none_of_the_upright_one() -> None:
    """It may stand right below the lowest number of the upright axis, in its column: there it breaks the
    order."""

    def draw(canvas: Canvas) -> None:
        canvas.setFont("Helvetica", 7)
        for x, text in ((98, "1"), (200, "10"), (300, "100")):
            canvas.drawCentredString(x, 391, text)
        for y, text in ((403, "0.01"), (450, "0.1"), (500, "1"), (550, "10")):
            canvas.drawRightString(100, y, text)

    page = canvas_to_page(draw)
    words = letters_to_words(with_letters(page_to_drawing(page, 1), page).letters)
    x_labels, y_labels = words_to_ticks(words, (102.0, 292.0, 302.0, 437.0))
    assert [label.value for label in x_labels] == [1, 10, 100]
    assert [label.value for label in y_labels] == [10, 1, 0.1, 0.01]


@pytest.mark.parametrize(
    "text",
    ["Fault current (multiples of the rated one)", "Current (x In)", "Strom, Vielfaches des Nennstroms"],
)
def test_multiples_of_who_knows_what_are_no_amperes(text: str) -> None:
    """Multiples that are not said to be of the hold current are a doubt."""
    assert texts_to_unit([text], "current").doubt


@pytest.mark.parametrize(
    "title",
    ["Fault current (multiples of Ihold)", "Current (times hold current)", "Vielfache des Haltestroms"],
)
def test_multiples_of_the_hold_current_are_multiplied_by_it(tmp_path: Path, title: str) -> None:
    """The current of a curve is in A whatever the axis counts."""

    def draw(canvas: Canvas) -> None:
        to_point = log_chart(canvas, titles=(title, "Time to trip (s)"))
        canvas.setFont("Helvetica-Bold", 10)
        canvas.drawString(180, 680, "Typical time to trip at 23 °C")
        for n, part in enumerate(("QRV-050", "QRV-100")):
            points = [(m, (6.0 + 9 * n) / (m - 1.3) ** 1.2) for m in (1.8, 2.2, 3.0, 4.5, 7.0)]
            polyline(canvas, [to_point(*point) for point in points], 1.2)
            canvas.setFont("Helvetica", 8)
            x, y = to_point(*points[-1])
            canvas.drawString(x + 3, y - 3, part)

    found = {c.part_number: c for c in curves_of(tmp_path / "x.pdf", draw, ("QRV-050", "QRV-100"))}
    assert found["QRV-050"].points[0][0] == pytest.approx(0.9, rel=0.02)
    assert found["QRV-100"].points[0][0] == pytest.approx(1.8, rel=0.02)


def test_numbers_below_an_axis_may_be_turned() -> None:
    """Some programs print the numbers of the level axis upwards: each stands for its own place along it."""

    def draw(canvas: Canvas) -> None:
        canvas.setFont("Helvetica", 7)
        for n, text in enumerate(("1", "10", "100")):
            canvas.saveState()
            canvas.translate(110 + 100 * n, 390)
            canvas.rotate(90)
            canvas.drawRightString(0, 0, text)
            canvas.restoreState()

    page = canvas_to_page(draw)
    words = letters_to_words(with_letters(page_to_drawing(page, 1), page).letters)
    labels = words_to_ticks(words, (102.0, 292.0, 402.0, 447.0))[0]
    assert [label.value for label in labels] == [1, 10, 100]
    assert labels[1].at - labels[0].at == pytest.approx(100.0, abs=1.0)
