"""The eight calls a writer answers, and the one walk over a sheet that makes them.

Marks reach a canvas in sheet mm with their style looked up, so a writer decides nothing and two writers
cannot disagree about where a mark falls.
"""

from __future__ import annotations

import math
import re
from collections.abc import Iterable, Iterator
from dataclasses import replace
from typing import Protocol

from diagramgen.drawing.scene import (
    Anchor,
    Group,
    Image,
    Leaf,
    Link,
    Mark,
    Role,
    Setting,
    Shape,
    Sheet,
    Text,
    Viewport,
    on_sheet,
)
from diagramgen.drawing.style import Style, style_of
from diagramgen.kernel.geometry import Arc, Box, Curve, Line, Path, Point, rounded_box
from diagramgen.lettering.font_file import composed

_UNPRINTABLE = re.compile("[\x00-\x1f\x7f-\x9f\ud800-\udfff\ufffe\uffff]")


class Canvas(Protocol):
    """What a writer can do; all places are in sheet mm, x right and y down."""

    def open_group(self, group: Group) -> None:
        """Begin marks that belong together."""

    def close_group(self) -> None:
        """End the group opened last."""

    def path(self, paths: tuple[Path, ...], style: Style, subject: str) -> None:
        """Fill (even-odd) and stroke the paths."""

    def text(self, text: Text, style: Style) -> None:
        """Set one line of text."""

    def image(self, image: Image) -> None:
        """Place a photograph."""

    def clip(self, window: Box | None) -> None:
        """Show what follows only inside ``window``; ``None`` ends the window opened last."""

    def link(self, link: Link) -> None:
        """Make a box a link."""

    def anchor(self, anchor: Anchor) -> None:
        """Name a place."""


def draw(sheet: Sheet, canvas: Canvas) -> None:
    """Make the calls for a whole sheet, from the paper up.

    Raises ``ValueError`` for a place, size or width that is not a finite number, and for an unknown colour.
    """
    _finite((sheet.width, sheet.height), "the size of the sheet")
    if sheet.width <= 0 or sheet.height <= 0:
        raise ValueError(f"a sheet of {sheet.width} x {sheet.height} mm has no area")
    paper = Shape((rounded_box(sheet.box, 0),), Role.PAGE)
    _draw((paper, *sheet.marks), Setting(), canvas)


def _draw(marks: Iterable[Mark], setting: Setting, canvas: Canvas) -> None:
    for mark in marks:
        if isinstance(mark, Group):
            canvas.open_group(replace(mark, children=(), subject=clean(mark.subject), alt=clean(mark.alt)))
            _draw(mark.children, setting, canvas)
            canvas.close_group()
        elif isinstance(mark, Viewport):
            inside = setting.inside(mark)
            if inside.clip is None:  # cannot be: a viewport always has a window
                raise ValueError("a viewport without a window")
            _finite((*inside.clip, *mark.place, inside.line_scale), "a viewport")
            canvas.clip(inside.clip)
            _draw(mark.children, inside, canvas)
            canvas.clip(None)
        else:
            _draw_leaf(on_sheet(mark, setting), setting.line_scale, canvas)


def _draw_leaf(mark: Leaf, line_scale: float, canvas: Canvas) -> None:
    if isinstance(mark, Shape):
        style = _scaled(style_of(mark.role, mark.emphasis, mark.colour), line_scale)
        if style.fill or style.stroke:
            for path in mark.path:
                _finite(_numbers(path), f"a {mark.role.value} of {mark.subject or 'the sheet'}")
            canvas.path(mark.path, style, clean(mark.subject))
    elif isinstance(mark, Text):
        _finite((*mark.at, mark.height, mark.angle), f"the text {mark.text!r}")
        words = clean(composed(mark.text))
        if words.strip():
            style = style_of(mark.role, mark.emphasis, mark.colour)
            canvas.text(replace(mark, text=words, subject=clean(mark.subject)), style)
    elif isinstance(mark, Image):
        _finite(mark.box, f"the image {mark.subject!r}")
        canvas.image(replace(mark, subject=clean(mark.subject), alt=clean(mark.alt)))
    elif isinstance(mark, Link):
        _finite(mark.box, f"the link to {mark.target!r}")
        canvas.link(mark)
    else:
        _finite(mark.at, f"the anchor {mark.name!r}")
        canvas.anchor(replace(mark, title=clean(mark.title)))


def _scaled(style: Style, line_scale: float) -> Style:
    if line_scale == 1.0 or not style.width_mm:
        return style
    return replace(
        style, width_mm=style.width_mm * line_scale, dash=tuple(d * line_scale for d in style.dash)
    )


def clean(text: str) -> str:
    """The text without characters that no file may hold: they become U+FFFD, line ends become spaces."""
    return _UNPRINTABLE.sub(lambda found: " " if found[0] in "\t\n\r" else "\ufffd", text)


def number(value: float) -> str:
    """A length in mm with at most 4 decimals; raises ``ValueError`` for what is not a finite number."""
    if not math.isfinite(value):
        raise ValueError(f"{value} is not a length that can be drawn")
    text = f"{value:.4f}".rstrip("0").rstrip(".")
    return "0" if text == "-0" else text


def arc_parts(start: Point, arc: Arc, most: float) -> Iterator[Arc]:
    """The arc in equal parts of at most ``most`` radians, so that no part comes near a half turn."""
    count = max(1, math.ceil(abs(arc.sweep) / most - 1e-9))
    radius, first = arc.centre.distance(start), arc.centre.angle_to(start)
    for i in range(1, count):
        yield Arc(arc.centre.towards(first + arc.sweep * i / count, radius), arc.centre, arc.sweep / count)
    yield Arc(arc.to, arc.centre, arc.sweep / count)


def arc_curves(start: Point, arc: Arc) -> Iterator[Curve]:
    """The arc as cubic pieces, true to 0.03 % of the radius."""
    at = start
    for part in arc_parts(start, arc, math.pi / 2):
        reach = 4 / 3 * math.tan(part.sweep / 4)
        a, b, c = at, part.to, part.centre
        yield Curve(
            Point(a.x - reach * (a.y - c.y), a.y + reach * (a.x - c.x)),
            Point(b.x + reach * (b.y - c.y), b.y - reach * (b.x - c.x)),
            b,
        )
        at = part.to


def _numbers(path: Path) -> Iterator[float]:
    yield from path.start
    for piece in path.pieces:
        yield from piece.to
        if isinstance(piece, Arc):
            yield from piece.centre
            yield piece.sweep
        elif not isinstance(piece, Line):
            yield from piece.first
            yield from piece.second


def _finite(values: Iterable[float], what: str) -> None:
    if not all(map(math.isfinite, values)):
        raise ValueError(f"{what} has a place or size that is not a finite number")
