"""The whole page as one ASGI application: guard, pages, interface, static files.

Comes in: options. Goes out: the application and its desk. Errors of a user's input become one line with
status 400 (409 for a conflict); those of the program's own one line with status 500, never a traceback.
"""

from __future__ import annotations

from collections.abc import AsyncIterator
from contextlib import asynccontextmanager
from importlib.metadata import version
from importlib.resources import as_file
from typing import Any

from fastapi import FastAPI
from fastapi.staticfiles import StaticFiles
from pydantic import BaseModel
from starlette.types import ASGIApp

from holdtrip.web.answer_routes import answer_router
from holdtrip.web.check_routes import check_router
from holdtrip.web.compare_routes import compare_router
from holdtrip.web.curve_routes import curve_router
from holdtrip.web.desk import Desk
from holdtrip.web.drawn_routes import drawn_router
from holdtrip.web.frame_routes import frame_router
from holdtrip.web.guard import Guard
from holdtrip.web.options import SiteOptions
from holdtrip.web.pages import STATIC, pages_router
from holdtrip.web.parts_routes import parts_router
from holdtrip.web.refusals import add_refusals
from holdtrip.web.review_routes import review_router
from holdtrip.web.sheets_routes import sheets_router
from holdtrip.web.side_routes import side_router

ABOUT = """Read, review, compare and check polymer PTC fuse data. Changing requests need the header
`X-Form-Token`, which GET /api/session tells, or `Authorization: Bearer TOKEN` where the server was started
with tokens. Values are SI; places are points from the top left of the page, pages count from 1."""


class Refusal(BaseModel):
    """One line: where, what was found, what was expected, what to do."""

    detail: str


REFUSED: dict[str, Any] = {"model": Refusal, "description": "The input is not what is needed."}
ODD: dict[str, Any] = {"model": Refusal, "description": "A correction is odd: it needs `sure`."}
CONFLICT: dict[str, Any] = {"model": Refusal, "description": "Somebody else has changed it meanwhile."}


def options_to_site(options: SiteOptions) -> ASGIApp:
    """Open the library and build the application; the library is closed when the server stops."""
    desk = Desk(options)

    @asynccontextmanager
    async def lifespan(_: FastAPI) -> AsyncIterator[None]:
        yield
        desk.close()

    site = FastAPI(title="holdtrip", version=version("holdtrip"), description=ABOUT, docs_url=None,
                   redoc_url=None, openapi_url="/api/openapi.json", lifespan=lifespan,
                   responses={400: REFUSED, 409: CONFLICT, 428: ODD})
    add_refusals(site)
    _add_session(site, desk)
    for to_router in (pages_router, sheets_router, review_router, answer_router, frame_router, parts_router,
                      compare_router, curve_router, side_router, drawn_router, check_router):
        site.include_router(to_router(desk))
    with as_file(STATIC) as folder:
        site.mount("/static", StaticFiles(directory=folder), name="static")
    return Guard(site, options, desk.form_token)  # outermost: answers to own errors carry its headers too


def _add_session(site: FastAPI, desk: Desk) -> None:
    @site.get("/api/session", tags=["session"])
    def session() -> dict[str, str]:
        """The form token, the name that signs changes, the library."""
        return {"form_token": desk.form_token, "who": desk.signer(None), "library": desk.library.name}
