"""Each test of the library runs on SQLite and, where HOLDTRIP_TEST_POSTGRES names a server, on PostgreSQL."""

import os
import uuid
from collections.abc import Iterator
from pathlib import Path

import pytest
from sqlalchemy import create_engine, text

from holdtrip.library.address import address_to_url
from holdtrip.library.store import Library, open_library

SERVER = os.environ.get("HOLDTRIP_TEST_POSTGRES", "")


@pytest.fixture(params=["sqlite", "postgresql"])
def address(request: pytest.FixtureRequest, tmp_path: Path) -> Iterator[str]:
    """The address of a library that is not there yet."""
    if request.param == "sqlite":
        yield str(tmp_path / "library.sqlite")
        return
    yield from new_schema()


@pytest.fixture
def postgresql_address() -> Iterator[str]:
    """The address of an empty PostgreSQL library."""
    yield from new_schema()


def new_schema() -> Iterator[str]:
    """An address of a schema of its own on the test server."""
    if not SERVER:
        pytest.skip("HOLDTRIP_TEST_POSTGRES names no PostgreSQL server; .ci/postgres.sh starts one")
    name = f"test_{uuid.uuid4().hex}"
    engine = create_engine(address_to_url(SERVER))
    with engine.begin() as connection:
        connection.execute(text(f"CREATE SCHEMA {name}"))
    yield f"{SERVER}?options=-csearch_path%3D{name}"
    with engine.begin() as connection:
        connection.execute(text(f"DROP SCHEMA {name} CASCADE"))
    engine.dispose()


@pytest.fixture
def library(address: str) -> Iterator[Library]:
    """An empty library."""
    with open_library(address) as opened:
        yield opened
