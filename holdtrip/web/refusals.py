"""Answers to requests that cannot be taken: one line, whatever was sent.

Comes in: errors. Goes out: JSON with `detail`. Never echoes what was sent: it may be
large, or no text at all.
"""

from __future__ import annotations

from fastapi import FastAPI, Request
from fastapi.exceptions import RequestValidationError
from fastapi.responses import JSONResponse

from extract.errors import HoldtripError
from holdtrip.library.records import ConflictError

LONGEST = 2000


def add_refusals(site: FastAPI) -> None:
    """Give an application its answers to errors: of the input 4xx, of the program's own 500."""
    @site.exception_handler(HoldtripError)
    async def refused(_: Request, error: HoldtripError) -> JSONResponse:
        return _answer(str(error), 409 if isinstance(error, ConflictError) else 400)

    @site.exception_handler(RequestValidationError)
    async def not_as_described(_: Request, error: RequestValidationError) -> JSONResponse:
        return _answer(_error_to_line(error), 422)

    @site.exception_handler(Exception)
    async def own_error(_: Request, error: Exception) -> JSONResponse:
        return _answer(f"an error of holdtrip's own: {type(error).__name__}", 500)


def _error_to_line(error: RequestValidationError) -> str:
    """Where and what, of the first fault."""
    first = error.errors()[0]
    where = ".".join(str(step) for step in first["loc"])
    more = len(error.errors()) - 1
    return f"{where}: {first['msg']}" + (f" (and {more} more)" if more else "")


def _answer(line: str, status: int) -> JSONResponse:
    safe = line.encode("utf-8", "backslashreplace").decode("utf-8")
    return JSONResponse({"detail": safe[:LONGEST]}, status)
