"""Random invented layouts of sizes and facts, drawn, read and compared with their truth.

    python bench/particulars_layouts.py [--sheets N] [--seed S] [--keep FOLDER] [--wrong]

Each sheet draws at random: letters or words over the sizes; min and max, max only, typical, mixed or none;
mm, inches, both side by side or in brackets below; missing values; ruled or not; unit in title or heading;
facts as lines, dotted lines or a table; decoys (tape sizes, pad layout, soldering). Printed as in
bench/particulars.py.
"""

from __future__ import annotations

import argparse
import random
import sys
import tempfile
from collections import Counter
from dataclasses import replace
from datetime import date
from pathlib import Path

# A bare checkout is importable too.
sys.path.insert(0, str(Path(__file__).parents[1]))

from bench.particulars import compare
from sample_tables.generate.__main__ import draw
from sample_tables.generate.blocks import Block, Cell, Grid, Heading, Look, SaidTruly, Sheet, Text, cells
from sample_tables.generate.columns import table_entries
from sample_tables.generate.physics import Series, series_to_parts
from sample_tables.generate.tables import USUAL, simple_grid

WORDS = {"Length": "body_length", "Width": "body_width", "Height": "body_height", "Pitch": "lead_spacing"}
LIMITS = (("min", "max"), ("max",), ("typ",), ("min", "max"))
SHOWN = {
    "min": ("Min.", "MIN", "Min", "Minimum"),
    "max": ("Max.", "MAX", "Max", "Maximum"),
    "typ": ("Typ.", "Typical", "Nom."),
}
DECOYS: tuple[tuple[Block, ...], ...] = (
    (Heading("Tape dimensions (mm)"), Grid((cells("Part", "A", "B"),), (cells("RND010", "12.0", "8.0"),))),
    (
        Heading("Recommended pad layout dimensions (mm)"),
        Grid((cells("A", "B", "C"),), (cells("1.20", "1.00", "1.50"),)),
    ),
    (Text("Peak soldering temperature: 245 °C to 260 °C"),),
    (Text("Non-operating temperature range: -55 °C to +125 °C"),),
    (Text("Hold current is derated above 23 °C; see the table."),),
)


def random_sheet(number: int, draw_from: random.Random) -> Sheet:
    """One invented sheet with its truth."""
    holds = tuple(sorted(draw_from.sample(("0.10", "0.20", "0.35", "0.50", "0.75", "1.10", "1.60"), 4)))
    parts = series_to_parts(Series("RND{code}", holds, ("24",), ("40",), "chip23"))
    names = [part.name for part in parts]
    facts, said = random_facts(draw_from)
    sizes, truth = random_sizes(names, draw_from)
    decoys = draw_from.sample(DECOYS, 2)
    tail: list[tuple[Block, ...]] = [facts, sizes, *decoys]
    draw_from.shuffle(tail)
    blocks = (
        Heading("Ratings at 23 °C"),
        simple_grid(parts, USUAL),
        *(one for group in tail for one in group),
    )
    producer = draw_from.choice(("reportlab", "typst"))
    return Sheet(
        f"random_{number:03d}",
        producer,
        "Random",
        "RND series",
        "random layout of particulars",
        blocks,
        tuple(table_entries(parts, USUAL, 23)),
        Look(""),
        (*said, *truth),
    )


def random_facts(draw_from: random.Random) -> tuple[tuple[Block, ...], list[SaidTruly]]:
    """Temperatures and tests, as lines, dotted lines or a table."""
    low, high = draw_from.choice(((-40, 85), (-40, 125), (-30, 70)))
    to = draw_from.choice((" °C to +", " to ", "°C ~ +", " °C … "))
    cycles, hours = draw_from.choice((50, 100, 6000)), draw_from.choice((24, 48, 1000))
    facts = [
        (draw_from.choice(("Operating temperature", "Operating temperature range")), f"{low}{to}{high} °C"),
        ("Storage temperature", f"-20{to}40 °C"),
        ("Trip cycle life", f"{cycles} cycles at Vmax"),
        ("Trip endurance", f"Vmax, {hours} hours"),
    ]
    truth = [
        SaidTruly("*", name, "", kind, str(value))
        for name, kind, value in (
            ("operating_temperature", "min", low),
            ("operating_temperature", "max", high),
            ("storage_temperature", "min", -20),
            ("storage_temperature", "max", 40),
            ("trip_cycles", "", cycles),
            ("tripped_hours", "", hours),
        )
    ]
    form = draw_from.choice(("line", "dots", "table"))
    if form == "table":
        rules = draw_from.choice(("full", "horizontal", "none"))
        return (
            Heading("Environment"),
            Grid((cells("Item", "Value"),), tuple(cells(*one) for one in facts), rules),
        ), truth
    mark = ": " if form == "line" else " " + "." * 40 + " "
    return (Heading("Environment"), *(Text(f"{label}{mark}{value}") for label, value in facts)), truth


def random_sizes(names: list[str], draw_from: random.Random) -> tuple[tuple[Block, ...], list[SaidTruly]]:
    """A table of sizes and its truth."""
    worded = draw_from.random() < 0.35
    titles = list(WORDS)[: draw_from.randint(2, 4)] if worded else list("ABCDEF")[: draw_from.randint(2, 5)]
    limits = {title: draw_from.choice(LIMITS) for title in titles}
    if draw_from.random() < 0.3:
        limits = dict.fromkeys(titles, ("",))
    units = draw_from.choice(("mm", "in", "brackets", "beside"))
    # twenty columns with long words would be printed over each other
    most = 3 if units == "beside" else 4
    shown = {kind: draw_from.choice(words[:most]) for kind, words in SHOWN.items()} | {"": ""}
    leaves = [(title, kind) for title in titles for kind in limits[title]]
    values = {
        (name, leaf): round(draw_from.uniform(0.4, 12.0), 2)
        for name in names
        for leaf in leaves
        if draw_from.random() > 0.08
    }
    rules = draw_from.choice(("full", "horizontal", "full", "none"))
    title = {
        "mm": "Dimensions (mm)",
        "in": "Dimensions (inches)",
        "brackets": "Dimensions, mm (inches)",
        "beside": "Product dimensions",
    }[units]
    grid = Grid(
        _head(titles, limits, units, shown),
        tuple(_row(name, leaves, values, units) for name in names),
        rules,
        size=7,
    )
    truth = [_truth(name, *leaf, value, units) for (name, leaf), value in values.items()]
    return (Heading(title), grid), truth


def _head(
    titles: list[str], limits: dict[str, tuple[str, ...]], units: str, shown: dict[str, str]
) -> tuple[tuple[Cell, ...], ...]:
    width = 2 if units == "beside" else 1
    kinds = any(kind for title in titles for kind in limits[title])
    levels = 1 + kinds + (units == "beside")
    head = [(Cell("Part", down=levels), *(Cell(title, width * len(limits[title])) for title in titles))]
    if units == "beside":
        head.append(tuple(Cell(unit, len(limits[title])) for title in titles for unit in ("mm", "inch")))
    if kinds:
        head.append(
            tuple(Cell(shown[kind]) for title in titles for _ in range(width) for kind in limits[title])
        )
    return tuple(head)


def _row(
    name: str, leaves: list[tuple[str, str]], values: dict[tuple[str, tuple[str, str]], float], units: str
) -> tuple[Cell, ...]:
    """Cells of one part; sizes beside each other are grouped by unit under each title."""
    row = [Cell(name)]
    for title in dict.fromkeys(title for title, _ in leaves):
        own = [values.get((name, leaf)) for leaf in leaves if leaf[0] == title]
        mm = ["-" if value is None else f"{value:.2f}" for value in own]
        inches = ["-" if value is None else f"{value / 25.4:.3f}" for value in own]
        row += [
            Cell(text)
            for text in {
                "mm": mm,
                "in": inches,
                "beside": [*mm, *inches],
                "brackets": [f"{a}|({b})" if b != "-" else "-" for a, b in zip(mm, inches, strict=True)],
            }[units]
        ]
    return tuple(row)


def _truth(name: str, title: str, kind: str, value: float, units: str) -> SaidTruly:
    if units == "in":
        value = round(float(f"{value / 25.4:.3f}") * 25.4, 4)
    return SaidTruly(
        name, WORDS.get(title, "dimension"), "" if title in WORDS else title, kind, f"{value:.6g}"
    )


def main() -> None:
    """Draw, read, compare, print."""
    parser = argparse.ArgumentParser(description=__doc__.split("\n", maxsplit=1)[0])
    parser.add_argument("--sheets", type=int, default=40)
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--keep", type=Path, help="folder for the PDFs")
    parser.add_argument("--wrong", action="store_true", help="name the silent and the missing ones")
    options = parser.parse_args()
    total: Counter[str] = Counter()
    with tempfile.TemporaryDirectory() as scratch:
        folder = options.keep or Path(scratch)
        for number in range(options.sheets):
            sheet = random_sheet(number, random.Random(f"{options.seed} {number}"))
            path = folder / sheet.document
            path.write_bytes(draw(replace(sheet, said=())))
            truth = {
                (
                    one.part_number,
                    one.name,
                    one.label,
                    one.kind,
                    f"{float(one.value):.4g}" if one.value else one.text,
                )
                for one in sheet.said
            }
            counts, told = compare(path, truth)
            total += counts
            if options.wrong and told:
                print("\n".join(told[:6]), flush=True)
    print(
        f"{date.today()}, seed {options.seed}, {options.sheets} sheets: {dict(total)}; right"
        f" {total['right'] / total['true']:.1%} of true, silent {total['silent']}"
    )


if __name__ == "__main__":
    main()
