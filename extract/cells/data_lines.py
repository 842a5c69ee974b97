"""What a line is by what stands in it: values of a row, a heading, codes.

Comes in: a Line. Goes out: whether it is a line of values or of headings. Knows words only by
vocabulary.toml.
"""

from __future__ import annotations

import re
from itertools import pairwise

from extract.cells.ink import Atom, Line, is_code, is_condition, is_supply
from extract.cells.temperatures import line_to_ambients
from extract.vocabulary import scan, vocabulary

LEAST_VALUES = 3
TITLE_EM = 1.8
"""Words of a typed title stand closer, set to both edges or not."""


def is_mixed(text: str) -> bool:
    """Whether a text has letters and digits, as part numbers have."""
    return any(c.isdigit() for c in text) and any(c.isalpha() for c in text)


def is_data_line(line: Line) -> bool:
    """Whether values stand in a line: three, with a number among them, and they are no row of ambients."""
    if _is_headed_as_names(line):
        return False
    values = [atom for atom in line.lone_values if not _is_degrees(atom, line)]
    dittos = sum(atom.ditto for atom in values) >= LEAST_VALUES  # they stand in rows of tables only
    if not any(atom.number for atom in (line.atoms if dittos else values)):
        return False
    if len(values) < LEAST_VALUES:
        return _is_parameter_line(line) or _is_short_row(line)
    if len(line.chunks) == 1 and any(atom.word for atom in line.atoms):
        return False
    return not _is_of_codes(line) and not line_to_ambients(line.atoms)


def _is_headed_as_names(line: Line) -> bool:
    """Whether a line begins with the heading of part numbers and goes on with currents: "Model | 10 A | 15
    A" stands over times."""
    first, rest = line.chunks[0], line.chunks[1:]
    text = " ".join(atom.folded for atom in first)
    behind = " ".join(atom.folded for chunk in rest for atom in chunk)
    named = any(hit.sense == "part_number" for hit in scan(text))
    return len(rest) > 1 and named and _CURRENTS.fullmatch(behind) is not None


_CURRENTS = re.compile(r"(?:[\d.,]+ ?(?:m?a|amp(?:ere)?s?)\b ?){2,}")


def _is_of_codes(line: Line) -> bool:
    """Whether a line is a row of codes ("010 020 110"): all its numbers are whole, most of three digits; a
    row of ratings may hold long numbers of milliohms, one of shares is "134 117 100 86 77"."""
    codes = sum(is_code(atom.folded) for atom in line.atoms)
    others = [atom for atom in line.lone_values if atom.number and not is_code(atom.folded)]
    pointed = any(a.number and re.search(r"[.,]", a.text) for a in line.atoms)
    return codes >= LEAST_VALUES and not pointed and len(others) < codes


def _is_degrees(atom: Atom, line: Line) -> bool:
    """Whether a number is a temperature with its sign: it says where values hold, and is none."""
    if not atom.number or "°" in atom.folded or "℃" in atom.folded:
        return atom.number
    after = next((other for other in line.atoms if other.x0 >= atom.x1 - 0.5), None)
    return after is not None and after.folded[:1] in ("°", "℃") and after.x0 - atom.x1 < atom.size


def _is_short_row(line: Line) -> bool:
    """Whether a line is a name, or a temperature, with two values beside it and nothing else, or two that
    print their units: "AB-010  0.12  0.34", "-40 °C  0.12  0.34", "AB-010  SMD  300 mA  600 mA"."""
    first, values = line.chunks[0], line.lone_values
    if any(_is_degrees(atom, line) for atom in first) and len(first) <= 2:
        return len(line.chunks) == LEAST_VALUES and _are_plain_values(line)
    named = len(first) == 1 and is_mixed(first[0].text) and not first[0].number
    if named and sum(map(_is_value_with_unit, line.chunks[1:])) >= 2:
        return True
    return named and len(values) == 2 == len(line.chunks) - 1 and all(atom.number for atom in values)


def _is_value_with_unit(chunk: tuple[Atom, ...]) -> bool:
    """Whether a text of a line is a number and its unit, and nothing else: "300 mA"."""
    if len(chunk) == 1:
        return re.fullmatch(r"[\d.,]+(?:m?[avw]|m?[ωΩ]|ohm)", chunk[0].folded) is not None
    return len(chunk) == 2 and chunk[0].number and chunk[1].unit


def _are_plain_values(line: Line) -> bool:
    """Whether a line has two numbers behind its first text, and but units nothing else."""
    rest = [atom for chunk in line.chunks[1:] for atom in chunk]
    plain = all(atom.number or atom.unit for atom in rest) and not any(_is_degrees(a, line) for a in rest)
    return plain and sum(atom.number for atom in rest) == LEAST_VALUES - 1


def _is_parameter_line(line: Line) -> bool:
    """Whether a line says one thing of one part: a text that names a quantity, apart from it a value with a
    unit."""
    if len(line.chunks) < 2:
        return False
    texts = [" ".join(atom.folded for atom in chunk) for chunk in line.chunks]
    named = any(hit.sense == "quantity" for text in texts[:-1] for hit in scan(text))
    bare = [
        chunk
        for chunk in line.chunks[1:]
        if any(a.number for a in chunk)
        and not any(a.word and not a.connector and not is_supply(a) for a in chunk)
        and not is_condition(chunk)
    ]
    return named and bool(bare)


def is_section_title(line: Line, bare: bool = False) -> bool:
    """Whether a line is the number of a section and one text: "4.   TIME TO TRIP (at 20 °C)", or the
    number of a table and its title: "TABLE 2. TIME TO TRIP"; `bare`: also without a full stop before a
    capital: "4 Time to trip"."""
    first, rest = line.chunks[0], line.atoms[1:]
    if len(rest) > 1 and first[0].folded in vocabulary()["titles"]["table"]:
        close = all(b.x0 - a.x1 < TITLE_EM * a.size for a, b in pairwise(line.atoms))
        return close and re.fullmatch(r"\d{1,2}[.:)]?", rest[0].folded) is not None
    numbered = len(first) == 1 and re.fullmatch(r"\d{1,2}\.(?:\d{1,2}\.?){0,2}", first[0].text) is not None
    words = bool(rest) and rest[0].word and not line.lone_values
    if bare and len(rest) > 1 and rest[0].text[:1].isupper():
        numbered = numbered or re.fullmatch(r"\d{1,2}", line.atoms[0].text) is not None
        rest = rest if len(first) == 1 else line.atoms[1:]
    return numbered and words and all(b.x0 - a.x1 < TITLE_EM * a.size for a, b in pairwise(rest))


def is_heading_line(line: Line) -> bool:
    """Whether a line between rows begins another table: several texts side by side that are known words,
    units or codes, or a row of ambients."""
    if line_to_ambients(line.atoms) or _is_of_codes(line):
        return True
    if is_section_title(line) or line.lone_values or len(line.chunks) < LEAST_VALUES:
        return False
    texts = [" ".join(atom.folded for atom in chunk) for chunk in line.chunks]
    known = sum(bool(scan(text)) for text in texts)
    units = sum(all(atom.unit for atom in chunk) for chunk in line.chunks)
    codes = sum(map(is_mixed, texts))
    return known + units >= 2 or codes >= LEAST_VALUES
