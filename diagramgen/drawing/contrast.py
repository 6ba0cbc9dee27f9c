"""Measures whether words and leads of a drawing stand out from what lies behind them, as WCAG 2.2 counts it."""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass

import numpy as np
import shapely
from shapely.geometry.base import BaseGeometry

from diagramgen.drawing.findings import Finding
from diagramgen.drawing.light import contrast
from diagramgen.drawing.scene import Mark, Role, Shape, Sheet, Text, walk_placed
from diagramgen.drawing.style import PAPER, style_of
from diagramgen.geometry import Path
from diagramgen.lettering import text_width

TEXT_CONTRAST = 4.5
"""Least contrast of words against their ground (WCAG 2.2 SC 1.4.3, text of usual size)."""
EDGE_CONTRAST = 3.0
"""Least contrast of a lead's edge against what lies beside it (WCAG 2.2 SC 1.4.11)."""
SEEN = 0.02
"""A ground that takes less than this share of the place is not what the eye reads against."""
BESIDE = 0.25
"""What lies within this of a lead's edge lies beside it, mm: one drawing line's width."""
_EDGES = (Role.LEAD_EDGE, Role.LEG)


@dataclass(frozen=True)
class _Ground:
    """A painted area: its place in the order of painting, its shape and its shade."""

    order: int
    area: BaseGeometry
    shade: str


def pale_texts(marks: Sequence[Mark]) -> Iterable[Finding]:
    """Words that stand out from an area behind them by less than ``TEXT_CONTRAST``."""
    grounds = _Grounds(marks)
    for order, mark, subject in _painted(marks):
        if isinstance(mark, Text) and mark.text.strip():
            ink = style_of(mark.role, mark.emphasis, mark.colour).text_colour
            worst = grounds.worst(order, _text_area(mark), ink)
            if worst < TEXT_CONTRAST:
                yield Finding("D111", f"the words '{mark.text}' stand {worst:.1f} to 1 against what lies behind them; "
                              f"{TEXT_CONTRAST} to 1 are needed", (subject,))


def pale_leads(marks: Sequence[Mark]) -> Iterable[Finding]:
    """Leads whose edge stands out from what lies beside it by less than ``EDGE_CONTRAST``."""
    grounds = _Grounds(marks)
    told: set[str] = set()
    for order, mark, subject in _painted(marks):
        if isinstance(mark, Shape) and mark.role in _EDGES and subject not in told:
            style = style_of(mark.role, mark.emphasis, mark.colour)
            line = shapely.union_all([shapely.LineString(p.flat(0.1)) for p in mark.path])
            body = line.buffer(style.width_mm / 2)
            beside = line.buffer(style.width_mm / 2 + BESIDE, cap_style="flat").difference(body)
            worst = grounds.worst(order, beside, style.stroke)
            if worst < EDGE_CONTRAST:
                told.add(subject)
                yield Finding("D112", f"the edge of {subject.replace(':', ' ')} stands {worst:.1f} to 1 against what "
                              f"lies beside it; {EDGE_CONTRAST:.0f} to 1 are needed", (subject,))


class _Grounds:
    """The painted areas of a drawing, asked what is seen behind a mark."""

    def __init__(self, marks: Sequence[Mark]) -> None:
        self._all = [g for order, mark, _ in _painted(marks) if isinstance(mark, Shape) for g in _area(order, mark)]
        self._tree = shapely.STRtree(np.array([g.area for g in self._all], dtype=object))

    def worst(self, order: int, place: BaseGeometry, ink: str) -> float:
        """The least contrast of ``ink`` with any ground painted before ``order`` and seen at ``place``."""
        below = sorted((self._all[int(i)] for i in self._tree.query(place, predicate="intersects")),
                       key=lambda g: -g.order)
        left, least = place, SEEN * place.area
        found = []
        for ground in below:
            if ground.order < order and left.area >= least:
                if left.intersection(ground.area).area >= least:
                    found.append(contrast(ink, ground.shade))
                left = left.difference(ground.area)
        if left.area >= least:
            found.append(contrast(ink, PAPER))
        return min(found, default=math.inf)


def _painted(marks: Sequence[Mark]) -> Iterator[tuple[int, Shape | Text, str]]:
    """Shapes and words in the order they are painted, with the subject each belongs to."""
    for order, placed in enumerate(walk_placed(Sheet(0.0, 0.0, "", tuple(marks)))):
        if isinstance(placed.mark, Shape | Text):
            yield order, placed.mark, placed.subject


def _area(order: int, mark: Shape) -> Iterator[_Ground]:
    """What a mark covers: its fill, or the white band of a lead that passes over others."""
    style = style_of(mark.role, mark.emphasis, mark.colour)
    if style.fill:
        area: BaseGeometry = shapely.Polygon()
        for path in mark.path:
            area = shapely.symmetric_difference(area, _polygon(path))
        yield _Ground(order, area, style.fill)
    elif mark.role == Role.LEAD_HALO:
        for path in mark.path:
            line = shapely.LineString(path.flat(0.1))
            yield _Ground(order, line.buffer(style.width_mm / 2, cap_style="flat"), style.stroke)


def _polygon(path: Path) -> BaseGeometry:
    points = path.flat(0.1)
    return shapely.make_valid(shapely.Polygon(points)) if len(points) > 3 else shapely.Polygon()


def _text_area(text: Text) -> shapely.Polygon:
    """The turned rectangle of a line's capitals."""
    width = text_width(text.text, text.height, text.bold)
    left = {"start": 0.0, "middle": -width / 2, "end": -width}[text.anchor]
    c, s = math.cos(text.angle), math.sin(text.angle)
    corners = [(left, 0.0), (left + width, 0.0), (left + width, -text.height), (left, -text.height)]
    return shapely.Polygon([(text.at.x + c * x - s * y, text.at.y + s * x + c * y) for x, y in corners])
