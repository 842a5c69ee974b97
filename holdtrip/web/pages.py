"""The pages themselves: templates with the form token, filled by scripts from the same interface.

Comes in: requests for a page. Goes out: HTML; every text is escaped. Fetches no data; has the parts of a
large library made ready when somebody is about to compare.
"""

from __future__ import annotations

from collections.abc import Callable
from importlib.resources import files

from fastapi import APIRouter
from fastapi.responses import HTMLResponse, RedirectResponse
from jinja2 import Environment, PackageLoader, StrictUndefined

from extract.parts_table.mapping import WORDS
from holdtrip.library.records import PartState
from holdtrip.web.desk import Desk
from holdtrip.web.form_sections import form_sections
from holdtrip.web.tokens import SIGNED_IN

_PAGES = {
    "/sheets": ("sheets.html", "Datasheets"),
    "/review": ("review.html", "Review"),
    "/parts": ("parts.html", "Parts"),
    "/part": ("part.html", "Part"),
    "/compare": ("compare.html", "Compare"),
    "/check": ("check.html", "Check a table"),
}
"""Address → template and title."""

STATIC = files("holdtrip.web") / "static"

NOT_LISTED = (PartState.SUPERSEDED, PartState.WITHDRAWN)
"""States of parts that are not in force."""


def pages_router(desk: Desk) -> APIRouter:
    """The routes of pages; they are no part of the documented interface."""
    router = APIRouter(include_in_schema=False, default_response_class=HTMLResponse)
    environment = Environment(loader=PackageLoader("holdtrip.web"), autoescape=True,
                              undefined=StrictUndefined, trim_blocks=True, lstrip_blocks=True)
    facts = {"form_token": desk.form_token, "library": desk.library.name,
             "states": [state.value for state in PartState if state not in NOT_LISTED],
             "max_bytes": desk.options.max_upload_bytes, "sections": form_sections(),
             "meanings": WORDS.split(", ")}

    @router.get("/")
    def start() -> RedirectResponse:
        return RedirectResponse("/sheets")

    def page_at(address: str) -> Callable[..., HTMLResponse]:
        template, title = _PAGES[address]

        def show(unreviewed: str = "") -> HTMLResponse:
            if address == "/compare":  # the first ranking of many parts waits for their columns
                desk.columns.begin(unreviewed == "true")
            page = environment.get_template(template)
            return HTMLResponse(page.render(**facts, title=title, here=address, who=desk.signer(None),
                                            signed_in=bool(SIGNED_IN.get())))

        return show

    for address in _PAGES:
        router.add_api_route(address, page_at(address), methods=["GET"])
    return router
