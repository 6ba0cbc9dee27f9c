"""The holes of each field as they are drilled from the player's side, with distances from a datum, in mm."""

from __future__ import annotations

from dataclasses import dataclass

import shapely

from diagramgen.drawing.diagram import has_wall
from diagramgen.kernel.geometry import Box, Path, Point, box_around, circle, rounded_box
from diagramgen.layout.model import Layout, PlacedPart, Region


@dataclass(frozen=True)
class Hole:
    """One hole: what it is for, its middle and outline on the plan, and its size."""

    part: str
    says: str
    kind: str
    """hole | slot | screw | pin."""
    at: Point
    outline: Path
    size: str
    """``9.7``, or ``27 × 4`` for a slot."""

    @property
    def through(self) -> bool:
        """Whether it goes through: a pin only presses against the wood from inside."""
        return self.kind != "pin"


@dataclass(frozen=True)
class Field:
    """A cavity, plate or field of holes: its outline (None for holes in the top), holes, datum."""

    region: Region
    outline: Path | None
    holes: tuple[Hole, ...]
    datum: Point
    datum_says: str
    unmeasured: tuple[str, ...]
    """Parts whose place nobody measured: not drilled for."""

    @property
    def box(self) -> Box:
        """The box round outline and holes."""
        found = box_around(p for hole in self.holes for p in hole.outline.flat())
        return found if self.outline is None else found.union(self.outline.box())

    @property
    def title(self) -> str:
        """What it is and how thick: ``controls: 5 mm of wood``."""
        cavity = self.region.cavity
        words = cavity.says if cavity else self.region.name
        if cavity and cavity.plate:
            return f"{words}: the plate's face, {_mm(cavity.plate.thickness)} mm"
        return f"{words}: {_mm(cavity.wood)} mm of wood" if cavity and cavity.wood else words

    def pin_of(self, hole: Hole) -> Hole | None:
        """The pin of the part whose hole this is."""
        return next((h for h in self.holes if h.part == hole.part and h.kind == "pin"), None)

    def distances(self, hole: Hole) -> Point:
        """How far right of the datum and how far above it a hole's middle lies, mm."""
        return Point(hole.at.x - self.datum.x, self.datum.y - hole.at.y)


def fields(layout: Layout) -> tuple[Field, ...]:
    """Every field with holes that go through, in the order of the plan; ``layout`` is as the player sees it."""
    found = []
    for region in layout.regions.values():
        parts = [p for p in layout.parts.values() if p.region == region.name and _goes_through(p)]
        holes = [h for p in parts if not p.automatic for h in _holes(p)]
        if region.kind == "stall" or not holes:
            continue
        outline = region.outline if has_wall(region) else None
        datum, says = _datum(region, outline, holes)
        unmeasured = tuple(p.part.says for p in parts if p.automatic)
        found.append(Field(region, outline, tuple(holes), datum, says, unmeasured))
    return tuple(found)


def _goes_through(part: PlacedPart) -> bool:
    """Whether the part reaches through wood or plate; what is only screwed down inside does not."""
    inside = part.outside or part.part.between is not None or part.part.symbol.mounting.side != "wood"
    return not inside and (part.shape.hole > 0 or part.shape.slot is not None)


def _holes(part: PlacedPart) -> list[Hole]:
    shape, place = part.shape, part.place
    name, says = part.part.name, part.part.says
    found: list[Hole] = []

    def bored(kind: str, at: Point, diameter: float) -> None:
        middle = place(at)
        found.append(Hole(name, says, kind, middle, circle(middle, diameter / 2), _mm(diameter)))

    if shape.hole > 0:
        bored("hole", Point(0, 0), shape.hole)
    if shape.slot:
        w, h = shape.slot
        slot = rounded_box(Box(-w / 2, -h / 2, w / 2, h / 2), min(w, h) / 2).mapped(place)
        found.append(Hole(name, says, "slot", place(Point(0, 0)), slot, f"{_mm(w)} × {_mm(h)}"))
    for screw in shape.screws:
        if shape.screw_hole > 0:
            bored("screw", screw, shape.screw_hole)
    if shape.pin and shape.pin_hole > 0:
        bored("pin", shape.pin, shape.pin_hole)
    return found


def _mm(value: float) -> str:
    from diagramgen.kernel.units import number

    return number(value, 2)


EDGE = 10.0
"""mm of straight edge that a rule can be laid along."""
TRUE_EDGE = 1e-3


def _straight(outline: Path, box: Box, upright: bool) -> bool:
    """Whether the left edge (or the lower one) has a straight stretch to lay a rule along."""
    points = outline.flat(0.005)
    on = [(p, q) for p, q in zip(points, [*points[1:], points[0]], strict=True)
          if all(abs((e.x - box.left) if upright else (e.y - box.bottom)) < TRUE_EDGE for e in (p, q))]
    return sum(p.distance(q) for p, q in on) >= EDGE


def _even(outline: Path, box: Box) -> bool:
    """Whether it is alike left and right, above and below: a bore, an oval, a rout with round ends."""
    edge, c = shapely.LinearRing(outline.flat(0.005)), box.centre
    return all(edge.distance(shapely.Point(x, y)) < 0.05 for p in outline.flat(0.5)
               for x, y in ((2 * c.x - p.x, p.y), (p.x, 2 * c.y - p.y)))


def _datum(region: Region, outline: Path | None, holes: list[Hole]) -> tuple[Point, str]:
    """Where the distances count from, and in words."""
    if outline is not None:
        box = outline.box()
        if _straight(outline, box, upright=True) and _straight(outline, box, upright=False):
            return Point(box.left, box.bottom), "lower left, where its edges' lines meet"
        if _even(outline, box):
            return box.centre, "its middle, where its centre lines cross"
    lowest = min((h for h in holes if h.through), key=lambda h: (round(h.at.x - h.at.y, 3), h.part))
    return lowest.at, f"middle of the hole at the lower left, {lowest.says}"
