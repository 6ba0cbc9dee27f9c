"""The marks a printed sheet is checked by: a 100 mm bar and a 50 mm square."""

from __future__ import annotations

from diagramgen.drawing.scene import Group, Kind, Mark, Role, Shape, Text
from diagramgen.geometry import Box, Point, polyline, rounded_box

BAR = 100.0
SQUARE = 50.0


def bar(at: Point, length: float = BAR, says: str = "100 mm") -> Group:
    """A bar ``length`` mm long from ``at`` to the right, with ticks every tenth; its ends are ``subject`` bar."""
    y = at.y
    marks: list[Mark] = [Shape((polyline([at, Point(at.x + length, y)]),), Role.SCALE_BAR, "measure:bar")]
    for i in range(11):
        x, reach = at.x + length * i / 10, 3.0 if i in (0, 10) else (2.0 if i == 5 else 1.3)
        marks.append(Shape((polyline([Point(x, y), Point(x, y - reach)]),), Role.SCALE_BAR))
    for i in range(0, 10, 2):
        cell = Box(at.x + length * i / 10, y - 0.9, at.x + length * (i + 1) / 10, y)
        marks.append(Shape((rounded_box(cell, 0),), Role.SCALE_BAR_FILL))
    marks.append(Text(says, Point(at.x + length + 2, y), 2.5, bold=True, role=Role.SCALE_TEXT))
    marks.append(Text("0", Point(at.x, y - 3.6), 1.8, "middle", role=Role.SCALE_TEXT))
    return Group(tuple(marks), alt=f"scale bar, {says}", kind=Kind.FIGURE)


def square(at: Point) -> Shape:
    """A square of 50 mm with its upper left corner at ``at``: shows whether both directions print true."""
    return Shape((rounded_box(Box(at.x, at.y, at.x + SQUARE, at.y + SQUARE), 0),), Role.SCALE_BAR, "measure:square")
