"""The files a comparison is handed over in: options to name them, and writing them.

Comes in: a ranking and its source. Goes out: workbook, decision record, JSON, whichever was
asked for. Judges nothing.
"""

from __future__ import annotations

import hashlib
import json
import os
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from importlib.metadata import version
from pathlib import Path

import click

from compare.candidates_json import ranking_to_json
from compare.explain import counted
from compare.ports import RankedArrangement
from compare.provenance import Provenance
from compare.ranking import Ranking
from extract.schema import Finding
from holdtrip.library_options import login_name
from holdtrip.option_groups import option_group
from holdtrip.outputs import OUTPUT, Output, check_outputs, force_option, whole_file
from holdtrip.own_files import CANDIDATES, COMPARISON_BOOK, DECISION_RECORD
from holdtrip.sources import Source, newer_on, sheets_on, source_to_library


@dataclass(frozen=True, slots=True)
class ComparisonFiles:
    """Where to write what; None is not asked for."""

    xlsx: Path | None
    report: Path | None
    json: Path | None
    save: str | None
    force: bool

    @property
    def asked(self) -> bool:
        """Whether there is anything to write."""
        return (self.xlsx, self.report, self.json, self.save) != (None,) * 4


MAX_CANDIDATES = 500
"""Findings are gathered for the datasheets of so many candidates: as many as the workbook shows."""

file_options = option_group(
    "files", ComparisonFiles,
    click.option("--xlsx", metavar="OUT.xlsx", type=OUTPUT, help="Write the workbook for a design review."),
    click.option("--report", metavar="OUT.html", type=OUTPUT,
                 help="Write the decision record: one page with plots, to print and sign; PDF where the name"
                      " ends so."),
    click.option("--json", metavar="OUT.json", type=OUTPUT,
                 help="Write all candidates and margins for scripts."),
    click.option("--save", metavar="NAME",
                 help="Keep the comparison in the library: `holdtrip changes` then tells when a new revision"
                      " of a datasheet touches it."),
    force_option,
)
"""The options of a command that hands over a comparison; it gets them as `files`."""


def check_files(files: ComparisonFiles, requirement: Path, source: str | None) -> None:
    """Refuse, before any work, files that must not be written; raises InputError."""
    asked = [("--xlsx", files.xlsx, COMPARISON_BOOK), ("--report", files.report, DECISION_RECORD),
             ("--json", files.json, CANDIDATES)]
    outputs = [Output(option, path, kind) for option, path, kind in asked if path is not None]
    inputs = (requirement, source_to_library(source) or source or "")
    check_outputs(outputs, inputs, files.force)


def write_files(files: ComparisonFiles, ranking: Ranking, source: Source, requirement: Path,
                ports: Sequence[RankedArrangement] = ()) -> list[str]:
    """Write and keep what was asked for, a hub with both arrangements of its ports; what was written, in
    words, to be said when all of it is on the disk."""
    findings: Sequence[Finding] = ()
    provenance, shown, said = Provenance(), ranking.candidates[:MAX_CANDIDATES], []
    if files.xlsx is not None or files.report is not None:
        findings, revisions = sheets_on(source, (candidate.part for candidate in shown))
        provenance = requirement_to_provenance(requirement.name, requirement.read_bytes(), revisions)
    if files.xlsx is not None:
        from compare.workbook import ranking_to_workbook

        with whole_file(files.xlsx) as path:
            ranking_to_workbook(ranking, path, findings, provenance, ports)
        said.append(f"wrote {files.xlsx}: {counted(len(shown), 'candidate')} with margins, derating, sources;"
                    f" {counted(len(findings), 'finding')}")
    if files.report is not None:
        _write_record(files.report, ranking, findings, provenance)
        said.append(f"wrote {files.report}: the decision record")
    if files.json is not None:
        with whole_file(files.json) as path:
            path.write_text(_with_newer(ranking_to_json(ranking), ranking, source), encoding="utf-8")
        said.append(f"wrote {files.json}: {counted(len(ranking.candidates), 'candidate')}")
    if files.save is not None:
        said.append(_save(files.save, ranking, source, requirement.read_text(encoding="utf-8")))
    return said


def _with_newer(text: str, ranking: Ranking, source: Source) -> str:
    """The JSON with what a newer stored revision says of each candidate, empty where there is none."""
    newer = newer_on(source.library, [candidate.part for candidate in ranking.candidates])
    rows = json.loads(text)
    for row in rows:
        row["newer_revision"] = newer.get((row["sha256"], row["part_number"]), "")
    return json.dumps(rows, ensure_ascii=False, allow_nan=False, indent=1) + "\n"


def requirement_to_provenance(name: str, data: bytes, revisions: Mapping[str, str]) -> Provenance:
    """What a comparison is made from: this version of holdtrip, a requirement file, the sheets' revisions."""
    tool = f"holdtrip {version('holdtrip')}"
    return Provenance(tool, name, hashlib.sha256(data).hexdigest(), revisions)


def _write_record(path: Path, ranking: Ranking, findings: Sequence[Finding], provenance: Provenance) -> None:
    """The decision record as a PDF where the name ends so, else as HTML."""
    if path.suffix.lower() == ".pdf":
        from compare.report_pdf import ranking_to_pdf

        with whole_file(path) as unfinished:
            ranking_to_pdf(ranking, unfinished, findings, provenance)
        return
    from compare.report import ranking_to_html

    with whole_file(path) as unfinished:
        unfinished.write_text(ranking_to_html(ranking, findings, provenance), encoding="utf-8")


def _save(name: str, ranking: Ranking, source: Source, requirement: str) -> str:
    if source.library is None:
        raise click.UsageError("--save keeps a comparison in the library its parts come from: name that"
                               " with --parts")
    from holdtrip.library.comparisons import Comparison, JudgedPart
    from holdtrip.library.records import Signature
    from holdtrip.library.store import open_library

    parts = tuple(JudgedPart(one.part_number, one.part.sha256) for one in ranking.candidates)
    kept = Comparison(name, requirement, ranking_to_json(ranking), parts)
    with open_library(source.library, create=False) as library:
        kept_as = library.save_comparison(kept, Signature(os.environ.get("HOLDTRIP_WHO") or login_name()))
        return f"kept as {name} in {library.name}, version {kept_as}"
