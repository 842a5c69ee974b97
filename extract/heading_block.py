"""Which lines of text over a table are its heading, which its titles, which name the rows below.

Comes in: runs above the first data row, the table's columns. Goes out: a HeadingBlock. Stops at titles,
sentences and wide gaps. heading_cells.py places the lines over the columns.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass
from statistics import median

from extract.heading_cells import Columns, columns_under
from extract.lines import Run, runs_to_lines
from extract.page import Rule
from extract.quantities import is_value_text
from extract.rating_lines import text_to_ratings
from extract.temperatures import text_to_ambient, texts_are_temperatures
from extract.vocabulary import fold, scan, spelling_to_unit

HEADING_LINES = 3  # so many lines above a bar are looked at for headings
CENTRED = 0.04  # a line over a group of rows is so near to the table's middle, in table widths
LARGE = 1.1  # a title is larger than the page's usual text by so much
BESIDE_PT = 15.0  # a heading stands so far beside its numbers
COLUMN = 0.75  # of the last column's width: so far right of its numbers a heading may begin
RULED_PT = 60.0  # a rule so close above the first row belongs to the table
LARGER = 1.25  # and than all headings of its table by so much, where it stands over one column


@dataclass(frozen=True, slots=True)
class HeadingReach:
    """How far up a heading is looked for.

    gap_em: widest gap between heading lines, in text heights; first_gap_em: between the heading and
    the first data row; max_lines: most lines; max_width: a run wider than this share of the table
    is a sentence.
    """

    gap_em: float = 1.5
    first_gap_em: float = 3.2
    max_lines: int = 14
    sentence_words: int = 9


@dataclass(frozen=True, slots=True)
class HeadingBlock:
    """What stands over a table: `lines` of its heading, top to bottom; `titles` above, nearest last;
    `section` a line between heading and data that names a group of rows."""

    lines: tuple[tuple[Run, ...], ...]
    titles: tuple[str, ...]
    section: tuple[Run, ...] = ()


def runs_to_heading(
    runs: Sequence[Run],
    columns: Columns,
    top: float,
    stops: Sequence[Rule],
    reach: HeadingReach = HeadingReach(),
) -> HeadingBlock:
    """The heading over a table that begins at y `top`.

    `stops` are horizontal rules: once heading text was found, a gap that holds the table's upper
    rule ends the heading.
    """
    left, right = columns[0][0], columns[-1][1]
    above = _runs_over(runs, columns, top, stops)
    taken: list[tuple[Run, ...]] = []
    section: tuple[Run, ...] = ()
    edge = top
    rest = list(reversed(runs_to_lines(above)))
    while rest:
        line = rest[0]
        gap = edge - max(run.bottom for run in line)
        limit = (reach.gap_em if taken else reach.first_gap_em) * max(run.size for run in line)
        is_bar = not taken and not section and _is_bar(line, rest[1:], columns)
        ends = _ends_heading(line, columns, reach) and not is_bar
        if gap > limit or len(taken) >= reach.max_lines or ends:
            break
        is_parted = bool(taken) and _is_parted(stops, max(r.bottom for r in line), edge, left, right)
        if is_parted and len(line) <= 2 and not _names_parts(line):
            break
        if is_bar or (not taken and not section and _names_group(line, rest[1:], columns)):
            section = line
        elif _is_title(line, columns) or _is_larger(line, taken):
            break
        else:
            taken.insert(0, line)
        edge = min(run.top for run in line)
        rest.pop(0)
    titles = _lines_to_titles(rest, edge) or _runs_to_margin_title(runs, left, edge)
    return HeadingBlock(tuple(taken), titles, section)


def _runs_over(runs: Sequence[Run], columns: Columns, top: float, stops: Sequence[Rule]) -> list[Run]:
    """The runs above a table, as far as its numbers, its rule or, for words of the trade, its outermost
    columns reach: numbers at one edge of their columns leave a heading beside all numbers."""
    (first, first_end), (last, right) = columns[0], columns[-1]
    left_edge, right_edge = first - BESIDE_PT, max(right + BESIDE_PT, _ruled_to(columns, top, stops))
    above = [run for run in runs if run.bottom <= top + 1.5]
    near = [run for run in above if run.x1 > left_edge and run.x0 < right_edge]
    if len(columns) < 2:
        return near
    at_left = [run for run in near if run.x1 <= first_end + 2]
    at_right = [run for run in near if run.x0 >= last - 2]
    farther_left = first - COLUMN * (columns[1][1] - first_end)
    farther_right = right + COLUMN * (last - columns[-2][0])
    for run in above:
        is_right = right_edge <= run.x0 < farther_right and not _is_beside(run, at_right)
        is_left = left_edge >= run.x1 > farther_left and not _is_beside(run, at_left)
        if (is_left or is_right) and _is_trade_word(run.text):
            near.append(run)
    return near


def _is_beside(run: Run, others: Sequence[Run]) -> bool:
    """Whether another run stands level with a run: the last column has its heading, this one is another's."""
    return any(min(run.bottom, o.bottom) - max(run.top, o.top) > 0.5 * run.size for o in others)


def _is_trade_word(text: str) -> bool:
    return spelling_to_unit(text) is not None or any(hit.sense == "quantity" for hit in scan(fold(text)))


def _ruled_to(columns: Columns, top: float, stops: Sequence[Rule]) -> float:
    """How far right the nearest rule over a table reaches, if it covers all of it: numbers at the left of
    their columns leave the last heading beside them."""
    left, right = columns[0][0], columns[-1][1]
    over = [rule for rule in stops if rule.at <= top + 2 and rule.start <= left and rule.end >= right]
    nearest = max(over, key=lambda rule: rule.at, default=None)
    return nearest.end if nearest is not None and top - nearest.at <= RULED_PT else right


def _runs_to_margin_title(runs: Sequence[Run], left: float, edge: float) -> tuple[str, ...]:
    """A large line at the page's margin just above a table that is set farther in."""
    usual = median(run.size for run in runs)
    close = [
        run
        for run in runs
        if run.x1 <= left and run.size >= LARGE * usual and 0 <= edge - run.bottom <= 3 * run.size
    ]
    return (max(close, key=lambda run: run.bottom).text,) if close else ()


def _lines_to_titles(lines: Sequence[Sequence[Run]], edge: float) -> tuple[str, ...]:
    """Up to three lines above a heading, nearest last, as far as they stand close."""
    titles: list[str] = []
    for line in lines[:3]:
        if edge - max(run.bottom for run in line) > 5 * max(run.size for run in line) or is_data_line(line):
            break
        titles.insert(0, " ".join(run.text for run in line))
        edge = min(run.top for run in line)
    return tuple(titles)


def _ends_heading(line: Sequence[Run], columns: Columns, reach: HeadingReach) -> bool:
    # "Vmax = 16 V" is no heading
    states = any(_STATEMENT.search(run.text) for run in line)
    return is_data_line(line) or states or _is_sentence(line, reach, columns)


_STATEMENT = re.compile(r"(?<!cid)[=:：]\s*[-–]?\d(?!\d*\s*[x×]?\s*I)")


def _names_parts(line: Sequence[Run]) -> bool:
    return any(hit.sense == "part_number" for run in line for hit in scan(fold(run.text)))


def is_data_line(line: Sequence[Run]) -> bool:
    """At least three values that are no row of temperatures."""
    values = [run.text for run in line if is_value_text(run.text) and any(c.isdigit() for c in run.text)]
    degrees = sum(re.search(r"[°º℃]", value) is not None for value in values)
    return len(values) >= 3 and not texts_are_temperatures(values) and degrees * 2 < len(values)


def _names_group(line: Sequence[Run], above: Sequence[Sequence[Run]], columns: Columns) -> bool:
    """Whether the line right above the data speaks of a group of rows and heads no column."""
    return _is_section(line, columns) or _is_limit(line, columns) or _is_below_units(line, above, columns)


def _is_below_units(line: Sequence[Run], above: Sequence[Sequence[Run]], columns: Columns) -> bool:
    """A lone run at the left edge below the row of units: the heading ends there, whatever the run's words
    ("PD V types") mean elsewhere, but for the name of the part column."""
    units = [run for run in above[0] if spelling_to_unit(run.text) is not None] if above else []
    at_edge = len(line) == 1 and columns_under(line[0], columns[1:]) == 0
    return at_edge and len(units) >= max(3, len(columns) // 2) and not _names_parts(line)


def _is_section(line: Sequence[Run], columns: Columns) -> bool:
    """A lone run without a word of the trade names a group of rows ("Series X - 30 V"); one over a
    single column other than the first is the foot of that column's heading."""
    if len(line) != 1 or spelling_to_unit(line[0].text) is not None:
        return False
    is_foot = columns_under(line[0], columns[1:]) == 1 and columns_under(line[0], columns[:1]) == 0
    if is_foot and not _is_group_in_middle(line[0], columns):
        return False
    hits = scan(fold(line[0].text))
    return not any(
        hit.sense in ("quantity", "derating", "kind", "part_number", "test_current", "time") for hit in hits
    )


def _is_group_in_middle(run: Run, columns: Columns) -> bool:
    """Whether a run that stands at the middle of the whole table names a group ("AB - 60 V")."""
    left, right = columns[0][0], columns[-1][1]
    centred = abs(run.mid_x - (left + right) / 2) <= CENTRED * (right - left)
    is_code = re.search(r"[A-Za-z]", run.text) is not None and re.search(r"\d", run.text) is not None
    return centred and is_code and text_to_ambient(run.text) is None


def _is_limit(line: Sequence[Run], columns: Columns) -> bool:
    """A lone run at the left edge that gives a number ("Maximum voltage 90 V") speaks of the rows below it:
    the heading of the first column names parts."""
    return len(line) == 1 and line[0].x0 < columns[0][1] and bool(text_to_ratings(line[0].text, line[0].box))


def _is_bar(line: Sequence[Run], above: Sequence[Sequence[Run]], columns: Columns) -> bool:
    """A lone run over several columns right below a line of headings names the rows below it, whatever
    words it uses ("Type A - 60 V maximum")."""
    if len(line) != 1 or columns_under(line[0], columns) < 2 or not above:
        return False
    gap = min(run.top for run in line) - max(run.bottom for run in above[0])
    headings = sum(map(len, above[:HEADING_LINES]))  # words and units may stand on lines of their own
    is_heading = len(above[0]) >= 2 and headings >= max(3, len(columns) // 2)
    return is_heading and gap <= max(run.size for run in above[0])


def _is_title(line: Sequence[Run], columns: Columns) -> bool:
    """A lone run that begins at the table's left edge, or left of it, and is wider than its first column
    without being centred over it."""
    run, (left, right) = line[0], columns[0]
    off_centre = run.x0 < left - 6 and run.x1 > right and abs(run.mid_x - (left + right) / 2) > 6
    at_edge = run.x0 < left + 6 and columns_under(run, columns) > 1
    return len(line) == 1 and (at_edge or off_centre)


def _is_larger(line: Sequence[Run], below: Sequence[Sequence[Run]]) -> bool:
    """A lone run in clearly larger letters than every heading below it."""
    largest = max((run.size for below_it in below for run in below_it), default=float("inf"))
    return len(line) == 1 and line[0].size >= LARGER * largest


def _is_sentence(line: Sequence[Run], reach: HeadingReach, columns: Columns) -> bool:
    words = [len(run.text.split()) for run in line]
    wide = any(
        count >= reach.sentence_words and columns_under(run, columns) != 1
        for count, run in zip(words, line, strict=True)
    )
    return wide or sum(words) > 2 * len(columns) + 8


def _is_parted(stops: Sequence[Rule], top: float, bottom: float, left: float, right: float) -> bool:
    """Whether a rule as long as the table runs between two heights."""
    return any(
        top - 1 <= rule.at <= bottom + 1
        and min(rule.end, right) - max(rule.start, left) >= 0.9 * (right - left)
        for rule in stops
    )
