"""Files in which libraries are exchanged whole: JSON, XLSX and Parquet, told by their ending.

Comes in: a path and the library's records. Goes out: a file, or records. Opens no library.
"""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

from extract.errors import InputError
from library.exchange_records import Record

ENDINGS = (".json", ".xlsx", ".parquet")


def is_exchange(path: Path) -> bool:
    """Whether a file's ending is that of a whole library."""
    return path.suffix.lower() in ENDINGS


def write_exchange(records: Sequence[Record], path: Path) -> None:
    """Write a whole library in the form that the file's ending names."""
    match path.suffix.lower():
        case ".json":
            from library.exchange_json import records_to_json

            path.write_text(records_to_json(records), encoding="utf-8")
        case ".xlsx":
            from library.exchange_xlsx import write_xlsx

            write_xlsx(records, path)
        case ".parquet":
            from library.exchange_parquet import write_parquet

            write_parquet(records, path)
        case _:
            raise InputError(str(path), f"the ending '{path.suffix}'", ", ".join(ENDINGS),
                             "For a .csv add --long")


def read_exchange(path: Path) -> tuple[Record, ...]:
    """Read a whole library from a file; raises InputError for one that is not."""
    if not path.is_file():
        raise InputError(str(path), "no such file", "a file that `holdtrip export` has written")
    match path.suffix.lower():
        case ".json":
            from library.exchange_json import json_to_records

            try:
                text = path.read_text(encoding="utf-8")
            except UnicodeDecodeError as error:
                raise InputError(str(path), "not UTF-8", "JSON that `holdtrip export` has written") from error
            return json_to_records(text, str(path))
        case ".xlsx":
            from library.exchange_xlsx import read_xlsx

            return read_xlsx(path)
        case ".parquet":
            from library.exchange_parquet import read_parquet

            return read_parquet(path)
        case _:
            raise InputError(str(path), f"the ending '{path.suffix}'", ", ".join(ENDINGS))
