"""Long lists in pieces that a database takes in one statement.

Comes in: values to ask for. Goes out: the same in tuples. SQLite takes 32,766 in one statement,
PostgreSQL 65,535.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from itertools import islice
from typing import TypeVar

_Item = TypeVar("_Item")

CHUNK = 5000
"""Values in one statement."""


def chunks(items: Iterable[_Item]) -> Iterator[tuple[_Item, ...]]:
    """The items in tuples of at most CHUNK."""
    left = iter(items)
    while some := tuple(islice(left, CHUNK)):
        yield some
