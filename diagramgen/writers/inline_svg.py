"""A sheet as an ``svg`` element inside a page: no fonts, no ids, no scripts, every mark with its subject.

The page says in words what its pictures show, so they are hidden from readers who hear it.
"""

from __future__ import annotations

import math

from diagramgen.drawing.scene import Anchor, Group, Image, Link, Sheet, Text
from diagramgen.drawing.style import Style
from diagramgen.kernel.geometry import Box, Path
from diagramgen.lettering import FAMILY, font_size
from diagramgen.writers.canvas import draw, number
from diagramgen.writers.markup import Markup, escaped
from diagramgen.writers.svg import path_data


def inline_svg(sheet: Sheet) -> Markup:
    """Write a sheet as an element of a page.

    Raises: ValueError for photographs, links, anchors and windows, which no such picture has.
    """
    canvas = _Inline()
    draw(sheet, canvas)
    return Markup(_element("svg", *canvas.open[0], viewBox=f"0 0 {number(sheet.width)} {number(sheet.height)}",
                           aria_hidden="true", focusable="false", font_family=f"'{FAMILY}', sans-serif"))


def _element(tag: str, /, *children: str, **attributes: str | None) -> str:
    """An element around markup; None leaves an attribute out, ``data_subject`` stands for ``data-subject``."""
    opened = "".join(f' {key.replace("_", "-")}="{escaped(value)}"' for key, value in attributes.items()
                     if value is not None)
    return f"<{tag}{opened}>{''.join(children)}</{tag}>"


class _Inline:
    """Collects markup; the first group is the sheet itself."""

    def __init__(self) -> None:
        self.open: list[list[str]] = [[]]
        self.subjects: list[str] = []

    def open_group(self, group: Group) -> None:
        self.open.append([])
        self.subjects.append(group.subject)

    def close_group(self) -> None:
        children = self.open.pop()
        self._add(_element("g", *children, data_subject=self.subjects.pop() or None))

    def path(self, paths: tuple[Path, ...], style: Style, subject: str) -> None:
        many = len(paths) > 1 and bool(style.fill)
        drawn = bool(style.stroke and style.width_mm)
        self._add(_element(
            "path", d="".join(path_data(path) for path in paths), fill=style.fill or "none",
            fill_rule="evenodd" if many else None, stroke=style.stroke if drawn else None,
            stroke_width=number(style.width_mm) if drawn else None,
            stroke_linecap=style.cap if drawn and style.cap != "butt" else None,
            stroke_linejoin=style.join if drawn and style.join != "miter" else None,
            stroke_dasharray=" ".join(number(d) for d in style.dash) if drawn and style.dash else None,
            data_subject=self._own(subject),
        ))

    def text(self, text: Text, style: Style) -> None:
        x, y = number(text.at.x), number(text.at.y)
        turned = f"rotate({number(math.degrees(text.angle))} {x} {y})" if text.angle else None
        self._add(_element(
            "text", escaped(text.text), x=x, y=y, font_size=number(font_size(text.height, text.bold)),
            font_weight="bold" if text.bold else None, text_anchor=text.anchor if text.anchor != "start" else None,
            transform=turned, fill=style.text_colour, data_subject=self._own(text.subject),
        ))

    def image(self, image: Image) -> None:
        raise ValueError("a picture inside a page holds no photograph")

    def clip(self, window: Box | None) -> None:
        raise ValueError("a picture inside a page has no window")

    def link(self, link: Link) -> None:
        raise ValueError("a picture inside a page holds no link")

    def anchor(self, anchor: Anchor) -> None:
        raise ValueError("a picture inside a page holds no anchor")

    def _own(self, subject: str) -> str | None:
        """The subject of a mark where its group does not have it already."""
        return subject if subject and (not self.subjects or self.subjects[-1] != subject) else None

    def _add(self, made: str) -> None:
        self.open[-1].append(made)
