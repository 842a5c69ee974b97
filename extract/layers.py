"""Layers that a PDF switches off: what stands on them is not shown, so it is not read either.

Comes in: a pdfplumber page, not yet laid out. Goes out: the same page, laid out without hidden layers,
and which glyphs stood on them.
Source: ISO 32000-1, 8.11 (optional content). A page of a document without hidden layers is left alone.
Does not look at what a viewer may switch on.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Iterator
from typing import Any

from extract.page import glyph_key


def hide_layers(page: Any) -> Counter[tuple[str, int, int]]:
    """Lay a page out without the layers that its document switches off; returns the glyphs taken away:
    glyph_key -> how many."""
    hidden = catalog_to_hidden_layers(page.pdf.doc.catalog)
    if not hidden:
        return Counter()
    from pdfplumber.page import PDFPageAggregatorWithMarkedContent

    device = PDFPageAggregatorWithMarkedContent(
        page.pdf.rsrcmgr, pageno=page.page_number, laparams=page.pdf.laparams
    )
    taken: list[Any] = []
    _layered_interpreter(hidden, taken)(page.pdf.rsrcmgr, device).process_page(page.page_obj)
    page._layout = device.get_result()  # where pdfplumber keeps the layout it has made
    return Counter(glyph_key(char.get_text(), *char.matrix[4:]) for char in _items_to_chars(taken))


def _items_to_chars(items: Iterable[Any]) -> Iterator[Any]:
    from pdfminer.layout import LTChar, LTContainer

    for item in items:
        if isinstance(item, LTChar):
            yield item
        elif isinstance(item, LTContainer):
            yield from _items_to_chars(item)


def catalog_to_hidden_layers(catalog: dict[str, Any]) -> frozenset[int]:
    """Object numbers of the layers that are off when the document is opened."""
    from pdfminer.pdftypes import dict_value, resolve1

    properties = resolve1(catalog.get("OCProperties"))
    if not isinstance(properties, dict):
        return frozenset()
    usual = dict_value(properties.get("D") or {})
    every = _numbers(resolve1(properties.get("OCGs")) or ())
    base = str(getattr(resolve1(usual.get("BaseState")), "name", "ON"))
    off = every - _numbers(resolve1(usual.get("ON")) or ()) if base == "OFF" else frozenset()
    return off | _numbers(resolve1(usual.get("OFF")) or ())


def _numbers(references: Iterable[Any]) -> frozenset[int]:
    return frozenset(reference.objid for reference in references if hasattr(reference, "objid"))


def _is_hidden(reference: Any, hidden: frozenset[int]) -> bool:
    """Whether a layer is off, or every layer of a group of layers."""
    from pdfminer.pdftypes import resolve1

    if getattr(reference, "objid", None) in hidden:
        return True
    group = resolve1(reference)
    members = resolve1(group.get("OCGs")) if isinstance(group, dict) else None
    members = [members] if isinstance(members, dict) else members
    numbers = _numbers(members or ()) or _numbers([group.get("OCGs")] if isinstance(group, dict) else ())
    return bool(numbers) and numbers <= hidden


def _layered_interpreter(hidden: frozenset[int], taken: list[Any]) -> Any:
    from pdfminer.pdfinterp import PDFPageInterpreter
    from pdfminer.pdftypes import dict_value, stream_value
    from pdfminer.psparser import literal_name

    class Layered(PDFPageInterpreter):
        """Takes away again what was painted between the marks of a hidden layer."""

        device: Any

        def init_resources(self, resources: dict[object, object]) -> None:
            super().init_resources(resources)
            self.marks: list[int | None] = []

        def do_BDC(self, tag: Any, props: Any) -> None:
            layer = None
            if getattr(tag, "name", "") == "OC" and hasattr(props, "name"):
                names = dict_value(self.resources.get("Properties") or {})
                layer = names.get(literal_name(props))
            is_hidden = layer is not None and _is_hidden(layer, hidden)
            self.marks.append(len(self.device.cur_item._objs) if is_hidden else None)
            super().do_BDC(tag, props)

        def do_BMC(self, tag: Any) -> None:
            self.marks.append(None)
            super().do_BMC(tag)

        def do_EMC(self) -> None:
            start = self.marks.pop() if self.marks else None
            if start is not None:
                taken.extend(self.device.cur_item._objs[start:])
                del self.device.cur_item._objs[start:]
            super().do_EMC()

        def do_Do(self, xobjid_arg: Any) -> None:
            stream = self.xobjmap.get(literal_name(xobjid_arg))
            layer = stream_value(stream).attrs.get("OC") if stream is not None else None
            if layer is None or not _is_hidden(layer, hidden):
                super().do_Do(xobjid_arg)

    return Layered
