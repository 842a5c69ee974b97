"""The tokens of a page's drawing commands, taken by one pattern where they are plain.

pdfminer's tokenizer goes through a state for each part of each token, which is a third of reading a
page. Here numbers, operators, names, and strings without escapes that lie whole in its buffer are
taken at once; whatever else comes goes pdfminer's own way. The tokens and their places are the same
(`tests/extract/test_quick_tokens.py` holds both against each other). Understands no command.
"""

from __future__ import annotations

import re
from collections import deque
from collections.abc import Sequence
from functools import cache
from typing import Any

from pdfminer import pdfinterp
from pdfminer.psparser import KWD, LIT

# What ends a name or an operator, as pdfminer has it: a token counts only if its end is in the buffer.
_ENDS = rb"/%\[\]()<>{}\s"
_TOKEN = re.compile(
    rb"[\s\x00]*(?:"
    rb"([+-]?(?:\d+\.\d*|\.\d+)(?=\D))"
    rb"|([+-]?\d+(?=[^\d.]))"
    rb"|([A-Za-z][^#" + _ENDS + rb"]*(?=[#" + _ENDS + rb"]))"
    rb"|\(([^\\()]*)\)"
    rb"|<((?:[0-9A-Fa-f]{2})+)>(?=[^>])"
    rb"|/([^#" + _ENDS + rb"]*(?=[" + _ENDS + rb"]))"
    rb"|([\[\]])"
    rb")"
)


@cache
def _name_to_literal(name: bytes) -> Any:
    try:
        return LIT(str(name, "utf-8"))
    except UnicodeDecodeError:
        return LIT(name)


@cache
def _operator_to_token(operator: bytes) -> Any:
    return {b"true": True, b"false": False}.get(operator, KWD(operator))


# By the number of its group in the pattern: how a token is made, and how far its place lies before the group.
_MAKERS: tuple[Any, ...] = (
    None, float, int, _operator_to_token, bytes, lambda digits: bytes.fromhex(digits.decode("ascii")),
    _name_to_literal, KWD,
)  # fmt: skip
_OPERATOR, _BRACKET = 3, 7
_LEADS = (0, 0, 0, 0, 1, 1, 1, 0)
_OPEN, _CLOSE = KWD(b"["), KWD(b"]")
_INLINE_IMAGE = (KWD(b"BI"), KWD(b"ID"))


class QuickContentParser(pdfinterp.PDFContentParser):
    """pdfminer's parser of drawing commands, with a short way for plain tokens and arrays of them."""

    BUFSIZ = 16384

    def __init__(self, streams: Sequence[object]) -> None:
        self._ready: deque[tuple[int, Any]] = deque()
        super().__init__(streams)

    def nextobject(self) -> Any:
        """The next operand or operator and its place; arrays and dictionaries as lists and dicts."""
        if not self._ready and not (self.results or self.context or self.curstack or self._tokens):
            self._take_plain()
        return self._ready.popleft() if self._ready else super().nextobject()

    def _take_plain(self) -> None:
        """Make ready whatever plain tokens come next in the buffer, up to the first that is not.

        Stops before an inline image, and before an array that holds anything else or is cut off.
        """
        if self.eof or self._parse1 != self._parse_main:
            return
        ready = self._ready
        array: list[Any] | None = None
        opened = (0, 0)  # the place of an open array, and where its bracket is in the buffer
        end = self.charpos
        for match in _TOKEN.finditer(self.buf, end):
            group = match.lastindex
            if match.start() != end or group is None:
                break
            token = _MAKERS[group](match[group])
            place = self.bufpos + match.start(group) - _LEADS[group]
            if group < _BRACKET:
                if group == _OPERATOR and token in _INLINE_IMAGE:
                    break
                if array is None:
                    ready.append((place, token))
                else:
                    array.append(token)
            elif token is _OPEN and array is None:
                array, opened = [], (place, end)
            elif token is _CLOSE and array is not None:
                ready.append((opened[0], array))
                array = None
            else:
                break
            end = match.end()
        self.charpos = end if array is None else opened[1]


def use_quick_tokens() -> None:
    """Let pdfminer take pages apart with QuickContentParser from now on, in this process."""
    pdfinterp.PDFContentParser = QuickContentParser  # type: ignore[misc]
