"""Seeded rooms to develop and measure the router on: dense cases and rooms like real ones.

``generate.py dense SEED OUT.json`` writes a case in the form that ``routing.py`` reads.
"""

from __future__ import annotations

import json
import math
import random
import sys
from pathlib import Path
from typing import Any

from shapely.geometry import Point as Spot
from shapely.geometry import Polygon

from diagramgen.kernel.geometry import Point
from diagramgen.layout.routing import Net, Obstacle, Pin, RoutingRegion

_WAIST = [
    (0, 12), (10, 2), (34, 0), (62, 6), (90, 0), (112, 4), (120, 18),
    (118, 44), (104, 58), (80, 60), (64, 50), (44, 58), (18, 60), (4, 48),
]  # fmt: skip


def dense_case(seed: int, leads: int = 60, lugs: int = 40, bodies: int = 12) -> dict[str, Any]:
    """A waisted cavity of about 120 x 60 mm full of small bodies, lugs and leads between random lugs."""
    draw = random.Random(seed)
    cavity = Polygon(_WAIST)
    shapes: list[Polygon] = []
    while len(shapes) < bodies:
        shape = _body(draw, round_one=len(shapes) % 2 == 0)
        if cavity.buffer(-5).covers(shape) and all(shape.distance(s) > 4 for s in shapes):
            shapes.append(shape)
    free = cavity.buffer(-2.1)
    for shape in shapes:
        free = free.difference(shape.buffer(2.1))
    places: list[tuple[float, float]] = []
    while len(places) < lugs:
        at = (draw.uniform(0, 120), draw.uniform(0, 60))
        if free.covers(Spot(at)) and all(math.dist(at, p) > 2 for p in places):
            places.append(at)
    pairs = {tuple(draw.sample(range(lugs), 2)) for _ in range(leads)}
    while len(pairs) < leads:
        pairs.add(tuple(draw.sample(range(lugs), 2)))
    return {
        "cavity": [list(p) for p in _WAIST],
        "shapes": [[list(p) for p in s.exterior.coords[:-1]] for s in shapes],
        "lugs": [list(p) for p in places],
        "leads": [list(p) for p in sorted(pairs, key=lambda _: draw.random())],
        "clearance": 1.5,
    }


def _body(draw: random.Random, round_one: bool) -> Polygon:
    x, y = draw.uniform(8, 112), draw.uniform(8, 52)
    if round_one:
        return Spot(x, y).buffer(draw.uniform(3, 6))
    w, h = draw.uniform(7, 13) / 2, draw.uniform(4, 8) / 2
    turn = math.radians(draw.choice((0, 30, -45)))
    corners = ((-w, -h), (w, -h), (w, h), (-w, h))
    return Polygon(
        [(x + a * math.cos(turn) - b * math.sin(turn), y + a * math.sin(turn) + b * math.cos(turn)) for a, b in corners]
    )


class _Maker:
    """Collects bodies and lugs of a room."""

    def __init__(self, seed: int) -> None:
        self.draw = random.Random(seed)
        self.bodies: list[Obstacle] = []
        self.lugs: list[Pin] = []

    def pot(self, name: str, at: Point, facing: float) -> None:
        body = f"part:{name}"
        disc = tuple(at.towards(math.tau * k / 48, 12.0) for k in range(48))
        self.bodies.append(Obstacle(body, disc, passable=False))
        side = facing + math.pi / 2
        for k, lug in ((-1, "zero"), (0, "wiper"), (1, "ten")):
            place = at.towards(facing, 16.0).towards(side, 7.7 * k)
            self.lugs.append(Pin(f"lug:{name}.{lug}", place, facing, body))
        for k in (-1, 1):
            spot = at.towards(facing + math.pi + 0.6 * k, 8.0)
            self.lugs.append(Pin(f"lug:{name}.case {k}", spot, None, body))

    def switch(self, name: str, at: Point, turn: float, poles: int) -> None:
        body = f"part:{name}"
        along, across = turn, turn + math.pi / 2
        w, h = 4.7 * poles / 2 + 3, 7.0
        corners = [at.towards(along, a * w).towards(across, b * h) for a, b in ((-1, -1), (1, -1), (1, 1), (-1, 1))]
        self.bodies.append(Obstacle(body, tuple(corners)))
        for k in range(poles):
            for row, way in ((-1, across + math.pi), (1, across)):
                place = at.towards(along, 4.7 * (k - (poles - 1) / 2)).towards(across, row * (h + 2.0))
                self.lugs.append(Pin(f"lug:{name}.{k}{row}", place, way, body))

    def slots(self, name: str, at: Point, inward: float, count: int) -> None:
        for k in range(count):
            place = at.towards(inward + math.pi / 2, 2.2 * (k - (count - 1) / 2))
            self.lugs.append(Pin(f"lug:{name}.{k}", place, inward, "", 0.9))


def real_room(seed: int, leads: int = 20) -> RoutingRegion:
    """A rounded cavity of 124 x 74 mm: two or three pots, a switch or two, channel slots in the wall."""
    make = _Maker(seed)
    draw = make.draw
    outline = _rounded(124, 74, 12)
    make.pot("volume", Point(95 + draw.uniform(-3, 3), 22 + draw.uniform(-2, 4)), math.pi * draw.choice((0.5, 1)))
    make.pot("tone", Point(88 + draw.uniform(-3, 3), 55 + draw.uniform(-2, 1)), math.pi * draw.choice((1, 1.5)))
    if draw.random() < 0.5:
        make.pot("blend", Point(56 + draw.uniform(-3, 3), 50 + draw.uniform(-2, 3)), -math.pi / 2)
    turn = draw.choice((0.0, 0.0, math.pi / 2, 0.4))
    make.switch("selector", Point(28 + draw.uniform(-4, 4), 34 + draw.uniform(-4, 4)), turn, draw.choice((4, 5)))
    make.slots("neck", Point(0, 30 + draw.uniform(0, 12)), 0.0, draw.choice((2, 3, 4)))
    make.slots("bridge", Point(55 + draw.uniform(0, 15), 0), math.pi / 2, draw.choice((2, 3, 4)))
    make.slots("jack", Point(124, 36 + draw.uniform(0, 10)), math.pi, 2)
    return _with_leads(make, outline, leads)


def big_room(seed: int, leads: int = 40) -> RoutingRegion:
    """A floor of 240 x 160 mm without a cavity: parts in two rows, slots round the edge."""
    make = _Maker(seed)
    draw = make.draw
    for k in range(4):
        at = Point(40 + 53 * k + draw.uniform(-6, 6), 115 + draw.uniform(-8, 8))
        make.pot(f"pot{k}", at, -math.pi / 2)
    make.switch("selector", Point(70 + draw.uniform(-9, 9), 45 + draw.uniform(-6, 6)), 0.0, 5)
    make.switch("mode", Point(165 + draw.uniform(-9, 9), 45 + draw.uniform(-6, 6)), 0.0, 4)
    for k in range(3):
        make.slots(f"pickup{k}", Point(50 + 65 * k, 0), math.pi / 2, 4)
    make.slots("jack", Point(240, 80), math.pi, 2)
    make.slots("bridge", Point(0, 80), 0.0, 1)
    return _with_leads(make, _rounded(240, 160, 5), leads)


def _rounded(width: float, height: float, corner: float) -> tuple[Point, ...]:
    points = []
    for cx, cy, first in (
        (width - corner, corner, -0.5),
        (width - corner, height - corner, 0.0),
        (corner, height - corner, 0.5),
        (corner, corner, 1.0),
    ):
        points += [Point(cx, cy).towards(math.pi * (first + k / 12), corner) for k in range(7)]
    return tuple(points)


def _with_leads(make: _Maker, outline: tuple[Point, ...], leads: int) -> RoutingRegion:
    """Leads as builds have them: every slot joined to something, then lug to lug and lug to case."""
    draw, lugs = make.draw, make.lugs
    slots = [i for i, lug in enumerate(lugs) if not lug.body]
    spots = [i for i, lug in enumerate(lugs) if lug.body and lug.away is None]
    rest = [i for i, lug in enumerate(lugs) if lug.body and lug.away is not None]
    pairs = [(i, draw.choice(spots if draw.random() < 0.3 else rest)) for i in slots][:leads]
    while len(pairs) < leads:
        a = draw.choice(rest)
        b = draw.choice(spots if draw.random() < 0.25 else rest)
        if a != b and (a, b) not in pairs and (b, a) not in pairs:
            pairs.append((a, b))
    runs = tuple(Net(f"lead:W{k:02d}", a, b) for k, (a, b) in enumerate(pairs))
    return RoutingRegion(outline, tuple(make.bodies), tuple(lugs), runs)


if __name__ == "__main__":
    Path(sys.argv[3]).write_text(json.dumps(dense_case(int(sys.argv[2]))))
