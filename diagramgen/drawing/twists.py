"""The mark on leads that are wound round each other: a slanted stroke with hooks through both, as in circuit diagrams.

The leads are drawn side by side: wound, neither could be followed. The stroke is the sign for twisted conductors of
IEC 60617 (from memory), set again wherever they lie beside each other for long.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator
from itertools import pairwise

import shapely

from diagramgen.drawing.scene import Emphasis, Group, Mark, Role, Shape
from diagramgen.kernel.geometry import Path, Point, polyline
from diagramgen.layout.model import LaidLead, Layout

BESIDE = 3.3
"""Leads whose middles are no further apart than this lie beside each other, mm in the instrument."""
EVERY = 30.0
"""A mark comes again after about this much, mm on the sheet."""
LEAST = 8.0
"""A shorter stretch side by side gets no mark, mm on the sheet."""
_STEP = 0.5
_BEYOND, _HOOK, _SLANT = 1.5, 1.3, 0.7


def pairs(layout: Layout) -> Iterator[tuple[LaidLead, LaidLead]]:
    """Leads twisted with each other, each pair once."""
    by_tag = {one.lead.tag: one for one in layout.leads}
    named = [frozenset((tag, one.lead.twisted_with)) for tag, one in by_tag.items() if one.lead.twisted_with in by_tag]
    for pair in dict.fromkeys(named):
        tags = sorted(pair)
        if len(tags) == 2:
            yield by_tag[tags[0]], by_tag[tags[1]]


def twist_spots(layout: Layout) -> Iterator[tuple[LaidLead, Point, Point, float]]:
    """Where marks stand: the lead, a point of it, the point of its partner beside it, its direction there (rad)."""
    scale = next((p.place.scale for p in layout.parts.values()), 1.0)
    for one, other in pairs(layout):
        for span in one.spans:
            there = [s.path.flat(0.05) for s in other.spans if s.region == span.region and s.kind == span.kind]
            lines = [shapely.LineString(path) for path in there if len(set(path)) > 1]
            if lines and span.kind == "inside":
                for at, partner, heading in _along(span.path, shapely.union_all(lines), BESIDE * scale):
                    yield one, at, partner, heading


def _along(path: Path, partner: shapely.Geometry, near: float) -> Iterator[tuple[Point, Point, float]]:
    points = path.flat(0.05)
    if len(set(points)) < 2:
        return
    line = shapely.LineString(points)
    count = max(2, math.ceil(line.length / _STEP))
    steps = [line.length * i / count for i in range(count + 1)]
    beside = [shapely.line_interpolate_point(line, s).distance(partner) <= near for s in steps]
    for first, last in _stretches(beside):
        begin, end = steps[first], steps[last]
        if end - begin < LEAST:
            continue
        marks = max(1, round((end - begin) / EVERY))
        for k in range(marks):
            s = begin + (end - begin) * (k + 0.5) / marks
            at, ahead = (shapely.line_interpolate_point(line, x) for x in (s, min(line.length, s + 0.2)))
            back = shapely.line_interpolate_point(line, max(0.0, s - 0.2))
            foot = shapely.shortest_line(at, partner).coords[1]
            yield (Point(at.x, at.y), Point(*foot), math.atan2(ahead.y - back.y, ahead.x - back.x))


def _stretches(flags: list[bool]) -> Iterator[tuple[int, int]]:
    """First and last place of each run of true flags."""
    edges = [i for i, (a, b) in enumerate(pairwise([False, *flags, False])) if a != b]
    for first, after in zip(edges[::2], edges[1::2], strict=True):
        yield first, after - 1


def twist_marks(layout: Layout, emphasis_of: Callable[[str], Emphasis]) -> list[Mark]:
    """The strokes of all twisted leads."""
    marks: list[Mark] = []
    for one, at, partner, heading in twist_spots(layout):
        subject = f"twist:{one.lead.tag}"
        said = f"{one.lead.tag} is twisted with the lead beside it"
        stroke = stroke_marks(at, partner, heading, subject, emphasis_of(one.lead.tag))
        marks.append(Group(tuple(stroke), subject, said))
    return marks


def stroke_marks(
    at: Point, partner: Point, heading: float, subject: str = "", emphasis: Emphasis = Emphasis.NORMAL
) -> list[Shape]:
    """One mark, through a lead at ``at`` and its partner beside it."""
    stroke = _stroke(at, partner, heading)
    return [Shape((stroke,), Role.TWIST_HALO, subject), Shape((stroke,), Role.TWIST, subject, emphasis=emphasis)]


def _stroke(at: Point, partner: Point, heading: float) -> Path:
    """Through both leads and a little beyond, aslant, with a hook along the leads at each end."""
    across = at.angle_to(partner) if at.distance(partner) > 0.1 else heading + math.pi / 2
    half = at.distance(partner) / 2 + _BEYOND
    middle = Point((at.x + partner.x) / 2, (at.y + partner.y) / 2)
    ends = [middle.towards(across, side * half).towards(heading, side * half * _SLANT) for side in (-1, 1)]
    return polyline([ends[0].towards(heading, _HOOK), ends[0], ends[1], ends[1].towards(heading, -_HOOK)])
