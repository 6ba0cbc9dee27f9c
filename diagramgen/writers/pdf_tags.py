"""The logical structure of a PDF (ISO 32000-1, 14.7): headings, figures with words, paragraphs, tables.

A page's content is written in marked stretches; each stretch belongs to one element of a tree, so that a
screen reader goes through the sheets in order and hears a drawing's description instead of its strokes.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Any

from diagramgen.drawing.scene import Group, Kind

_TAGS = {
    Kind.FIGURE: "Figure",
    Kind.H1: "H1",
    Kind.H2: "H2",
    Kind.TABLE: "Table",
    Kind.ROW: "TR",
    Kind.HEAD: "TH",
    Kind.CELL: "TD",
    Kind.NOTE: "P",
}
_TAKES_TEXT = frozenset({"H1", "H2", "TH", "TD", "P", "Figure", "Link"})


@dataclass
class Element:
    """One element of the tree; ``kids`` are elements, (page, mark number) pairs or annotation names."""

    tag: str
    parent: Element | None = None
    alt: str = ""
    kids: list[Any] = field(default_factory=list)
    name: str = ""


class Tags:
    """Grows the tree while pages are written and puts it into the document at the end."""

    def __init__(self) -> None:
        self.root = Element("Document")
        self.all = [self.root]
        self.open = [self.root]
        self.page = 0
        self.pages: list[list[Element]] = []
        self.annotations: list[tuple[Element, str]] = []
        self.now: Element | None = None
        self.depth_in_figure = 0

    def begin_page(self) -> None:
        """Count a new page."""
        self.pages.append([])
        self.page = len(self.pages)

    def open_group(self, group: Group) -> None:
        """Enter a group; groups inside a figure belong to the figure."""
        if self.depth_in_figure or not group.kind:
            self.depth_in_figure += bool(self.depth_in_figure)
            self.open.append(self.open[-1])
            return
        self.depth_in_figure = int(group.kind == Kind.FIGURE)
        self.open.append(self._add(_TAGS[Kind(group.kind)], group.alt))

    def close_group(self) -> None:
        """Leave the group entered last."""
        self.open.pop()
        self.depth_in_figure = max(0, self.depth_in_figure - 1)

    def mark_text(self) -> str:
        """Operators to write before a text."""
        here = self.open[-1]
        return self._switch(here if here.tag in _TAKES_TEXT else self._add("P"))

    def mark_drawing(self, alt: str = "") -> str:
        """Operators to write before strokes, fills or an image."""
        if self.depth_in_figure:
            return self._switch(self.open[-1])
        return self._switch(self._add("Figure", alt)) if alt else self._switch(None)

    def end_mark(self) -> str:
        """Operators that end the stretch, before anything that must not be inside one."""
        ending = "EMC" if self.now is not None else ""
        self.now = None
        return ending

    def annotation(self, name: str) -> int:
        """Add a link annotation to the tree; returns its number in the parent tree."""
        element = self._add("Link")
        element.kids.append((self.page, name))
        self.annotations.append((element, name))
        return _FIRST_ANNOTATION + len(self.annotations) - 1

    def _add(self, tag: str, alt: str = "") -> Element:
        parent = self.open[-1]
        element = Element(tag, parent, alt, name=f"Tag{len(self.all)}")
        parent.kids.append(element)
        self.all.append(element)
        return element

    def _switch(self, element: Element | None) -> str:
        wanted = element if element is not None else _ARTIFACT
        if self.now is wanted:
            return ""
        before = self.end_mark()
        self.now = wanted
        if element is None:
            return f"{before}\n/Artifact BMC".strip()
        marks = self.pages[-1]
        element.kids.append((self.page, len(marks)))
        marks.append(element)
        return f"{before}\n/{element.tag} <</MCID {len(marks) - 1}>> BDC".strip()

    def write(self, document: Any) -> None:
        """Put the tree into a reportlab document."""
        from reportlab.pdfbase.pdfdoc import PDFArray, PDFDictionary, PDFName, PDFObjectReference

        self.root.name = "Tag0"
        for element in self.all:
            document.Reference(_element_dictionary(element), element.name)
        numbers: list[Any] = []
        for number, marks in enumerate(self.pages):
            numbers += [number, PDFArray([PDFObjectReference(e.name) for e in marks])]
            page = document.idToObject[f"Page{number + 1}"]
            page.__NoDefault__ = [*page.__NoDefault__, "StructParents", "Tabs"]
            page.StructParents, page.Tabs = number, PDFName("S")
        for number, (element, _) in enumerate(self.annotations, _FIRST_ANNOTATION):
            numbers += [number, PDFObjectReference(element.name)]
        document.Catalog.MarkInfo = PDFDictionary({"Marked": "true"})
        document.Reference(
            PDFDictionary(
                {
                    "Type": PDFName("StructTreeRoot"),
                    "K": PDFObjectReference(self.root.name),
                    "ParentTree": PDFDictionary({"Nums": PDFArray(numbers)}),
                    "ParentTreeNextKey": _FIRST_ANNOTATION + len(self.annotations),
                }
            ),
            "StructTree",
        )
        document.Catalog.StructTreeRoot = PDFObjectReference("StructTree")


_ARTIFACT = Element("Artifact")
_FIRST_ANNOTATION = 1_000_000
"""Pages are numbered from 0 in the parent tree, annotations from here: neither needs the other's count."""


def _element_dictionary(element: Element) -> Any:
    from reportlab.pdfbase.pdfdoc import PDFArray, PDFDictionary, PDFName, PDFObjectReference, PDFString

    def kid(child: Any) -> Any:
        if isinstance(child, Element):
            return PDFObjectReference(child.name)
        page, what = child
        content = {"Pg": PDFObjectReference(f"Page{page}")}
        if isinstance(what, str):
            return PDFDictionary(
                {**content, "Type": PDFName("OBJR"), "Obj": PDFObjectReference(f"Annot.{what}")}
            )
        return PDFDictionary({**content, "Type": PDFName("MCR"), "MCID": what})

    entries: dict[str, Any] = {
        "Type": PDFName("StructElem"),
        "S": PDFName(element.tag),
        "P": PDFObjectReference(element.parent.name if element.parent else "StructTree"),
        "K": PDFArray([kid(child) for child in element.kids]),
    }
    if element.alt:
        entries["Alt"] = PDFString(element.alt)
    return PDFDictionary(entries)
