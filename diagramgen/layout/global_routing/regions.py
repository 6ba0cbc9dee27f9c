"""Input of the router: every region with its obstacles, pins and the nets to be routed in it."""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field
from itertools import pairwise

import shapely

from diagramgen.kernel.geometry import Point, circle
from diagramgen.layout.fit.wire_sizes import outer_diameter
from diagramgen.layout.global_routing.channel_ports import PinOrder
from diagramgen.layout.global_routing.constraints import Constraints
from diagramgen.layout.global_routing.crossable import crossing_place, may_pass_over, region_of
from diagramgen.layout.global_routing.global_route import PITCH, pitch_of
from diagramgen.layout.model import PlacedLug, PlacedPart, Region
from diagramgen.layout.pads import SEEN, USUAL, half_width, pad_radius, rim_joints
from diagramgen.layout.placement.arrange_cavities import Placement
from diagramgen.layout.placement.place_parts import hulls, polygon, rounded
from diagramgen.layout.routing import Net, Obstacle, PadKeepout, PenaltyZone, Pin, RoutingRegion
from diagramgen.layout.routing.mesh import polygons_of
from diagramgen.model.build import Build, Lead

STUB = 15.0
"""Length of a lead's end in the air as it is drawn, mm."""
LUG_RADIUS = 1.6
"""Solder and eyelet of a lug, that foreign leads keep clear of, mm (common practice, no source)."""
TONGUE_SHORT = 2.2
"""How far a tongue's outline stops before its eyelet, mm: the router's clearance and a little."""
TONGUE_CORE = 0.55
"""Share of a tongue's width that is kept clear, so that a lead still passes midway between two tongues."""
BEFORE = 1.2
"""What a lead along a row of lugs leaves in front of where their own leads turn, mm: half a pitch and a little."""
WALL_BAND = 7.0
"""Floor beside the wall that leads along it lie on, mm: the clearance and three pitches."""
_OFF_WALL = 5.0  # price of a mm off that floor for a lead along the wall
_RADIUS = {"conductor": 1.2, "leg": 0.8}
_DOWN = math.pi / 2


@dataclass
class RegionBuilder:
    """Gathers one region's pins and nets."""

    placement: Placement
    pin_order: PinOrder
    region: Region
    pins: list[Pin] = field(default_factory=list)
    pin_index: dict[str, int] = field(default_factory=dict)
    nets: list[Net] = field(default_factory=list)
    stubs: list[Point] = field(default_factory=list)

    def __post_init__(self) -> None:
        self.parts = [p for p in self.placement.parts.values() if p.region == self.region.name]
        ends = _ends(self.placement)
        for part in self.parts:
            for lug in part.lugs.values():
                away = None if lug.kind == "leg" else lug.away  # a bare leg is bent to wherever it goes
                keep = pad_radius(lug, ends.get(lug.key, 0)) + USUAL - SEEN
                self._add(lug.key, Pin(lug.key, lug.at, away, part.part.name, _radius(lug, part), keep))

    def _add(self, key: str, pin: Pin) -> int:
        if key not in self.pin_index:
            self.pin_index[key] = len(self.pins)
            self.pins.append(pin)
        return self.pin_index[key]

    def lug_pin(self, key: str) -> int:
        """Return the pin of a lug of this region; KeyError for a lug of another."""
        return self.pin_index[key]

    def channel_pin(self, channel: str, tag: str) -> int:
        """Return the pin of a lead in an opening of this region."""
        at = self.pin_order.at[channel, self.region.name, tag]
        inward = self.placement.openings[channel, self.region.name].inward
        return self._add(f"{channel}/{tag}", Pin(f"{channel}/{tag}", at, inward, "", 0.0))

    def stub_pin(self, tag: str, word: str, origin: int) -> int:
        """Make a pin on free floor near another one, for an end that hangs in the air."""
        start = self.pins[origin]
        at = self._free_near(start.at, -_DOWN if start.away is None else start.away)
        self.stubs.append(at)
        return self._add(f"{tag} {word}", Pin(f"{tag} {word}", at, None, "", 0.3))

    def _free_near(self, start: Point, away: float) -> Point:
        floor = polygon(self.region.outline).buffer(-3.0)
        bodies = shapely.union_all([h.buffer(1.8) for p in self.parts for h in hulls(p)])
        lugs = [t.at for t in self.pins] + self.stubs
        best, chosen = math.inf, start.towards(away, STUB)
        for length in (STUB, 12.0, 18.0, 22.0, 9.0):
            for k in range(24):
                turn = (k + 1) // 2 * math.radians(15) * (1 if k % 2 else -1)
                at = rounded(start.towards(away + turn, length))
                price = abs(turn) * 4 + abs(length - STUB)
                spot = shapely.Point(at)
                price += 0 if floor.contains(spot) else 100 + floor.distance(spot)
                price += 60 if bodies.contains(spot) else 0
                price += sum(40.0 for p in lugs if p.distance(at) < 4.5)
                if round(price, 3) < best:
                    best, chosen = round(price, 3), at
        return chosen

    def add_net(self, lead: Lead, start: int, end: int, wish: Constraints) -> int:
        """Ask for a lead from pin to pin; returns the number of the net."""
        width = pitch_of(self.placement.build, lead) if lead.kind != "leg" else 1.4
        bend = bend_of(self.placement.build, lead)
        priority = {"leg": 4, "bare": 2, "shielded": 1}.get(lead.kind, 0)
        passed = [p for p in self.parts if p.part.name in (*wish.over, *wish.under)]
        ends = self.pins[start].at, self.pins[end].at
        via = self._led_past(self._via(lead), ends, passed)
        dear = self._off_wall() if wish.along else ()
        past = tuple(p.part.name for p in passed)
        wider = half_width(lead, strong=True) - USUAL
        self.nets.append(Net(lead.tag, start, end, width, bend, via, priority, dear, past, wider))
        return len(self.nets) - 1

    def _via(self, lead: Lead) -> tuple[Point, ...]:
        """The places to pass that lie in this region."""
        inside = [place for place in lead.via if region_of(self.placement, lead, place) == self.region.name]
        return tuple(self.placement.views[self.region.name](place) for place in inside)

    def _led_past(
        self, via: tuple[Point, ...], ends: tuple[Point, Point], parts: Sequence[PlacedPart]
    ) -> tuple[Point, ...]:
        """The places to pass with one more on each part to pass, put in where that makes the least detour."""
        stops = [ends[0], *via, ends[1]]
        for part in parts:
            at = crossing_place(part, *ends, [pad.at for pad in rim_joints(part, self.placement.leads)])
            if at is not None:
                more = [a.distance(at) + at.distance(b) - a.distance(b) for a, b in pairwise(stops)]
                stops.insert(more.index(min(more)) + 1, at)
        return tuple(stops[1:-1])

    def _off_wall(self) -> tuple[PenaltyZone, ...]:
        if self.region.kind != "cavity":
            return ()
        core = polygon(self.region.outline).buffer(-WALL_BAND)
        return tuple(PenaltyZone(piece, _OFF_WALL) for piece in polygons_of(core))

    def build(self) -> RoutingRegion:
        """Make the region as the router takes it."""
        obstacles = [o for part in self.parts for o in obstacles_of(self.placement, part)]
        obstacles += [o for part in self.parts for o in tongues_of(part)]
        obstacles += _posts(self.placement, self.region)
        clearance = 0.5 if self.region.kind == "stall" else 1.5
        before = BEFORE if self._along_rows() else 0.0
        pins, nets = tuple(self.pins), tuple(self.nets)
        joints = tuple(self._joints())
        return RoutingRegion(self.region.outline.flat(), tuple(obstacles), pins, nets, clearance, before, joints)

    def _joints(self) -> Iterator[PadKeepout]:
        """The joints of lugs bent over to their cases, on parts that leads may be laid over."""
        passed = {name for net in self.nets for name in net.may_pass}
        for part in self.parts:
            if part.part.name in passed or may_pass_over(self.placement, part):
                for pad in rim_joints(part, self.placement.leads):
                    keep = pad.radius + USUAL - SEEN
                    own = tuple(self.pin_index[key] for key in pad.own if key in self.pin_index)
                    yield PadKeepout(pad.at, keep, own)

    def _along_rows(self) -> bool:
        """Whether leads go from part to part in a stall: they run along its rows of lugs, close in front of them."""
        bodies = [(self.pins[net.start].body, self.pins[net.end].body) for net in self.nets]
        return self.region.kind == "stall" and any(one and other and one != other for one, other in bodies)


def _ends(placement: Placement) -> dict[str, int]:
    """Lug -> how many ends of leads and braids are soldered there."""
    shields = [end for cable in placement.build.cables.values() for end in cable.shield_to]
    ends = [end for lead in placement.leads for end in (lead.start, lead.end, *lead.shield_to)]
    return Counter(str(end) for end in (*ends, *shields) if end.known)


def bend_of(build: Build, lead: Lead) -> float:
    """Smallest wanted bend radius (mm): twice the outer diameter, three times where there is a braid (common
    practice, no source), never below what still looks like a bend.
    """
    if lead.kind == "leg":
        return 1.5
    return max(2.5, (3.0 if lead.kind == "shielded" else 2.0) * outer_diameter(lead, build))


def _radius(lug: PlacedLug, part: PlacedPart) -> float:
    """A lead may pass between two lugs of a part only in the middle, so close lugs keep a smaller circle."""
    gaps = [lug.at.distance(other.at) for other in part.lugs.values()]
    near = min((gap for gap in gaps if gap > 0.5), default=9.0)
    return max(0.7, min(_RADIUS.get(lug.kind, LUG_RADIUS), near / 2 - PITCH / 2))


def obstacles_of(placement: Placement, part: PlacedPart) -> list[Obstacle]:
    """A part's bodies; flat metal inside a cavity is floor, and what leaves room above may be passed over."""
    outlines = [_corners(h) for h in hulls(part)]
    over = may_pass_over(placement, part)
    return [Obstacle(part.part.name, outline, over) for outline in outlines]


def tongues_of(part: PlacedPart) -> list[Obstacle]:
    """The metal between body and eyelet: no lead goes through there, it would lie on a foreign lug.

    It stops short of the eyelet by what the router keeps from bodies, and belongs to the part, so that the
    part's own leads still reach their lugs.
    """
    found = []
    for lug in part.lugs.values():
        if lug.tongue is None or lug.away is None:
            continue
        box = lug.tongue.flat()
        along = [math.cos(lug.away) * (p.x - lug.at.x) + math.sin(lug.away) * (p.y - lug.at.y) for p in box]
        across = [math.cos(lug.away) * (p.y - lug.at.y) - math.sin(lug.away) * (p.x - lug.at.x) for p in box]
        near, far, half = -TONGUE_SHORT, min(along), TONGUE_CORE * max(map(abs, across))
        if far < near - 0.5:
            side = lug.away + math.pi / 2
            ends = [(near, half), (near, -half), (far, -half), (far, half)]
            outline = tuple(rounded(lug.at.towards(lug.away, a).towards(side, b)) for a, b in ends)
            found.append(Obstacle(part.part.name, outline, metal=True))
    return found


def _corners(shape: shapely.Polygon) -> tuple[Point, ...]:
    return tuple(rounded(Point(x, y)) for x, y in shape.exterior.coords[:-1])


def _posts(placement: Placement, region: Region) -> list[Obstacle]:
    if region.cavity is None:
        return []
    view = placement.views[region.name]
    posts: Sequence[tuple[Point, float]] = [(view(p.at), p.diameter / 2) for p in region.cavity.posts]
    return [Obstacle("post", circle(at, r).flat()) for at, r in posts]
