"""PDF in millimetres: one transform per page, then the same numbers as in the SVG."""

from __future__ import annotations

import hashlib
import io
import math
from collections.abc import Mapping, Sequence
from functools import lru_cache
from typing import Any

from diagramgen.drawing.scene import Anchor, Group, Image, Link, Sheet, Text, leaves
from diagramgen.drawing.style import Style
from diagramgen.kernel.geometry import Arc, Box, Curve, Line, Path, Point
from diagramgen.lettering import font_path, font_size, text_width
from diagramgen.writers.canvas import arc_curves, clean, draw, number
from diagramgen.writers.pdf_tags import Tags

POINT = 72 / 25.4
"""Points (1/72 in) in a millimetre."""

_FONTS = {False: "DGSans", True: "DGSans-Bold"}
_CAPS = {"butt": 0, "round": 1, "square": 2}
_JOINS = {"miter": 0, "round": 1, "bevel": 2}
_SHARE = {"start": 0.0, "middle": 0.5, "end": 1.0}


def pdf_bytes(
    sheets: Sequence[Sheet],
    title: str,
    *,
    author: str = "",
    subject: str = "",
    keywords: str = "",
    language: str = "en",
    chapters: Mapping[int, str] | None = None,
) -> bytes:
    """The sheets as one PDF file; the same sheets give the same bytes on one set of library versions.

    Page boxes are exact, text is searchable, fonts are embedded, the content is tagged, each sheet is a
    bookmark with its titled anchors below it. ``chapters``: number of a sheet, from 1, at which a chapter
    begins -> its name; sheets are then bookmarks below their chapter. Raises ``ValueError`` for no sheets, for
    what is not a finite number, for an anchor named twice and for a link to an anchor that is on no sheet.
    """
    if not sheets:
        raise ValueError("a PDF needs at least one sheet")
    _check_links(sheets)
    out = io.BytesIO()
    page = _new_canvas(out, sheets[0], language)
    for key, value in (
        ("setTitle", title),
        ("setAuthor", author),
        ("setSubject", subject),
        ("setKeywords", keywords),
    ):
        getattr(page, key)(clean(value))
    tags = Tags()
    for count, sheet in enumerate(sheets, 1):
        page.setPageSize((sheet.width * POINT, sheet.height * POINT))
        tags.begin_page()
        page.transform(POINT, 0, 0, -POINT, 0, sheet.height * POINT)
        page.bookmarkPage(f"sheet {count}")
        level = int(bool(chapters))
        if chapters and count in chapters:
            page.bookmarkPage(f"chapter {count}")
            page.addOutlineEntry(clean(chapters[count]), f"chapter {count}", 0)
        page.addOutlineEntry(clean(sheet.title) or f"Sheet {count}", f"sheet {count}", level)
        canvas = _PdfCanvas(page, tags, sheet, level + 1)
        draw(sheet, canvas)
        canvas.finish()
        page.showPage()
    tags.write(page._doc)
    page.save()
    return out.getvalue()


def _new_canvas(out: io.BytesIO, first: Sheet, language: str) -> Any:
    """A reportlab canvas that carries neither clock nor a font of its own."""
    from reportlab.pdfgen.canvas import Canvas

    _register_fonts()
    page = Canvas(
        out,
        pagesize=(first.width * POINT, first.height * POINT),
        pageCompression=1,
        invariant=1,
        initialFontName=_FONTS[False],
        lang=language,
        pdfVersion=(1, 7),
    )
    page._doc.info = _timeless_info()
    # the file's fingerprint starts from a time stamp that an environment variable can change
    page._doc.signature = hashlib.md5(b"diagramgen", usedforsecurity=False)
    page.setViewerPreference("DisplayDocTitle", "true")
    # a viewer that shrinks to its margins by default would spoil every full-size sheet
    page.setViewerPreference("PrintScaling", "None")
    page.showOutline()
    return page


@lru_cache(maxsize=1)
def _register_fonts() -> None:
    from reportlab.pdfbase.pdfmetrics import registerFont
    from reportlab.pdfbase.ttfonts import TTFont

    for bold, name in _FONTS.items():
        registerFont(TTFont(name, str(font_path(bold))))


def _timeless_info() -> Any:
    from reportlab.pdfbase.pdfdoc import PDFDictionary, PDFInfo, PDFString

    class Timeless(PDFInfo):  # type: ignore[misc]
        """Document properties without dates: the clock is no input of a drawing."""

        def format(self, document: Any) -> Any:
            named = {
                "Title": self.title,
                "Author": self.author,
                "Subject": self.subject,
                "Keywords": self.keywords,
                "Creator": "diagramgen",
                "Producer": "diagramgen",
            }
            return PDFDictionary({k: PDFString(v) for k, v in named.items() if v}).format(document)

    return Timeless()


class _PdfCanvas:
    """Writes one page's operators."""

    def __init__(self, page: Any, tags: Tags, sheet: Sheet, level: int = 1):
        self.page = page
        self.level = level
        self.tags = tags
        self.sheet = sheet
        self.line: tuple[Any, ...] = ()
        self.fill = ""

    def open_group(self, group: Group) -> None:
        self._emit(self.tags.end_mark())
        self.tags.open_group(group)

    def close_group(self) -> None:
        self._emit(self.tags.end_mark())
        self.tags.close_group()

    def path(self, paths: tuple[Path, ...], style: Style, subject: str) -> None:
        self._emit(self.tags.mark_drawing())
        stroked = bool(style.stroke and style.width_mm)
        if style.fill:
            self._set_fill(style.fill)
        if stroked:
            self._set_line(style)
        self._emit(" ".join(_path_operators(path) for path in paths))
        self._emit(("B*" if stroked else "f*") if style.fill else "S")

    def text(self, text: Text, style: Style) -> None:
        self._emit(self.tags.mark_text())
        self._set_fill(style.text_colour)
        cos, sin = math.cos(text.angle), math.sin(text.angle)
        back = _SHARE[text.anchor] * text_width(text.text, text.height, text.bold)
        line = self.page.beginText()
        line.setFont(_FONTS[text.bold], font_size(text.height, text.bold))
        line.setTextTransform(cos, sin, sin, -cos, text.at.x - back * cos, text.at.y - back * sin)
        line.textOut(text.text)
        self.page.drawText(line)

    def image(self, image: Image) -> None:
        from reportlab.lib.utils import ImageReader

        self._emit(self.tags.mark_drawing(image.alt))
        self.page.saveState()
        self.page.transform(image.box.width, 0, 0, -image.box.height, image.box.left, image.box.bottom)
        self.page.drawImage(ImageReader(io.BytesIO(image.data)), 0, 0, 1, 1, mask="auto")
        self.page.restoreState()

    def clip(self, window: Box | None) -> None:
        self._emit(self.tags.end_mark())
        self.line, self.fill = (), ""  # saving and restoring forgets what was set in between
        if window is None:
            self.page.restoreState()
            return
        self.page.saveState()
        sides = (window.left, window.top, window.width, window.height)
        self._emit(" ".join(number(v) for v in sides) + " re W n")

    def link(self, link: Link) -> None:
        from reportlab.pdfbase.pdfdoc import PDFArray, PDFDictionary, PDFName, PDFString

        name = f"Link{len(self.tags.annotations) + 1}"
        entries: dict[str, Any] = {
            "Type": PDFName("Annot"),
            "Subtype": PDFName("Link"),
            "Rect": PDFArray(
                [
                    *self._points(Point(link.box.left, link.box.bottom)),
                    *self._points(Point(link.box.right, link.box.top)),
                ]
            ),
            "Border": PDFArray([0, 0, 0]),
            "F": 4,
            "Contents": PDFString(clean(link.target)),
            "StructParent": self.tags.annotation(name),
        }
        if "://" in link.target:
            entries["A"] = PDFDictionary({"S": PDFName("URI"), "URI": PDFString(link.target)})
        else:
            entries["Dest"] = self.page._bookmarkReference(link.target)
        self.page._addAnnotation(PDFDictionary(entries), name)

    def anchor(self, anchor: Anchor) -> None:
        left, top = self._points(anchor.at)
        self.page.bookmarkPage(anchor.name, fit="XYZ", left=left, top=top)
        # What only says the sheet's own title again is no help among the bookmarks.
        if anchor.title and not clean(self.sheet.title).startswith(anchor.title):
            self.page.addOutlineEntry(anchor.title, anchor.name, self.level)

    def finish(self) -> None:
        """End what is still open on the page."""
        self._emit(self.tags.end_mark())

    def _emit(self, operators: str) -> None:
        if operators:
            self.page._code.append(operators)

    def _points(self, p: Point) -> tuple[float, float]:
        return round(p.x * POINT, 4), round((self.sheet.height - p.y) * POINT, 4)

    def _set_fill(self, colour: str) -> None:
        if colour != self.fill:
            self._emit(f"{_colour(colour)} rg")
            self.fill = colour

    def _set_line(self, style: Style) -> None:
        wanted = (style.stroke, style.width_mm, style.cap, style.join, style.dash)
        if wanted != self.line:
            dash = " ".join(number(d) for d in style.dash)
            self._emit(
                f"{_colour(style.stroke)} RG {number(style.width_mm)} w {_CAPS[style.cap]} J "
                f"{_JOINS[style.join]} j [{dash}] 0 d"
            )
            self.line = wanted


@lru_cache(maxsize=512)
def _colour(shade: str) -> str:
    return " ".join(number(int(shade[i : i + 2], 16) / 255) for i in (1, 3, 5))


def _path_operators(path: Path) -> str:
    parts = [f"{number(path.start.x)} {number(path.start.y)} m"]
    at = path.start
    for piece in path.pieces:
        if isinstance(piece, Line):
            parts.append(f"{number(piece.to.x)} {number(piece.to.y)} l")
        else:
            curves = arc_curves(at, piece) if isinstance(piece, Arc) else (piece,)
            parts.extend(_curve_operator(curve) for curve in curves)
        at = piece.to
    if path.closed:
        parts.append("h")
    return " ".join(parts)


def _curve_operator(curve: Curve) -> str:
    return " ".join(number(v) for p in (curve.first, curve.second, curve.to) for v in p) + " c"


def _check_links(sheets: Sequence[Sheet]) -> None:
    marks = [mark for sheet in sheets for mark in leaves(sheet.marks)]
    names: set[str] = set()
    for mark in marks:
        if isinstance(mark, Anchor):
            if mark.name in names:
                raise ValueError(f"two anchors are named {mark.name!r}")
            names.add(mark.name)
    for mark in marks:
        if isinstance(mark, Link) and "://" not in mark.target and mark.target not in names:
            raise ValueError(f"a link leads to {mark.target!r}, which is on no sheet")
