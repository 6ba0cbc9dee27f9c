"""How a placed part is drawn: body pale, lugs as tongues, what lies beneath dashed."""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping, Sequence
from itertools import pairwise

from diagramgen.drawing.scene import Emphasis, Group, Mark, Role, Shape
from diagramgen.kernel.geometry import Box, Path, Point, circle, polyline, rounded_box
from diagramgen.layout.model import PlacedLug, PlacedPart
from diagramgen.layout.pads import BEHIND, EYELET, SPLICE, body_radius, ring_radius

SHEET = 0.5
"""What is thinner than this, mm, is foil or paint."""

_ZONE_ROLES = {"body": Role.BODY, "detail": Role.BODY_DETAIL, "hidden": Role.HIDDEN, "swing": Role.HIDDEN,
               "cap": Role.BODY}


def part_marks(
    part: PlacedPart, roles: Mapping[str, str], emphasis: Emphasis = Emphasis.NORMAL
) -> Group:
    """The part as a group, from below to above; ``roles`` says which lugs are ground or hot.

    Coordinates are those of the plan, mm.
    """
    name = part.part.name
    marks: list[Mark] = [Shape((z.outline,), Role.HIDDEN, emphasis=emphasis) for z in part.keep_clear]
    deep = {lug.key for group in stacks(part) for lug in group}
    for lug in part.lugs.values():
        if lug.tongue is not None:
            role = Role.LUG_HOT if roles.get(lug.key) == "hot" and lug.key not in deep else Role.LUG
            marks.append(Shape((lug.tongue,), role, f"lug:{lug.key}", emphasis=emphasis))
    for zone in sorted(part.body, key=lambda z: z.high):
        role = Role.SHIELD if is_sheet(part) else _ZONE_ROLES[zone.draw]
        marks.append(Shape((zone.outline,), role, f"part:{name}", emphasis=emphasis))
    for zone in part.details:
        marks.append(Shape((zone.outline,), _ZONE_ROLES[zone.draw], emphasis=emphasis))
    marks += mounting_marks(part, emphasis)
    marks += [m for lug in part.lugs.values() for m in lug_marks(lug, emphasis, shrunk(part))]
    return Group(tuple(marks), f"part:{name}", f"{part.part.says}: {part.part.symbol.kind}")


def is_sheet(part: PlacedPart) -> bool:
    """Whether the part is foil or paint: it has no height and lies beneath everything."""
    return bool(part.body) and not part.outside and all(zone.high - zone.low < SHEET for zone in part.body)


def mounting_marks(part: PlacedPart, emphasis: Emphasis) -> list[Mark]:
    """The bushing's circle and centre cross, a slot, screws and pin: what goes through the wood."""
    shape, place = part.shape, part.place
    if part.outside:
        return []
    marks: list[Mark] = []
    centre = place(Point(0, 0))
    if shape.bushing > 0:
        marks.append(Shape((circle(centre, shape.bushing / 2 * place.scale),), Role.HIDDEN, emphasis=emphasis))
        marks.append(Shape(cross(centre, 2.0 * place.scale), Role.CENTRE, emphasis=emphasis))
    if shape.slot:
        w, h = shape.slot
        slot = rounded_box(Box(-w / 2, -h / 2, w / 2, h / 2), min(w, h) / 2).mapped(place)
        marks.append(Shape((slot,), Role.HIDDEN, emphasis=emphasis))
    holes = [(screw, shape.screw_hole) for screw in shape.screws]
    holes += [(shape.pin, shape.pin_hole)] if shape.pin else []
    for at, diameter in holes:
        ring = circle(place(at), max(diameter, 1.0) / 2 * place.scale)
        marks.append(Shape((ring,), Role.HIDDEN, emphasis=emphasis))
    return marks


def shrunk(part: PlacedPart) -> float:
    """By how much lugs and joints are drawn smaller: a plan under full size would run its leads over them."""
    return min(1.0, part.place.scale)


def lug_marks(lug: PlacedLug, emphasis: Emphasis, size: float = 1.0) -> list[Mark]:
    """What the lug itself looks like: an eyelet, a tinned spot, the bared end of a conductor."""
    subject = f"lug:{lug.key}"
    radius = body_radius(lug, size)
    if lug.kind == "spot":
        return [Shape((circle(lug.at, radius),), Role.CASE_SPOT, subject, emphasis=emphasis)]
    if lug.kind == "conductor":
        return [Shape((circle(lug.at, radius),), Role.LUG, subject, emphasis=emphasis)]
    if lug.kind == "sleeve":
        half = SPLICE[0] * size
        body = rounded_box(Box(lug.at.x - half, lug.at.y - radius, lug.at.x + half, lug.at.y + radius), size)
        return [Shape((body,), Role.JACKET, subject, emphasis=emphasis)]
    marks: list[Mark] = []
    if lug.tongue is None:
        marks.append(Shape((circle(lug.at, radius),), Role.LUG, subject, emphasis=emphasis))
    marks.append(Shape((circle(lug.at, EYELET * size),), Role.LUG_HOLE, subject, emphasis=emphasis))
    return marks


def joint_marks(
    lug: PlacedLug, role: str, ends: int, emphasis: Emphasis = Emphasis.NORMAL, size: float = 1.0
) -> Group | None:
    """The solder on a lug with ``ends`` lead ends: solid for signal, a ring and dot for ground.

    The earth sign beside a ring is set last, where it covers nothing (``earths``).
    """
    if ends == 0 or lug.kind == "conductor":
        return None
    subject = f"lug:{lug.key}"
    if role == "ground":
        marks: tuple[Mark, ...] = (
            Shape((circle(lug.at, ring_radius(ends) * size),), Role.JOINT_GROUND, subject, emphasis=emphasis),
            Shape((circle(lug.at, 0.3 * size),), Role.SOLID, subject, emphasis=emphasis),
        )
    else:
        marks = (Shape((circle(lug.at, (ring_radius(ends) - 0.1) * size),), Role.JOINT, subject, emphasis=emphasis),)
    return Group(marks, subject)


def deep_marks(
    group: Sequence[PlacedLug], ends: int, emphasis: Emphasis = Emphasis.NORMAL, size: float = 1.0
) -> Group | None:
    """Where lugs lie behind one another the plan cannot show which of them a lead is soldered to, nor its net: a double
    ring, neither solid nor ground; the folded-out detail tells each lug for itself.
    """
    if not ends:
        return None
    at, outer = group[0].at, ring_radius(ends) * size
    marks = (Shape((circle(at, outer),), Role.LUG, emphasis=emphasis),
             Shape((circle(at, outer - 0.4 * size),), Role.LUG_HOLE, emphasis=emphasis))
    part = group[0].part
    return Group(marks, f"part:{part}", f"lugs of {part} behind one another: see them from the side")


def cross(at: Point, reach: float) -> tuple[Path, Path]:
    """Two short lines that mark a centre."""
    return (
        polyline([Point(at.x - reach, at.y), Point(at.x + reach, at.y)]),
        polyline([Point(at.x, at.y - reach), Point(at.x, at.y + reach)]),
    )


def earth_sign(at: Point, size: float = 2.4) -> tuple[Path, ...]:
    """The earth sign of IEC 60617 (a stem and three bars), hanging from ``at``; ``size`` is its width, mm."""
    half, step = size / 2, size * 0.26
    top = at.y + size * 0.35
    bars = [
        polyline([Point(at.x - half * share, top + i * step), Point(at.x + half * share, top + i * step)])
        for i, share in enumerate((1.0, 0.62, 0.26))
    ]
    return (polyline([at, Point(at.x, top)]), *bars)


def stacks(part: PlacedPart) -> list[list[PlacedLug]]:
    """Groups of lugs that lie behind one another in plan, each from the nearest to the wood downwards."""
    groups: list[list[PlacedLug]] = []
    near = BEHIND * part.place.scale
    for lug in part.lugs.values():
        home = next((g for g in groups if g[0].at.distance(lug.at) < near), None)
        if home is None:
            groups.append([lug])
        else:
            home.append(lug)
    return [sorted(g, key=lambda one: one.depth) for g in groups if len(g) > 1]


def shifted(path: Path, by: float) -> tuple[Point, ...]:
    """A line ``by`` mm to the right of a path, as points."""
    points = path.flat(0.02)
    kept = [p for i, p in enumerate(points) if i == 0 or p.distance(points[i - 1]) > 1e-6]
    if len(kept) < 2:
        return tuple(kept)
    angles = [a.angle_to(b) for a, b in pairwise(kept)]
    result = []
    for i, p in enumerate(kept):
        before, after = angles[max(0, i - 1)], angles[min(i, len(angles) - 1)]
        turn = math.remainder(after - before, math.tau)
        normal = before + turn / 2 + math.pi / 2
        result.append(p.towards(normal, by / max(0.5, math.cos(turn / 2))))
    return tuple(result)


def ends_at(part: PlacedPart, counts: Mapping[str, int]) -> Iterable[tuple[PlacedLug, int]]:
    """Each lug of the part with the number of lead ends on it."""
    return ((lug, counts.get(lug.key, 0)) for lug in part.lugs.values())
