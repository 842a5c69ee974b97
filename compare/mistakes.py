"""All mistakes of one file told at once.

Comes in: checks that raise InputError. Goes out: one InputError in one line, of the only mistake or of all.
Checks nothing itself.
"""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager

from extract.errors import InputError


class Mistakes:
    """Gathers the mistakes of a file while the checks go on; `name` is the file's."""

    __slots__ = ("_found", "_name")

    def __init__(self, name: str) -> None:
        self._name = name
        self._found: list[InputError] = []

    @contextmanager
    def gathered(self) -> Iterator[None]:
        """A check whose mistake is kept, so that the next one is made too."""
        try:
            yield
        except InputError as error:
            self._found.append(error)

    def tell(self) -> None:
        """Raise InputError if there was any mistake."""
        if len(self._found) == 1:
            raise self._found[0]
        if self._found:
            told = "; ".join(f"({number}) {str(error).removeprefix(f'{self._name}, ')}"
                             for number, error in enumerate(self._found, 1))
            raise InputError(self._name, f"{len(self._found)} mistakes: {told}")
