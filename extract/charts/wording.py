"""Words and phrases in any direction, from letters.

Comes in: letters in the order of the text layer. Goes out: words (no blank within) and phrases (words of one
line that belong together), each with its box, its direction and where it begins. Understands no word.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from extract.charts.ink import Box, Letter, Point

WORD_GAP_EM = 0.45  # letters of one word stand no farther apart
_TOUCH_EM = 0.06  # letters with no blank between them stand no farther apart
PHRASE_GAP_EM = 0.9  # words of one phrase stand no farther apart
_ASIDE_EM = 0.45  # letters of one line lie no farther off it
SAME_HIGH, OTHER_LINE = (
    0.05,
    0.12,
)  # of their height: digits of one size differ by less; so far apart lines are two
_SAME_DEGREES = 12.0


@dataclass(frozen=True, slots=True)
class Word:
    """A text without blanks, or a phrase with them, and its box (x0, top, x1, bottom)."""

    text: str
    letters: tuple[Letter, ...]
    box: Box

    @property
    def mid(self) -> Point:
        """The middle of its box."""
        x0, top, x1, bottom = self.box
        return (x0 + x1) / 2, (top + bottom) / 2

    @property
    def angle(self) -> float:
        """The direction it is read in: degrees, 0 to the right, 90 upwards."""
        return self.letters[0].angle

    @property
    def size(self) -> float:
        """Height of its letters in points."""
        return max(letter_to_height(letter) for letter in self.letters)


def letter_to_height(letter: Letter) -> float:
    """How high a letter stands across its direction, in points."""
    if 1.5 < letter.size < 100.0:
        return letter.size
    wide, high = letter.box[2] - letter.box[0], letter.box[3] - letter.box[1]
    return high if is_level(letter.angle) else wide if is_upright(letter.angle) else min(wide, high)


_SIGNS = {"-", "−", "–", "+"}
_SIGN_ASIDE = 1.25  # a sign comes from a font of its own, whose box stands higher: 10 to the power of -1


def is_level(angle: float) -> bool:
    """Read to the right."""
    return min(angle % 360, 360 - angle % 360) < _SAME_DEGREES


def is_upright(angle: float) -> bool:
    """Read upwards or downwards."""
    return abs(angle % 180 - 90) < _SAME_DEGREES


def letters_to_words(letters: Sequence[Letter]) -> tuple[Word, ...]:
    """Letters that follow each other in the text layer and on the page."""
    groups: list[list[Letter]] = []
    for letter in letters:
        last = groups[-1][-1] if groups else None
        if last and (not letter.is_spaced or _is_torn(last, letter)) and _is_same_hand(last, letter):
            groups[-1].append(letter)
        else:
            groups.append([letter])
    return tuple(_letters_to_word(group) for group in groups)


def _is_torn(one: Letter, other: Letter) -> bool:
    """Whether a blank of the text layer stands where none is printed: some programs place the letters of a
    word one by one."""
    return one.text.isalpha() and other.text.islower() and _follows(one, other, _TOUCH_EM)


def _is_same_hand(one: Letter, other: Letter) -> bool:
    """Whether two letters that touch could be of one word: a curve's letter beside a tick label is larger, or
    of another colour."""
    larger = letter_to_height(other) > 1.1 * letter_to_height(one) or _stand_apart(one, other)
    return _follows(one, other, WORD_GAP_EM) and not larger and one.colour == other.colour


def join_words(words: Sequence[Word], gap_em: float) -> tuple[Word, ...]:
    """Words put together that touch on the page, wherever they stand in the text layer."""
    joined: list[Word] = []
    for word in sorted(words, key=lambda w: w.box[0]):
        for index in range(len(joined) - 1, -1, -1):
            last, first = joined[index].letters[-1], word.letters[0]
            if _follows(last, first, gap_em) and not _stand_apart(last, first):
                joined[index] = _letters_to_word([*joined[index].letters, *word.letters])
                break
        else:
            joined.append(word)
    return tuple(joined)


def _stand_apart(one: Letter, other: Letter) -> bool:
    """Whether two digits of one size stand on lines of their own: the last number of an upright axis and the
    first of a level one."""
    high, next_high = one.box[3] - one.box[1], other.box[3] - other.box[1]
    alike = one.text.isdigit() and other.text.isdigit() and abs(high - next_high) < SAME_HIGH * high
    return alike and is_level(one.angle) and abs(one.box[3] - other.box[3]) > OTHER_LINE * high


def words_to_phrases(words: Sequence[Word]) -> tuple[Word, ...]:
    """Words that follow each other on one line, with blanks between them."""
    groups: list[list[Word]] = []
    for word in words:
        if groups and _follows(groups[-1][-1].letters[-1], word.letters[0], PHRASE_GAP_EM):
            groups[-1].append(word)
        else:
            groups.append([word])
    return tuple(
        _letters_to_word(
            [letter for word in group for letter in word.letters], " ".join(word.text for word in group)
        )
        for group in groups
    )


def _letters_to_word(letters: Sequence[Letter], text: str = "") -> Word:
    boxes = [letter.box for letter in letters]
    return Word(
        text or "".join(letter.text for letter in letters),
        tuple(letters),
        (
            min(b[0] for b in boxes),
            min(b[1] for b in boxes),
            max(b[2] for b in boxes),
            max(b[3] for b in boxes),
        ),
    )


def direction(angle: float) -> Point:
    """The unit vector of a reading direction on the page (y downwards)."""
    turn = math.radians(angle)
    return math.cos(turn), -math.sin(turn)


def _follows(one: Letter, other: Letter, gap_em: float) -> bool:
    """Whether a letter goes on where another ends: same direction, same line, no wide gap."""
    turn = abs(one.angle - other.angle) % 360
    if min(turn, 360 - turn) > _SAME_DEGREES:
        return False
    dx, dy = direction(one.angle)
    (ax, ay), (bx, by) = one.mid, other.mid
    along, aside = (bx - ax) * dx + (by - ay) * dy, abs((by - ay) * dx - (bx - ax) * dy)
    em = max(letter_to_height(one), letter_to_height(other), 0.1)
    room = (_length(one) + _length(other)) / 2
    level = _ASIDE_EM * em * (_SIGN_ASIDE if _SIGNS & {one.text, other.text} else 1.0)
    return aside < level and -0.3 * em < along - room < gap_em * em


def _length(letter: Letter) -> float:
    """How far a letter reaches along its direction."""
    wide, high = letter.box[2] - letter.box[0], letter.box[3] - letter.box[1]
    if is_level(letter.angle):
        return wide
    if is_upright(letter.angle):
        return high
    dx, dy = direction(letter.angle)
    # The box of a slanted letter is larger than the letter: solve for its own width, bounded below.
    across = abs(dx * dx - dy * dy)
    own = (wide * abs(dx) - high * abs(dy)) / across if across > 0.35 else min(wide, high) * 0.6
    return max(0.2 * min(wide, high), own)
