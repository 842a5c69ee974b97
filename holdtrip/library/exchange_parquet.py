"""Libraries as Parquet: the table of numbers, and all other tables in the file's own metadata.

Comes in: records and a path. Goes out: the file, or records. Any reader of Parquet sees the numbers; texts
that Parquet cannot hold stand there as JSON behind a mark (any_text.py). Needs the extra `parquet`.
"""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path
from typing import Any

from extract.errors import InputError
from holdtrip.library.any_text import stored_to_text, text_to_stored
from holdtrip.library.exchange_cells import row_to_record
from holdtrip.library.exchange_json import json_to_judged, records_to_checksum, records_to_json
from holdtrip.library.exchange_records import (
    Cell,
    NumberRecord,
    Record,
    columns_of,
    record_to_cells,
    records_of,
)

_KEY = b"holdtrip"
_CHECKSUM = b"holdtrip.checksum"


def write_parquet(records: Sequence[Record], path: Path) -> None:
    """Write a Parquet file; values are SI."""
    arrow, parquet = _arrow(path)
    rows = [tuple(map(_to_stored, record_to_cells(record))) for record in records_of(NumberRecord, records)]
    types = {str(str): arrow.string(), str(int): arrow.int64(), str(float): arrow.float64(),
             str(float | None): arrow.float64(), str(tuple[str, ...]): arrow.list_(arrow.string())}
    schema = arrow.schema([(column, types[str(holds)]) for column, holds in columns_of(NumberRecord).items()])
    others = records_to_json([record for record in records if not isinstance(record, NumberRecord)])
    columns = [list(column) for column in zip(*rows, strict=True)] or [[] for _ in schema]
    table = arrow.table(columns, schema=schema.with_metadata(
        {_KEY: others.encode("ascii"), _CHECKSUM: records_to_checksum(records).encode("ascii")}))
    parquet.write_table(table, path)


def read_parquet(path: Path) -> tuple[Record, ...]:
    """The records of a Parquet file; raises InputError for anything but a library."""
    return parquet_to_judged(path)[0]


def parquet_to_judged(path: Path) -> tuple[tuple[Record, ...], bool]:
    """As read_parquet, and whether the file has a checksum, as only those of the first version have not."""
    arrow, parquet = _arrow(path)
    try:
        table = parquet.read_table(path)
    except arrow.ArrowInvalid as error:
        raise InputError(str(path), "not a Parquet file", "a library as Parquet") from error
    others = (table.schema.metadata or {}).get(_KEY)
    if others is None:
        raise InputError(str(path), "a Parquet file of something else", "a library as Parquet",
                         "Write such files with `holdtrip export`")
    numbers = [row_to_record(NumberRecord.TABLE, index, {name: _to_text(cell) for name, cell in row.items()})
               for index, row in enumerate(table.to_pylist(), 1)]
    said, is_checked = json_to_judged(others.decode("ascii", errors="replace"), str(path))
    records = (*said, *numbers)
    checksum = (table.schema.metadata or {}).get(_CHECKSUM, b"").decode("ascii", errors="replace")
    if (is_checked or checksum) and checksum != records_to_checksum(records):
        raise InputError(str(path), "its checksum is not that of its rows", "the file as it was written",
                         "It was changed or damaged since. Nothing was taken in; export it again")
    return records, is_checked


def _arrow(path: Path) -> tuple[Any, Any]:
    try:
        import pyarrow
        import pyarrow.parquet
    except ImportError as error:
        raise InputError(str(path), "Parquet needs a package that is not installed", "",
                         "Install it with: pip install '.[parquet]' in the checkout") from error
    return pyarrow, pyarrow.parquet


def _to_stored(cell: Cell) -> Any:
    if isinstance(cell, tuple):
        return [text_to_stored(one) if isinstance(one, str) else one for one in cell]
    return text_to_stored(cell) if isinstance(cell, str) else cell


def _to_text(cell: Any) -> Any:
    if isinstance(cell, list):
        return [stored_to_text(one) for one in cell]
    return stored_to_text(cell) if isinstance(cell, str) else cell
