"""Hostile files: damaged, truncated, nested, oversized and bomb PDFs cost one row of the summary each."""

from __future__ import annotations

import random
import zlib
from pathlib import Path

import pytest

from extract.batch import BatchLimits, read_sheets
from extract.workers import Limits

SAMPLES = Path(__file__).parents[2] / "sample_tables"
COUNT = 200
LIMITS = BatchLimits(workers=2, each=Limits(cpu_s=20.0, max_bytes=2_000_000_000))


@pytest.fixture(scope="module")
def hostile_folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """At least COUNT broken PDFs: cut and scrambled sheets, bombs, nests, giant and empty pages."""
    folder = tmp_path_factory.mktemp("hostile")
    dice = random.Random(11)
    small = sorted(SAMPLES.glob("*.pdf"), key=lambda path: path.stat().st_size)[:8]
    for number in range(COUNT - 10):
        data = bytearray(dice.choice(small).read_bytes())
        if number % 2:
            del data[dice.randrange(8, len(data)) :]
        else:
            for _ in range(dice.choice((1, 20, 400))):
                data[dice.randrange(len(data))] = dice.randrange(256)
        (folder / f"broken_{number:03}.pdf").write_bytes(bytes(data))
    for name, data in _made_by_hand().items():
        (folder / name).write_bytes(data)
    return folder


def _made_by_hand() -> dict[str, bytes]:
    bomb = zlib.compress(b"0 0 m " * 30_000_000, 9)
    nest = b"[" * 20_000 + b"]" * 20_000
    return {
        "bomb.pdf": _pdf(b"<< /Length %d /Filter /FlateDecode >>" % len(bomb), bomb),
        "nest.pdf": _pdf(b"<< /Length %d >>" % len(nest), nest),
        "giant.pdf": _pdf(b"<< /Length 0 >>", b"", box=b"[0 0 9000000 9000000]"),
        "loop.pdf": b"%PDF-1.4\n1 0 obj << /Type /Catalog /Pages 1 0 R >> endobj\ntrailer << /Root 1 0 R >>",
        "zero.pdf": b"",
        "noise.pdf": random.Random(3).randbytes(50_000),
        "head.pdf": b"%PDF-1.7\n",
        "page.pdf": b"<html>%PDF- is not here</html>",
        "nopages.pdf": b"%PDF-1.4\n1 0 obj << /Type /Catalog /Pages 2 0 R >> endobj\n"
        b"2 0 obj << /Type /Pages /Kids [] /Count 0 >> endobj\ntrailer << /Root 1 0 R >>",
        "negative.pdf": _pdf(b"<< /Length -5 >>", b"BT (x) Tj ET"),
    }


def _pdf(head: bytes, stream: bytes, box: bytes = b"[0 0 300 300]") -> bytes:
    return (
        b"%PDF-1.4\n1 0 obj << /Type /Catalog /Pages 2 0 R >> endobj\n"
        b"2 0 obj << /Type /Pages /Kids [3 0 R] /Count 1 >> endobj\n"
        b"3 0 obj << /Type /Page /Parent 2 0 R /MediaBox " + box + b" /Contents 4 0 R >> endobj\n"
        b"4 0 obj " + head + b" stream\n" + stream + b"\nendstream endobj\ntrailer << /Root 1 0 R >>"
    )


def test_every_hostile_file_has_one_outcome_and_a_reason(hostile_folder: Path) -> None:
    """No crash, no hang past the limit; each file is read or named with one line that says why not."""
    paths = sorted(hostile_folder.glob("*.pdf"))
    outcomes = {outcome.path: outcome for outcome in read_sheets(paths, limits=LIMITS)}
    assert len(paths) >= COUNT
    assert set(outcomes) == set(paths)
    for outcome in outcomes.values():
        assert (outcome.reading is None) != (outcome.error is None)
        if outcome.error is not None:
            assert outcome.path.name in outcome.error
            assert "\n" not in outcome.error
