"""What may stand in the fields of a request: types with their bounds, said in the OpenAPI too.

Comes in: nothing. Goes out: annotated types. A text never holds a NUL, which a database may refuse.
"""

from __future__ import annotations

from typing import Annotated

from fastapi import Path, Query
from pydantic import Field

NO_NUL = r"^[^\x00]*$"
MAX_ID = 2**53
"""Largest whole number that JSON keeps everywhere."""

Words = Annotated[str, Field(max_length=1000, pattern=NO_NUL)]
Who = Annotated[str | None, Field(max_length=1000, pattern=NO_NUL)]
"""A signature: None leaves it to the person who started the page, an empty one is refused."""
WhoInQuery = Annotated[str | None, Query(max_length=300, pattern=NO_NUL)]
LongText = Annotated[str, Field(max_length=100_000, pattern=NO_NUL)]
Name = Annotated[str, Field(min_length=1, max_length=200, pattern=NO_NUL)]
Identifier = Annotated[int, Field(ge=1, le=MAX_ID)]
IdentifierInPath = Annotated[int, Path(ge=1, le=MAX_ID)]
IdentifierInQuery = Annotated[int, Query(ge=1, le=MAX_ID)]
Typed = Annotated[str, Field(max_length=60, pattern=NO_NUL)]
Sha256InPath = Annotated[str, Path(pattern=r"^[0-9a-f]{64}$")]
Sha256InQuery = Annotated[str, Query(pattern=r"^[0-9a-f]{64}$")]
PageInPath = Annotated[int, Path(ge=1, le=100_000)]
WordsInQuery = Annotated[str, Query(max_length=300, pattern=NO_NUL)]
