"""The review page as a visitor meets it: a server on a free port over a library of two sample sheets."""

import shutil
import socket
import threading
import time
from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace
from functools import cache
from pathlib import Path

import httpx
import pytest
import uvicorn
from playwright.sync_api import Browser, Page, sync_playwright

from extract.schema import Quantity, Reading, SheetReading, Status
from extract.sheet import read_sheet
from holdtrip.library.store import open_library
from holdtrip.sheet_files import library_to_files
from holdtrip.web.options import SiteOptions
from holdtrip.web.site import options_to_site
from tests.holdtrip.web.browsing import ARGUMENTS, CHROMIUM

SAMPLES = Path(__file__).parents[3] / "sample_tables"
DISPUTED, PLAIN = SAMPLES / "rushingdell_rsd.pdf", SAMPLES / "quarrowick_qk.pdf"
"""A sheet whose numbers are then made disputed, and one that is read without a doubt."""
LONG = (SAMPLES / "wendelthwaite_wdt.pdf", SAMPLES / "langleydene_lgy.pdf")
"""Sheets as long as real ones: 45 parts, more than 700 numbers, contradictions, rows named by a stem."""


@dataclass(frozen=True)
class Site:
    """A running page: its address, a client that behaves like the page's own scripts, its library."""

    address: str
    client: httpx.Client
    library: str
    form_token: str

    def sheet(self, document: str) -> str:
        """The SHA-256 of a stored sheet."""
        listed = self.client.get("/api/sheets").json()["sheets"]
        return str(next(one["sheet"]["sha256"] for one in listed if one["sheet"]["document"] == document))

    def review(self, document: str) -> dict:
        """What the review page is told of a stored sheet."""
        return dict(self.client.get(f"/api/sheets/{self.sheet(document)}").json())


def doubted(reading: Reading, number: int) -> Reading:
    """Every seventh number as if the second reading had seen another, every fifth as if none had."""
    if number % 7 == 2:
        return replace(reading, status=Status.DISPUTED, notes=("the second reading sees '9.99'",))
    return replace(reading, status=Status.SINGLE if number % 5 == 1 else Status.AGREED)


@cache
def read(sheet: Path) -> SheetReading:
    """A sample as it is read, read once for all tests here."""
    return read_sheet(sheet)


def unsure_of_unit(reading: Reading) -> Reading:
    """Trip currents as if printed in mA under a heading that names no unit: taken for A."""
    if reading.quantity is not Quantity.TRIP_CURRENT:
        return reading
    return replace(reading, value=float(f"{reading.value * 1000:.9g}"), status=Status.DISPUTED, unit="",
                   notes=("no unit printed here: read as A",))


@pytest.fixture(scope="session")
def asking_stored(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A library with one sheet that asks one question about all its trip currents."""
    path = tmp_path_factory.mktemp("asking") / "team.sqlite"
    reading = read(PLAIN)
    reading = replace(reading, readings=tuple(map(unsure_of_unit, reading.readings)))
    with open_library(path) as library:
        library.import_sheet(reading, "Ann")
        library_to_files(str(path)).keep(PLAIN, reading.sha256)
    return path


@pytest.fixture(scope="session")
def half_stored(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A library with one sheet of whose first table only the hold currents were understood."""
    path = tmp_path_factory.mktemp("half") / "team.sqlite"
    reading = read(PLAIN)
    reading = replace(reading, readings=tuple(
        one for one in reading.readings if one.place.page > 1 or one.quantity is Quantity.HOLD_CURRENT))
    with open_library(path) as library:
        library.import_sheet(reading, "Ann")
        library_to_files(str(path)).keep(PLAIN, reading.sha256)
    return path


@pytest.fixture(scope="session")
def stored(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A library with both sheets and their copies, to be copied by each test."""
    path = tmp_path_factory.mktemp("stored") / "team.sqlite"
    with open_library(path) as library:
        for sheet in (PLAIN, DISPUTED):
            reading = read(sheet)
            if sheet == DISPUTED:
                reading = replace(reading, readings=tuple(map(doubted, reading.readings, range(10**6))))
            library.import_sheet(reading, "Ann")
            library_to_files(str(path)).keep(sheet, reading.sha256)
    return path


@pytest.fixture(scope="session")
def long_stored(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A library with the sheets that are as long as real ones."""
    path = tmp_path_factory.mktemp("long") / "team.sqlite"
    with open_library(path) as library:
        for sheet in LONG:
            reading = read(sheet)
            library.import_sheet(reading, "Ann")
            library_to_files(str(path)).keep(sheet, reading.sha256)
    return path


Serve = Callable[..., Site]


@pytest.fixture
def serve(stored: Path, tmp_path: Path) -> Iterator[Serve]:
    """Start a page over a copy of the library, with options of the test's own."""
    running: list[tuple[uvicorn.Server, threading.Thread, httpx.Client]] = []

    def start(filled: bool = True, over: Path = stored, **options: object) -> Site:
        path = tmp_path / f"team{len(running)}.sqlite"
        if filled:
            shutil.copyfile(over, path)
            shutil.copytree(over.with_suffix(".sheets"), path.with_suffix(".sheets"))
        door = socket.socket()
        door.bind(("127.0.0.1", 0))
        port = door.getsockname()[1]
        asked = replace(SiteOptions(str(path), "Tester", port=port), **options)
        server = uvicorn.Server(uvicorn.Config(options_to_site(asked), log_level="critical", ws="none"))
        thread = threading.Thread(target=server.run, kwargs={"sockets": [door]}, daemon=True)
        thread.start()
        client = httpx.Client(base_url=f"http://127.0.0.1:{port}", timeout=60, trust_env=False)
        running.append((server, thread, client))
        while not server.started:
            time.sleep(0.02)
        bearer = {"Authorization": f"Bearer {asked.tokens[0].text}"} if asked.tokens else {}
        token = client.get("/api/session", headers=bearer).json()["form_token"]
        client.headers["X-Form-Token"] = token
        return Site(f"http://127.0.0.1:{port}", client, str(path), token)

    yield start
    for server, thread, client in running:
        client.close()
        server.should_exit = True
        thread.join(timeout=20)


@pytest.fixture
def site(serve: Serve) -> Site:
    """A page with the two sheets, open to this machine."""
    return serve()


@pytest.fixture
def long_site(serve: Serve, long_stored: Path) -> Site:
    """A page with the two long sheets."""
    return serve(over=long_stored)


@pytest.fixture
def asking_site(serve: Serve, asking_stored: Path) -> Site:
    """A page with a sheet that asks one question about a whole column."""
    return serve(over=asking_stored)


@pytest.fixture
def half_site(serve: Serve, half_stored: Path) -> Site:
    """A page with a sheet of which a table was not understood."""
    return serve(over=half_stored)


@pytest.fixture(scope="session")
def browser() -> Iterator[Browser]:
    """One browser for all tests here."""
    if CHROMIUM is None:
        pytest.skip("no Chromium found: install Debian's `chromium`, or name one in HOLDTRIP_BROWSER")
    with sync_playwright() as playwright:
        started = playwright.chromium.launch(executable_path=CHROMIUM, args=ARGUMENTS)
        yield started
        started.close()


@pytest.fixture
def page(browser: Browser) -> Iterator[Page]:
    """A window of a laptop; an error of a script or of the policy fails the test, and so does any request
    that leaves this machine."""
    context = browser.new_context(viewport={"width": 1360, "height": 860}, accept_downloads=True)
    shown = context.new_page()
    wrong: list[str] = []
    shown.on("pageerror", lambda error: wrong.append(str(error)))
    shown.on("console", lambda message: wrong.append(message.text) if "Policy" in message.text else None)
    shown.on("request", lambda asked: None if asked.url.startswith(("http://127.0.0.1", "blob:"))
             else wrong.append(asked.url))
    yield shown
    context.close()
    assert wrong == []
