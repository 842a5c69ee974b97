"""The glyphs of a page as atoms and lines, told apart early: nothing is joined that a column could part.

Comes in: a PageContent. Goes out: Ink: atoms (printed without a gap), lines of atoms, the page's rules.
Does not know tables. An atom ends at a blank or at a gap of GAP_EM; it is joined to others only once columns
are known.
"""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from functools import cached_property

from extract.cells.leaders import glyphs_without_leaders
from extract.cells.ruled_off import is_ruled_off
from extract.page import Glyph, PageContent, Rule, sideways_box
from extract.vocabulary import absent_texts, any_of, fold, scan, spelling_to_unit

GAP_EM = 0.2
"""Letters of one word stand closer; columns of the tightest sheets seen stand 0.4 em apart."""
KERNED_EM = 0.6
THOUSANDS_EM = 0.36
"""A printed blank between thousands is no wider; columns as close as that are printed apart."""
LINE_EM = 0.3
"""Middles of one line differ less; lines of a wrapped cell differ by at least half a row."""
TYPED_BLANK = 1.15
CHUNK_EM = 0.55
"""Words of one sentence stand closer."""

LONGEST_PREPOSITION = 4

_NUMBER = re.compile(
    r"[<≤≥>~≈±≦≧%]?[-+]?(?:\d[\d,]*(?:[.,]\d+)?|[.,]\d+)(?P<unit>%|°c?|℃|[a-zωμ]{1,4})?[*†‡⁰-⁹¹²³]*(?:\([\da-z]\)|\)|以下|以上|以内)?"
)
_CODE = re.compile(r"0\d+$|\d{5,}$")
"""Whole numbers with a leading zero or of five digits are codes ("0603", "14220"): no rating is printed
so."""
_TYPED_RULE = re.compile(r"[-−_=─━—–*]{4,}")
"""Signs in a row that a typewriter draws a rule with."""
_DITTO = re.compile(
    rf"[-–—]?(?:[\"„“”‟″〃〞〟»«]|''|′′|,,|´´|``)[-–—]?|{any_of('as_above')}|do\.|id\.|dto\.?|↑"
)
"""Signs and words that say "as above"."""
_CONNECTOR = frozenset(
    {"/", "@", "~", "…", "...", "to", "at", "bei", "bis", "à", "a", "x", "×", "|", "〜", "±", ";"}
)
_SUPPLIES = frozenset({"d.c.", "a.c."})
_DASH = re.compile(r"[-—–―.]+")


@dataclass(frozen=True, slots=True)
class Atom:
    """Letters printed without a gap. `mid_y` is the middle of its largest letters, `size` their height;
    `number`: a number, with or without a unit or sign; `blank`: a dash or word that says "no number"."""

    text: str
    x0: float
    top: float
    x1: float
    bottom: float
    mid_y: float
    size: float
    folded: str
    number: bool
    blank: bool
    spaced: bool = False

    @property
    def mid_x(self) -> float:
        """Horizontal middle."""
        return (self.x0 + self.x1) / 2

    @property
    def box(self) -> tuple[float, float, float, float]:
        """x0, top, x1, bottom."""
        return self.x0, self.top, self.x1, self.bottom

    @property
    def ditto(self) -> bool:
        """Whether the atom says "as above"."""
        return _DITTO.fullmatch(self.folded) is not None

    @property
    def value(self) -> bool:
        """Whether the atom may fill a cell of values: a number, a dash, "as above"."""
        return self.number or self.blank or self.ditto

    @property
    def connector(self) -> bool:
        """Whether the atom joins the two values of one cell ("1.0 A / 0.17 s"); a capital A is a unit."""
        return self.folded in _CONNECTOR and self.text != "A"

    @property
    def unit(self) -> bool:
        """Whether the atom is a unit or a kind of voltage."""
        return not self.number and spelling_to_unit(self.text) is not None

    @property
    def word(self) -> bool:
        """Whether the atom is a word of a sentence: letters only, and no unit."""
        letters = sum(letter.isalpha() for letter in self.text)
        if self.folded.strip("(),;") in _SUPPLIES:
            return False
        return letters >= 2 and not any(c.isdigit() for c in self.text) and not self.unit and not self.value


@dataclass(frozen=True, eq=False)
class Line:
    """Atoms of one height, left to right."""

    atoms: tuple[Atom, ...]

    @cached_property
    def mid_y(self) -> float:
        """The middle of its atoms."""
        return sum(atom.mid_y for atom in self.atoms) / len(self.atoms)

    @cached_property
    def top(self) -> float:
        """Upper edge."""
        return min(atom.top for atom in self.atoms)

    @cached_property
    def bottom(self) -> float:
        """Lower edge."""
        return max(atom.bottom for atom in self.atoms)

    @cached_property
    def size(self) -> float:
        """Height of its largest letters."""
        return max(atom.size for atom in self.atoms)

    @property
    def x0(self) -> float:
        """Left edge."""
        return self.atoms[0].x0

    @cached_property
    def x1(self) -> float:
        """Right edge."""
        return max(atom.x1 for atom in self.atoms)

    @cached_property
    def text(self) -> str:
        """All atoms, parted by blanks."""
        return atoms_to_text(self.atoms)

    @cached_property
    def chunks(self) -> tuple[tuple[Atom, ...], ...]:
        """Atoms that stand as close as the words of a sentence."""
        return gaps_to_groups(self.atoms, CHUNK_EM)

    @cached_property
    def lone_values(self) -> tuple[Atom, ...]:
        """Values that stand for themselves: not among the words of a sentence."""
        return tuple(
            atom
            for chunk in self.chunks
            if _is_of_values(chunk) and not is_condition(chunk)
            for atom in chunk
            if atom.value
        )

    def within(self, x0: float, x1: float) -> Line | None:
        """The part of the line between two places; None if nothing stands there."""
        inside = tuple(atom for atom in self.atoms if x0 <= atom.mid_x <= x1)
        return Line(inside) if inside else None


@dataclass(frozen=True, slots=True)
class Ink:
    """A page as lines of atoms, with its rules and the edges of its shaded areas, in upright coordinates;
    `sideways` are texts that run upwards or downwards, one for each of their lines."""

    content: PageContent
    lines: tuple[Line, ...]
    horizontals: tuple[Rule, ...]
    verticals: tuple[Rule, ...]
    sideways: tuple[Atom, ...] = ()

    @property
    def page(self) -> int:
        """Number of the page, from 1."""
        return self.content.number


def content_to_ink(content: PageContent) -> Ink:
    """Atoms and lines of a page; edges of shaded areas count as rules between rows."""
    verticals = sorted(content.verticals, key=lambda rule: rule.at)
    atoms = _glyphs_to_atoms(glyphs_without_leaders(content.glyphs), verticals)
    typed = [atom for atom in atoms if _TYPED_RULE.fullmatch(atom.text)]
    lines = _atoms_to_lines((atom for atom in atoms if not _TYPED_RULE.fullmatch(atom.text)), verticals)
    rules = (Rule(atom.mid_y, atom.x0, atom.x1) for atom in typed)
    horizontals = (*content.horizontals, *content.bands, *rules)
    return Ink(content, lines, horizontals, content.verticals, _sideways_texts(content))


def _sideways_texts(content: PageContent) -> tuple[Atom, ...]:
    """Every run of words of the second direction as one text, in the order of its lines."""
    if not content.sideways or content.sideways_turn == content.turn:
        return ()
    texts = []
    for line in _atoms_to_lines(_glyphs_to_atoms(content.sideways)):
        for chunk in line.chunks:
            box = (chunk[0].x0, min(a.top for a in chunk), chunk[-1].x1, max(a.bottom for a in chunk))
            x0, top, x1, bottom = sideways_box(content, box)
            texts.append(
                _text_to_atom(
                    atoms_to_text(chunk), (x0, top, x1, bottom), (top + bottom) / 2, chunk[0].size, False
                )
            )
    return tuple(texts)


def atoms_to_text(atoms: Sequence[Atom]) -> str:
    """Atoms of one line as one text: a blank where one is printed or a gap is as wide as one."""
    text = ""
    for before, atom in zip((None, *atoms), atoms, strict=False):
        apart = before is not None and (before.spaced or atom.x0 - before.x1 > 0.12 * atom.size)
        text += (" " if apart else "") + atom.text
    return text


def gaps_to_groups(atoms: Sequence[Atom], gap_em: float) -> tuple[tuple[Atom, ...], ...]:
    """Neighbours on a line that stand closer than a gap in em."""
    groups: list[list[Atom]] = []
    for atom in atoms:
        before = groups[-1][-1] if groups else None
        if before is not None and atom.x0 - before.x1 < max(
            gap_em * min(atom.size, before.size), TYPED_BLANK * letter_width(before) * before.spaced
        ):
            groups[-1].append(atom)
        else:
            groups.append([atom])
    return tuple(tuple(group) for group in groups)


def _is_of_values(chunk: Sequence[Atom]) -> bool:
    """Whether a text has more values than words; "30 V DC" is one value."""
    values, words = sum(a.value for a in chunk), sum(a.word for a in chunk)
    supplies = sum(is_supply(a) for a in chunk) if values == 1 else 0
    return values > 1.5 * (words - supplies)


SUPPLIES = ("dc", "ac", "rms")


def is_supply(atom: Atom) -> bool:
    """Whether a word says alternating or direct current: "30 V d.c."."""
    return atom.folded.strip("()").replace(".", "") in SUPPLIES


def is_condition(chunk: Sequence[Atom]) -> bool:
    """Whether a text says under what something holds: a short word that names no limit, then a number ("at 8
    A", "à 5 × Ih")."""
    first = chunk[0]
    short = first.folded == "@" or (first.text.isalpha() and len(first.text) <= LONGEST_PREPOSITION)
    word = first.text == "a" or not (first.unit or scan(first.folded))  # Italian, Spanish: "a 3 A"
    return short and len(chunk) > 1 and chunk[1].number and word


def letter_width(atom: Atom) -> float:
    """The mean width of an atom's letters: a typewriter's blank is as wide."""
    return (atom.x1 - atom.x0) / max(1, len(atom.text))


def _glyphs_to_atoms(glyphs: Sequence[Glyph], verticals: Sequence[Rule] = ()) -> list[Atom]:
    """Neighbours in the order of painting become atoms; a rule between two glyphs parts them."""
    atoms: list[Atom] = []
    run: list[Glyph] = []
    for glyph in glyphs:
        if glyph.text.isspace() or not glyph.text:
            atoms += [_run_to_atom(run, spaced=True)] if run else []
            run = []
            continue
        goes_on = bool(run) and _goes_on(run[-1], glyph)
        ruled = goes_on and is_ruled_off(run[-1], glyph, verticals)
        if run and (ruled or not goes_on):
            atoms.append(_run_to_atom(run, spaced=ruled))
            run = []
        run.append(glyph)
    return [*atoms, _run_to_atom(run)] if run else atoms


def _goes_on(before: Glyph, glyph: Glyph) -> bool:
    """Whether a glyph stands right behind another, on its line or raised or lowered beside it."""
    size = max(before.size, glyph.size)
    if unicodedata.combining(glyph.text[0]) and glyph.x0 - before.x1 < GAP_EM * size:
        return True  # further away a stroke of this sort is a dash
    overlap = min(before.bottom, glyph.bottom) - max(before.top, glyph.top)
    return -0.6 * size < glyph.x0 - before.x1 < GAP_EM * size and overlap > 0.3 * min(before.size, glyph.size)


def _run_to_atom(run: Sequence[Glyph], spaced: bool = False) -> Atom:
    size = max(glyph.size for glyph in run)
    large = [glyph for glyph in run if glyph.size > 0.85 * size]
    text = unicodedata.normalize("NFC", "".join(_glyph_to_text(glyph, run, size) for glyph in run))
    return _text_to_atom(
        text,
        (
            min(glyph.x0 for glyph in run),
            min(glyph.top for glyph in run),
            max(glyph.x1 for glyph in run),
            max(glyph.bottom for glyph in run),
        ),
        sum(glyph.mid_y for glyph in large) / len(large),
        size,
        spaced,
    )


SMALLER = 0.87
"""A browser prints a raised mark at five sixths of the size of its text."""
_RAISED = str.maketrans("0123456789abc", "⁰¹²³⁴⁵⁶⁷⁸⁹ᵃᵇᶜ")


def _glyph_to_text(glyph: Glyph, run: Sequence[Glyph], size: float) -> str:
    """A small digit or letter that stands higher than its neighbours is a footnote mark, in its raised
    form; one in brackets is told by them."""
    if glyph.size > SMALLER * size or glyph is run[0] or run[run.index(glyph) - 1].text == "(":
        return glyph.text
    base = max(run, key=lambda other: other.size)
    raised = glyph.bottom < base.bottom - 0.25 * base.size
    return glyph.text.translate(_RAISED) if raised else glyph.text


def _text_to_atom(
    text: str, box: tuple[float, float, float, float], mid_y: float, size: float, spaced: bool
) -> Atom:
    folded = fold(text)
    number = _is_number(folded)
    blank = bool(_DASH.fullmatch(folded)) or (folded in absent_texts() and folded != "/")
    return Atom(text, *box, mid_y, size, folded, number, blank, spaced)


def _is_piece(before: Atom, atom: Atom) -> bool:
    """Whether an atom goes on with the word before it; a blank that takes no room parts no unit: "VA C"."""
    gap = atom.x0 - before.x1
    unit = len(atom.text) == 1 and gap < 0 and spelling_to_unit(before.text + atom.text) is not None
    return (not before.spaced or unit) and -0.3 * atom.size < gap < GAP_EM * atom.size


def _is_kerned(before: Atom, atom: Atom) -> bool:
    """Whether kerning parted a number right behind its decimal sign: "0. 11"."""
    near = atom.x0 - before.x1 < KERNED_EM * atom.size
    return near and bool(re.fullmatch(r"[-+]?\d+[.,]", before.folded)) and bool(re.match(r"\d", atom.folded))


def _is_thousands(before: Atom, atom: Atom) -> bool:
    """Whether a blank parts the thousands of one number: "1 100", which is kept as "1100"."""
    near = before.spaced and atom.x0 - before.x1 < THOUSANDS_EM * atom.size
    whole = re.fullmatch(r"[1-9]\d{0,2}", before.folded)
    return near and bool(whole) and bool(re.fullmatch(r"\d{3}(?:[.,]\d+)?", atom.folded))


def _is_number(folded: str) -> bool:
    """Whether a text is a number, alone or with a unit behind it ("8A", not "3x"), and no code."""
    match = _NUMBER.fullmatch(folded)
    if match is None or not any(c.isdigit() for c in folded) or is_code(folded):
        return False
    unit = match["unit"] or "%"
    return unit in ("%", "°", "°c", "℃", "r") or spelling_to_unit(unit) is not None


def is_code(folded: str) -> bool:
    """Whether digits are a code, no rating."""
    return bool(_CODE.match(folded))


def _atoms_to_lines(atoms: Iterable[Atom], verticals: Sequence[Rule] = ()) -> tuple[Line, ...]:
    """Atoms whose middles are at one height, left to right; pieces painted apart are joined again."""
    rows: list[list[Atom]] = []
    for atom in sorted(atoms, key=lambda a: a.mid_y):
        mine = next((row for row in reversed(rows[-3:]) if _is_beside(row, atom)), None)
        if mine is None:
            rows.append([atom])
        else:
            mine.append(atom)
    return tuple(Line(_join_pieces(sorted(row, key=lambda a: a.x0), verticals)) for row in rows)


def _is_beside(row: Sequence[Atom], atom: Atom) -> bool:
    mid = sum(other.mid_y for other in row) / len(row)
    return abs(atom.mid_y - mid) < LINE_EM * min(atom.size, row[0].size)


def _join_pieces(row: Sequence[Atom], verticals: Sequence[Rule]) -> tuple[Atom, ...]:
    """Pieces of one word that were painted one by one, in any order, with no rule between them."""
    joined: list[Atom] = []
    for atom in row:
        before = joined[-1] if joined and not is_ruled_off(joined[-1], atom, verticals) else None
        if before and any(goes_on(before, atom) for goes_on in (_is_piece, _is_kerned, _is_thousands)):
            top, bottom = min(before.top, atom.top), max(before.bottom, atom.bottom)
            box = (before.x0, top, max(before.x1, atom.x1), bottom)
            size = max(before.size, atom.size)
            mid_y = before.mid_y if before.size >= atom.size else atom.mid_y
            joined[-1] = _text_to_atom(before.text + atom.text, box, mid_y, size, atom.spaced)
        else:
            joined.append(atom)
    return tuple(joined)
