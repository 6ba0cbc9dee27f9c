"""SVG in millimetres: one user unit is one mm, every coordinate is where the mark falls on the sheet."""

from __future__ import annotations

import base64
import math
import re
from typing import Any, Literal

from diagramgen.drawing.scene import Anchor, Group, Image, Kind, Link, Sheet, Text, leaves
from diagramgen.drawing.style import Style
from diagramgen.kernel.geometry import Arc, Box, Line, Path
from diagramgen.lettering import FAMILY, font_size, text_width
from diagramgen.lettering.outlines import text_outlines
from diagramgen.writers.canvas import arc_parts, clean, draw, number

Lettering = Literal["font", "outline"]

_SAFE_NAME = re.compile(r"[A-Za-z][A-Za-z0-9_.-]*\Z")
_LARGEST_ARC = 3.0
"""Radians; an SVG arc near a half turn is decided by rounding, so longer ones are written in parts."""


def svg_bytes(sheet: Sheet, lettering: Lettering = "font") -> bytes:
    """The sheet as an SVG file in UTF-8; the same sheet gives the same bytes.

    ``font`` embeds the characters used and keeps text as text; ``outline`` draws letters as outlines with
    invisible text over them, for cutters, CAD and viewers that ignore embedded fonts.
    Raises ``ValueError`` for what is not a finite number and for an anchor named twice.
    """
    import svgwrite

    size = (f"{number(sheet.width)}mm", f"{number(sheet.height)}mm")
    drawing = svgwrite.Drawing(
        size=size, viewBox=f"0 0 {number(sheet.width)} {number(sheet.height)}", debug=False
    )
    drawing["font-family"] = f"'{FAMILY}', sans-serif"
    drawing["text-rendering"] = "geometricPrecision"
    drawing.set_desc(title=clean(sheet.title), desc=clean(sheet.subject) or None)
    canvas = _SvgCanvas(drawing, _anchor_ids(sheet), lettering)
    draw(sheet, canvas)
    if lettering == "font" and canvas.used:
        drawing.defs.add(svgwrite.container.Style(_font_faces(canvas.used)))
    text: str = drawing.tostring()
    return b'<?xml version="1.0" encoding="utf-8"?>\n' + text.encode("utf-8") + b"\n"


class _SvgCanvas:
    """Builds the element tree; ids count from 1 in every drawing."""

    def __init__(self, drawing: Any, anchors: dict[str, str], lettering: Lettering):
        self.drawing = drawing
        self.anchors = anchors
        self.lettering = lettering
        self.used: dict[bool, set[str]] = {}
        self.open: list[Any] = [drawing]
        self.windows: dict[Box, str] = {}

    def open_group(self, group: Group) -> None:
        made = self.drawing.g()
        if group.subject:
            made["data-subject"] = group.subject
        if group.alt:
            made["aria-label"] = group.alt
            made.set_desc(desc=group.alt)
        if group.kind == Kind.FIGURE:
            made["role"] = "img"
        self._push(made)

    def close_group(self) -> None:
        self.open.pop()

    def path(self, paths: tuple[Path, ...], style: Style, subject: str) -> None:
        made = self.drawing.path(d="".join(path_data(path) for path in paths))
        _paint(made, style, evenodd=len(paths) > 1)
        self._add(made, subject)

    def text(self, text: Text, style: Style) -> None:
        if self.lettering == "font":
            self.used.setdefault(text.bold, set()).update(text.text)
            made = self._text(text)
            made["fill"] = style.text_colour
            self._add(made, text.subject)
            return
        outlines = text_outlines(text.text, text.at, text.height, text.anchor, text.angle, text.bold)
        group = self.drawing.g()
        if outlines:
            group.add(
                self.drawing.path(d="".join(path_data(path) for path in outlines), fill=style.text_colour)
            )
        ghost = self._text(text)
        ghost["textLength"] = number(text_width(text.text, text.height, text.bold))
        ghost["lengthAdjust"] = "spacingAndGlyphs"
        ghost["fill-opacity"] = "0"
        group.add(ghost)
        self._add(group, text.subject)

    def image(self, image: Image) -> None:
        kind = "png" if image.data.startswith(b"\x89PNG") else "jpeg"
        made = self.drawing.image(f"data:image/{kind};base64,{base64.b64encode(image.data).decode('ascii')}")
        _set_box(made, image.box)
        made["preserveAspectRatio"] = "none"
        if image.alt:
            made["aria-label"] = image.alt
            made["role"] = "img"
        self._add(made, image.subject)

    def clip(self, window: Box | None) -> None:
        if window is None:
            self.open.pop()
            return
        made = self.drawing.g()
        made["clip-path"] = f"url(#{self._window(window)})"
        self._push(made)

    def link(self, link: Link) -> None:
        target = link.target if "://" in link.target else self.anchors.get(link.target, "")
        if not target:
            return  # it leads to another sheet, and one SVG file holds one sheet
        made = self.drawing.a(target if "://" in target else f"#{target}", target="_self")
        area = self.drawing.rect()
        _set_box(area, link.box)
        area["fill"] = "none"
        area["pointer-events"] = "all"
        made.add(area)
        self._add(made, "")

    def anchor(self, anchor: Anchor) -> None:
        made = self.drawing.path(d=f"M{number(anchor.at.x)} {number(anchor.at.y)}", fill="none")
        made["id"] = self.anchors[anchor.name]
        self._add(made, "")

    def _window(self, window: Box) -> str:
        if window not in self.windows:
            self.windows[window] = f"window-{len(self.windows) + 1}"
            area = self.drawing.rect()
            _set_box(area, window)
            made = self.drawing.clipPath(id=self.windows[window])
            made.add(area)
            self.drawing.defs.add(made)
        return self.windows[window]

    def _text(self, text: Text) -> Any:
        made = self.drawing.text(text.text)
        made["x"], made["y"] = number(text.at.x), number(text.at.y)
        made["font-size"] = number(font_size(text.height, text.bold))
        if text.bold:
            made["font-weight"] = "bold"
        if text.anchor != "start":
            made["text-anchor"] = text.anchor
        if text.angle:
            made["transform"] = (
                f"rotate({number(math.degrees(text.angle))} {number(text.at.x)} {number(text.at.y)})"
            )
        if "  " in text.text or text.text != text.text.strip():
            made["xml:space"] = "preserve"
        return made

    def _push(self, made: Any) -> None:
        self.open[-1].add(made)
        self.open.append(made)

    def _add(self, made: Any, subject: str) -> None:
        if subject:
            made["data-subject"] = subject
        self.open[-1].add(made)


def _paint(made: Any, style: Style, evenodd: bool) -> None:
    made["fill"] = style.fill or "none"
    if style.fill and evenodd:
        made["fill-rule"] = "evenodd"
    if not style.stroke or not style.width_mm:
        return
    made["stroke"] = style.stroke
    made["stroke-width"] = number(style.width_mm)
    if style.cap != "butt":
        made["stroke-linecap"] = style.cap
    if style.join != "miter":
        made["stroke-linejoin"] = style.join
    if style.dash:
        made["stroke-dasharray"] = " ".join(number(d) for d in style.dash)


def _set_box(made: Any, box: Box) -> None:
    made["x"], made["y"] = number(box.left), number(box.top)
    made["width"], made["height"] = number(box.width), number(box.height)


def path_data(path: Path) -> str:
    """The ``d`` of a path."""
    parts = [f"M{number(path.start.x)} {number(path.start.y)}"]
    at = path.start
    for piece in path.pieces:
        if isinstance(piece, Line):
            parts.append(f"L{number(piece.to.x)} {number(piece.to.y)}")
        elif isinstance(piece, Arc):
            for part in arc_parts(at, piece, _LARGEST_ARC):
                radius = number(at.distance(piece.centre))
                turn = 1 if part.sweep > 0 else 0
                parts.append(f"A{radius} {radius} 0 0 {turn} {number(part.to.x)} {number(part.to.y)}")
                at = part.to
        else:
            parts.append("C" + " ".join(number(v) for p in (piece.first, piece.second, piece.to) for v in p))
        at = piece.to
    return "".join(parts) + ("Z" if path.closed else "")


def _anchor_ids(sheet: Sheet) -> dict[str, str]:
    ids: dict[str, str] = {}
    for mark in leaves(sheet.marks):
        if isinstance(mark, Anchor):
            if mark.name in ids:
                raise ValueError(f"two anchors are named {mark.name!r}")
            ids[mark.name] = f"at-{mark.name}" if _SAFE_NAME.match(mark.name) else f"at.{len(ids) + 1}"
    return ids


def _font_faces(used: dict[bool, set[str]]) -> str:
    from diagramgen.writers.webfont import woff_subset

    rules = []
    for bold, characters in sorted(used.items()):
        data = base64.b64encode(woff_subset(frozenset(characters), bold)).decode("ascii")
        rules.append(
            f"@font-face{{font-family:'{FAMILY}';font-weight:{700 if bold else 400};"
            f"src:url(data:font/woff;base64,{data}) format('woff')}}"
        )
    return "".join(rules)
