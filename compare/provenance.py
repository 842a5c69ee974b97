"""What a comparison was made from: the tool, the requirement file, the revisions of the datasheets.

Comes in: what the caller knows of it. Goes out: a `Provenance` and its lines. Reads no file.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field

SHA_SHOWN = 16


@dataclass(frozen=True, slots=True)
class Provenance:
    """tool: name and version; requirement: name of its file, and hash of its bytes; revisions: printed
    revision of each datasheet by its hash, empty where it prints none. What is empty is not known."""

    tool: str = ""
    requirement: str = ""
    requirement_sha256: str = ""
    revisions: Mapping[str, str] = field(default_factory=dict)

    def lines(self) -> Iterator[str]:
        """What the comparison was made with, in words."""
        if self.tool:
            yield f"made with {self.tool}"
        if self.requirement:
            yield f"requirement {self.requirement}, SHA-256 {self.requirement_sha256[:SHA_SHOWN]}…"

    def revision_of(self, sha256: str) -> str:
        """The revision a datasheet prints, in words; empty where nothing is known of the sheet."""
        if sha256 not in self.revisions:
            return ""
        printed = self.revisions[sha256]
        return f"revision {printed}" if printed else "no revision printed"


UNKNOWN = Provenance()
