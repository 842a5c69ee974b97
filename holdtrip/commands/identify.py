"""`holdtrip identify`: which of the known parts is this, from what was seen and measured on it?"""

from __future__ import annotations

import json
from collections.abc import Sequence
from pathlib import Path

import click

from compare.identify.clues import Clue
from compare.identify.ranking import Identification, Suspect, parts_to_identification
from compare.identify.seen import read_seen
from holdtrip.counted import counted
from holdtrip.exits import ALL_WELL, FOUND_SOMETHING
from holdtrip.outputs import OUTPUT, Output, check_outputs, force_option, whole_file
from holdtrip.own_files import IDENTIFICATION
from holdtrip.screen import say, show_table
from holdtrip.sources import open_source, source_option

EXAMPLES = """\b
Examples:
  holdtrip identify seen.toml                              among the parts of the library
  holdtrip identify seen.toml --parts datasheets/ --top 5
  holdtrip identify seen.toml --json out.json

\b
seen.toml, for example (docs/identifying.md lists every field):
  ambient_c = 24
  marking = "Q05O"             # as seen: O and 0, S and 5 may be mixed up
  length_mm = 4.5
  resistance_ohm = 0.31        # as the meter shows it
  meter_lead_resistance_ohm = 0.12
  [[held]]                     # what it carried without tripping
  current_a = 0.5
  time_s = 600
  [[trip]]                     # what tripped it
  current_a = 2.5
  time_s = 3.1
"""
CAUTION = ("A likelihood is no proof: the true part may not be among these, and no measurement here shows the"
           " rated voltage. A look-alike of a lower rated voltage can burn. Replace it only by a part chosen"
           " for the circuit, and have mains and battery equipment judged by a qualified person.")


@click.command("identify", epilog=EXAMPLES)
@click.argument("path", metavar="SEEN.toml", type=click.Path(path_type=Path))
@source_option
@click.option("--top", metavar="N", type=click.IntRange(min=1), default=10, show_default=True,
              help="How many parts to show; the file gets all.")
@click.option("--json", "json_path", metavar="OUT.json", type=OUTPUT,
              help="Write every part with each clue to this file.")
@force_option
def command(path: Path, source: str | None, top: int, json_path: Path | None, force: bool) -> int:
    """Rank known parts by how likely an unmarked or unknown part is each of them.

    Each measurement is compared with each part's sheet, with the errors of the instruments. Parts that it
    cannot be are named with the reason; for parts that cannot be told apart, the measurement that separates
    them best is named.
    """
    outputs = [Output("--json", json_path, IDENTIFICATION)] if json_path is not None else []
    check_outputs(outputs, [path, *([source] if source else [])], force)
    seen = read_seen(path)
    opened = open_source(source)
    found = parts_to_identification(opened.parts, seen)
    for failure in opened.failures:
        say(f"not read: {failure.reason}", style="bold red")
    _show(found, top, opened.name)
    if json_path is not None:
        with whole_file(json_path) as unfinished:
            unfinished.write_text(identification_to_json(found), encoding="utf-8")
        say(f"wrote {json_path}: {len(found.suspects)} possible parts, {len(found.excluded)} excluded")
    return ALL_WELL if found.suspects else FOUND_SOMETHING


def _show(found: Identification, top: int, name: str) -> None:
    """Suspects, what speaks against each, the excluded, what to measure next, the caution."""
    show_table(["", "Part", "Share", "Rests on", "Speaks against it", "Datasheet"],
               [_suspect_to_row(number, one) for number, one in enumerate(found.suspects[:top], start=1)],
               title=f"{len(found.suspects)} of {len(found.suspects) + len(found.excluded)} parts of {name}"
               " are possible", numbers=[2])
    if found.suspects:
        first = found.suspects[0]
        show_table(["Clue", "Seen", "Expected", "Source"], [_clue_to_row(clue) for clue in first.clues],
                   title=f"{first.part.part_number}, the likeliest")
    if found.excluded:
        show_table(["Cannot be", "Because"], [[one.part.part_number, "; ".join(one.excluded)]
                                              for one in found.excluded[:top]],
                   title=f"{counted(len(found.excluded), 'part')} excluded, the nearest first")
    for line in identification_to_sentences(found):
        say(line)
    say(CAUTION, style="yellow")


def _suspect_to_row(number: int, one: Suspect) -> list[str]:
    against = "; ".join(f"{clue.name}: {clue.against}" for clue in one.clues if clue.against)
    standing = one.standing.value if one.standing is not None else "nothing in the sheet"
    return [str(number), one.part.part_number, f"{one.share:.0%}", standing, against, one.part.document]


def _clue_to_row(clue: Clue) -> list[str]:
    return [clue.name, clue.seen, clue.expected, clue.source]


def identification_to_sentences(found: Identification) -> list[str]:
    """What can be said, and what to measure next."""
    if not found.suspects:
        return ["None of these parts shows what was measured: another part, a damaged one, or a wrong"
                " measurement. Measure again with four wires and fresh contacts."]
    lines = []
    if len(found.alike) > 1:
        lines.append(f"{counted(len(found.alike), 'part')} cannot be told apart: {_names(found.alike)}.")
    else:
        lines.append(f"{found.suspects[0].part.part_number} is at least ten times likelier than any other of"
                     " these parts. That is no certainty.")
    if found.alike[0].is_aged:
        lines.append(f"If it is {found.alike[0].part.part_number}, it has aged or was just heated: do not put"
                     " it back into service.")
    for place, offer in enumerate(found.next[:3]):
        lead = "Measure next: " if place == 0 else "Or: "
        lines.append(f"{lead}{offer.name}, {offer.how} (tells {offer.bits:.1f} bits).")
    if len(found.alike) > 1 and not found.next:
        lines.append("No bench measurement separates them: their sheets give the same, or nothing.")
    if found.voltages:
        rated = ", ".join(f"{volts:g}" for volts in found.voltages)
        lines.append(f"They are rated for different voltages ({rated} V), which no measurement here can tell:"
                     " assume the lowest.")
    return lines


def _names(suspects: Sequence[Suspect]) -> str:
    shown = ", ".join(one.part.part_number for one in suspects[:12])
    return shown + (f" and {len(suspects) - 12} more" if len(suspects) > 12 else "")


def identification_to_json(found: Identification) -> str:
    """All of it for scripts: suspects in order, excluded, alike, next."""
    content = {
        "suspects": [_suspect_to_json(one) for one in found.suspects],
        "excluded": [_suspect_to_json(one) for one in found.excluded],
        "alike": [one.part.part_number for one in found.alike],
        "next": [{"name": one.name, "how": one.how, "bits": round(one.bits, 3)} for one in found.next],
        "voltages": list(found.voltages),
        "caution": CAUTION,
    }
    return json.dumps(content, ensure_ascii=False, allow_nan=False, indent=1) + "\n"


def _suspect_to_json(one: Suspect) -> dict[str, object]:
    return {
        "part_number": one.part.part_number,
        "document": one.part.document,
        "share": one.share,
        "log_likelihood": one.log_likelihood,
        "aged": one.is_aged,
        "standing": one.standing.value if one.standing is not None else None,
        "excluded": list(one.excluded),
        "clues": [{"name": clue.name, "seen": clue.seen, "expected": clue.expected,
                   "log_likelihood": clue.log_likelihood, "against": clue.against, "neutral": clue.neutral,
                   "source": clue.source} for clue in one.clues],
    }
