"""What of the library's form a database lacks: tables and columns that somebody dropped or renamed.

Comes in: a connection. Goes out: names, none where all is there. Changes nothing.
"""

from __future__ import annotations

from sqlalchemy import Connection, inspect

from holdtrip.library.tables import metadata


def connection_to_lacks(connection: Connection) -> list[str]:
    """The tables, columns and indexes that are not there, in words."""
    there = inspect(connection)
    tables = frozenset(there.get_table_names())
    lacks = []
    for table in metadata.sorted_tables:
        if table.name not in tables:
            lacks.append(f"table {table.name}")
            continue
        columns = {column["name"] for column in there.get_columns(table.name)}
        lacks += [f"column {table.name}.{name}" for name in list(table.columns.keys()) if name not in columns]
        indexes = {index["name"] for index in there.get_indexes(table.name)}
        lacks += [f"index {index.name}" for index in table.indexes if index.name not in indexes]
    return lacks
