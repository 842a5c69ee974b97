"""A row or column of ambients: temperatures that rise in order.

Comes in: atoms of a line, or texts. Goes out: the temperatures with the atoms that print each. Evidence:
whole numbers between COLDEST_C and HOTTEST_C that rise strictly, with degree signs or from the cold. Does
not say what is measured at them.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

from extract.cells.ink import Atom
from extract.vocabulary import fold

COLDEST_C, HOTTEST_C, WARM_C = -60.0, 180.0, 40.0
MINUS = ("-", "minus", "минус", "moins", "menos", "meno", "mínusz", "零下", "영하")
_WORD_FOR_MINUS = re.compile(rf"^(?:{'|'.join(MINUS[1:])})(?=\d)")
_BARE = re.compile(r"(?:ta?|at|@)?=?([-+]?)(\d{1,3})(°c|°|c|℃)?")
_FAHRENHEIT = re.compile(r"[-+]?\d{1,3}(?:°f|℉)(?=.)|(?<=.)[-+]?\d{1,3}(?:°f|℉)")
"""The same temperature once more, beside its °C."""
_SIGN = re.compile(r"°c|°|c|℃")


@dataclass(frozen=True, slots=True)
class Ambient:
    """One printed temperature, °C, and the atoms that print it; `signed` with a degree sign."""

    value_c: float
    atoms: tuple[Atom, ...]
    signed: bool


def atoms_to_ambients(atoms: Sequence[Atom]) -> tuple[Ambient, ...]:
    """The bare temperatures among atoms, left to right: "-40", "-40°C", "-40 °C", "- 40 ℃"."""
    found: list[Ambient] = []
    minus: Atom | None = None
    for atom in atoms:
        match = _BARE.fullmatch(atom.folded)
        if atom.folded in MINUS:
            minus = atom
        elif match is not None and match[2]:
            near = minus is not None and atom.x0 - minus.x1 < 0.8 * atom.size
            sign = -1.0 if match[1] == "-" or near else 1.0
            parts = (minus, atom) if near and minus is not None else (atom,)
            found.append(Ambient(sign * float(match[2]), parts, bool(match[3])))
            minus = None
        elif found and _SIGN.fullmatch(atom.folded) and atom.x0 - found[-1].atoms[-1].x1 < atom.size:
            found[-1] = Ambient(found[-1].value_c, (*found[-1].atoms, atom), True)
    return tuple(found)


def is_ambient_row(values: Sequence[float], signed: bool) -> bool:
    """At least three temperatures that rise strictly; without degree signs they begin in the cold, or at room
    temperature and go on in steps of at most 25."""
    if len(values) < 3 or not all(COLDEST_C <= v <= HOTTEST_C for v in values):
        return False
    steps = [b - a for a, b in pairwise(values)]
    if min(steps) <= 0 or values[-1] < WARM_C:
        return False
    return signed or values[0] <= 0 or (len(values) >= 4 and 10 <= values[0] <= 30 and max(steps) <= 25)


def line_to_ambients(atoms: Sequence[Atom]) -> tuple[Ambient, ...]:
    """The ambients that a heading line consists of; none if its numbers are anything else."""
    found = atoms_to_ambients(atoms)
    numbers = sum(atom.number for atom in atoms)
    signed = sum(ambient.signed for ambient in found) > 0.5 * len(found)
    if len(found) < 0.8 * numbers or not is_ambient_row([ambient.value_c for ambient in found], signed):
        return ()
    return found


def text_to_bare_ambient(text: str) -> float | None:
    """The temperature a label consists of ("-40 °C", "23", "at 60°C"), in °C; what
    stands beside it in °F is passed over."""
    squeezed = _FAHRENHEIT.sub("", re.sub(r"[\s()/]", "", fold(text)))
    squeezed = _WORD_FOR_MINUS.sub("-", squeezed)
    match = _BARE.fullmatch(squeezed)
    if match is None:
        return None
    return -float(match[2]) if match[1] == "-" else float(match[2])
