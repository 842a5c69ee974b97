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

from extract.cells.ink import TYPED_BLANK, Atom, Ink, Line, atoms_to_text, is_code, letter_width
from extract.cells.regions import Region, is_heading_line
from extract.cells.tables import Column, Head
from extract.cells.temperatures import atoms_to_ambients, line_to_ambients

MOST_LINES = 11
GAP_EM, FIRST_EM, PAD = 2.3, 4.0, 3.0
"""Lines of one heading stand closer, middle to middle, unless one box holds them."""
WORDS_IN_PROSE = 9
PHRASE_EM, SPACED_EM, COLUMN_EM = 0.8, 0.5, 0.3
"""Words closer than PHRASE_EM are one text; where a column begins between them, closer than SPACED_EM if a
blank is printed there, else closer than COLUMN_EM."""
ORPHAN, EXTRA, MANY, MISSED, EDGE, SHARED, WITHIN, SHORT = 0.2, 0.15, 0.4, 2.0, 2.0, 1.0, 0.5, 1.0
CAPTION_PT, NEAR_PT = 90.0, 60.0


@dataclass(frozen=True, slots=True)
class Above:
    """What stands above a region: the heading's lines top to bottom, caption texts, nearest first, and the
    group line of the first rows."""

    heading: tuple[Line, ...]
    captions: tuple[str, ...]
    group: str = ""


def lines_to_above(region: Region, columns: Sequence[Column], above: Sequence[Line], ink: Ink) -> Above:
    """Tell heading lines from captions; `above` are the lines of the region's side, nearest first."""
    box_top = _box_top(region, columns, ink)
    heading: list[Line] = []
    lower, rest, group = region.top, 0, ""
    if above and _is_like_a_group(above[0], region):
        group, lower, rest = above[0].text, above[0].top, 1
    for line in above[rest:MOST_LINES]:
        boxed = box_top is not None and line.mid_y > box_top
        if not boxed and not _may_be_heading(line, columns, heading, lower, box_top is not None):
            break
        heading.insert(0, line)
        lower = line.top
        rest += 1
    captions: list[str] = []
    for line in above[rest:]:
        if lower - line.bottom > CAPTION_PT or len(captions) >= 6:
            break
        captions.append(line.text)
    while heading and _spans_all(heading[0], columns, ink, region.top):
        captions.insert(0, heading.pop(0).text)
    if (
        not group
        and len(heading) > 1
        and _spans_all(heading[-1], columns, ink, region.top)
        and _is_worded(heading[-1])
    ):
        group = heading.pop().text
    return Above(tuple(heading), tuple(captions), group)


def _is_worded(line: Line) -> bool:
    """Whether a line says more than units."""
    return not all(atom.unit for atom in line.atoms)


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
    """Texts turned on their side within the heading's height, each over the column it stands in."""
    if not above.heading or not ink.sideways:
        return []
    top = min(line.top for line in above.heading) - 30
    bottom = max(line.bottom for line in above.heading) + 30
    heads = []
    for text in ink.sideways:
        home = [n for n, c in enumerate(columns) if c.left <= text.mid_x < c.right]
        if home and top < text.mid_y < bottom:
            heads.append(Head(text.text, 0, home[0], home[0], (text,), True))
    return heads


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
    if boxed and heading:
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
    phrases: list[list[Atom]] = [[line.atoms[0]]]
    for atom in line.atoms[1:]:
        before = phrases[-1][-1]
        gap = (atom.x0 - before.x1) / min(atom.size, before.size)
        least = COLUMN_EM
        if before.spaced:
            least = max(SPACED_EM, TYPED_BLANK * letter_width(before) / before.size)
        parted = any(before.mid_x < x < atom.mid_x for x in starts) and gap > least
        ruled = any(before.x1 - 1 < x < atom.x0 + 1 for x in upright)
        if ruled or parted or gap > PHRASE_EM:
            phrases.append([atom])
        else:
            phrases[-1].append(atom)
    return [tuple(part) for phrase in phrases for part in _split_behind_units(phrase)]


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
    sure = [_drawn_span(phrase, line, columns, ink) for phrase in phrases]
    sure = [
        span if sure.count(span) == 1 or not _overlap(span, n, phrases, columns) else None
        for n, span in enumerate(sure)
    ]
    ambients = {n for head in lower if len(head.atoms) and _is_ambient(head) for n in [head.first]}
    spans = _share_out(phrases, sure, columns, {n for h in lower for n in range(h.first, h.last + 1)})
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


def _drawn_span(
    phrase: Sequence[Atom], line: Line, columns: Sequence[Column], ink: Ink
) -> tuple[int, int] | None:
    """The columns between the rules on both sides of a text, or above the rule drawn under it."""
    x0, x1, size = phrase[0].x0, max(atom.x1 for atom in phrase), phrase[0].size
    upright = [rule.at for rule in ink.verticals if rule.start - 1 < line.mid_y < rule.end + 1]
    left = max((x for x in upright if x <= x0 + 2), default=None)
    right = min((x for x in upright if x >= x1 - 2), default=None)
    if left is not None and right is not None:
        span = _columns_between(left, right, columns)
        off = abs((x0 + x1) - (columns[0].x0 + columns[-1].x1)) / 2
        inner = any(
            columns[0].x1 < r.at < columns[-1].x0 and line.mid_y < r.start < line.mid_y + NEAR_PT
            for r in ink.verticals
        )
        if span is None or span[1] - span[0] + 1 < len(columns) or (inner and off < 0.1 * (right - left)):
            return span
    width = columns[-1].x1 - columns[0].x0
    under = [
        rule
        for rule in ink.content.horizontals
        if 0 < rule.at - line.mid_y < 1.5 * size
        and rule.start <= x0 + 2
        and rule.end >= x1 - 2
        and rule.end - rule.start < 0.85 * width
    ]
    if not under:
        return None
    shortest = min(under, key=lambda rule: rule.end - rule.start)
    return _columns_between(shortest.start, shortest.end, columns)


def _columns_between(left: float, right: float, columns: Sequence[Column]) -> tuple[int, int] | None:
    inside = [n for n, column in enumerate(columns) if left - 1 <= column.mid_x <= right + 1]
    return (inside[0], inside[-1]) if inside else None


def _share_out(
    phrases: Sequence[tuple[Atom, ...]],
    sure: Sequence[tuple[int, int] | None],
    columns: Sequence[Column],
    headed: set[int],
) -> list[tuple[int, int]]:
    """The cheapest sharing of columns among the texts of a line, in order, by dynamic programming.

    A text costs what its middle is off the middle of its columns, or its edge off their edge; a column that
    stays without text costs a little if it has one below.
    """
    count = len(columns)
    best: list[tuple[float, list[tuple[int, int]]]] = [
        (sum(ORPHAN for c in range(k) if c in headed), []) for k in range(count + 1)
    ]
    for phrase, drawn in zip(phrases, sure, strict=True):
        extended: list[tuple[float, list[tuple[int, int]]]] = [(best[0][0] + 50.0, [*best[0][1], (0, -1)])]
        for end in range(1, count + 1):
            skip_cost, skip_spans = extended[end - 1]
            options = [(skip_cost + (ORPHAN if end - 1 in headed else 0.0), skip_spans)]
            starts = [drawn[0]] if drawn else range(end)
            for start in starts:
                if start >= end or (drawn and drawn[1] != end - 1):
                    continue
                cost = 0.0 if drawn else _misfit(phrase, columns, start, end - 1)
                options.append((best[start][0] + cost, [*best[start][1], (start, end - 1)]))
            options.append((best[end][0] + 50.0, [*best[end][1], (0, -1)]))
            before = best[end][1][-1] if best[end][1] else (0, -1)
            if before[0] <= before[1] == end - 1 and not drawn:
                again = SHARED + _misfit(phrase, columns, *before)
                options.append((best[end][0] + again, [*best[end][1], before]))
            extended.append(min(options, key=lambda option: option[0]))
        best = extended
    return best[count][1]


def _misfit(phrase: Sequence[Atom], columns: Sequence[Column], first: int, last: int) -> float:
    """How badly a text stands over columns, in em, with what columns it overlaps and does not take."""
    x0, x1, size = phrase[0].x0, max(atom.x1 for atom in phrase), phrase[0].size
    left, right = columns[first].x0, columns[last].x1
    off = abs((x0 + x1) / 2 - (left + right) / 2)
    if first == last:
        off = min(off, abs(x0 - left) + 1.0, abs(x1 - right) + 1.0)
        if columns[first].left < (x0 + x1) / 2 < columns[first].right:
            off *= WITHIN
    elif atoms_to_ambients(phrase):
        return 50.0
    off = min(off, abs(x0 - left) + EDGE * size)
    missed = sum(
        min(x1, c.x1) - max(x0, c.x0) > 0.5 * (c.x1 - c.x0)
        for n, c in enumerate(columns)
        if not first <= n <= last
    )
    outside = max(0.0, left - x1, x0 - right)
    short = SHORT if last > first and sum(len(atom.text) for atom in phrase) <= 5 else 0.0
    extra = short + EXTRA * min(last - first, 2) + MANY * max(0, last - first - 2)
    return (1.5 * off + 3 * outside) / size + MISSED * missed + extra
