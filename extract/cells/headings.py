"""The texts above the rows, and over which columns each stands.

Comes in: a Region, its Columns, the lines above it and the page's rules. Goes out: Heads, and the captions
above them. Knows no words: what a text means is for meanings/.

    A heading ends at the box of its table, at a caption (one text that begins at the left edge and is wider
    than the first column), or at a gap. Over which columns a text stands is said by the rules beside it, by
    the rule below it, else by its middle: the texts of a line share the columns out among themselves.
"""

from __future__ import annotations

import itertools
from collections.abc import Sequence
from dataclasses import dataclass, replace

from extract.cells.data_lines import is_heading_line, is_section_title
from extract.cells.head_spans import drawn_span, share_out
from extract.cells.ink import TYPED_BLANK, Atom, Ink, Line, atoms_to_text, is_code, letter_width
from extract.cells.regions import Region
from extract.cells.seams import line_parted_at_columns
from extract.cells.tables import Column, Head
from extract.cells.temperatures import atoms_to_ambients, line_to_ambients

MOST_LINES, MOST_BOXED = 11, 20
"""A heading has at most so many lines, without a box and in one: cells centred beside each other stagger."""
GAP_EM, FIRST_EM, PAD = 2.3, 4.0, 3.0
"""Lines of one heading stand closer, middle to middle, unless one box holds them."""
WORDS_IN_PROSE = 9
PHRASE_EM, SPACED_EM, COLUMN_EM, UNPRINTED_EM = 0.8, 0.5, 0.3, 0.2
"""Words closer than PHRASE_EM are one text; where a column begins between them, closer than SPACED_EM if a
blank is printed there, else closer than COLUMN_EM, or than UNPRINTED_EM in a line that prints its blanks."""
SIDEWAYS_PT, TALLEST_PT, FEWEST_SIDEWAYS = 30.0, 90.0, 3
CAPTION_PT, MOST_CAPTIONS = 90.0, 6


@dataclass(frozen=True, slots=True)
class Above:
    """What stands above a region: the heading's lines top to bottom, caption texts, nearest first, and the
    group line of the first rows; `first_row` is where its rows begin."""

    heading: tuple[Line, ...]
    captions: tuple[str, ...]
    group: str = ""
    first_row: float = 0.0


def lines_to_above(region: Region, columns: Sequence[Column], above: Sequence[Line], ink: Ink) -> Above:
    """Tell heading lines from captions; `above` are the lines of the region's side, nearest first."""
    above = [line_parted_at_columns(line, columns) for line in above]
    box_top = _box_top(region, columns, ink)
    heading: list[Line] = []
    lower, rest, group = region.top, 0, ""
    if above and (_is_like_a_group(above[0], region) or _is_group_below_heading(above, columns)):
        group, lower, rest = above[0].text, above[0].top, 1
    for line in above[rest:MOST_BOXED]:
        boxed = box_top is not None and line.mid_y > box_top
        open_end = rest < MOST_LINES and _may_be_heading(line, columns, heading, lower, box_top is not None)
        if not boxed and not open_end:
            break
        heading.insert(0, line)
        lower = line.top
        rest += 1
    captions = _lines_to_captions(above[rest:], lower)
    while heading and _spans_all(heading[0], columns, ink, region.top):
        captions.insert(0, heading.pop(0).text)
    if not group and _ends_in_a_group(heading, columns, ink, region.top):
        group = heading.pop().text
    return Above(tuple(heading), tuple(captions), group, region.top)


def _lines_to_captions(above: Sequence[Line], lower: float) -> list[str]:
    """The texts above a heading that begins at `lower`, nearest first, that may speak of it."""
    near = itertools.takewhile(lambda line: lower - line.bottom <= CAPTION_PT, above)
    return [line.text for line in itertools.islice(near, MOST_CAPTIONS)]


def _ends_in_a_group(heading: Sequence[Line], columns: Sequence[Column], ink: Ink, top: float) -> bool:
    """Whether the last line of a heading is one text over all columns that says more than units."""
    is_worded = len(heading) > 1 and not all(atom.unit for atom in heading[-1].atoms)
    return is_worded and _spans_all(heading[-1], columns, ink, top)


def _is_group_below_heading(above: Sequence[Line], columns: Sequence[Column]) -> bool:
    """Whether the line right above the first row is one text, wider than the first column, and the line
    above it, or the one above that, is of a heading.

    Part    | Ihold | Itrip
    Series AB - 60 V
    AB-010  | 0.10  | 0.20
    """
    if len(above) < 2 or len(columns) < 3:
        return False
    line = above[0]
    alone = len(line.chunks) == 1 and abs(line.x0 - columns[0].x0) < PAD and line.x1 > columns[0].x1 + PAD
    return alone and any(
        line.top - heading.mid_y < FIRST_EM * line.size
        and len(heading.chunks) >= 3
        and (_is_columnar(heading) or is_heading_line(heading))
        for heading in above[1:3]
    )


def _is_like_a_group(line: Line, region: Region) -> bool:
    """Whether the line right above the first row is a group line like those between the rows below."""
    alike = [f for f in region.floats if abs(f.x0 - line.x0) < 2.0 and len(f.chunks) == len(line.chunks) == 1]
    pitch = region.pitch
    return bool(alike) and any(
        all(abs(f.mid_y - row.mid_y) > 0.62 * pitch for row in region.data) for f in alike
    )


def _spans_all(line: Line, columns: Sequence[Column], ink: Ink, top: float) -> bool:
    """Whether a box over all columns holds the line: a caption drawn as the table's first row; rules part the
    columns below it, above the rows that begin at `top`."""
    upright = [rule.at for rule in ink.verticals if rule.start - 1 < line.mid_y < rule.end + 1]
    left = any(x <= columns[0].x0 + 2 for x in upright)
    right = any(x >= columns[-1].x1 - 2 for x in upright)
    inner = any(columns[0].x1 < x < columns[-1].x0 for x in upright)
    parted = any(
        columns[0].x1 < r.at < columns[-1].x0 and line.mid_y < r.start < top + 2 for r in ink.verticals
    )
    return left and right and parted and not inner and len(columns) > 2 and len(line.chunks) < 4


def heading_to_heads(above: Above, columns: Sequence[Column], ink: Ink) -> tuple[Head, ...]:
    """The heading's texts and the columns each stands over."""
    heads: list[Head] = []
    columns = _aligned_places(above, columns, ink)
    for level in range(len(above.heading) - 1, -1, -1):
        line = above.heading[level]
        phrases = _line_to_phrases(line, columns, ink)
        places = [_place(column, n, heads) for n, column in enumerate(columns)]
        heads += _phrases_to_heads(phrases, level, line, places, ink, heads)
    heads = [_narrowed(head, heads, columns) for head in heads]
    heads += _sideways_heads(above, columns, ink)
    return tuple(sorted(heads, key=lambda head: (head.level, head.first)))


def _narrowed(head: Head, heads: Sequence[Head], columns: Sequence[Column]) -> Head:
    """A text over several columns, set over its middle one if a column at an end has a text of its own
    above it: it is the next line of a wrapped heading.

    power   at     Time          "current" goes on with "at"
    (W)   current   (s)
    """
    if head.sure or head.first == head.last:
        return head
    above = {h.first for h in heads if h.first == h.last and h.level < head.level}
    if head.first not in above and head.last not in above:
        return head
    mid = (head.atoms[0].x0 + head.atoms[-1].x1) / 2
    nearest = min(range(head.first, head.last + 1), key=lambda n: abs(columns[n].mid_x - mid))
    return replace(head, first=nearest, last=nearest)


def _aligned_places(above: Above, columns: Sequence[Column], ink: Ink) -> Sequence[Column]:
    """Where the cells of columns stand, as the headings show it: around the values, or ending where values
    set to the right end, or beginning where those set to the left begin.

        |  Ihold |  Itrip |      values to the right: a cell reaches from the end of the values before it
        |   0.10 |   0.20 |      to the end of its own
    """
    ruled = any(rule.start < line.mid_y < rule.end for line in above.heading for rule in ink.verticals)
    if not above.heading or ruled or len(columns) < 4:
        return columns
    mids = [
        (phrase[0].x0 + phrase[-1].x1) / 2
        for line in above.heading
        for phrase in _line_to_phrases(line, columns, ink)
        if phrase[-1].x1 - phrase[0].x0 < 1.6 * (columns[-1].x1 - columns[0].x0) / len(columns)
    ]
    ends = [columns[0], *(_cell(a.x1 + PAD, b.x1 + PAD, b) for a, b in itertools.pairwise(columns))]
    starts = [*(_cell(a.x0 - PAD, b.x0 - PAD, a) for a, b in itertools.pairwise(columns)), columns[-1]]
    return min(
        (columns, ends, starts), key=lambda places: _strayed(mids, places) * (0.6 if places is columns else 1)
    )


def _cell(left: float, right: float, column: Column) -> Column:
    half, mid = (column.x1 - column.x0) / 2, (left + right) / 2
    return Column(left, right, mid - half, mid + half)


def _strayed(mids: Sequence[float], places: Sequence[Column]) -> float:
    """How far texts stand from the nearest place, in sum."""
    return sum(min(abs(mid - place.mid_x) for place in places) for mid in mids)


def _place(column: Column, number: int, heads: Sequence[Head]) -> Column:
    """Where a column stands for the texts above: centred on its lower heading, which is centred in its
    cell."""
    own = [head for head in heads if head.first == head.last == number]
    if not own:
        return column
    x0, x1 = own[0].atoms[0].x0, own[0].atoms[-1].x1
    half, mid = (column.x1 - column.x0) / 2, (x0 + x1) / 2
    return Column(column.left, column.right, mid - half, mid + half)


def _sideways_heads(above: Above, columns: Sequence[Column], ink: Ink) -> list[Head]:
    """Texts turned on their side within the heading's height, each over the column it stands in; without
    other headings, several side by side above the first row."""
    lines = above.heading
    top = min((line.top for line in lines), default=above.first_row - TALLEST_PT) - SIDEWAYS_PT
    bottom = max((line.bottom for line in lines), default=above.first_row - SIDEWAYS_PT) + SIDEWAYS_PT
    heads = []
    for text in ink.sideways:
        home = [n for n, c in enumerate(columns) if c.left <= text.mid_x < c.right]
        if home and top < text.mid_y < bottom:
            heads.append(Head(text.text, 0, home[0], home[0], (text,), True))
    return heads if lines or len({head.first for head in heads}) >= FEWEST_SIDEWAYS else []


def _box_top(region: Region, columns: Sequence[Column], ink: Ink) -> float | None:
    """The upper end of the upright rules that run through the first row, if two of them begin there."""
    starts = sorted(
        rule.start
        for rule in ink.verticals
        if columns[0].left - 40 <= rule.at <= columns[-1].right + 40
        and rule.start < region.top - 4
        and rule.end > region.data[0].mid_y
        and rule.end - rule.start < 0.8 * ink.content.height
    )
    return next((a - 1 for a, b in itertools.pairwise(starts) if b - a < 3.0), None)


def _may_be_heading(
    line: Line, columns: Sequence[Column], heading: Sequence[Line], lower: float, boxed: bool
) -> bool:
    """Whether a line outside any box still belongs to the heading."""
    if (boxed and heading) or (is_section_title(line) and line.x0 < columns[0].x0 + 14):
        return False
    if _is_columnar(line) or is_heading_line(line):
        return lower - line.mid_y <= (GAP_EM if heading else FIRST_EM) * line.size
    if lower - line.mid_y > GAP_EM * line.size:
        return False
    if line.lone_values and not line_to_ambients(line.atoms) and not _is_numbered(line):
        return False
    if any(line.size > 1.15 * other.size for other in heading):
        return False
    return not _is_caption(line, columns, heading, lower)


def _is_columnar(line: Line) -> bool:
    """Whether a line is a row of ambients or of units in brackets, however close they stand."""
    units = sum(atom.folded[:1] in "([" and atom.folded[-1:] in ")]" for atom in line.atoms)
    cold = atoms_to_ambients(line.atoms)
    bare = sum(len(ambient.atoms) for ambient in cold) == len(line.atoms) and any(a.value_c < 0 for a in cold)
    return units >= 2 or bare or bool(line_to_ambients(line.atoms))


def _is_numbered(line: Line) -> bool:
    """Whether the values of a line stand within texts: "20 °C", "5 x IH", "R 25"."""
    codes = sum(is_code(atom.folded) for atom in line.atoms)
    units = sum(atom.unit for atom in line.atoms)
    few = len(line.lone_values) < 3 and any(not atom.value for atom in line.atoms)
    return few or codes >= 3 or (units >= len(line.lone_values) > 0)


def _is_caption(line: Line, columns: Sequence[Column], heading: Sequence[Line], lower: float) -> bool:
    """One text from the left edge that is wider than the first column, or stands apart above its heading; or
    a sentence."""
    words = sum(atom.word for atom in line.atoms)
    longest = max(sum(atom.word for atom in chunk) for chunk in line.chunks)
    if longest > WORDS_IN_PROSE:
        return True
    from_left = line.x0 < columns[0].x0 + 14
    wide = line.chunks[0][-1].x1 > columns[0].right + 6
    headed = any(atom.mid_x < columns[0].right for other in heading for atom in other.atoms)
    apart = headed and lower - line.mid_y > 1.0 * line.size
    return len(line.chunks) <= 1 and from_left and (wide or apart) and words >= 1


def _line_to_phrases(line: Line, columns: Sequence[Column], ink: Ink) -> list[tuple[Atom, ...]]:
    """Words of a heading line that stand together in one cell."""
    starts = [column.left for column in columns[1:]]
    upright = [rule.at for rule in ink.verticals if rule.start < line.mid_y < rule.end]
    prints_blanks = any(atom.spaced for atom in line.atoms[:-1])
    phrases: list[list[Atom]] = [[line.atoms[0]]]
    for atom in line.atoms[1:]:
        before = phrases[-1][-1]
        gap = (atom.x0 - before.x1) / min(atom.size, before.size)
        least = _least_gap(before, prints_blanks)
        parted = any(before.mid_x < x < atom.mid_x for x in starts) and gap > least
        ruled = any(before.x1 - 1 < x < atom.x0 + 1 for x in upright)
        if ruled or parted or gap > PHRASE_EM:
            phrases.append([atom])
        else:
            phrases[-1].append(atom)
    return [tuple(part) for phrase in phrases for part in _split_behind_units(phrase)]


def _least_gap(before: Atom, prints_blanks: bool) -> float:
    """The gap behind a word, in em, from which the next one is of another column where one begins between."""
    if before.spaced:
        return max(SPACED_EM, TYPED_BLANK * letter_width(before) / before.size)
    return UNPRINTED_EM if prints_blanks else COLUMN_EM


def _split_behind_units(phrase: Sequence[Atom]) -> list[Sequence[Atom]]:
    """A text with two units in brackets is two headings that stand close: "current [A] time [s]"."""
    units = [
        n
        for n, atom in enumerate(phrase)
        if atom.unit and atom.folded[:1] in "([" and atom.folded[-1:] in ")]"
    ]
    if len(units) != 2 or not all(atom.word for atom in phrase[units[0] + 1 : units[1]]):
        return [phrase]
    return [phrase[: units[0] + 1], phrase[units[0] + 1 :]] if units[1] > units[0] + 1 else [phrase]


def _phrases_to_heads(
    phrases: Sequence[tuple[Atom, ...]],
    level: int,
    line: Line,
    columns: Sequence[Column],
    ink: Ink,
    lower: Sequence[Head],
) -> list[Head]:
    """Columns for each text of one heading line."""
    sure = [drawn_span(phrase, line, columns, ink) for phrase in phrases]
    sure = [
        span if sure.count(span) == 1 or not _overlap(span, n, phrases, columns) else None
        for n, span in enumerate(sure)
    ]
    ambients = {n for head in lower if len(head.atoms) and _is_ambient(head) for n in [head.first]}
    spans = share_out(phrases, sure, columns, {n for h in lower for n in range(h.first, h.last + 1)})
    heads = []
    for phrase, drawn, span in zip(phrases, sure, spans, strict=True):
        first, last = span
        if drawn is None and _spans_ambients(phrase, (first, last), ambients, columns):
            first, last = min(first, *ambients), max(last, *ambients)
        if first <= last:
            heads.append(Head(atoms_to_text(phrase), level, first, last, phrase, drawn is not None))
    return heads


def _overlap(
    span: tuple[int, int] | None, own: int, phrases: Sequence[tuple[Atom, ...]], columns: Sequence[Column]
) -> bool:
    """Whether another text of the line stands over the same columns: one rule is drawn under both."""
    if span is None:
        return False
    left, right = columns[span[0]].x0, columns[span[1]].x1
    return any(left < (p[0].x0 + p[-1].x1) / 2 < right for n, p in enumerate(phrases) if n != own)


def _spans_ambients(
    phrase: Sequence[Atom], span: tuple[int, int], ambients: set[int], columns: Sequence[Column]
) -> bool:
    """Whether a text stands over a row of ambients: over several of them, or in their middle."""
    over = ambients & set(range(span[0], span[1] + 1))
    if len(ambients) < 3 or not over:
        return False
    middle = (columns[min(ambients)].x0 + columns[max(ambients)].x1) / 2
    mine = (phrase[0].x0 + phrase[-1].x1) / 2
    return len(over) > 1 or abs(mine - middle) < 2 * phrase[0].size


def _is_ambient(head: Head) -> bool:
    return bool(head.first == head.last and head.atoms[0].number)
