"""Files in which libraries are exchanged: JSON, XLSX and Parquet whole, long and wide tables (CSV) in part.

Comes in: a path and the library's records. Goes out: a file, or records. Opens no library.
"""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

from extract.errors import InputError
from extract.schema import Reading
from holdtrip.library.exchange_records import Record
from holdtrip.library.records import Signature

ENDINGS = (".json", ".xlsx", ".parquet")


def is_exchange(path: Path) -> bool:
    """Whether a file's ending is that of a library or of a table out of one."""
    return path.suffix.lower() in (*ENDINGS, ".csv")


def write_exchange(records: Sequence[Record], path: Path, ending: str) -> None:
    """Write a whole library in the form that an ending names, whatever the path ends in."""
    match ending:
        case ".json":
            from holdtrip.library.exchange_json import records_to_json

            path.write_text(records_to_json(records), encoding="utf-8")
        case ".xlsx":
            from holdtrip.library.exchange_xlsx import write_xlsx

            write_xlsx(records, path)
        case ".parquet":
            from holdtrip.library.exchange_parquet import write_parquet

            write_parquet(records, path)
        case _:
            raise InputError(str(path), f"the ending '{ending}'", ", ".join(ENDINGS), "For a .csv add --long")


def read_exchange(path: Path, who: str) -> tuple[tuple[Record, ...], bool]:
    """Read a library, or a long or wide table, from a file; raises InputError for one that is neither.

    `who` imports it, and stands for what a table calls accepted or corrected. The second of what is given
    back is whether the file has a checksum, so that a digit changed since would have been refused.
    """
    if not path.is_file():
        raise InputError(str(path), "no such file", "a file that `holdtrip export` has written")
    match path.suffix.lower():
        case ".json":
            from holdtrip.library.exchange_json import json_to_judged

            try:
                text = path.read_text(encoding="utf-8")
            except UnicodeDecodeError as error:
                raise InputError(str(path), "not UTF-8", "JSON that `holdtrip export` has written") from error
            return json_to_judged(text, str(path))
        case ".xlsx":
            from holdtrip.library.exchange_xlsx import read_xlsx

            return read_xlsx(path), False
        case ".parquet":
            from holdtrip.library.exchange_parquet import parquet_to_judged

            return parquet_to_judged(path)
        case ".csv":
            from holdtrip.library.exchange_readings import readings_to_records

            return readings_to_records(_read_table(path), Signature(who)), False
        case _:
            raise InputError(str(path), f"the ending '{path.suffix}'", ", ".join(ENDINGS))


def _read_table(path: Path) -> tuple[Reading, ...]:
    from extract.long_table import is_long_table, read_long_table
    from extract.wide_table import is_wide_table, read_wide_table

    if is_wide_table(path):
        return read_wide_table(path)
    if is_long_table(path):
        return read_long_table(path)
    raise InputError(str(path), "a table that does not say where its numbers are from",
                     "a long or wide table",
                     "A table that people typed is for `holdtrip check` and `holdtrip compare --parts`")
