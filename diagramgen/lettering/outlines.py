"""Outlines of set text as paths, for drawings that must look the same without the font."""

from __future__ import annotations

import math
from functools import lru_cache
from typing import Any

from diagramgen.kernel.geometry import Curve, Line, Path, Piece, Point, Transform
from diagramgen.lettering.font_file import composed, face, font_path
from diagramgen.lettering.metrics import TextAnchor, font_size, text_width

_SHARE = {"start": 0.0, "middle": 0.5, "end": 1.0}


def text_outlines(
    text: str,
    at: Point,
    height: float,
    anchor: TextAnchor = "start",
    angle: float = 0.0,
    bold: bool = False,
) -> tuple[Path, ...]:
    """The closed outlines of a line of text in mm, to be filled by the non-zero rule."""
    size, known = font_size(height, bold), face(bold)
    cos, sin = math.cos(angle) * size, math.sin(angle) * size
    x = -_SHARE[anchor] * text_width(text, height, bold) / size
    paths: list[Path] = []
    for character in composed(text):
        place = Transform(cos, sin, -sin, cos, at.x + x * cos, at.y + x * sin)
        paths.extend(path.mapped(place) for path in _glyph(character, bold))
        x += known.advances.get(ord(character), known.fallback)
    return tuple(paths)


@lru_cache(maxsize=2)
def _library(bold: bool) -> tuple[Any, dict[int, str], int]:
    from fontTools.ttLib import TTFont

    font = TTFont(font_path(bold), lazy=True)
    return font.getGlyphSet(), font.getBestCmap(), font["head"].unitsPerEm


@lru_cache(maxsize=4096)
def _glyph(character: str, bold: bool) -> tuple[Path, ...]:
    """The outlines of one character in em units, y down."""
    from fontTools.pens.recordingPen import DecomposingRecordingPen

    glyphs, names, units = _library(bold)
    pen = DecomposingRecordingPen(glyphs)
    glyphs[names.get(ord(character), ".notdef")].draw(pen)

    def scaled(p: tuple[float, float]) -> Point:
        return Point(p[0] / units, -p[1] / units)

    paths: list[Path] = []
    start, pieces = Point(0, 0), list[Piece]()
    for verb, operands in pen.value:
        points = [scaled(p) if p is not None else None for p in operands]
        if verb == "moveTo":
            start, pieces = _known(points[0]), []
        elif verb == "lineTo":
            pieces.append(Line(_known(points[0])))
        elif verb == "qCurveTo":
            if points[-1] is None:  # a contour of off-curve points only
                start = _middle(_known(points[-2]), _known(points[0]))
                points[-1] = start
            pieces.extend(_cubics(pieces[-1].to if pieces else start, [_known(p) for p in points]))
        else:
            paths.append(Path(start, tuple(pieces), True))
    return tuple(paths)


def _known(point: Point | None) -> Point:
    if point is None:
        raise ValueError("the font has an outline without a starting point")
    return point


def _middle(a: Point, b: Point) -> Point:
    return Point((a.x + b.x) / 2, (a.y + b.y) / 2)


def _cubics(at: Point, points: list[Point]) -> list[Curve]:
    """TrueType's quadratic spline as cubic pieces."""
    curves: list[Curve] = []
    *controls, last = points
    if not controls:
        controls = [_middle(at, last)]
    for i, control in enumerate(controls):
        end = last if i == len(controls) - 1 else _middle(control, controls[i + 1])
        first = Point(at.x + 2 / 3 * (control.x - at.x), at.y + 2 / 3 * (control.y - at.y))
        second = Point(end.x + 2 / 3 * (control.x - end.x), end.y + 2 / 3 * (control.y - end.y))
        curves.append(Curve(first, second, end))
        at = end
    return curves
