"""Files that commands write: which may be written, and how they come to be whole or not at all.

Comes in: what a command was asked to write, and what it reads. Goes out: a refusal before any work, or a
path to write to that appears under its name only when it is whole. What makes a file holdtrip's own is told
by holdtrip/own_files.py; what a file holds is the writers' affair.
"""

from __future__ import annotations

import os
import re
import stat
import tempfile
import unicodedata
from collections.abc import Callable, Iterable, Iterator
from contextlib import contextmanager, suppress
from dataclasses import dataclass
from pathlib import Path

import click

from extract.errors import InputError
from holdtrip.library_options import PROJECT_FILE

OUTPUT = click.Path(dir_okay=False, writable=True, path_type=Path)
"""A file to write; a folder, or a file that may not be written, is refused before the work begins."""

force_option = click.option(
    "--force", is_flag=True,
    help="Overwrite a file that holdtrip has not written. What the command reads is never overwritten.",
)
"""The option of every command that writes files."""

_UNFINISHED = ".unfinished"
_COPY_OF_SHEET = re.compile(r"[0-9a-f]{64}\.pdf")
_DATABASE_TAILS = ("-wal", "-shm", "-journal")


@dataclass(frozen=True, slots=True)
class OutputKind:
    """A sort of file: what it is called, its endings (none: any), and how one that holdtrip wrote is told."""

    name: str
    endings: tuple[str, ...]
    is_own: Callable[[Path], bool]


@dataclass(frozen=True, slots=True)
class Output:
    """A file a command was asked to write, by which option or argument."""

    option: str
    path: Path
    kind: OutputKind


def check_outputs(outputs: Iterable[Output], inputs: Iterable[Path | str], force: bool = False) -> None:
    """Refuse, with InputError and before any work, what must not be written.

    `inputs` are files, folders of sheets and addresses of libraries; None of them, nor another output, is
    ever overwritten, by whatever path or link it is named. Any other file that holdtrip did not write
    needs `force`. What is no plain file (a pipe, a device) is written to as it is.
    """
    read = tuple(inputs)
    seen: list[Output] = []
    for output in outputs:
        _check_ending(output)
        if _is_plain(output.path):
            _check_folder(output)
            _check_kept(output)
            _check_inputs(output, read)
            _check_others(output, seen)
            _check_existing(output, force)
        seen.append(output)


def _check_ending(output: Output) -> None:
    endings = output.kind.endings
    if _is_plain(output.path) and endings and output.path.suffix.lower() not in endings:
        raise InputError(f"{output.option} {output.path}", f"the ending '{output.path.suffix}'",
                         f"{output.kind.name}: {' or '.join(endings)}", "Nothing was written")


def _check_folder(output: Output) -> None:
    folder = Path(os.path.realpath(output.path)).parent
    if not folder.is_dir() or not os.access(folder, os.W_OK):
        found = "a folder that may not be written to" if folder.is_dir() else "a folder that is not there"
        raise InputError(f"{output.option} {output.path}", found, "a place that can be written to",
                         "Nothing was written")


def _check_kept(output: Output) -> None:
    """What libraries and projects keep is no place for an output, whether this command reads it or not."""
    place = Path(os.path.realpath(output.path))
    kept = "the settings of a project" if place.name == PROJECT_FILE else ""
    if _COPY_OF_SHEET.fullmatch(place.name):
        kept = "a copy of a datasheet that a library keeps"
    if kept and place.exists():
        raise InputError(f"{output.option} {output.path}", kept, "another name", "Nothing was written")


def _check_inputs(output: Output, inputs: Iterable[Path | str]) -> None:
    where = f"{output.option} {output.path}"
    for one in inputs:
        if any(_is_same(output.path, path) for path in _input_to_files(one)):
            raise InputError(where, "a file that this command reads", "another name", "Nothing was written")
        if output.path.suffix.lower() == ".pdf" and output.path.exists() and _is_inside(output.path, one):
            raise InputError(where, "one of the datasheets that this command reads", "another name or folder",
                             "Nothing was written")


def _check_others(output: Output, others: Iterable[Output]) -> None:
    for other in others:
        if _is_same(output.path, other.path) or _is_alike(output.path, other.path):
            raise InputError(f"{output.option} {output.path}", f"the same file as {other.option}",
                             "a name for each", "Nothing was written")


def _check_existing(output: Output, force: bool) -> None:
    path = output.path
    if force or not path.exists() or path.stat().st_size == 0:
        return
    try:
        own = output.kind.is_own(path)
    except (OSError, ValueError):
        own = False
    if not own:
        raise InputError(
            f"{output.option} {path}", f"a file that is not {output.kind.name} as holdtrip writes it",
            "a new name", "Nothing was written; --force overwrites it")


def _is_plain(path: Path) -> bool:
    """Whether a path is, or will be, a regular file: not a pipe, a terminal or a device."""
    return not path.exists() or path.is_file()


def _is_same(one: Path, other: Path) -> bool:
    """Whether two paths are one file: by inode where both exist, else by the place they lead to."""
    if one.exists() and other.exists():
        return one.samefile(other)
    return os.path.normcase(os.path.realpath(one)) == os.path.normcase(os.path.realpath(other))


def _is_alike(one: Path, other: Path) -> bool:
    """Whether two paths differ in capitals or the form of their accents alone: one file on many systems."""
    first, second = (unicodedata.normalize("NFC", os.path.realpath(path)).casefold() for path in (one, other))
    return first == second


def _input_to_files(one: Path | str) -> tuple[Path, ...]:
    """The files of an input: itself, and what a database keeps beside it; none for a server."""
    if "://" in str(one):
        return ()
    typed = Path(one).expanduser()
    named = [path for path in (typed, Path(os.path.realpath(typed))) if path.name]
    return (typed, *(path.with_name(path.name + tail) for path in named for tail in _DATABASE_TAILS))


def _is_inside(path: Path, folder: Path | str) -> bool:
    return Path(folder).is_dir() and path.resolve().is_relative_to(Path(folder).resolve())


@contextmanager
def whole_file(path: Path) -> Iterator[Path]:
    """A path to write to; when the block ends well its content stands under `path`, else nothing changes.

    The content is on the disk before the name is. Where the system can, the unfinished file has no name at
    all, so that even a killed command leaves nothing; elsewhere the next command that writes the same file
    clears what a dead one left.
    """
    if not _is_plain(path):
        with _named_error(path):
            yield path
        return
    target = Path(os.path.realpath(path))
    try:
        _clear_leftovers(target)
        with _unfinished(target) as (number, writable):
            yield writable
            os.fsync(number)
            _keep_mode(number, target)
            _appear(number, writable, target)
            _sync_folder(target.parent)
    except OSError as error:
        if error.filename is not None and not str(error.filename).startswith(("/proc/", str(target.parent))):
            raise
        raise InputError(str(path), error.strerror or "cannot be written", "a place that can be written to",
                         "Nothing was written") from error


@contextmanager
def _named_error(path: Path) -> Iterator[None]:
    """What the system says of a device or a pipe, with its name; a reader that has gone is no error."""
    try:
        yield
    except BrokenPipeError:
        raise
    except OSError as error:
        if error.filename is not None and str(error.filename) != str(path):
            raise
        raise InputError(str(path), error.strerror or "cannot be written",
                         "a place that can be written to") from error


@contextmanager
def naming_output() -> Iterator[None]:
    """An error of the system while standard output is written names it: a full disk behind `> file`."""
    try:
        yield
    except OSError as error:
        if error.filename is None:
            error.filename = "standard output"
        raise


@contextmanager
def _unfinished(target: Path) -> Iterator[tuple[int, Path]]:
    """A new file beside the target, open, and the path by which it is written: without a name if possible."""
    number, named = _open_nameless(target.parent), None
    if number is None:
        number, text = tempfile.mkstemp(f".{os.getpid()}{_UNFINISHED}", f".{target.name}.", target.parent)
        named = Path(text)
        os.fchmod(number, 0o666 & ~_umask())
    try:
        yield number, named or Path(f"/proc/self/fd/{number}")
    finally:
        os.close(number)
        if named is not None:
            named.unlink(missing_ok=True)


def _open_nameless(folder: Path) -> int | None:
    """A file without a name in a folder, where the system has such files."""
    flag = getattr(os, "O_TMPFILE", None)
    if flag is None or not os.path.isdir("/proc/self/fd"):
        return None
    with suppress(OSError):
        return os.open(folder, flag | os.O_RDWR, 0o666)
    return None


def _appear(number: int, written: Path, target: Path) -> None:
    """Give the finished file its name, in one step."""
    if not written.is_relative_to("/proc/self/fd"):
        os.replace(written, target)
        return
    with suppress(FileExistsError):
        _link(number, target)
        return
    beside = target.with_name(f".{target.name}.{os.getpid()}{_UNFINISHED}")
    try:
        _link(number, beside)
        os.replace(beside, target)
    finally:
        beside.unlink(missing_ok=True)


def _link(number: int, name: Path) -> None:
    """Name a nameless file. Without `src_dir_fd` Python would link the entry of /proc, not the file."""
    os.link(f"/proc/self/fd/{number}", name, src_dir_fd=number, follow_symlinks=True)


def _keep_mode(number: int, target: Path) -> None:
    """A file that is overwritten keeps who may read it."""
    if target.exists():
        os.fchmod(number, stat.S_IMODE(target.stat().st_mode))


def _umask() -> int:
    now = os.umask(0)
    os.umask(now)
    return now


def _sync_folder(folder: Path) -> None:
    """The new name is on the disk too, where a folder can be told so."""
    with suppress(OSError):
        number = os.open(folder, os.O_RDONLY)
        try:
            os.fsync(number)
        finally:
            os.close(number)


def _clear_leftovers(target: Path) -> None:
    """Remove unfinished files of the same target whose command is dead."""
    before, after = f".{target.name}.", _UNFINISHED
    if not target.parent.is_dir():
        return
    for one in target.parent.iterdir():
        if one.name.startswith(before) and one.name.endswith(after):
            process = one.name.removesuffix(after).rpartition(".")[2]
            if process.isdigit() and not _is_alive(int(process)):
                one.unlink(missing_ok=True)


def _is_alive(process: int) -> bool:
    try:
        os.kill(process, 0)
    except ProcessLookupError:
        return False
    except OSError:
        return True
    return True
