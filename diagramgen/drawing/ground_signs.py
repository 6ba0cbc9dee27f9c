"""Where the earth signs stand: one beside each joint on ground, wherever it covers nothing.

The ring of a ground joint is small; the sign of IEC 60617 says the same to who never read the key. It is set when
everything else has its place, and left out where it would hide a lead, a lug or a word: the ring is always there.
Where lugs lie behind one another there is neither: the plan cannot tell which of them is meant.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence

import numpy as np
import shapely
from numpy.typing import NDArray

from diagramgen.drawing.labelling.place_labels import PlacedLabel, frame_of
from diagramgen.drawing.parts import earth_sign
from diagramgen.drawing.scene import Emphasis, Group, Mark, Role, Shape
from diagramgen.kernel.geometry import Box, Point, Transform, moved, turned
from diagramgen.layout.model import Layout, PlacedLug
from diagramgen.layout.pads import BEHIND, LEAD_EDGE_WIDTH, ring_radius

SIZES = (1.35, 1.05)
"""Widths of the sign that are tried, in heights of the small lettering; a smaller one would not be read."""
HEADINGS = tuple(math.pi / 2 + math.tau * k / 16 for k in (0, 8, 4, 12, 2, 14, 6, 10, 1, 15, 3, 13, 5, 11, 7, 9))
"""Which way the sign hangs off its joint, radians: down first, as it is drawn in circuits."""
AIR = 0.25
"""Free air between the sign and what lies beside it, mm."""
FOREIGN = 1.9
"""A sign nearer than this to the middle of another lug, mm, would seem to belong to that one."""


def earth_marks(
    layout: Layout,
    roles: Mapping[str, str],
    counts: Mapping[str, int],
    labels: Sequence[PlacedLabel],
    frame: Box,
    height: float,
    emphasis: Emphasis = Emphasis.NORMAL,
) -> list[Mark]:
    """The signs of a layout in sheet mm, once its ``labels`` stand; ``counts`` is the lead ends on each lug.

    ``height`` is that of the small lettering, mm: the sign grows with it.
    """
    grounds = _grounds(layout, roles, counts)
    if not grounds:
        return []
    taken = [*_leads(layout), *_lugs(layout), *_words(labels)]
    marks: list[Mark] = []
    for lug, ends in grounds:
        tree = shapely.STRtree(np.array(taken, dtype=object))
        found = _place(lug, ring_radius(ends), height, tree, taken, frame)
        if found is None:
            continue
        spot, size, ground = found
        taken.append(ground)
        sign = tuple(path.mapped(spot) for path in earth_sign(Point(0, 0), size))
        shape = Shape(sign, Role.GROUND, f"lug:{lug.key}", emphasis=emphasis)
        marks.append(Group((shape,), f"lug:{lug.key}"))
    return marks


def _grounds(layout: Layout, roles: Mapping[str, str], counts: Mapping[str, int]) -> list[tuple[PlacedLug, int]]:
    """The lugs on ground that are soldered and have no other in front of or behind them, with their lead ends."""
    lugs = [lug for part in layout.parts.values() for lug in part.lugs.values()]
    near = BEHIND * min((part.place.scale for part in layout.parts.values()), default=1.0)
    return [(lug, counts[lug.key]) for lug in lugs
            if counts.get(lug.key) and roles.get(lug.key) == "ground" and lug.kind != "conductor"
            and not any(other is not lug and other.at.distance(lug.at) < near for other in lugs)]


def _leads(layout: Layout) -> list[shapely.Geometry]:
    lines = [shapely.linestrings(one.path.flat(0.1)) for one in layout.leads]
    return list(shapely.buffer(lines, LEAD_EDGE_WIDTH / 2 + AIR, quad_segs=2)) if lines else []


def _lugs(layout: Layout) -> list[shapely.Geometry]:
    return [shapely.Point(lug.at).buffer(FOREIGN, quad_segs=4) for part in layout.parts.values()
            for lug in part.lugs.values()]


def _words(labels: Sequence[PlacedLabel]) -> list[shapely.Geometry]:
    places = [one.candidate for one in labels]
    leaders = [shapely.linestrings([one.at, one.leader]) for one in places if one.leader is not None]
    return [*(frame_of(one) for one in labels), *leaders]


def _place(
    lug: PlacedLug, ring: float, height: float, tree: shapely.STRtree, taken: Sequence[shapely.Geometry], frame: Box
) -> tuple[Transform, float, shapely.Polygon] | None:
    """The first place where the sign covers nothing: its transform, its width, and the ground it takes."""
    room = shapely.box(frame.left, frame.top, frame.right, frame.bottom)
    for size in (share * height for share in SIZES):
        for heading in HEADINGS:
            spot = turned(heading - math.pi / 2).then(moved(lug.at.towards(heading, ring)))
            ground = shapely.Polygon([spot(corner) for corner in _outline(size)])
            # The lug's own joint lies at the stem's foot.
            hits: NDArray[np.int_] = tree.query(ground, predicate="intersects")
            if all(taken[h].covers(shapely.Point(lug.at)) and _bare(taken[h], lug, ring) for h in hits) \
                    and room.covers(ground):
                return spot, size, ground
    return None


def _bare(shape: shapely.Geometry, lug: PlacedLug, ring: float) -> bool:
    """Whether what stands there is no more than the joint itself."""
    return bool(shapely.Point(lug.at).buffer(max(FOREIGN, ring) + 0.05).covers(shape))


def _outline(size: float) -> tuple[Point, ...]:
    """What the sign takes: the stem, then the bars, widest first."""
    half, top, low = size / 2 + 0.17, size * 0.35 - 0.17, size * 0.87 + 0.17
    return (Point(-0.2, 0.0), Point(-0.2, top), Point(-half, top), Point(-half, top + 0.35),
            Point(-size * 0.13 - 0.17, low), Point(size * 0.13 + 0.17, low), Point(half, top + 0.35),
            Point(half, top), Point(0.2, top), Point(0.2, 0.0))
