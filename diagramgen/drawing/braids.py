"""The braid of a shielded lead or cable, drawn out to the lugs it is soldered to."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from itertools import pairwise

from diagramgen.build.model import End
from diagramgen.drawing.scene import Emphasis, Group, Mark
from diagramgen.drawing.strokes import lead_marks
from diagramgen.geometry import Point, along, polyline
from diagramgen.layout.model import LaidLead, Layout

LEAVES = 7.0
"""How far from a lead's end its braid is drawn out, mm (common practice: the core is bared 10 to 15 mm)."""
OTHERWISE = (5.0, 9.0, 11.0, 13.0, 15.0)
"""Where else it may leave, mm from the end, where from there its line would run over a lug that is not its own."""
CLEAR = 1.4
"""How far the line keeps from the middle of a foreign lug, mm: its eyelet and half the wire."""
SHORT = 8.0
"""A lead this short, mm, is hidden from joint to joint by what runs over it: the line keeps clear of it too."""


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


def tails(layout: Layout) -> Iterator[tuple[LaidLead, End, Point, Point]]:
    """Each braid that is drawn: its lead, its lug, where it leaves the lead and where it ends, mm."""
    for laid, end in braid_ends(layout):
        if end.part in layout.parts:
            at = layout.parts[end.part].lugs[end.lug].at
            yield laid, end, _start(layout, laid, at), at


def pigtails(layout: Layout, emphasis_of: Callable[[str], Emphasis]) -> list[Mark]:
    """A short bare line from each lead to the lug its braid goes to, noticed as much as the lead."""
    marks: list[Mark] = []
    for laid, end, start, at in tails(layout):
        said = f"braid of {laid.lead.tag} to {end}"
        tail = lead_marks(polyline([start, at]), "BARE", f"braid:{laid.lead.tag}", emphasis_of(laid.lead.tag))
        marks.append(Group(tail, f"braid:{laid.lead.tag}", said))
    return marks


def _points(laid: LaidLead, leaves: float = LEAVES) -> list[Point]:
    """Where a braid may leave the lead: a little in from either end."""
    flat = laid.path.flat(0.1)
    length = sum(a.distance(b) for a, b in pairwise(flat))
    far = min(leaves, length / 2)
    return [along(flat, far)[0], along(flat, length - far)[0]]


def _start(layout: Layout, laid: LaidLead, at: Point) -> Point:
    """The nearest place to leave from of those whose line keeps clear of foreign lugs, or keeps farthest off."""
    foreign = [lug.at for part in layout.parts.values() for lug in part.lugs.values() if lug.at.distance(at) > CLEAR]
    offers = [p for leaves in (LEAVES, *OTHERWISE) for p in _points(laid, leaves)]
    foreign += [p for one in layout.leads if one.path.length() <= SHORT and one.lead.tag != laid.lead.tag
                for p in one.path.flat(0.1) if p.distance(at) > CLEAR]
    free = {p: min([CLEAR, *(_off(lug, p, at) for lug in foreign)]) for p in offers}
    return min(offers, key=lambda p: (-round(free[p], 3), round(p.distance(at), 3), p))


def _off(point: Point, a: Point, b: Point) -> float:
    """Distance of a point from the stretch between two others."""
    long = a.distance(b)
    if long < 1e-9:
        return point.distance(a)
    share = ((point.x - a.x) * (b.x - a.x) + (point.y - a.y) * (b.y - a.y)) / long**2
    share = min(1.0, max(0.0, share))
    return point.distance(Point(a.x + share * (b.x - a.x), a.y + share * (b.y - a.y)))


def _reach(layout: Layout, laid: LaidLead, end: End) -> tuple[float, str]:
    at = layout.parts[end.part].lugs[end.lug].at
    return round(min(p.distance(at) for p in _points(laid)), 3), laid.lead.tag
