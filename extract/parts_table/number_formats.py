"""A number of a workbook as its format shows it: percent, unit, decimals.

Comes in: a number and its number format (ECMA-376 part 1, 18.8.31). Goes out: text. Never rounds: digits
that the format hides are kept. Dates are no numbers and do not come here.
"""

from __future__ import annotations

import re

_SECTION = re.compile(r';(?=(?:[^"]*"[^"]*")*[^"]*$)')
_TOKEN = re.compile(
    r'"([^"]*)"|\\(.)|_.|\*.|\[\$([^\]-]*)[^\]]*\]|\[[^\]]*\]|([0#?.,]+)|(%)|([Ee][+-]0+)|(.)'
)


def number_to_text(value: float, number_format: str) -> str:
    """The number with its decimals, and with the texts and the percent sign around it."""
    if number_format in ("General", "@", ""):
        return _plain(value)
    sections = _SECTION.split(number_format)
    section = sections[0]
    if value < 0 and len(sections) > 1 and sections[1]:
        section, value = sections[1], abs(value)  # the section for negatives has its own sign
    before, digits, after = _section_to_parts(section)
    shown = value * 100 if "%" in before + after else value
    scaled = len(digits) - len(digits.rstrip(","))
    shown = shown / 1000.0**scaled
    decimals = digits.rstrip(",").partition(".")[2]
    places = len(decimals) - len(decimals.lstrip("0"))
    text = _plain(shown)
    if places and "e" not in text and len(text.partition(".")[2]) < places:
        text = f"{shown:.{places}f}"
    return f"{before}{text}{after}".strip()


def _plain(value: float) -> str:
    """The shortest text of a number as a spreadsheet shows it, which keeps fifteen digits at most."""
    return str(value) if isinstance(value, int) else f"{value:.12g}"


def _section_to_parts(section: str) -> tuple[str, str, str]:
    """What stands before the digits, the digits' own pattern, and what stands behind."""
    before, digits, after = "", "", ""
    for quoted, escaped, currency, pattern, percent, _, other in _TOKEN.findall(section):
        if pattern:
            digits += pattern
            continue
        text = quoted or escaped or currency or percent or (other if other in " -+()/:" else "")
        if digits:
            after += text
        else:
            before += text
    return before, digits, after
