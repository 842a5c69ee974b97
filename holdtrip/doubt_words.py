"""What the reader's codes of doubts mean, as sentences for people.

Comes in: a note of a reading. Goes out: a sentence where the note is a code, else the note as it is.
"""

from __future__ import annotations

import re

_MEANINGS = {
    "ac_current": "largest AC current", "ac_voltage": "AC voltage", "dc_current": "largest DC current",
    "dc_voltage": "DC voltage", "hold": "hold current", "interrupt_voltage": "interrupt voltage",
    "max_current": "largest fault current", "max_voltage": "largest voltage", "other": "something else",
    "power": "tripped power", "r1_max": "resistance after a trip", "r_max": "largest resistance",
    "r_min": "smallest resistance", "r_typ": "typical resistance", "time": "time to trip",
    "time_typ": "typical time to trip", "trip": "trip current",
}  # fmt: skip
_SENTENCES = (
    (r"meaning_unsure:(\w+)/(\w+)", "what this column holds is not certain: {0} or {1}"),
    (r"footnote:(.*)", "a footnote at this number gives another value: {0}"),
    (r"unit_not_printed", "the page prints no unit for this column"),
    (r"unit_may_be_mega", "a capital M before the unit may mean a million, not a thousandth"),
    (r"said_in_text", "read from a sentence, not from a table"),
    (r"test_current_from_text", "the test current was read from a sentence"),
    (r"no_test_current", "no test current was read for this time"),
    (r"no_ambient_equals_the_rating", "no ambient of this row gives the rated current"),
    (r"no_share_is_the_whole", "no share of this row is 100 % at a room temperature"),
    (r"printed_twice_and_different", "this number is printed twice, and differently"),
    (r"words_say_another", "the words at the table say another quantity"),
    (r"rows_share_a_name", "several rows have this name"),
    (r"reach_guessed", "which rows this merged cell is for was guessed from its place"),
    (r"part_column_unsure", "which column names the parts is not certain"),
    (r"pairs_beside_single_numbers", "some cells of this row hold two numbers, others one"),
    (r"said_with_exception", "the text that says it excepts something"),
    (r"ambient_unsure", "at which ambient this holds is not certain"),
)  # fmt: skip


def note_to_text(note: str) -> str:
    """The note without code words."""
    for pattern, words in _SENTENCES:
        if match := re.fullmatch(pattern, note, re.DOTALL):
            return words.format(*(_MEANINGS.get(group, group) for group in match.groups()))
    return note
