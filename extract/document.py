"""Opens a PDF safely and says which of its pages deserve reading (pypdfium2, milliseconds).

Comes in: a path. Goes out: a Document with its hash and page texts, or a DocumentError that says
why not. Does not find tables.
"""

from __future__ import annotations

import hashlib
import io
import re
from collections.abc import Iterator, Mapping, Sequence
from contextlib import contextmanager
from dataclasses import dataclass, field
from pathlib import Path
from typing import TYPE_CHECKING, Any

from extract.errors import DocumentError
from extract.out_of_memory import is_out_of_memory
from extract.safe_text import name_to_text
from extract.sheet_kind import OWN, kind_to_title, texts_to_kind
from extract.vocabulary import fold, vocabulary

if TYPE_CHECKING:
    from extract.scans.recognised import ScannedPage


@dataclass(frozen=True, slots=True)
class OpenLimits:
    """What a file may cost before it is refused.

    max_bytes: file size; max_pages: pages; max_page_points: longest page side in points (1/72 inch);
    max_scanned_pages: pages that are pictures and are recognised, some seconds each; needs_tables: refuse a
    file no page of which is worth reading.
    """

    max_bytes: int = 80_000_000
    max_pages: int = 400
    max_page_points: float = 6000.0
    max_scanned_pages: int = 30
    needs_tables: bool = True


@dataclass(frozen=True, slots=True)
class Document:
    """A readable PDF: file name, SHA-256 of its bytes, the text pdfium finds on each page (of a picture page,
    what was recognised), the pages (1-based) worth reading: at least one; the picture pages as recognised.
    `unread`: what of its pictures was not read, and why.
    `shown`: the pages cut to what is shown, None if they are so (shown_pages.py). `known_words`: whether a
    page
    names the trade's quantities; else it was opened for its many decimals only."""

    path: Path
    name: str
    sha256: str
    page_texts: tuple[str, ...]
    worth: tuple[int, ...]
    scanned: Mapping[int, ScannedPage] = field(default_factory=dict)
    shown: bytes | None = None
    known_words: bool = True
    unread: tuple[str, ...] = ()

    @property
    def source(self) -> bytes | Path:
        """The pages as shown."""
        return self.path if self.shown is None else self.shown


_ADVICE_TEXTLESS = "Export the sheet from its source, or run text recognition on it first"


def path_to_document(path: Path, limits: OpenLimits = OpenLimits()) -> Document:
    """Open and check a PDF. Raises DocumentError naming the file, what is wrong and what to do; also where no
    page is worth reading: none names the trade's quantities, nor is full of decimals in words nobody
    knows."""
    data, name = path_to_bytes(path, limits), name_to_text(path.name)
    with open_pdfium(data, name) as pdf:
        if len(pdf) == 0:
            raise DocumentError(name, "the PDF has no pages", "at least one", "Ask for the sheet again")
        if len(pdf) > limits.max_pages:
            raise DocumentError(
                name,
                f"{len(pdf)} pages",
                f"at most {limits.max_pages}",
                "Cut the sheet out of the catalogue",
            )
        shown = _pdf_to_shown(pdf, name)
    with open_pdfium(data if shown is None else shown, name) as pdf:
        printed = tuple(_page_to_text(pdf, number, name, limits) for number in range(len(pdf)))
        if shown is not None:
            printed = tuple(str(page.get_textpage().get_text_bounded()) for page in pdf)
        scanned, unread = _pages_to_scanned(pdf, printed, name, limits)
    texts = tuple(_page_to_known_text(text, scanned.get(n)) for n, text in enumerate(printed, start=1))
    if not any(text.strip() for text in texts):
        raise DocumentError(name, "no text layer (a scan or a picture)", "a PDF with text", _ADVICE_TEXTLESS)
    worth = texts_to_pages(texts)
    known = bool(worth)
    if not known and texts_to_kind(texts, ()).kind in (OWN, ""):
        worth = _texts_to_decimal_pages(texts)
    if not worth:
        if limits.needs_tables:
            raise no_page_to_error(name, texts, unread)
        worth = tuple(range(1, len(texts) + 1))
    return Document(path, name, hashlib.sha256(data).hexdigest(), texts, worth, scanned, shown, known, unread)


def _pdf_to_shown(pdf: Any, name: str) -> bytes | None:
    import pypdfium2

    from extract.shown_pages import pdf_to_shown

    try:
        return pdf_to_shown(pdf)
    except pypdfium2.PdfiumError:
        found = "a page that cannot be opened, or is cut in a way that cannot be followed"
        raise DocumentError(name, found, "a whole PDF", "Save a copy from a PDF reader") from None


def _pages_to_scanned(
    pdf: Any, texts: Sequence[str], name: str, limits: OpenLimits
) -> tuple[dict[int, ScannedPage], tuple[str, ...]]:
    """The pages that are pictures, and the tables that are pictures on pages with text, recognised; and what
    was not read of them. Text that somebody's recognition laid under a picture is not text: such a page is
    recognised too. Where other pages can be read, a picture that cannot is left out, and named."""
    from extract.scans.picture import is_scanned, page_to_pictures

    pictures = [n for n, page in enumerate(pdf, start=1) if page_to_pictures(page)]
    numbers = [n for n in pictures if is_scanned(pdf[n - 1], texts[n - 1])]
    if len(numbers) > limits.max_scanned_pages:
        found, wanted = f"{len(numbers)} pages are pictures", f"at most {limits.max_scanned_pages}"
        raise DocumentError(name, found, wanted, "Cut the sheet out of the catalogue")
    from extract.scans.both import pages_to_recognised

    others = [text for n, text in enumerate(texts, start=1) if n not in numbers]
    mixed = [n for n in pictures if n not in numbers][: limits.max_scanned_pages]
    return pages_to_recognised(pdf, name, numbers, mixed, bool(texts_to_pages(others)))


def _page_to_known_text(printed: str, scanned: ScannedPage | None) -> str:
    """What stands on a page: its text, or what was recognised, or both where pictures stand among text."""
    if scanned is None:
        return printed
    return f"{printed}\n{scanned.text}" if scanned.pictures else scanned.text


def no_page_to_error(name: str, page_texts: Sequence[str], unread: Sequence[str] = ()) -> DocumentError:
    """Why nothing of a file can be read as a datasheet of the trade; `unread`: what of its pictures was not
    read."""
    textless = [number for number, text in enumerate(page_texts, start=1) if len(text.strip()) < 5]
    if textless:
        listed = ", ".join(map(str, textless[:8]))
        found = f"no text layer on page {listed} and no table on the others"
        return DocumentError(name, found, "a PDF with text", _ADVICE_TEXTLESS)
    kind = texts_to_kind(page_texts, ()).kind
    other = kind not in (OWN, "")
    words = f" (its words are those of another kind of part: {kind_to_title(kind)})" if other else ""
    pictures = "".join(f"; {reason}" for reason in unread[:3])
    return DocumentError(
        name,
        f"no page names hold, trip or limits beside numbers{words}{pictures}",
        "a datasheet of resettable fuses",
        "Check that this is the right file",
    )


def path_to_bytes(path: Path, limits: OpenLimits = OpenLimits()) -> bytes:
    """The bytes of a PDF; DocumentError for what is none, or larger than allowed."""
    if not path.exists():
        raise DocumentError(str(path), "no such file", "a PDF", "Check the path")
    if path.is_dir():
        raise DocumentError(str(path), "a folder", "a PDF file")
    if not path.is_file():
        raise DocumentError(str(path), "a pipe or a device", "a PDF file")
    size = path.stat().st_size
    if size > limits.max_bytes:
        raise DocumentError(
            name_to_text(path.name), f"{size} bytes", f"at most {limits.max_bytes}", "Cut the sheet out first"
        )
    data = path.read_bytes()
    if not data:
        raise DocumentError(name_to_text(path.name), "the file is empty", "a PDF", "Download it again")
    if b"%PDF-" not in data[:1024]:
        raise DocumentError(
            name_to_text(path.name),
            "not a PDF (no %PDF- at its start)",
            "a PDF",
            "Check that the download is the sheet, not a web page",
        )
    return data


@contextmanager
def open_pdfium(data: bytes | Path, name: str) -> Iterator[Any]:
    """A pypdfium2 document, closed afterwards; its failures as DocumentError."""
    import pypdfium2

    try:
        pdf = pypdfium2.PdfDocument(data)
    except pypdfium2.PdfiumError as error:
        raise _pdfium_to_error(error, data, name) from None
    try:
        yield pdf
    finally:
        pdf.close()


@contextmanager
def open_pdfplumber(document: Document) -> Iterator[Any]:
    """A pdfplumber document, closed afterwards; damage as DocumentError.

    A sheet protected against editing is handed over as pdfium unlocks it: pdfminer's own cipher takes
    longer than reading the page.
    """
    import pdfplumber

    from extract.endless import use_bounded_letters
    from extract.quick_tokens import use_quick_tokens

    use_quick_tokens()
    use_bounded_letters()
    if document.shown is None:
        with open_pdfium(document.path, document.name) as pdfium:
            source = _pdfium_to_unlocked(pdfium) or document.path
    else:
        source = io.BytesIO(document.shown)
    with _damage_as_error(document.name), pdfplumber.open(source) as pdf:
        yield pdf


def _pdfium_to_unlocked(pdf: Any) -> io.BytesIO | None:
    """A protected PDF without its cipher; None if it has none, or if pdfium cannot write it."""
    import pypdfium2
    import pypdfium2.raw as raw

    if raw.FPDF_GetSecurityHandlerRevision(pdf) < 0:
        return None
    unlocked = io.BytesIO()
    try:
        pdf.save(unlocked, flags=raw.FPDF_REMOVE_SECURITY)
    except pypdfium2.PdfiumError:
        return None
    unlocked.seek(0)
    return unlocked


@contextmanager
def _damage_as_error(name: str) -> Iterator[None]:
    """What pdfplumber says of a damaged or endless file, as DocumentError; refused memory goes on."""
    from pdfplumber.utils.exceptions import MalformedPDFException, PdfminerException

    from extract.endless import Endless

    try:
        yield
    except (PdfminerException, MalformedPDFException, Endless) as error:
        cause = error.args[0] if error.args and isinstance(error.args[0], Exception) else error
        if isinstance(cause, Endless):
            raise DocumentError(name, cause.found, cause.expected, "Print the page to a new PDF") from None
        if is_out_of_memory(cause):
            raise cause from None
        raise DocumentError(
            name, "the PDF is damaged: its pages cannot be taken apart", "a whole PDF", "Download it again"
        ) from None


def _pdfium_to_error(error: Exception, data: bytes | Path, name: str) -> DocumentError:
    text = str(error).lower()
    data = data.read_bytes() if isinstance(data, Path) else data
    # pdfium refuses a PDF without pages with no reason, or with the reason of the file before.
    if re.search(rb"/Kids\s*\[\s*\]", data) and re.search(rb"/Count\s+0\b", data):
        return DocumentError(name, "the PDF has no pages", "at least one", "Ask for the sheet again")
    if "password" in text and b"/Encrypt" in data:
        return DocumentError(
            name, "the PDF is encrypted and wants a password", "an open PDF", "Save a copy without password"
        )
    if "security" in text:
        return DocumentError(
            name, "the PDF is protected by an unknown scheme", "an open PDF", "Save a copy without protection"
        )
    return DocumentError(name, "the PDF is damaged or truncated", "a whole PDF", "Download it again")


def _page_to_text(pdf: Any, number: int, name: str, limits: OpenLimits) -> str:
    import pypdfium2

    try:
        page = pdf[number]
        if max(page.get_size()) > limits.max_page_points:
            raise DocumentError(
                name,
                f"page {number + 1} is {max(page.get_size()):.0f} points long",
                f"at most {limits.max_page_points:.0f}",
                "Cut the tables out of the poster",
            )
        return str(page.get_textpage().get_text_range())
    except pypdfium2.PdfiumError:
        raise DocumentError(
            name, f"page {number + 1} is damaged", "a whole PDF", "Download it again"
        ) from None


FEW_DECIMALS = 5  # a table of ratings prints at least so many decimals
MANY_NUMBERS = 15  # or, in mA and V, so many whole numbers
_NUMBER = re.compile(r"(?<![\w.])[-−–]?\d+(?:[.,]\d+)?(?![\w])")


def texts_to_pages(page_texts: Sequence[str]) -> tuple[int, ...]:
    """The 1-based pages worth reading: those that name several of the trade's quantities beside
    numbers, or list temperatures from cold to hot under a derating heading."""
    return tuple(number for number, text in enumerate(page_texts, start=1) if _is_worth_reading(text))


def _texts_to_decimal_pages(page_texts: Sequence[str]) -> tuple[int, ...]:
    """The 1-based pages with so many decimals that they could hold a table, whatever their language."""
    decimals = [sum("." in n or "," in n for n in _NUMBER.findall(fold(text))) for text in page_texts]
    return tuple(number for number, count in enumerate(decimals, start=1) if count >= MANY_NUMBERS)


def is_number_heavy(text: str, least: int = 20) -> bool:
    """Whether a page holds so many numbers that it could be a table, or the rest of one."""
    return len(_NUMBER.findall(text)) >= least


def _is_worth_reading(text: str) -> bool:
    squeezed = re.sub(r"[\s_.\-]", "", fold(text))
    named = {
        name for name, words in vocabulary()["triage"].items() if any(word in squeezed for word in words)
    }
    numbers = _NUMBER.findall(re.sub("[−–－]", "-", fold(text)))
    cold_to_hot = {"-40", "0", "40", "60"} <= set(numbers)
    if cold_to_hot and named & {"derating", "hold", "trip"}:
        return True
    ratings = named & {"hold", "trip", "limit", "power"}
    decimals = sum("." in number or "," in number for number in numbers)
    if decimals < FEW_DECIMALS and not ({"hold", "trip"} <= ratings and len(numbers) >= MANY_NUMBERS):
        return False
    return len(ratings) >= 2 or (bool(ratings) and "resistance" in named)
