"""The second eye: what it agrees to, and that it agrees to nothing that stands elsewhere."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import replace
from functools import cache
from pathlib import Path

import pytest

from extract.document import open_pdfium, path_to_document
from extract.joined.origins import Origin
from extract.model_reader import contents_to_model_readings
from extract.pages import document_to_contents, document_to_pages
from extract.schema import Quantity, Reading, Status
from extract.second.generic import Asked, pages_to_cells
from extract.second.generic_look import GenericLook
from extract.second.likeness import Headings
from extract.second.looking import Looker
from extract.second.opinion import Opinion, _digits_seen, readings_to_opinions
from extract.second.page_words import page_to_second

SAMPLES = Path(__file__).parents[3] / "sample_tables"
UPRIGHT, ACROSS, MERGED = "ashquinter_aq2.pdf", "kakuudani_kdn.pdf", "fenwhistle_fw.pdf"
HEAD = ("Part number", "Ihold (A)", "Itrip (A)", "Vmax (V)")
ROWS = (("TQ050", "0.50", "1.00", "24"), ("TQ075", "0.75", "1.50", "24"), ("TQ110", "1.10", "2.20", "16"))
STILL_AIR = "Resettable fuses. All ratings at 23 °C in still air."
Told = tuple[tuple[Reading, ...], tuple[Origin, ...]]


@cache
def _told(path: Path) -> Told:
    document = path_to_document(path)
    contents = document_to_contents(document, document_to_pages(document))
    model = contents_to_model_readings(tuple(contents.values()), document)
    return model.readings, model.origins


def _opinions(path: Path, readings: Sequence[Reading], origins: Sequence[Origin]) -> tuple[Opinion, ...]:
    document = path_to_document(path)
    with open_pdfium(document.source, document.name) as pdf:
        pages = {n: page_to_second(pdf[n - 1], n) for n in sorted({r.place.page for r in readings})}
    looks = {
        n: Looker(page, [r.place.box for r in readings if r.place.page == n])
        for n, page in pages.items()
    }
    return readings_to_opinions(readings, origins, looks)


@pytest.mark.parametrize("name", [UPRIGHT, ACROSS, MERGED])
def test_nearly_all_values_of_a_sheet_are_seen_where_they_were_read(name: str) -> None:
    """Upright tables, parts as columns, values over several rows."""
    opinions = _opinions(SAMPLES / name, *_told(SAMPLES / name))
    agreed = sum(opinion.status is Status.AGREED for opinion in opinions)
    assert agreed >= 0.85 * len(opinions)


@pytest.mark.parametrize("name", [UPRIGHT, ACROSS])
def test_no_value_is_agreed_for_another_part(name: str) -> None:
    """Each value given to the part of another row or column: none is agreed."""
    readings, origins = _told(SAMPLES / name)
    parts = list(dict.fromkeys(reading.part_number for reading in readings))
    following = dict(zip(parts, [*parts[1:], parts[0]], strict=True))
    moved = [replace(reading, part_number=following[reading.part_number]) for reading in readings]
    unmoved = [replace(origin, labels=()) for origin in origins]
    opinions = _opinions(SAMPLES / name, moved, unmoved)
    assert [reading for reading, o in zip(moved, opinions, strict=True) if o.status is Status.AGREED] == []


def test_no_value_is_agreed_under_another_heading(make_sheet: Callable[..., Path]) -> None:
    """Hold and trip columns changed over: none of their values is agreed, the voltages are."""
    path = make_sheet((HEAD, *ROWS), [STILL_AIR])
    readings, origins = _told(path)
    heads = {
        o.heading for r, o in zip(readings, origins, strict=True) if r.quantity is not Quantity.MAX_VOLTAGE
    }
    swapped = [
        replace(o, heading=next(iter(heads - {o.heading}))) if o.heading in heads else o for o in origins
    ]
    opinions = _opinions(path, readings, swapped)
    agreed = {r.quantity for r, o in zip(readings, opinions, strict=True) if o.status is Status.AGREED}
    assert agreed == {Quantity.MAX_VOLTAGE}


def test_other_digits_are_a_dispute_that_shows_them(make_sheet: Callable[..., Path]) -> None:
    """What the first reader took for 0.58 is 0.50 to the second."""
    path = make_sheet((HEAD, *ROWS), [STILL_AIR])
    readings, origins = _told(path)
    misread = [replace(r, raw="0.58") if r.raw == "0.50" else r for r in readings]
    opinions = _opinions(path, misread, origins)
    disputed = {r.raw: o.note for r, o in zip(misread, opinions, strict=True) if o.status is Status.DISPUTED}
    assert disputed == {"0.58": "another text reader sees '0.50'"}


def test_a_generic_library_sees_the_same_rows_and_columns(make_sheet: Callable[..., Path]) -> None:
    """camelot, told the page only, bears out every value of a ruled table."""
    path = make_sheet((HEAD, *ROWS), [STILL_AIR])
    readings, origins = _told(path)
    with open_pdfium(path, path.name) as pdf:
        page = page_to_second(pdf[0], 1)
    cells = pages_to_cells(path, [Asked(1, page.upright_height, is_ruled=True)])
    look = GenericLook(page, cells, [reading.place.box for reading in readings])
    opinions = readings_to_opinions(readings, origins, {1: look})
    assert {opinion.status for opinion in opinions} == {Status.AGREED}


@pytest.mark.parametrize(
    ("seen", "heading"),
    [("R 1 max (Ω)", "R1max (Ω)"), ("R max Ω)", "Rmax (Ω)"), ("-40 °C", "-40 °C"), ("40 °C", "40 °C")],
)
def test_a_heading_is_known_however_its_words_are_cut(seen: str, heading: str) -> None:
    """The same letters and digits in other pieces are the same heading; another sign or digit is not."""
    headings = Headings(["Rmin (Ω)", "Rmax (Ω)", "R1max (Ω)", "-40 °C", "40 °C", "0 °C"])
    likes = headings.likenesses(seen.split())
    assert max(likes, key=likes.__getitem__) == heading


@pytest.mark.parametrize(
    ("raw", "seen", "verdict"),
    [
        ("0.15", "0.15", True), ("2.60 ohm", "2.60ohm", True), ("60/30", "60/30V", True),
        ("1.5", "15", None), ("1.5", "0.15", None), ("0.5", "10.5", None), ("-20", "20", None),
        ("0.15", "0.75", False), ("40", "100", False),
    ],
)  # fmt: skip
def test_a_point_a_sign_or_a_longer_number_bears_nothing_out(
    raw: str, seen: str, verdict: bool | None
) -> None:
    """The same digits with another point or sign, or inside a longer number, are no second sight of it."""
    assert _digits_seen(raw, seen) is verdict
