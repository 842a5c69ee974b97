"""Files that commands write: their type on the command line.

Comes in: nothing. Goes out: a click type. Writes nothing.
"""

from __future__ import annotations

from pathlib import Path

import click

OUTPUT = click.Path(dir_okay=False, writable=True, path_type=Path)
"""A file to write; a folder, or a file that may not be written, is refused before the work begins."""
