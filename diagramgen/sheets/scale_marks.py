"""The marks a printed sheet is checked by: bars of 100 mm, a square of 50 mm, and what corrects a printer."""

from __future__ import annotations

import math
from dataclasses import dataclass

from diagramgen.drawing.scene import Group, Kind, Mark, Role, Shape, Text
from diagramgen.kernel.geometry import Box, Point, Transform, polyline, rounded_box
from diagramgen.kernel.units import number

BAR = 100.0
SQUARE = 50.0


@dataclass(frozen=True)
class Correction:
    """What a ruler showed on an uncorrected print, and how full-size drawings are stretched to come out true.

    ``x`` and ``y`` are the lengths in mm that the level and the upright bar of 100 mm measured.
    """

    x: float = BAR
    y: float = BAR

    @property
    def across(self) -> float:
        """Factor from left to right."""
        return BAR / self.x

    @property
    def down(self) -> float:
        """Factor from top to bottom."""
        return BAR / self.y

    @property
    def needed(self) -> bool:
        """Whether the printer was off at all."""
        return (self.x, self.y) != (BAR, BAR)

    def place(self, about: Point) -> Transform:
        """The stretch about a point that stays."""
        return Transform(a=self.across, d=self.down, e=about.x * (1 - self.across), f=about.y * (1 - self.down))

    def true(self, room: Box) -> Box:
        """The box in true mm, round the same middle, that fills ``room`` once it is stretched."""
        half = Point(room.width / self.across / 2, room.height / self.down / 2)
        c = room.centre
        return Box(c.x - half.x, c.y - half.y, c.x + half.x, c.y + half.y)

    def words(self) -> str:
        """What was corrected, for the sheet."""
        return (f"Corrected for a printer whose bars measured {number(self.x, 2)} across and "
                f"{number(self.y, 2)} mm upright: drawn × {number(self.across, 4)} and × {number(self.down, 4)}.")


TRUE = Correction()
"""A printer that prints true."""


def bar(at: Point, length: float = BAR, says: str = "100 mm", correction: Correction = TRUE) -> Group:
    """A bar ``length`` mm long from ``at`` to the right, with ticks every tenth; its ends are ``subject`` bar."""
    y, drawn = at.y, length * correction.across
    marks: list[Mark] = [Shape((polyline([at, Point(at.x + drawn, y)]),), Role.SCALE_BAR, "measure:bar")]
    for i in range(11):
        x, reach = at.x + drawn * i / 10, 3.0 if i in (0, 10) else (2.0 if i == 5 else 1.3)
        marks.append(Shape((polyline([Point(x, y), Point(x, y - reach)]),), Role.SCALE_BAR))
    for i in range(0, 10, 2):
        cell = Box(at.x + drawn * i / 10, y - 0.9, at.x + drawn * (i + 1) / 10, y)
        marks.append(Shape((rounded_box(cell, 0),), Role.SCALE_BAR_FILL))
    marks.append(Text(says, Point(at.x + drawn + 2, y), 2.5, bold=True, role=Role.SCALE_TEXT))
    marks.append(Text("0", Point(at.x, y - 3.6), 1.8, "middle", role=Role.SCALE_TEXT))
    return Group(tuple(marks), alt=f"scale bar, {says}", kind=Kind.FIGURE)


def upright_bar(at: Point, correction: Correction = TRUE) -> Group:
    """A bar of 100 mm from ``at`` upward, ticks to the left: it stands in the margin beside a frame."""
    long = BAR * correction.down
    marks: list[Mark] = [Shape((polyline([at, Point(at.x, at.y - long)]),), Role.SCALE_BAR, "measure:upright")]
    for i in range(11):
        y, reach = at.y - long * i / 10, 2.4 if i in (0, 10) else (1.8 if i == 5 else 1.2)
        marks.append(Shape((polyline([Point(at.x, y), Point(at.x - reach, y)]),), Role.SCALE_BAR))
    # Beyond the upper end, where it crosses no tick.
    marks.append(Text("100 mm", Point(at.x - 0.3, at.y - long - 1.5), 1.8, "start", -math.pi / 2, True,
                      Role.SCALE_TEXT))
    return Group(tuple(marks), alt="upright scale bar, 100 mm", kind=Kind.FIGURE)


def square(at: Point, correction: Correction = TRUE) -> Shape:
    """A square of 50 mm with its upper left corner at ``at``: shows whether both directions print true."""
    box = Box(at.x, at.y, at.x + SQUARE * correction.across, at.y + SQUARE * correction.down)
    return Shape((rounded_box(box, 0),), Role.SCALE_BAR, "measure:square")
