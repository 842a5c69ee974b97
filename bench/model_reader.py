"""What the model alone reads from a folder of datasheets, as a long table.

    python bench/model_reader.py FOLDER --long OUT.csv

Reads every PDF of FOLDER with extract/model_reader.py and nothing else: no second reading, no checks. A
sheet that cannot be opened, or is none, is named and left out. Score the table with any script that reads
the long table."""

from __future__ import annotations

import argparse
import sys
import time
from pathlib import Path

# A bare checkout is importable too.
sys.path.insert(0, str(Path(__file__).parents[1]))

from extract.document import path_to_document
from extract.errors import InputError
from extract.long_table import write_long_table
from extract.model_reader import document_to_model_readings
from extract.schema import Reading


def main() -> int:
    """Read, write, print how long it took."""
    parser = argparse.ArgumentParser(
        description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter
    )
    parser.add_argument("folder", type=Path)
    parser.add_argument("--long", type=Path, required=True, help="where the long table goes")
    options = parser.parse_args()
    readings: list[Reading] = []
    start = time.perf_counter()
    for path in sorted(options.folder.glob("*.pdf")):
        try:
            readings += document_to_model_readings(path_to_document(path))
        except InputError as error:
            print(f"{path.name}: {error}")
    count = write_long_table(readings, options.long)
    print(f"{count} readings in {time.perf_counter() - start:.1f} s")
    return 0


if __name__ == "__main__":
    raise SystemExit(main())
