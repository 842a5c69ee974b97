"""`holdtrip verify`: is the library sound, and are the copies of its datasheets those that were read?"""

from __future__ import annotations

import click

from extract.errors import InputError
from holdtrip.counted import counted
from holdtrip.exits import ALL_WELL, FOUND_SOMETHING
from holdtrip.library.store import Library, open_library
from holdtrip.library_options import library_address, library_option
from holdtrip.screen import say
from holdtrip.sheet_files import SheetFiles, library_to_files

EXAMPLES = """\b
Examples:
  holdtrip verify                              the library of this folder, or your own
  holdtrip verify --library team.sqlite        exit code 1 if anything is damaged: for a nightly job
"""


@click.command("verify", epilog=EXAMPLES)
@library_option
def command(library: str | None) -> int:
    """Check the library's database, and the kept copies of datasheets against their hashes.

    Repairs nothing. A damaged library: restore the last backup. A damaged copy: import the file again.
    """
    address = library_address(library)
    with open_library(address, create=False) as opened:
        faults = list(opened.faults())
        sheets = _documents(opened, faults)
        name = opened.name
        files = library_to_files(address, opened)
        damaged, missing = _copies(files, sheets)
    for fault in (*faults, *damaged):
        say(fault, style="bold red")
    if missing:
        say(f"no copy of {counted(len(missing), 'datasheet')} is kept ({', '.join(missing[:5])}): pages"
            " cannot be shown without one; import the files again", style="yellow")
    unnamed = files.unnamed(frozenset(sheets))
    if unnamed:
        say(f"of no datasheet of this library: {counted(len(unnamed), 'file')} in {files.folder}",
            style="yellow")
    found = len(faults) + len(damaged)
    sound = counted(len(sheets) - len(missing) - len(damaged), "copy", "copies")
    say(f"{name}: {counted(len(sheets), 'datasheet')}, {sound} sound, {counted(found, 'fault')}")
    return FOUND_SOMETHING if found else ALL_WELL


def _documents(opened: Library, faults: list[str]) -> dict[str, str]:
    """The datasheets of a library; none where its own faults hide them: those are told then."""
    try:
        return opened.documents()
    except InputError:
        if not faults:
            raise
        return {}


def _copies(files: SheetFiles, sheets: dict[str, str]) -> tuple[list[str], list[str]]:
    """(what is damaged, in sentences; documents without a copy)."""
    damaged, missing = [], []
    for sha256, document in sheets.items():
        if not files.holds(sha256):
            missing.append(document)
        elif files.path_of(sha256) is None:
            damaged.append(f"the copy of {document} is not the file that was read: import that file again")
    return damaged, missing
