"""The key to a diagram: what joints, leads, arrows and dashes mean, and the kinds of leads that occur in it."""

from __future__ import annotations

import math
from collections.abc import Callable

from diagramgen.drawing.braids import braid_ends
from diagramgen.drawing.coverings import covering_marks, covering_of
from diagramgen.drawing.diagram import arrow_head
from diagramgen.drawing.parts import earth_sign, stacks
from diagramgen.drawing.scene import Group, Kind, Mark, Role, Shape, Text
from diagramgen.drawing.strokes import lead_marks
from diagramgen.drawing.style import stripe_shade
from diagramgen.drawing.twists import pairs, stroke_marks
from diagramgen.kernel.colours import BARE
from diagramgen.kernel.geometry import Arc, Box, Path, Point, circle, moved, polyline, rounded_box, turned
from diagramgen.layout.model import Layout

ROW, TALL = 5.1, 46.2
"""Height of a row at most, and of all rows together, mm: they stand in the 50 mm square."""
Picture = Callable[[Point], list[Mark]]
Row = tuple[str, Picture]


def legend(layout: Layout, at: Point, height: float = 1.8) -> Group:
    """The key, 46 mm wide and as high, with its upper left corner at ``at``."""
    rows = (*always(), *lead_kinds(layout))
    return _rows(rows, at, min(ROW, TALL / len(rows)), height)


def in_words(layout: Layout) -> list[str]:
    """The same of the kinds of leads that occur, for a sheet that has a line for its key."""
    return [SHORTLY[picture] for _, picture in lead_kinds(layout) if picture in SHORTLY]


def _rows(rows: tuple[Row, ...], at: Point, pitch: float, height: float) -> Group:
    marks: list[Mark] = []
    for i, (words, picture) in enumerate(rows):
        y = at.y + pitch * (i + 0.5)
        marks += picture(Point(at.x + 6, y))
        marks.append(Text(words, Point(at.x + 14, y + height / 2), height))
    return Group(tuple(marks), alt="key: " + "; ".join(words for words, _ in rows), kind=Kind.FIGURE)


def always() -> tuple[Row, ...]:
    """What every diagram may hold."""
    return (
        ("joint, signal", _joint),
        ("joint on ground", _ground),
        ("crossing: not joined", _crossing),
        ("tag and colour, both ends", _tag),
        ("lug bent over, part's leg", _leg),
        ("cable's jacket, sleeve, cap", _jacket),
        ("beneath; hole in the wood", _hidden),
        ("knob turned up, 0 to 10", _arrow),
    )


def lead_kinds(layout: Layout) -> tuple[Row, ...]:
    """The kinds of leads in this diagram that are not plain wire of one colour, and lugs behind one another."""
    leads = [one.lead for one in layout.leads]
    wires = [lead for lead in leads if lead.kind not in ("leg", "bend", "bridge")]
    bare = any(lead.kind == "bare" or (lead.colour is not None and lead.colour.bare) for lead in wires)
    braid = next(braid_ends(layout), None) is not None
    covered = {covering_of(lead) for lead in wires}
    kinds: tuple[tuple[bool, str, Picture], ...] = (
        (any(lead.colour and stripe_shade(lead.colour.code) for lead in wires), "striped lead: base/stripe", _striped),
        (bare or braid, "bare wire, or a braid's end" if braid else "bare wire", _bare),
        (Role.BRAID in covered, "shielded: braid round it", _shielded),
        (Role.CLOTH in covered, "cloth-covered wire", _cloth),
        (next(pairs(layout), None) is not None, "twisted with each other", _twisted),
        (any(map(stacks, layout.parts.values())), "stacked lugs: see detail", _stacked),
    )
    return tuple((words, picture) for occurs, words, picture in kinds if occurs)


def _joint(at: Point) -> list[Mark]:
    return [Shape((circle(at, 1.0),), Role.JOINT)]


def _ground(at: Point) -> list[Mark]:
    ring = Point(at.x - 2.0, at.y)
    sign = tuple(path.mapped(turned(-math.pi / 2).then(moved(Point(ring.x + 1.1, ring.y))))
                 for path in earth_sign(Point(0, 0)))
    return [Shape((circle(ring, 1.1),), Role.JOINT_GROUND), Shape((circle(ring, 0.3),), Role.SOLID),
            Shape(sign, Role.GROUND)]


def _crossing(at: Point) -> list[Mark]:
    under = polyline([Point(at.x, at.y - 1.5), Point(at.x, at.y + 1.5)])
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
    return [Shape((circle(at, 1.5),), Role.HIDDEN)]


def _arrow(at: Point) -> list[Mark]:
    centre = Point(at.x, at.y + 2.9)
    begin, tip = centre.towards(math.radians(-40), 3.6), centre.towards(math.radians(-140), 3.6)
    arc = Path(begin, (Arc(tip, centre, math.radians(-100)),))
    return [Shape((arc,), Role.BODY_DETAIL), Shape((arrow_head(tip, math.radians(130), 1.8),), Role.ARROW)]


def _line(at: Point) -> Path:
    return polyline([Point(at.x - 5, at.y), Point(at.x + 5, at.y)])


def _striped(at: Point) -> list[Mark]:
    return [*lead_marks(_line(at), "WH/BK")]


def _bare(at: Point) -> list[Mark]:
    return [*lead_marks(_line(at), BARE)]


def _shielded(at: Point) -> list[Mark]:
    return [*lead_marks(_line(at), "RD"), *covering_marks(_line(at), Role.BRAID)]


def _cloth(at: Point) -> list[Mark]:
    return [*lead_marks(_line(at), "WH"), *covering_marks(_line(at), Role.CLOTH)]


def _twisted(at: Point) -> list[Mark]:
    """Nearer to each other than in a diagram: the row has no room for more."""
    above, below = Point(at.x, at.y - 0.65), Point(at.x, at.y + 0.65)
    return [*lead_marks(_line(above), "RD", halo=False), *lead_marks(_line(below), "BK", halo=False),
            *stroke_marks(above, below, 0.0)]


def _stacked(at: Point) -> list[Mark]:
    return [Shape((circle(at, 1.1),), Role.LUG), Shape((circle(at, 0.7),), Role.LUG_HOLE)]


SHORTLY: dict[Picture, str] = {
    _striped: "striped: base/stripe",
    _shielded: "line at both sides: shielded",
    _cloth: "stitches at both sides: cloth",
    _twisted: "hooked stroke: twisted",
    _stacked: "double ring: stacked lugs, see detail",
}
