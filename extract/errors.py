"""Why a file cannot be read: one tree, each error carrying its facts in one line.

Every message says where, what was found, what was expected and what to do.
"""

from __future__ import annotations


class HoldtripError(Exception):
    """Base of all errors a user can mend. Its text is one line."""


class InputError(HoldtripError):
    """A file or a field from outside is not what is needed.

    where: file, page, line or field; found / expected: short texts; advice: what to do.
    """

    def __init__(self, where: str, found: str, expected: str = "", advice: str = "") -> None:
        self.where, self.found, self.expected, self.advice = where, found, expected, advice
        text = f"{where}: {found}"
        if expected:
            text += f"; expected {expected}"
        if advice:
            text += f". {advice}"
        super().__init__(" ".join(text.split()))


class DocumentError(InputError):
    """A PDF that cannot be read: not a PDF, damaged, encrypted, empty, without text, too large."""
