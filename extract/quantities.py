"""A cell's text becomes numbers with their units, or the reason why not.

Comes in: the text of one cell, footnote marks already apart where type size showed them.
Goes out: a ParsedCell. Never guesses: what could be read two ways is unreadable and says so.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from decimal import Decimal
from enum import StrEnum
from functools import lru_cache

from extract.vocabulary import Unit, absent_texts, fold, spelling_to_unit

FULL_WIDTH = {code: code - 0xFEE0 for code in range(0xFF01, 0xFF5F)}
"""The wide forms of ASCII that stand between Han and kana."""
_VALUE = re.compile(
    r"[<≤≥>~±]?\s*[-−–+]?\d[\d ]*(?:[.,]\s?\d[\d ]*)?\s*"
    r"(?:%|[°º]{0,2}\s?[CK]|[mkµ]?(?:[AVWsΩΩ]|sec|ohms?|Ohms?|VDC|Vdc|VAC))?"
    r"(?:\s*/\s*\d[\d.,]*\s*[A-Za-zΩ%]*)?\s*(?:max|min|typ)?\.?"
)


class CellSort(StrEnum):
    """What a cell holds."""

    NUMBERS = "numbers"
    ABSENT = "absent"
    TEXT = "text"
    UNREADABLE = "unreadable"


@dataclass(frozen=True, slots=True)
class CellNumber:
    """One number of a cell: exact printed value, its unit if the cell prints one, words beside it."""

    value: Decimal
    unit: Unit | None
    printed_unit: str
    words: str = ""


@dataclass(frozen=True, slots=True)
class ParsedCell:
    """A cell as understood: `numbers` in printed order, footnote `marks`, `reason` if unreadable."""

    sort: CellSort
    numbers: tuple[CellNumber, ...] = ()
    marks: tuple[str, ...] = ()
    reason: str = ""


@dataclass(frozen=True, slots=True)
class NumberStyle:
    """How a table writes numbers. `decimal_comma` None: the table does not show it."""

    decimal_comma: bool | None = None


_MARK_AT_END = re.compile(r"(\*+|[†‡§¹²³⁴-⁹]+|(?<=[\dA-Za-zΩ%])\s*\((?:note\s*)?\d\))\s*$", re.IGNORECASE)
_UNIT_WORD = (
    r"[a-zA-ZΩΩωμµ%欧欧姆歐伏安瓦秒毫]+"
    r"(?:[ /]?(?:dc|ac|rms|DC|AC|RMS|Dc|Ac|[(]?(?:[dDaA]\.\s?[cC]|c\.\s?[ca])\.?[)]?))*"
)
_NUMBER = re.compile(
    r"(?P<sign>[-−–+]\s?)?(?P<body>\d[\d ]*(?:[.,]\s?\d[\d ]*)*|[.,]\d+)(?P<exp>[eE][-+]?\d+)?"
    rf"\s*(?P<unit>{_UNIT_WORD})?"
)
_R_NOTATION = re.compile(
    r"(?P<whole>\d+)[Rr](?P<part>\d*)|[Rr](?P<only>\d{2,})|(?P<units>\d+)[.,](?P<behind>\d+)\s?R"
)
_LEADING = re.compile(
    r"^(?:[<>]=|[<≤≦>≥≧~≈=]|max\.?|min\.?|typ\.?|最大|最小|最高|最低|[AD]C(?=\s*\d))\s*", re.IGNORECASE
)
_TRAILING = re.compile(
    r"\s*(?:\(?(?:max\.?|min\.?|typ\.?|nom\.?)\)?|[(（]?(?:最大|最小|最高|最低|標準値?|代表値?|典型值?|标准值?)[)）]?"
    r"|以上|以下|以内)$",
    re.IGNORECASE,
)
_PAIR = re.compile(r"(?<=[\d.\sA-Za-zΩ%])\s*[/|@]\s*(?=[\d.])|\n")
# "8.0A 0.5S", "0.5 s @ 8 A": a current and a time are two numbers, whatever parts them.
_TIME_AT_CURRENT = re.compile(
    r"(?P<one>[\d.,]+\s*(?:m?s|sec\.?|秒)?)\s*(?:以下|以内|max\.?)?\s*"
    r"(?:[(（]?\s*(?:@|at|bei|mit)\s*|[(（]\s*)(?P<other>[\d.,]+\s*m?A)(?:\s*(?:通電時|にて|时|時))?\s*[)）]?",
    re.IGNORECASE,
)
_CURRENT_WITH_TIME = re.compile(
    r"(?P<one>[\d.,]+\s*(?:mA|A)|[\d.,]+\s*(?:m?[sS]|[sS]ec\.?))(?:\s+|\s*(?:[@,;]|at|bei)\s*)"
    r"(?P<other>[\d.,]+\s*(?:mA|A)|[\d.,]+\s*(?:m?[sS]|[sS]ec\.?))"
)
_RANGE = re.compile(r"\d\s*(?:~|〜|…|\.\.\.|to|bis)\s*[.,]?\d|\d\s+[-–]\s+[.,]?\d|\d[-–—][.,]?\d")


@lru_cache(maxsize=4096)  # heading rows, data rows and columns are told by asking of the same cells
def cell_to_numbers(text: str, style: NumberStyle = NumberStyle()) -> ParsedCell:
    """Read a cell's text.

    Returns sort NUMBERS with one or more numbers ("0.78 / 1.56" gives two), ABSENT for dashes and
    the like, TEXT where nothing looks like a number, UNREADABLE with a reason otherwise.
    """
    text = text.translate(FULL_WIDTH)
    text = re.sub(r"\n(?=[^\d\n]+(?:\n|$))", " ", text)  # a unit on the next line belongs to its number
    folded = fold(text).strip()
    if folded in absent_texts() or re.fullmatch(r"[-\s]*", folded):
        return ParsedCell(CellSort.ABSENT)
    bare, marks = _split_marks(text.strip())
    if not bare or fold(bare).strip() in absent_texts():
        return ParsedCell(CellSort.ABSENT, marks=marks)
    if not re.search(r"\d", bare):
        return ParsedCell(CellSort.TEXT, marks=marks)
    if _RANGE.search(fold(bare)):
        return ParsedCell(CellSort.UNREADABLE, marks=marks, reason=f"'{text}' is a range, not one number")
    numbers: list[CellNumber] = []
    for piece in _PAIR.split(_two_apart(bare)):
        found = _piece_to_number(piece.strip(), style)
        if isinstance(found, str):
            sort = CellSort.TEXT if not found else CellSort.UNREADABLE
            return ParsedCell(sort, marks=marks, reason=found)
        numbers.append(found)
    return ParsedCell(CellSort.NUMBERS, tuple(numbers), marks)


def _two_apart(text: str) -> str:
    """A current and a time with a slash between them, if a cell holds both."""
    apart = r"\g<one> / \g<other>"
    return _TIME_AT_CURRENT.sub(apart, _CURRENT_WITH_TIME.sub(apart, text))


_FROM_TO = re.compile(
    r"(?<=[\dA-Za-zΩ\u2126])\s*(?:~|〜|～|…|\.\.\.|–|—|\bto\b|\bbis\b|(?<=\s)-(?=\s))\s*(?=[.,]?\d)"
)


def range_to_pair(text: str) -> str:
    """The text "25 ~ 61" as two numbers with a slash; only for cells that are known to hold two limits."""
    return _FROM_TO.sub(" / ", text)


def _split_marks(text: str) -> tuple[str, tuple[str, ...]]:
    """Take footnote signs (asterisks, daggers, true superscript digits) off the end of a cell."""
    marks: list[str] = []
    while (match := _MARK_AT_END.search(text)) is not None:
        marks.insert(0, match.group(1).strip())
        text = text[: match.start()].rstrip()
    return text, tuple(marks)


def _piece_to_number(piece: str, style: NumberStyle) -> CellNumber | str:
    """One number, or why not; the empty reason means "this is a text"."""
    words = " ".join(part for part in (_match_text(_LEADING, piece), _match_text(_TRAILING, piece)) if part)
    piece = _TRAILING.sub("", _LEADING.sub("", piece)).strip()
    if (match := _R_NOTATION.fullmatch(piece)) is not None:
        return CellNumber(_match_to_ohms(match), spelling_to_unit("ohm"), "R", words)
    match = _NUMBER.fullmatch(piece)
    if match is None:
        letters = len(re.findall(r"[^\W\d_]", piece))
        return "" if letters > 2 else f"'{piece}' is not one number"
    value = _match_to_value(match, style)
    if isinstance(value, str):
        return value
    printed = (match["unit"] or "").strip()
    unit = spelling_to_unit(printed) if printed else None
    if printed and unit is None:
        return "" if len(printed) > 2 else f"'{piece}' ends in '{printed}', which is no known unit"
    return CellNumber(value, unit, printed, words)


def _match_to_ohms(match: re.Match[str]) -> Decimal:
    """The ohms of a number with R for its decimal sign."""
    decimals = match["only"] or match["part"] or match["behind"] or "0"
    return Decimal(f"{match['whole'] or match['units'] or '0'}.{decimals}")


def _match_to_value(match: re.Match[str], style: NumberStyle) -> Decimal | str:
    """Body, sign and power of ten of a printed number as one value, or why not."""
    body = _join_kerned(match["body"])
    if body is None:
        return f"'{match.group()}' could be two numbers"
    value = _body_to_decimal(body, style)
    if isinstance(value, str):
        return value
    if match["sign"] and match["sign"].strip() in "-−–":
        value = -value
    return value.scaleb(int(match["exp"][1:])) if match["exp"] else value


def _match_text(pattern: re.Pattern[str], text: str) -> str:
    match = pattern.search(text)
    return match.group().strip().lower().rstrip(".") if match else ""


def _join_kerned(body: str) -> str | None:
    """Close gaps that kerning left inside one number ("1. 10", "1 .10", "1. 0 0"); None if unsure.

    A gap beside a decimal sign, or between single digits after one, cannot part two numbers of a
    table cell; a gap between whole numbers ("60 10") can.
    """
    body = body.strip()
    if " " not in body:
        return body
    closed = re.sub(r"(?<=\d) ?([.,]) ?(?=\d)", r"\1", body)
    if " " not in closed:
        return closed
    head, sign, tail = closed.partition(".") if "." in closed else closed.partition(",")
    if sign and " " not in head and all(len(bit) == 1 for bit in tail.split(" ")):
        return head + sign + tail.replace(" ", "")
    return None


def _body_to_decimal(body: str, style: NumberStyle) -> Decimal | str:
    """Digits with at most one decimal sign; commas by the table's style."""
    if body.count(".") + body.count(",") == 0:
        return Decimal(body)
    if body.count(".") == 1 and "," not in body:
        return Decimal(body if not body.startswith(".") else "0" + body)
    if body.count(",") == 1 and "." not in body:
        whole, part = body.split(",")
        thousands = len(part) == 3 and whole not in ("", "0") and len(whole) <= 3
        if style.decimal_comma or (not thousands and style.decimal_comma is None):
            return Decimal(f"{whole or '0'}.{part}")
        if thousands and style.decimal_comma is False:
            return Decimal(whole + part)
        return f"'{body}': the comma may part decimals or thousands"
    return f"'{body}' has more than one decimal sign"


def texts_to_style(texts: list[str]) -> NumberStyle:
    """What a table's cells prove about the decimal sign.

    A comma followed by other than three digits, or after a lone zero, is a decimal comma; a point
    in a number proves the decimal point. Both in one table prove nothing: each cell then stands alone.
    """
    comma = any(re.search(r"(?<![\d.,])(?:0,\d|\d+,(?:\d{1,2}|\d{4,})(?![\d.,]))", text) for text in texts)
    point = any(re.search(r"\d\.\d", text) for text in texts)
    if comma and not point:
        return NumberStyle(decimal_comma=True)
    if point and not comma:
        return NumberStyle(decimal_comma=False)
    return NumberStyle()
