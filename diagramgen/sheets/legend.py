"""The key to a diagram: what joints, leads, arrows and dashes mean."""

from __future__ import annotations

import math

from diagramgen.drawing.diagram import arrow_head
from diagramgen.drawing.parts import earth_sign
from diagramgen.drawing.scene import Group, Kind, Mark, Role, Shape, Text
from diagramgen.drawing.strokes import lead_marks
from diagramgen.geometry import Arc, Box, Path, Point, circle, moved, polyline, rounded_box, turned

ROW = 5.1


def legend(at: Point, height: float = 1.8) -> Group:
    """The key, 46 mm wide and 9 rows high, with its upper left corner at ``at``."""
    rows = (
        ("joint, signal", _joint),
        ("joint on ground", _ground),
        ("crossing: not joined", _crossing),
        ("tag and colour, both ends", _tag),
        ("lug bent over, part's leg", _leg),
        ("cable's jacket, sleeve, cap", _jacket),
        ("beneath; hole in the wood", _hidden),
        ("knob turned up, 0 to 10", _arrow),
        ("striped lead: base/stripe", _striped),
    )
    marks: list[Mark] = []
    for i, (words, picture) in enumerate(rows):
        y = at.y + ROW * (i + 0.5)
        marks += picture(Point(at.x + 6, y))
        marks.append(Text(words, Point(at.x + 14, y + height / 2), height))
    return Group(tuple(marks), alt="key: " + "; ".join(words for words, _ in rows), kind=Kind.FIGURE)


def _joint(at: Point) -> list[Mark]:
    return [Shape((circle(at, 1.0),), Role.JOINT)]


def _ground(at: Point) -> list[Mark]:
    ring = Point(at.x - 2.0, at.y)
    sign = tuple(path.mapped(turned(-math.pi / 2).then(moved(Point(ring.x + 1.1, ring.y))))
                 for path in earth_sign(Point(0, 0)))
    return [Shape((circle(ring, 1.1),), Role.JOINT_GROUND), Shape((circle(ring, 0.3),), Role.SOLID),
            Shape(sign, Role.GROUND)]


def _crossing(at: Point) -> list[Mark]:
    under = polyline([Point(at.x, at.y - 2.2), Point(at.x, at.y + 2.2)])
    over = polyline([Point(at.x - 5, at.y), Point(at.x + 5, at.y)])
    return [*lead_marks(under, "BU"), *lead_marks(over, "YE")]


def _tag(at: Point) -> list[Mark]:
    line = polyline([Point(at.x - 5.5, at.y), Point(at.x + 5.5, at.y)])
    pill = rounded_box(Box(at.x - 4.2, at.y - 1.2, at.x + 5.0, at.y + 1.2), 1.0)
    return [*lead_marks(line, "RD"), Shape((pill,), Role.TAG, colour="RD"),
            Text("W07 red", Point(at.x + 0.4, at.y + 0.65), 1.3, "middle", bold=True, role=Role.TAG_TEXT)]


def _leg(at: Point) -> list[Mark]:
    return [Shape((polyline([Point(at.x - 4, at.y), Point(at.x + 4, at.y)]),), Role.LEG)]


def _jacket(at: Point) -> list[Mark]:
    line = polyline([Point(at.x - 5.5, at.y), Point(at.x + 5.5, at.y)])
    sleeve = rounded_box(Box(at.x - 3, at.y - 1.2, at.x + 3, at.y + 1.2), 0.9)
    return [*lead_marks(line, "WH"), Shape((sleeve,), Role.JACKET)]


def _hidden(at: Point) -> list[Mark]:
    return [Shape((circle(at, 1.9),), Role.HIDDEN)]


def _arrow(at: Point) -> list[Mark]:
    centre = Point(at.x, at.y + 3.2)
    begin, tip = centre.towards(math.radians(-40), 4.2), centre.towards(math.radians(-140), 4.2)
    arc = Path(begin, (Arc(tip, centre, math.radians(-100)),))
    return [Shape((arc,), Role.BODY_DETAIL), Shape((arrow_head(tip, math.radians(130), 2.0),), Role.ARROW)]


def _striped(at: Point) -> list[Mark]:
    return [*lead_marks(polyline([Point(at.x - 5, at.y), Point(at.x + 5, at.y)]), "WH/BK")]
