"""Tables that list the same parts but speak of something else: dimensions, tape, tests, other makers.

Comes in: a Table. Goes out: the word of its title that says so. Its headings may look like ratings
("Pd" a pitch, "It" a thickness, "Trip hole"), so that nothing of it may be read.
"""

from __future__ import annotations

from extract.columns import Table
from extract.schema import Quantity
from extract.vocabulary import fold, foreign_words

TITLE_WORDS = 9


def table_to_foreign_word(table: Table) -> str:
    """The word of the nearest title that makes a table none of ours, or "".

    Words of other makers and old values always do; words of shapes, tapes and tests only where the title
    names no ratings and the table has not both hold and trip current.
    """
    title = fold(table.grid.titles[-1]).strip() if table.grid.titles else ""
    if len(title.split()) > TITLE_WORDS or title.endswith("."):
        return ""  # a note
    if match := foreign_words("always").search(title):
        return match[0]
    match = foreign_words("unless_ratings").search(title)
    if match is None or foreign_words("ratings").search(title):
        return ""
    named = {column.meaning.quantity for column in table.columns}
    return "" if {Quantity.HOLD_CURRENT, Quantity.TRIP_CURRENT} <= named else match[0]
