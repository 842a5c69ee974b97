"""Commands under test see no library of the person who runs the tests."""

from pathlib import Path

import pytest


@pytest.fixture(autouse=True)
def no_library_of_mine(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    """Nothing but what a test says leads to a library."""
    monkeypatch.delenv("HOLDTRIP_LIBRARY", raising=False)
    monkeypatch.setenv("XDG_DATA_HOME", str(tmp_path / "data"))
