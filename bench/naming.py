"""Ways in which a table of ratings names its parts, each on an invented sheet with known truth.

    python bench/naming.py [--producer reportlab] [--keep FOLDER]

Prints for each way what was read right, flagged, missing or silently wrong. Ends with 1 if anything is
silently wrong. The table is always the same; only what names its rows differs.
"""

from __future__ import annotations

import argparse
import sys
import tempfile
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

# A bare checkout is importable too.
sys.path.insert(0, str(Path(__file__).parents[1]))

from bench.layouts import entry_value, read_values
from bench.scoring import SILENTLY_WRONG, TITLES, Verdict, counts_line, judge, sum_line
from sample_tables.generate.__main__ import DRAWERS, draw
from sample_tables.generate.blocks import Cell, Grid, Heading, Sheet, Text, cells
from sample_tables.generate.columns import Entry

CODES = ("010", "020", "035", "050", "075", "110")
HOLDS = ("0.10", "0.20", "0.35", "0.50", "0.75", "1.10")
RATED = (
    ("hold_current", "", "23", "I_{hold} (A)", HOLDS),
    ("trip_current", "", "23", "I_{trip} (A)", ("0.20", "0.40", "0.70", "1.00", "1.50", "2.20")),
    ("max_voltage", "", "", "V_{max} (V)", ("60", "60", "60", "30", "30", "16")),
    ("tripped_power", "", "", "P_{d} (W)", ("0.38", "0.41", "0.43", "0.77", "0.92", "1.00")),
    ("resistance", "min", "", "R_{min} (Ω)", ("2.50", "1.50", "0.83", "0.77", "0.40", "0.15")),
    ("resistance", "post_trip_max", "", "R_{1max} (Ω)", ("7.50", "4.50", "2.10", "1.70", "0.96", "0.36")),
)


@dataclass(frozen=True, slots=True)
class Style:
    """How rows are named: headings and cells of the naming columns row by row, the parts that each row is
    truly about, lines over groups of rows (row -> text), texts around the table; `group` is a heading over
    all naming columns."""

    heads: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]
    parts: tuple[tuple[str, ...], ...]
    bands: tuple[tuple[int, str], ...] = ()
    before: tuple[str, ...] = ()
    after: tuple[str, ...] = ()
    group: str = ""


def _plain(head: str, names: Sequence[str], parts: Sequence[str] = ()) -> Style:
    return Style((head,), tuple((name,) for name in names), tuple((part,) for part in parts or names))


def _beside(heads: tuple[str, ...], rows: Sequence[tuple[str, ...]], parts: Sequence[str]) -> Style:
    return Style(heads, tuple(rows), tuple((part,) for part in parts))


def _coded(text: str) -> list[str]:
    """One text for each part, its code put in."""
    return [text.format(code, number) for number, code in enumerate(CODES, start=1)]


STYLES: dict[str, Style] = {
    "a code of letters and digits": _plain("Part number", _coded("RXA{}")),
    "a number of seven digits": _plain("Order No.", _coded("3120{}")),
    "blanks in the name": _plain("Type", _coded("PF {} R")),
    "small letters": _plain("type", _coded("rx-mini {}")),
    "an article number in groups": _plain("Art.-Nr.", _coded("12.345.{}")),
    "letters only": _plain("Type", ("KA", "KB", "KC", "KD", "KE", "KF")),
    "no heading": _plain("", _coded("ZTR{}")),
    "a sign at the end": _plain("P/N", _coded("HY{}+")),
    "a word of status behind some": _plain("Model", ["RXB010 NEW", *_coded("RXB{}")[1:]], _coded("RXB{}")),
    "the marking in brackets": _plain("Part number (marking)", _coded("ZQ{} (Z{})"), _coded("ZQ{}")),
    "a description on the line below": _plain("Part", _coded("TS{}|Radial leaded, bulk"), _coded("TS{}")),
    "the seller's number on the line below": _plain(
        "Maker's part no.|Our no.", _coded("PTV{}-30|TLC-3971{}"), _coded("PTV{}-30")
    ),
    "a name broken at its hyphen": _plain("Part number", _coded("FRQ-2920-|{}A"), _coded("FRQ-2920-{}A")),
    "two parts in a row": Style(
        ("Model",),
        tuple((name,) for name in _coded("RXC{0}/RXC{0}S")),
        tuple((name, f"{name}S") for name in _coded("RXC{}")),
    ),
    "a running number first": _beside(
        ("Item", "Part no."), [(str(n), name) for n, name in enumerate(_coded("GLM{}"), 1)], _coded("GLM{}")
    ),
    "the marking first": _beside(
        ("Marking", "Part number"),
        list(zip(_coded("W{1}"), _coded("ZW{}-16"), strict=True)),
        _coded("ZW{}-16"),
    ),
    "the series first": _beside(
        ("Series", "Part number"), [("Mini", name) for name in _coded("MN{}")], _coded("MN{}")
    ),
    "a seller's number beside the maker's": _beside(
        ("Mfr Part Number", "Our Part #"),
        list(zip(_coded("GBR{}"), _coded("GBR{}CT-ND7"), strict=True)),
        _coded("GBR{}"),
    ),
    "an order number and a description": _beside(
        ("Order code", "Description"),
        list(zip(_coded("88-1{}"), [f"PTC RESET FUSE {hold}A RADIAL" for hold in HOLDS], strict=True)),
        _coded("88-1{}"),
    ),
    "series and size in two columns": _beside(
        ("Series", "Size"), [("LQ", code) for code in _coded("0603-{}")], _coded("LQ0603-{}")
    ),
    "suffixes below a line that names the series": Style(
        ("Type",),
        tuple((name,) for name in _coded("-{}")),
        tuple((name,) for name in _coded("KVX-{}")),
        bands=((0, "Series KVX"),),
    ),
    "four columns that the sheet joins in an example": Style(
        ("Series", "Volts", "Code", "Form"),
        tuple(("FBT", "60", f"0{code}", "K") for code in CODES),
        tuple((name,) for name in _coded("FBT60-0{}K")),
        before=("Ordering example: FBT60-0050K",),
        group="Part number",
    ),
}


def style_to_sheet(name: str, producer: str = "reportlab") -> Sheet:
    """The sheet of one way to name parts, with its truth."""
    style = STYLES[name]
    width = len(style.heads)
    heads = [cells(*style.heads, *(column[3] for column in RATED))]
    if style.group:
        top = (Cell(style.group, across=width), *(Cell(column[3], down=2) for column in RATED))
        heads = [top, cells(*style.heads)]
    body: list[tuple[Cell, ...]] = []
    bands = dict(style.bands)
    for number, row in enumerate(style.rows):
        if number in bands:
            body.append((Cell(bands[number], across=width + len(RATED), align="left"),))
        body.append(cells(*row, *(column[4][number] for column in RATED)))
    truth = tuple(
        Entry(part, quantity, kind, ambient, "", values[number])
        for number, parts in enumerate(style.parts)
        for part in parts
        for quantity, kind, ambient, _, values in RATED
    )
    texts = [Text(text) for text in ("Electrical characteristics at 23 °C", *style.before)]
    blocks = (Heading("Resettable fuses (polymer PTC)"), *texts, Grid(tuple(heads), tuple(body), size=7.5))
    stem = "".join(letter if letter.isalnum() else "_" for letter in name.lower())
    title = "Polymer PTC resettable fuses"
    return Sheet(stem, producer, "Naming Bench", title, name, (*blocks, *map(Text, style.after)), truth)


def style_to_verdicts(name: str, producer: str, folder: Path, both: bool = True) -> tuple[Verdict, ...]:
    """Draw the sheet of a way to name parts into a folder, read and judge it."""
    sheet = style_to_sheet(name, producer)
    path = folder / sheet.document
    path.write_bytes(draw(sheet))
    values, _ = read_values(path, both)
    return tuple(judge(map(entry_value, sheet.truth), values))


def main() -> int:
    """Draw, read, count, print."""
    as_written = argparse.RawDescriptionHelpFormatter
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=as_written)
    parser.add_argument("--producer", choices=DRAWERS, default="reportlab", help="what draws the sheets")
    parser.add_argument("--keep", type=Path, help="folder for the sheets")
    options = parser.parse_args()
    with tempfile.TemporaryDirectory() as scratch:
        folder = options.keep or Path(scratch)
        folder.mkdir(parents=True, exist_ok=True)
        told = {name: style_to_verdicts(name, options.producer, folder) for name in STYLES}
    print(f"{'parts are named by':52}{TITLES}")
    for name, verdicts in told.items():
        print(f"{name:52}{counts_line(verdicts)}")
    everything = [verdict for verdicts in told.values() for verdict in verdicts]
    print(sum_line(everything))
    return int(any(verdict.outcome in SILENTLY_WRONG for verdict in everything))


if __name__ == "__main__":
    raise SystemExit(main())
