"""holdtrip for Python: read datasheets, check typed tables, compare parts, open the team's library.

    import holdtrip
    sheet = holdtrip.read_sheet("datasheet.pdf")
    sheet.to_frame()

The names of `__all__` are public and stay; everything else is holdtrip's own and may change. Nothing is
loaded
before a name is asked for. The command line and the local page live here too: only this package prints, logs
and serves.
"""

from __future__ import annotations

from importlib import import_module
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from extract.errors import HoldtripError, InputError
    from holdtrip.door.comparisons import ComparedParts, compare
    from holdtrip.door.sheets import Sheet, read_sheet
    from holdtrip.door.tables import CheckedTable, check_table
    from holdtrip.library.store import Library, open_library

__all__ = [
    "CheckedTable",
    "ComparedParts",
    "HoldtripError",
    "InputError",
    "Library",
    "Sheet",
    "check_table",
    "compare",
    "open_library",
    "read_sheet",
]

_HOMES = {
    "CheckedTable": "holdtrip.door.tables",
    "ComparedParts": "holdtrip.door.comparisons",
    "HoldtripError": "extract.errors",
    "InputError": "extract.errors",
    "Library": "holdtrip.library.store",
    "Sheet": "holdtrip.door.sheets",
    "check_table": "holdtrip.door.tables",
    "compare": "holdtrip.door.comparisons",
    "open_library": "holdtrip.library.store",
    "read_sheet": "holdtrip.door.sheets",
}


def __getattr__(name: str) -> Any:
    if name not in _HOMES:
        raise AttributeError(f"module 'holdtrip' has no attribute '{name}'; public are {', '.join(__all__)}")
    return getattr(import_module(_HOMES[name]), name)


def __dir__() -> list[str]:
    return sorted(__all__)
