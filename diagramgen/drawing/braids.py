"""The braid of a shielded lead or cable, drawn out to the lugs it is soldered to."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator
from itertools import pairwise

import numpy as np
import shapely
from shapely.geometry.base import BaseGeometry

from diagramgen.drawing.scene import Emphasis, Group, Mark
from diagramgen.drawing.strokes import lead_marks
from diagramgen.kernel.geometry import Path, Point, along, polyline
from diagramgen.layout.model import LaidLead, Layout
from diagramgen.layout.pads import BEHIND, SEEN, USUAL, pad_radius
from diagramgen.model.build import End

LEAVES = 7.0
"""How far from a lead's end its braid is drawn out, mm (common practice: the core is bared 10 to 15 mm)."""
OTHERWISE = (5.0, 9.0, 11.0, 13.0, 15.0)
"""Where else it may leave, mm from the end, where from there its line would run over a lug that is not its own."""
ELBOWS = (3.0, 4.5, 6.0, 8.0, 10.5, 13.0, 16.0)
"""How far from its lug the line may have a corner, mm, where no straight one keeps clear of foreign lugs."""
CLEAR = 1.4
"""How far the line keeps from a short lead that is not its own, mm."""
SHORT = 8.0
"""A lead this short in the instrument, mm, seems joined to what runs over it: the line keeps clear of it too."""


def braid_ends(layout: Layout) -> Iterator[tuple[LaidLead, End]]:
    """Every lug a braid is soldered to, with a lead that carries the braid."""
    for laid in layout.leads:
        for end in laid.lead.shield_to:
            yield laid, end
    for cable in layout.build.cables.values():
        carriers = [one for one in layout.leads if one.lead.cable == cable.name]
        for end in cable.shield_to:
            if carriers and end.known:
                yield min(carriers, key=lambda one: _reach(layout, one, end)), end


def tails(layout: Layout) -> Iterator[tuple[LaidLead, End, Path]]:
    """Each braid that is drawn: its lead, its lug, and its way from the lead to the lug, mm."""
    found = [(laid, end) for laid, end in braid_ends(layout) if end.part in layout.parts]
    if not found:
        return
    pads = _pads(layout)
    for laid, end in found:
        yield laid, end, _way(layout, laid, layout.parts[end.part].lugs[end.lug].at, pads)


def pigtails(layout: Layout, emphasis_of: Callable[[str], Emphasis]) -> list[Mark]:
    """A short bare line from each lead to the lug its braid goes to, noticed as much as the lead."""
    marks: list[Mark] = []
    for laid, end, way in tails(layout):
        said = f"braid of {laid.lead.tag} to {end}"
        tail = lead_marks(way, "BARE", f"braid:{laid.lead.tag}", emphasis_of(laid.lead.tag))
        marks.append(Group(tail, f"braid:{laid.lead.tag}", said))
    return marks


def _points(laid: LaidLead, leaves: float = LEAVES) -> list[Point]:
    """Where a braid may leave the lead: a little in from either end."""
    flat = laid.path.flat(0.1)
    length = sum(a.distance(b) for a, b in pairwise(flat))
    far = min(leaves, length / 2)
    return [along(flat, far)[0], along(flat, length - far)[0]]


Pads = tuple[tuple[Point, ...], tuple[float, ...]]
"""Middles of what is drawn for lugs, and how near to them the middle of the line may come, mm."""


def _pads(layout: Layout) -> Pads:
    lugs = [(lug, min(1.0, part.place.scale)) for part in layout.parts.values() for lug in part.lugs.values()]
    return tuple(lug.at for lug, _ in lugs), tuple((pad_radius(lug) + USUAL) * size - SEEN for lug, size in lugs)


def _way(layout: Layout, laid: LaidLead, at: Point, pads: Pads) -> Path:
    """The shortest straight line that keeps clear of foreign lugs and short leads, else one with a corner."""
    scale = min((part.place.scale for part in layout.parts.values()), default=1.0)
    near, wide = BEHIND * scale, max(scale, 1.0)  # an enlarged page keeps the ways of the full-size one
    points: list[tuple[BaseGeometry, float]] = []
    points += [(shapely.Point(p), off) for p, off in zip(*pads, strict=True) if p.distance(at) > near]
    points += [(shapely.LineString(line), CLEAR) for one in layout.leads
               if one.path.length() <= SHORT * wide and one.lead.tag != laid.lead.tag
               and len(line := one.path.flat(0.1)) > 1 and all(p.distance(at) > CLEAR for p in line)]
    offers = list(dict.fromkeys(p for leaves in (LEAVES, *OTHERWISE) for p in _points(laid, leaves * wide)))
    straight = _best([(p, at) for p in offers], points)
    if straight[0] >= 0:
        return polyline(straight[1])
    elbows = [at.towards(math.tau * k / 36, reach * wide) for reach in ELBOWS for k in range(36)]
    nearest = sorted(offers, key=lambda p: (round(p.distance(at), 3), p))[:len(OTHERWISE) + 1]
    bent = _best([(p, elbow, at) for p in nearest for elbow in elbows], points)
    return polyline(max(straight, bent, key=lambda one: round(one[0], 3))[1])


def _best(ways: list[tuple[Point, ...]], foreign: list[tuple[BaseGeometry, float]]) -> tuple[float, tuple[Point, ...]]:
    """The shortest of the ways that keep farthest off, and by how much it comes too near to anything (0: nowhere)."""
    lines = np.array([shapely.LineString(way) for way in ways], dtype=object)
    free = np.zeros(len(ways))
    for thing, off in foreign:
        free = np.minimum(free, shapely.distance(lines, thing) - off)
    long = shapely.length(lines)
    best = min(range(len(ways)), key=lambda i: (-round(float(free[i]), 3), round(float(long[i]), 3), ways[i]))
    return float(free[best]), ways[best]


def _reach(layout: Layout, laid: LaidLead, end: End) -> tuple[float, str]:
    at = layout.parts[end.part].lugs[end.lug].at
    return round(min(p.distance(at) for p in _points(laid)), 3), laid.lead.tag
