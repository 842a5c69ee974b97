"""The short way through drawing commands gives what pdfminer's own way gives."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st
from pdfminer.pdfinterp import PDFContentParser
from pdfminer.pdfpage import PDFPage
from pdfminer.pdftypes import PDFStream, list_value, stream_value
from pdfminer.psexceptions import PSException
from pdfminer.psparser import PSEOF

from extract.quick_tokens import QuickContentParser

SAMPLES = Path(__file__).parents[2] / "sample_tables"
PIECES = (
    b"1", b"-1.5", b".5", b"+.25", b"-", b"--3", b"4.", b"1e3", b"12abc", b"007", b"1.2.3", b"re", b"W*",
    b"BT", b"Tj", b"f*", b"'", b'"', b"true", b"false", b"null", b"/F1", b"/", b"/A#42B", b"/\xff", b"(text)",
    b"(a(b)c)", b"(a\\)b)", b"(\\101)", b"(open", b"<48656C>", b"<486>", b"<48 65>", b"<>", b"<48>>", b"<<",
    b">>", b"{", b"}", b"<< /A 1 /B [2 3] >>", b"[", b"]", b"[(A) -120 (B)]", b"[1 [2] 3]", b"%note\n",
    b"\x00", b"\r\n", b"\t", b"BI /W 1 ID xyz EI ", b"ID", b"EI",
)  # fmt: skip


def _streams(*contents: bytes) -> list[PDFStream]:
    return [PDFStream({}, content) for content in contents]


def _both_agree(streams: list[PDFStream]) -> bool:
    return repr(_objects(QuickContentParser, streams)) == repr(_objects(PDFContentParser, streams))


def _objects(parser: type[PDFContentParser], streams: list[PDFStream]) -> list[Any]:
    """Every object with its place, or the error that ends them."""
    found: list[Any] = []
    try:
        reader = parser(streams)
        while True:
            found.append(reader.nextobject())
    except PSEOF:
        return found
    except (PSException, ValueError, AssertionError, TypeError) as error:  # pdfminer's own on broken input
        return [*found, type(error)]


CONTENT = st.lists(st.tuples(st.sampled_from(PIECES), st.sampled_from((b" ", b"", b"\n"))), max_size=30)


@given(st.lists(CONTENT, max_size=3))
def test_same_objects_in_any_order_of_pieces(contents: list[list[tuple[bytes, bytes]]]) -> None:
    """Whatever pieces follow each other, whole or broken, both ways give the same, with its places."""
    written = [b"".join(piece + gap for piece, gap in content) for content in contents]
    assert _both_agree(_streams(*written))


@pytest.mark.parametrize("least", [16380, 16384, 16388])
def test_same_objects_where_the_buffer_ends_within_a_token(least: int) -> None:
    """A token cut by the end of the buffer, and one cut by the end of a stream, come out whole."""
    long = b"1 0 0 1 12.5 700.25 cm " * (least // 23) + b" " * (least % 23)
    streams = [long[:least - 2] + b"123.456 (two words) Tj [(A) 5 (B)] TJ 12", b"34 /Name gs"]
    assert _both_agree(_streams(*streams))


@pytest.mark.parametrize("sheet", sorted(SAMPLES.glob("*.pdf")), ids=lambda path: path.stem)
def test_same_objects_on_the_samples(sheet: Path) -> None:
    """On every page of the invented datasheets, whatever made them, both ways agree."""
    with sheet.open("rb") as file:
        for page in PDFPage.get_pages(file):
            streams = [stream_value(stream) for stream in list_value(page.contents)]
            assert _both_agree(streams)
