"""Turns the corners of a settled lead into lines and arcs and says what could not be kept."""

from __future__ import annotations

from collections.abc import Sequence

import shapely
from shapely.geometry import LineString
from shapely.geometry import Point as Spot

from diagramgen.geometry import Path, Point
from diagramgen.layout.routing.floor import outline_polygon
from diagramgen.layout.routing.model import Room, Route, Run

_EXEMPT = 4.0  # mm from its ends within which a lead may be near its own body and the wall
_SLACK = 0.05  # mm that a clearance may be short before it is reported


def without_spikes(points: Sequence[Point], least: float = 0.02) -> list[Point]:
    """The corners without doubled ones and without those on a straight leg; the ends stay."""
    kept = [points[0]]
    for p in points[1:-1]:
        if p.distance(kept[-1]) > least and p.distance(points[-1]) > least:
            kept.append(p)
    kept.append(points[-1])
    slim = kept[:1]
    for before, here, after in zip(kept, kept[1:], kept[2:], strict=False):
        leg = max(before.distance(after), 1e-9)
        off = abs((after.x - before.x) * (here.y - before.y) - (after.y - before.y) * (here.x - before.x)) / leg
        onward = (here.x - before.x) * (after.x - here.x) + (here.y - before.y) * (after.y - here.y)
        if off > 1e-3 or onward < 0:
            slim.append(here)
    return [*slim, kept[-1]] if len(kept) > 1 else kept


def tidy_corners(points: Sequence[Point]) -> list[Point]:
    """The corners to 1/1000 mm without needless ones; the ends stay exact."""
    kept = without_spikes(points)
    return [kept[0], *(Point(round(p.x, 3), round(p.y, 3)) for p in kept[1:-1]), kept[-1]]


def as_route(room: Room, run: Run, path: Path, faults: Sequence[str] = ()) -> Route:
    """The route of a run with its length (mm), the bodies it passes over and what it could not keep."""
    line = LineString(path.flat(0.05)) if path.length() > 0 else Spot(path.start)
    over = tuple(
        o.subject for o in room.obstacles if o.passable and outline_polygon(o.outline).intersection(line).length > 0.5
    )
    return Route(run.subject, path, round(path.length(), 3), over, (*faults, *_faults(room, run, line)))


def _faults(room: Room, run: Run, line: LineString | Spot) -> list[str]:
    ends = [room.terminals[run.start], room.terminals[run.end]]
    places, bodies = {t.at for t in ends}, {t.body for t in ends if t.body}
    found = []
    for terminal in room.terminals:
        if terminal.at in places or terminal.radius <= 0:
            continue
        apart = line.distance(Spot(terminal.at))
        near = min(terminal.at.distance(p) for p in places)
        if apart < min(terminal.radius + run.width / 2, near / 2) - _SLACK:
            found.append(f"comes within {apart:.1f} mm of {terminal.subject}")
    middle = line.difference(shapely.union_all([Spot(p).buffer(_EXEMPT) for p in sorted(places)]))
    for obstacle in room.obstacles:
        if obstacle.passable:
            continue
        shape = outline_polygon(obstacle.outline)
        close = any(shape.distance(Spot(p)) < room.clearance for p in places)
        part = middle if obstacle.subject in bodies or close else line
        if obstacle.subject in bodies and any(shape.covers(Spot(t.at)) for t in ends):
            continue
        if part.is_empty or shape.is_empty:
            continue
        apart = part.distance(shape)
        if part.intersection(shape).length > _SLACK:
            found.append(f"crosses {obstacle.subject}")
        elif obstacle.subject not in bodies and apart < room.clearance - _SLACK:
            found.append(f"comes within {apart:.1f} mm of {obstacle.subject}")
    if not middle.is_empty:
        outline = outline_polygon(room.outline)
        if not outline.buffer(_SLACK).covers(middle):
            found.append("leaves the cavity")
        elif middle.distance(outline.exterior) < room.clearance - _SLACK:
            found.append(f"comes within {middle.distance(outline.exterior):.1f} mm of the wall")
    return found


def joined(parts: Sequence[Sequence[Point]]) -> list[Point]:
    """Corner lists end to end, shared ends once."""
    points: list[Point] = []
    for part in parts:
        points += [p for p in part if not points or p != points[-1]]
    return points
