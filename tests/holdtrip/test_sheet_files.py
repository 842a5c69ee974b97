"""Copies of datasheets are kept beside the library, by hash, whole or not at all."""

import hashlib
from pathlib import Path

import pytest

from holdtrip.sheet_files import SheetFiles, library_to_files

SHA256 = "0123456789abcdef" * 4


def test_a_copy_is_kept_beside_the_library(tmp_path: Path) -> None:
    """`team.sqlite` keeps its sheets in `team.sheets`; a copy that is there stays as it is."""
    sheet = tmp_path / "some sheet.pdf"
    sheet.write_bytes(b"%PDF-1.7 one")
    sha256 = hashlib.sha256(sheet.read_bytes()).hexdigest()
    files = library_to_files(str(tmp_path / "team.sqlite"))
    assert files.path_of(sha256) is None
    files.keep(sheet, sha256)
    sheet.write_bytes(b"other bytes")
    files.keep(sheet, sha256)
    kept = files.path_of(sha256)
    assert kept == tmp_path / "team.sheets" / f"{sha256}.pdf"
    assert kept.read_bytes() == b"%PDF-1.7 one"
    assert [path.name for path in files.folder.iterdir()] == [kept.name]


def test_a_server_s_sheets_are_among_the_user_s_data(tmp_path: Path) -> None:
    """A library that is no file has no folder beside it."""
    folder = library_to_files("postgresql://parts@server/holdtrip").folder
    assert folder.is_relative_to(tmp_path)


@pytest.mark.parametrize(
    "name", ["", "../../etc/passwd", SHA256[:-1], SHA256.upper(), f"{SHA256}/..", SHA256 + "\n"])
def test_only_a_hash_becomes_a_path(tmp_path: Path, name: str) -> None:
    """Whatever is no SHA-256 in lower case is neither read nor written."""
    sheet = tmp_path / "sheet.pdf"
    sheet.write_bytes(b"%PDF-")
    files = SheetFiles(tmp_path / "kept")
    files.keep(sheet, name)
    assert files.path_of(name) is None
    assert not files.folder.exists()


def test_a_link_to_a_library_has_no_copies_of_its_own(tmp_path: Path) -> None:
    """The copies stand beside the file that a link leads to, by whatever name the library is opened."""
    (tmp_path / "team.sqlite").write_bytes(b"")
    (tmp_path / "link.sqlite").symlink_to(tmp_path / "team.sqlite")
    assert library_to_files(str(tmp_path / "link.sqlite")).folder == tmp_path / "team.sheets"
