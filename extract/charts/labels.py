"""The texts of a chart that name curves.

Comes in: a frame, the words around it, and what its keys and its sheet's parts are called. Goes out: Labels
with what they name and where they stand. Gives no label to a curve.
"""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from itertools import pairwise

from extract.charts.figures import text_to_number
from extract.charts.geometry import Point, to_box, to_segment
from extract.charts.ink import Box, Letter
from extract.charts.kinds import names
from extract.charts.legend import text_to_naming
from extract.charts.naming import Naming, PartFacts, squeeze
from extract.charts.numbers import BELOW_PT, BESIDE_PT
from extract.charts.wording import Word, is_level, is_upright, words_to_phrases

HOLD_LABEL, TRIP_LABEL = "hold", "trip"
LONGEST_QUANTITY = 40  # letters of a label that says hold or trip
KEYED_SHARE = 0.6  # of the keys stand at curves, if they are labels
LEAST_NAME = 4  # letters of a part number that another may follow without a blank
LEAST_ALIKE = 3  # so many labels built alike are names of parts


@dataclass(frozen=True, slots=True)
class Label:
    """A text that names curves: what it says, what it names, its box, the middles of its first and last
    letter, and its colour."""

    text: str
    naming: Naming
    box: Box
    start: Point
    end: Point
    angle: float
    colour: tuple[int, int, int]

    @property
    def mid(self) -> Point:
        """The middle between its ends."""
        return (self.start[0] + self.end[0]) / 2, (self.start[1] + self.end[1]) / 2

    def distance(self, point: Point) -> float:
        """From a point to the line through the middles of its letters."""
        return to_segment(point, self.start, self.end)


@dataclass(frozen=True, slots=True)
class LabelSource:
    """What labels are understood by: keys explained somewhere, the sheet's parts, the chart's title, words of
    the sheet's texts; `explained` are the boxes of words that explain keys."""

    keys: Mapping[str, Naming]
    facts: Sequence[PartFacts]
    context: str = ""
    names: frozenset[str] = frozenset()
    explained: frozenset[Box] = frozenset()


def quantity_labels(words: Sequence[Word], frame: Box, box: Box) -> tuple[Label, ...]:
    """The labels of a derating chart that tell hold from trip current: texts that name one of both."""
    labels = []
    for phrase in words_to_phrases([word for word in words if to_box(word.mid, box) < 1.0]):
        hold, trip = names("title", "hold", phrase.text), names("title", "trip", phrase.text)
        is_axis = is_upright(phrase.angle) and phrase.mid[0] < frame[0]
        if hold != trip and not is_axis and len(phrase.text) <= LONGEST_QUANTITY:
            naming = Naming((HOLD_LABEL if hold else TRIP_LABEL,))
            labels.append(_label(phrase.text, naming, phrase.letters))
    return tuple(labels)


def words_to_labels(words: Sequence[Word], frame: Box, box: Box, source: LabelSource) -> tuple[Label, ...]:
    """The labels in and around a frame, within the box of the whole chart. Numbers along its axes are
    none."""
    ticks = _ticks_at_other_sides(words, frame)
    near = [
        word
        for word in words
        if to_box(word.mid, box) < 1.0 and not _is_tick(word, frame) and word.box not in ticks
    ]
    if source.explained:
        keyed = _words_to_labels([word for word in near if word.box not in source.explained], source)
        if len({label.naming for label in keyed}) >= KEYED_SHARE * len(source.keys):
            return keyed
    return _words_to_labels(near, source)


def _words_to_labels(words: Sequence[Word], source: LabelSource) -> tuple[Label, ...]:
    return tuple(label for phrase in words_to_phrases(words) for label in _phrase_to_labels(phrase, source))


def words_to_like_names(words: Sequence[Word], box: Box) -> frozenset[str]:
    """Texts in a chart that are built alike, as names of one series are: the same letters first, then digits.
    For a sheet whose tables name no part that its charts name."""
    shapes: dict[str, set[str]] = {}
    for word in words:
        match = re.match(r"([A-Za-z]{2,}[A-Za-z0-9]*[-./]?)\d", word.text)
        if match and to_box(word.mid, box) < 1.0:
            shapes.setdefault(match[1][:3].upper(), set()).add(squeeze(word.text))
    return frozenset(name for own in shapes.values() if len(own) >= LEAST_ALIKE for name in own)


def _ticks_at_other_sides(words: Sequence[Word], frame: Box) -> frozenset[Box]:
    """The boxes of the numbers at the right of a frame that has none at its left, and above one that has none
    below."""
    x0, top, x1, bottom = frame
    level = [word for word in words if is_level(word.angle) and text_to_number(word.text) is not None]
    beside = [word for word in level if top - 8 <= word.mid[1] <= bottom + 8]
    along = [word for word in level if x0 - 12 <= word.mid[0] <= x1 + 15]
    found: list[Word] = []
    if not any(x0 - BESIDE_PT <= word.box[2] < x0 + 3 for word in beside):
        found += [word for word in beside if x1 - 3 < word.box[0] <= x1 + BESIDE_PT]
    if not any(bottom < word.mid[1] <= bottom + BELOW_PT for word in along):
        found += [word for word in along if top - BELOW_PT <= word.mid[1] < top]
    return frozenset(word.box for word in found)


def _is_tick(word: Word, frame: Box) -> bool:
    """Whether a number stands along an axis, outside the frame."""
    if text_to_number(word.text) is None:
        return False
    x, y = word.mid
    x0, top, x1, bottom = frame
    if not is_level(word.angle):
        is_beside = is_upright(word.angle) and word.box[2] < x0 + 3 and top - 8 <= y <= bottom + 8
        return is_beside or (0.0 <= word.box[1] - bottom <= BELOW_PT and x0 - 15 <= x <= x1 + 15)
    is_beside = word.box[2] < x0 + 3 and top - 8 <= y <= bottom + 8
    is_below = y > bottom and x0 - 12 <= x <= x1 + 15
    return is_beside or is_below


def _phrase_to_labels(phrase: Word, source: LabelSource) -> list[Label]:
    """The label a phrase is; else those its words are; else those its letters are, if they are keys."""
    found = _letters_to_label(phrase.letters, phrase.text, source)
    if found is not None:
        return [found]
    labels: list[Label] = []
    for text, letters in _phrase_to_words(phrase):
        label = _letters_to_label(letters, text, source)
        if label is not None:
            labels.append(label)
        elif len(text) <= 6 and all(letter.text in source.keys for letter in letters):
            labels += [
                one
                for letter in letters
                if (one := _letters_to_label((letter,), letter.text, source)) is not None
            ]
        elif together := _names_run_together(text, source.facts):
            starts = [sum(map(len, together[:n])) for n in range(len(together) + 1)]
            labels += [
                one
                for first, last in pairwise(starts)
                if (one := _letters_to_label(letters[first:last], text[first:last], source)) is not None
            ]
        elif re.search(r"[^\W\d]{2}", text):
            return []  # a line of words that mentions a part labels no curve
    return labels


def _names_run_together(text: str, facts: Sequence[PartFacts]) -> list[str]:
    """The part numbers that a text is, one behind the other without a blank, as labels that touch are."""
    for fact in facts:
        name = fact.part_number
        if len(name) >= LEAST_NAME and text.startswith(name):
            rest = text[len(name) :]
            others = _names_run_together(rest, facts) if rest else []
            if not rest or others:
                return [name, *others]
    return []


def _phrase_to_words(phrase: Word) -> list[tuple[str, tuple[Letter, ...]]]:
    """The words of a phrase with their letters."""
    words, at = [], 0
    for text in phrase.text.split(" "):
        words.append((text, phrase.letters[at : at + len(text)]))
        at += len(text)
    return words


def _letters_to_label(letters: Sequence[Letter], text: str, source: LabelSource) -> Label | None:
    if not letters or len(text) > 60 or not re.search(r"\w", text):
        return None
    naming = text_to_naming(text, source.keys, source.facts, source.context, source.names)
    if not naming:
        return None
    return _label(text, naming, letters)


def _label(text: str, naming: Naming, letters: Sequence[Letter]) -> Label:
    boxes = [letter.box for letter in letters]
    box = (
        min(b[0] for b in boxes),
        min(b[1] for b in boxes),
        max(b[2] for b in boxes),
        max(b[3] for b in boxes),
    )
    return Label(text, naming, box, letters[0].mid, letters[-1].mid, letters[0].angle, letters[0].colour)
