"""Why a number is in doubt, in plain words.

Comes in: the notes a reading carries. Goes out: sentences for people, and which notes are reasons. Judges
nothing; a note of a wording not known here goes out as it is, as a sentence.
"""

from __future__ import annotations

import re
from collections.abc import Iterable

from holdtrip.doubt_words import note_to_text

FROM_PICTURE = "recognised from a picture"
"""How the remark begins of a number that stands on a scanned page or in a picture."""

_WORDINGS = tuple((re.compile(pattern), words) for pattern, words in (
    (r"the row '(.+)' may mean any of (.+)",
     "The row is named “{0}”, which may mean any of these parts: {1}."),
    (r"the sheet prints (.+)", "The sheet prints different values for this: {0}."),
    (r"the second reading sees '(.*)'", "A second, independent reading of this cell says “{0}”."),
    (r"another text reader sees '(.*)'", "Another text reader sees “{0}” in this cell."),
    (r"its part number: the second reading sees '(.*)'",
     "A second reading sees the part number of this row as “{0}”."),
    (r"its part number: (.+)", "The part number of this row is in doubt: {0}."),
    (r"(.+) and (.+) are both given as hold current at the reference ambient",
     "The ratings and the derating table give different hold currents at the same ambient: {0} and {1}."),
    (r"joined by \w+(?: \w+)?: '(.+)'", "The row is named “{0}” on the page."),
    (r"unit not printed; (.+) proven by the heat ratio.*",
     "The page prints no unit; {0} is the only one that fits hold current, resistance and power together."),
    (r"unit not printed; only (.+) fits the trade's range",
     "The page prints no unit; only {0} fits what such parts have."),
    (r"unit not printed; read as (.+)", "The page prints no unit here; it was read as {0}."),
    (r"footnote (.+)", "Footnote mark {0} stands at this number."),
    (r"(?:its heading is )?recognised as '(.*)', by the second recogniser as (.+)",
     "This is a picture. One recogniser reads “{0}”, the other {1}."),
))
_BESIDE = re.compile(
    rf"{FROM_PICTURE}|joined by |footnote |unit not printed; |\w+ proven by"
    r" |test current .* x hold")
"""Notes that tell how a number was read and are no reason to doubt it."""


def note_to_words(note: str) -> str:
    """One note as a sentence."""
    note = note_to_text(note)
    for pattern, words in _WORDINGS:
        if match := pattern.fullmatch(note):
            return words.format(*(_quoted(group) for group in match.groups()))
    sentence = note[:1].upper() + note[1:]
    return sentence if sentence.endswith((".", "?", "!")) else f"{sentence}."


def notes_to_reasons(notes: Iterable[str]) -> tuple[str, ...]:
    """The notes that are reasons for a doubt, as they stand."""
    return tuple(note for note in notes if not _BESIDE.match(note))


def is_recognised(notes: Iterable[str]) -> bool:
    """Whether a number stands on a scanned page or in a picture."""
    return any(note.startswith(FROM_PICTURE) for note in notes)


def notes_to_label(notes: Iterable[str]) -> str:
    """How the row is named on the page where that is not the part number; empty otherwise."""
    found = (re.fullmatch(r"joined by [\w ]+: '(.+)'", note) for note in notes)
    return next((match[1] for match in found if match), "")


def _quoted(text: str) -> str:
    return re.sub(r"'([^']*)'", r"“\1”", text)
