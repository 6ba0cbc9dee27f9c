"""What is made ready before the first joint: cases, wire, ends, sleeves, cables, and what is left long."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass

from diagramgen.job.bench_steps import SPARE, lug_words
from diagramgen.job.cut_plan import CutList, cut_lists
from diagramgen.job.lead_row import LeadRow
from diagramgen.job.lengths import INNER_STRIP, JOINT, PUSH, TURN, twisted
from diagramgen.job.order import Order
from diagramgen.job.sleeves import Sleeve, sleeve_for
from diagramgen.job.words import end_words, is_pickup, lug_kind
from diagramgen.kernel.geometry import Point
from diagramgen.kernel.units import number
from diagramgen.layout.fit.wire_sizes import OUTER, outer_diameter, own_cable
from diagramgen.layout.model import LaidLead, Layout
from diagramgen.model.build import End, Lead

# In which order a cable's conductors are spread before their pads, so that none crosses another or a pad.

AWAY = 12.0
"""Where the jacket ends before the pads, mm (common practice, no source)."""
CLEAR = 1.0
"""Distance a straight conductor keeps from another's pad, mm: half an inner conductor and half a small pad."""
SIDES = {"left": (-1.0, 0.0), "right": (1.0, 0.0), "top": (0.0, -1.0), "bottom": (0.0, 1.0)}


@dataclass(frozen=True)
class Spread:
    """Where a cable comes in, as drawn, and its conductors' order there."""

    side: str
    """left | right | top | bottom of the pads."""
    order: tuple[str, ...]
    """Conductors from top to bottom (from left or right), else from left to right."""


def spread(pads: Mapping[str, Point], towards: Point | None = None) -> Spread | None:
    """The side and order that let every conductor run straight from the jacket to its pad, clear of all others.

    ``pads``: conductor -> centre of its pad, mm; conductors may share one. ``towards``: where the cable comes from:
    the side nearest to it that works is taken. None where no side works.
    """
    if not pads:
        return None
    for side in _sides(pads, towards):
        start = jacket_end(pads, side)
        if not any(blocked(start, pads, name) for name in pads):
            return Spread(side, _ordered(start, pads, side))
    return None


def _sides(pads: Mapping[str, Point], towards: Point | None) -> list[str]:
    centre = _centre(pads)
    if towards is None or math.dist(towards, centre) < 1e-6:
        return list(SIDES)
    way = (towards.x - centre.x, towards.y - centre.y)
    return sorted(SIDES, key=lambda s: -round(SIDES[s][0] * way[0] + SIDES[s][1] * way[1], 6))


def _centre(pads: Mapping[str, Point]) -> Point:
    xs, ys = [p.x for p in pads.values()], [p.y for p in pads.values()]
    return Point((min(xs) + max(xs)) / 2, (min(ys) + max(ys)) / 2)


def jacket_end(pads: Mapping[str, Point], side: str) -> Point:
    """The point from which the conductors spread, ``AWAY`` mm beside the pads."""
    centre, (x, y) = _centre(pads), SIDES[side]
    wide = max(abs(p.x - centre.x) for p in pads.values())
    tall = max(abs(p.y - centre.y) for p in pads.values())
    return Point(centre.x + x * (wide + AWAY), centre.y + y * (tall + AWAY))


def blocked(start: Point, pads: Mapping[str, Point], name: str) -> bool:
    """Whether a straight conductor to its pad passes over the pad of another."""
    goal = pads[name]
    return any(math.dist(p, goal) > 1e-6 and _distance(p, start, goal) < CLEAR for p in pads.values())


def _distance(p: Point, a: Point, b: Point) -> float:
    """Distance of a point from a stretch, mm."""
    length = math.dist(a, b) ** 2
    t = 0.0 if length == 0 else ((p.x - a.x) * (b.x - a.x) + (p.y - a.y) * (b.y - a.y)) / length
    t = min(1.0, max(0.0, t))
    return math.hypot(p.x - a.x - t * (b.x - a.x), p.y - a.y - t * (b.y - a.y))


def _ordered(start: Point, pads: Mapping[str, Point], side: str) -> tuple[str, ...]:
    """By slope as seen from the jacket's end: straight stretches from one point cross nowhere else."""
    x, y = SIDES[side]

    def slope(name: str) -> float:
        dx, dy = pads[name].x - start.x, pads[name].y - start.y
        along, across = (-dx * x, dy) if x else (-dy * y, dx)
        return round(across / along, 9)

    names: Sequence[str] = list(pads)
    return tuple(sorted(names, key=lambda n: (slope(n), names.index(n))))


ENDS = {
    "eyelet": "tin lightly, hook through the eye, pinch, solder",
    "spot": "tin, lay flat on the tinned case, big tip, 3 to 4 s",
    "pad": "tin, trim to the pad, lay on, short heat",
    "screw": "twist, do not tin: solder creeps under a screw",
    "clip": "tin, into the clip",
    "leg": "tin, once round the leg",
    "sleeve": "slide the sleeve on first, tin, lap, solder, shrink",
}
"""What is done with an end by kind of lug (common practice, no source)."""
THINNEST = OUTER[28]
"""Outer diameter of a pickup's inner conductor where none is given, mm (about 28 AWG, typical, from memory)."""
TIED = 3
"""From so many single leads through one channel on, they are tied at its mouth (common practice, no source)."""


@dataclass(frozen=True)
class Topic:
    """One thing to make ready: what, and what to do."""

    what: str
    says: str


@dataclass(frozen=True)
class AirJoint:
    """A joint in the air, which takes a sleeve."""

    lug: str
    """The lug it is counted under: of a sleeved lead the first by name, as ``changes.joints_of`` counts it."""
    says: str
    wires: tuple[float, ...]
    """Outer diameters, mm."""
    side_by_side: bool
    """All of them are conductors of one cable: they come in at one end of the sleeve."""

    @property
    def sleeve(self) -> Sleeve | None:
        """The sleeve it takes."""
        return sleeve_for(self.wires, self.side_by_side)


@dataclass(frozen=True)
class Preparation:
    """Everything made ready before the first joint."""

    cut: tuple[CutList, ...]
    topics: tuple[Topic, ...]


def preparation(layout: Layout, order: Order, rows: Sequence[LeadRow], spool: float = 0.0) -> Preparation:
    """What to make ready for a build; ``spool``: what one length of wire measures, mm, 0 for any length."""
    topics = (*_cases(layout, order), *_ends(layout, rows), *_sleeves(layout), *_twists(layout), *_orders(layout),
              *_long(layout, rows), *_ties(layout))
    return Preparation(cut_lists(rows, spool), topics)


def _cases(layout: Layout, order: Order) -> Iterator[Topic]:
    lugs = [lug_words(layout.build, one.step.lug) for one in order.steps if one.step.kind == "tin"]
    if lugs:
        yield Topic("scratch and tin", f"{', '.join(lugs)}. Big tip, no plating left under the solder. A case of "
                    "stainless steel or aluminium takes none: a ring tag under its nut instead.")


def _ends(layout: Layout, rows: Sequence[LeadRow]) -> Iterator[Topic]:
    """How ends are made ready, by the kinds of lug this build has."""
    leads = {one.lead.tag: one.lead for one in layout.leads if one.lead.is_wire and not one.lead.reused}
    kinds = {lug_kind(layout.build, e) for lead in leads.values() for e in (lead.start, lead.end) if e.known}
    for kind, do in ENDS.items():
        if kind in kinds:
            yield Topic(f"{kind}: strip {number(JOINT[kind])}", do)
    if any(is_pickup(layout.build, own_cable(lead, layout.build)) for lead in leads.values()):
        yield Topic(f"pickup conductor: strip {number(INNER_STRIP)} at most",
                    "thin and few strands: twist, tin, no wrap")
    if any(lead.cloth for lead in leads.values()):
        yield Topic(f"cloth: push back {number(PUSH)}", "nothing is cut off; it slides up to the joint again")
    if any(row.kind == "shielded" for row in rows if row.tag in leads):
        yield Topic("braid", "bare the core 10 to 15 mm, twist the braid and tin it away from the core; cut clean and "
                    "sleeve it where it is not joined")


def _sleeves(layout: Layout) -> Iterator[Topic]:
    """A sleeve for every joint in the air."""
    for joint in air_joints(layout):
        says, wires, found = joint.says, joint.wires, joint.sleeve
        sizes = " and ".join(f"{number(d)}" for d in wires)
        if found is None:
            yield Topic(f"sleeve, {says}", f"no standard sleeve passes and grips wires of {sizes} mm: two, one over "
                        "the other, or adhesive-lined 4:1")
        else:
            yield Topic(f"sleeve, {says}", f"shrink {found.ratio}, {number(found.before)} to {number(found.after)} mm, "
                        f"cut {number(found.length)} mm; wires of {sizes} mm"
                        f"{' side by side' if joint.side_by_side else ''}. On before the joint is made")


def air_joints(layout: Layout) -> Iterator[AirJoint]:
    """Every joint in the air, those of sleeved leads first."""
    build = layout.build
    for one in layout.leads:
        if one.lead.kind == "sleeved":
            ends = [e for e in (one.lead.start, one.lead.end) if e.known]
            lug = min(str(e) for e in ends)
            yield AirJoint(lug, f"{one.lead.tag} at {end_words(build, ends[0])}", tuple(THINNEST for _ in ends),
                           len({end.part for end in ends}) == 1)
    met: dict[str, list[Lead]] = {}
    for one in layout.leads:
        for end in (one.lead.start, one.lead.end):
            if end.known and one.lead.is_wire and lug_kind(build, end) == "sleeve":
                met.setdefault(str(end), []).append(one.lead)
    for lug, leads in met.items():
        if len(leads) > 1:
            cables = {own_cable(lead, build) or lead.cable or lead.tag for lead in leads}
            yield AirJoint(lug, lug_words(build, lug), tuple(_thickness(lead, layout) for lead in leads),
                           len(cables) == 1)


def _thickness(lead: Lead, layout: Layout) -> float:
    inner = lead.diameter is None and is_pickup(layout.build, own_cable(lead, layout.build))
    return THINNEST if inner else outer_diameter(lead, layout.build)


def _twists(layout: Layout) -> Iterator[Topic]:
    """Leads wound round each other, each pair once."""
    said: set[str] = set()
    for one in layout.leads:
        pair = (one.lead, *twisted(one.lead, layout))
        if len(pair) > 1 and one.lead.tag not in said:
            said |= {lead.tag for lead in pair}
            yield Topic("twist", f"{', '.join(_conductor(lead) for lead in pair)}: together, a turn every "
                        f"{number(TURN)} mm, before they are cut: their lengths hold what it takes")


def _orders(layout: Layout) -> Iterator[Topic]:
    """Conductors of one cable spread before the pads of one part."""
    groups: dict[tuple[str, str], dict[str, tuple[LaidLead, End]]] = {}
    for laid in layout.leads:
        owner = _jacket(laid.lead, layout)
        for end in (laid.lead.start, laid.lead.end):
            placed = layout.parts.get(end.part)
            if owner and placed is not None and end.part != owner and end.lug in placed.lugs:
                groups.setdefault((owner, end.part), {})[laid.lead.tag] = (laid, end)
    for (owner, part), leads in groups.items():
        pads = {tag: layout.parts[part].lugs[end.lug].at for tag, (_, end) in leads.items()}
        if len(set(pads.values())) < 3:
            continue
        cable = f"cable {owner}" if owner in layout.build.cables else f"{_says(layout, owner)} cable"
        what = f"{cable} at {_says(layout, part)}"
        found = spread(pads, _comes_from(next(iter(leads.values()))))
        if found is None:
            yield Topic(what, "no order lets all conductors run straight: lead some round the pads, covered, away from "
                        "bare metal")
            continue
        listed = ", ".join(_conductor(leads[tag][0].lead) for tag in found.order)
        way = "from top to bottom" if found.side in ("left", "right") else "from left to right"
        yield Topic(what, f"cable in from the {found.side} as drawn; conductors {way}: {listed}")


def _jacket(lead: Lead, layout: Layout) -> str:
    """The cable a conductor lies in: a part's own, or one named in the file; ''."""
    if not lead.is_wire:
        return ""
    return own_cable(lead, layout.build) or (lead.cable if lead.cable in layout.build.cables else "")


def _comes_from(one: tuple[LaidLead, End]) -> Point:
    laid, end = one
    return laid.spans[0].path.end if end == laid.lead.start else laid.spans[-1].path.start


def _conductor(lead: Lead) -> str:
    return f"{lead.tag} {lead.colour.short}" if lead.colour else lead.tag


def _says(layout: Layout, part: str) -> str:
    return layout.build.parts[part].says or part


def _long(layout: Layout, rows: Sequence[LeadRow]) -> Iterator[Topic]:
    """Pickups' own cables are left long: they are sold, swapped and joined again."""
    needs: dict[str, list[LeadRow]] = {}
    for row in rows:
        if row.cut.owner:
            needs.setdefault(row.cut.owner, []).append(row)
    said = []
    for owner, own in needs.items():
        part, totals = layout.build.parts[owner], [r.length for r in own if r.length is not None]
        if not is_pickup(layout.build, owner):
            continue
        has = f"{number(part.cable_length)} mm, " if part.cable_length is not None else ""
        says = part.says or owner
        said.append(f"{says} ({has}needs at least {number(max(totals))})" if totals else says)
    if said:
        yield Topic("leave pickup cables long", f"{', '.join(said)}: room for two more joints at the end, "
                    f"{SPARE}; the pickup may be swapped or sold")
    if layout.build.slack:
        yield Topic("spare in every wire", f"{number(layout.build.slack)} mm, in its cut length. To use wire again "
                    "some day, ask for more in the file (wire: slack), or give a lead its own length")
    parked = [one.lead for one in layout.leads if "parked" in (one.lead.start.part, one.lead.end.part)]
    if parked:
        yield Topic("cap and park", f"{', '.join(_conductor(lead) for lead in parked)}: full length, end sleeved, "
                    "folded back and tied")


def _ties(layout: Layout) -> Iterator[Topic]:
    passing: dict[str, dict[str, None]] = {}
    owners: Mapping[str, str] = {one.lead.tag: own_cable(one.lead, layout.build) or one.lead.cable
                                 for one in layout.leads}
    for door in layout.ports:
        for tag in door.slots:
            passing.setdefault(door.channel, {}).setdefault(tag)
    for channel, tags in passing.items():
        single = [tag for tag in tags if not owners.get(tag)]
        if len(single) >= TIED:
            yield Topic(f"tie at {channel}", f"{', '.join(single)}: one tie on each side of every mouth, hand tight")
