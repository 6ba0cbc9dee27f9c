"""Finds free floor for what has no place of its own: parts without ``at``, components hung by their legs."""

from __future__ import annotations

import itertools
import math
from collections.abc import Iterable, Mapping, Sequence

import shapely
from shapely.affinity import affine_transform
from shapely.geometry.base import BaseGeometry
from shapely.prepared import prep

from diagramgen.kernel.geometry import Point, Transform, moved, turned
from diagramgen.layout.model import PlacedPart
from diagramgen.layout.placement.place_parts import footprint, hulls, place_part, polygon, rounded
from diagramgen.model.build import Lead, Part

STEP = 2.0
"""Distance between the places that are tried, mm."""
CLEARANCES = (9.0, 5.0, 2.0)
"""Floor left round a part whose place the program chooses, mm: the widest that can be had."""
WALL_ROOM = 2.0


def lead_goals(
    part: str, leads: Iterable[Lead], lugs: Mapping[str, Point], gates: Mapping[str, Point]
) -> list[tuple[str, Point]]:
    """List the part's own lugs that leads join to something placed, each with the point (mm) its lead goes to.

    ``gates``: opening of each part outside.
    """
    found = []
    for lead in leads:
        for own, other in ((lead.start, lead.end), (lead.end, lead.start)):
            goal = lugs.get(str(other)) or gates.get(other.part)
            if own.part == part and goal is not None:
                found.append((own.lug, goal))
    return found


def free_place(
    part: Part,
    region: str,
    floor: BaseGeometry,
    taken: Sequence[BaseGeometry],
    *,
    goals: Sequence[tuple[str, Point]],
    turn: float,
) -> Transform | None:
    """Find the place on free floor with the widest clearance, and of those the one with the shortest straight leads.

    Places are tried on a grid of ``STEP`` mm, at one turn (rad). A tenth of the distance from the floor's middle counts
    as length of leads, so that a part without leads stands there. ``taken``: what others cover (mm on the plan).
    Returns: the part's transform; None where not even the least of ``CLEARANCES`` is free anywhere.
    """
    try_part = place_part(part, turned(turn), region)
    left, top, right, bottom = floor.bounds
    middle = Point((left + right) / 2, (top + bottom) / 2)
    spots = []
    for i in range(int((right - left) / STEP) + 1):
        for j in range(int((bottom - top) / STEP) + 1):
            at = rounded(Point(left + i * STEP, top + j * STEP))
            reach = sum(try_part.lugs[lug].at.plus(at).distance(goal) for lug, goal in goals)
            spots.append((round(reach + 0.1 * at.distance(middle), 3), j, i, at))
    spots.sort()
    body, wall = footprint(try_part), prep(floor.buffer(-WALL_ROOM))
    others = shapely.union_all(list(taken))
    for clearance in CLEARANCES:
        blocked = prep(others.buffer(clearance, 4))
        for _, _, _, at in spots:
            there = affine(body, moved(at))
            if wall.contains(there) and not blocked.intersects(there):
                return turned(turn).then(moved(at))
    return None


def place_hanging(
    part: Part,
    region: str,
    ends: tuple[Point, Point],
    floor: BaseGeometry,
    others: Sequence[PlacedPart],
    extra: Sequence[BaseGeometry],
) -> Transform:
    """Where a component hangs: near the middle of its two lugs, on free floor if there is any.

    ``ends`` are the places of the lugs its first and second leg go to. Bodies of others and posts
    (``extra``) are kept clear; where no free floor is near, it may lie over bodies, never over lugs.
    """
    plain = place_part(part, Transform(), region)
    names = list(part.symbol.lug_names())[:2]
    first, second = (plain.lugs[n].at for n in (names if len(names) == 2 else names * 2))
    lugs = [shapely.Point(lug.at).buffer(2.6, 4) for p in others for lug in p.lugs.values()]
    bodies = [h.buffer(0.8, 4) for p in others for h in hulls(p)] + list(extra)
    hard = prep(shapely.union_all(lugs)) if lugs else None
    soft = prep(shapely.union_all(bodies)) if bodies else None
    room = prep(floor.buffer(-1.0))
    shape = _slim(plain)
    own = Point((first.x + second.x) / 2, (first.y + second.y) / 2)
    best, chosen = math.inf, Transform()
    for legs, _, at, turn in sorted(_hangings(ends, first, second), key=lambda t: t[:2]):
        if legs >= best:
            break
        place = moved(Point(-own.x, -own.y)).then(turned(turn)).then(moved(rounded(at)))
        price = legs + _bend(place, first, second, ends)
        if price >= best:
            continue
        body = affine(shape, place)
        if not room.contains(body):
            price += 400
        if hard is not None and hard.intersects(body):
            price += 200
        if soft is not None and soft.intersects(body):
            price += 60
        if round(price, 3) < best:
            best, chosen = round(price, 3), place
    return chosen


def _slim(part: PlacedPart) -> BaseGeometry:
    shapes: list[BaseGeometry] = [polygon(z.outline) for z in part.body]
    shapes += [shapely.Point(lug.at).buffer(1.0, 4) for lug in part.lugs.values()]
    return shapely.union_all(shapes).buffer(0.5, 4)


def _hangings(ends: tuple[Point, Point], first: Point, second: Point) -> Iterable[tuple[float, int, Point, float]]:
    """Length of both legs (mm), number, middle and turn of every way to hang a component near its lugs."""
    middle = Point((ends[0].x + ends[1].x) / 2, (ends[0].y + ends[1].y) / 2)
    lie = first.angle_to(second) if first.distance(second) > 1e-6 else 0.0
    line = ends[0].angle_to(ends[1]) if ends[0].distance(ends[1]) > 1e-6 else 0.0
    half = first.distance(second) / 2
    arms = [(Point(0, 0).towards(a, half), a - lie) for a in (line, *(i * math.pi / 4 for i in range(8)))]
    (ax, ay), (bx, by) = ends
    n = 0
    for i, j in itertools.product(range(-14, 15), repeat=2):
        if i * i + j * j > 14 * 14:
            continue
        x, y = middle.x + 2.5 * i, middle.y + 2.5 * j
        for (dx, dy), turn in arms:
            legs = math.hypot(x - dx - ax, y - dy - ay) + math.hypot(x + dx - bx, y + dy - by)
            yield round(legs, 3), n, Point(x, y), turn
            n += 1


def _bend(place: Transform, first: Point, second: Point, ends: tuple[Point, Point]) -> float:
    """How far the legs turn away from the component's own line, in mm of price."""
    a, b = place(first), place(second)
    axis = a.angle_to(b)
    total = 0.0
    for here, goal, out in ((a, ends[0], axis + math.pi), (b, ends[1], axis)):
        if here.distance(goal) > 1e-6:
            total += 2.5 * abs(math.remainder(here.angle_to(goal) - out, math.tau))
    return total


def affine(shape: BaseGeometry, place: Transform) -> BaseGeometry:
    """A shapely geometry moved by a transform."""
    return affine_transform(shape, [place.a, place.c, place.b, place.d, place.e, place.f])
