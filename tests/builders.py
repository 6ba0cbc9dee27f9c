"""Builds and layouts made by hand for tests: a few small symbols, parts, leads and places in millimetres."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import replace
from functools import cache

from diagramgen.kernel.colours import LeadColour, parse_colour
from diagramgen.kernel.diagnostics import Diagnostics, Location, Problem
from diagramgen.kernel.geometry import Box, Path, Point, Transform, box_around, moved, polyline, rounded_box, turned
from diagramgen.layout.model import ChannelPort, LaidLead, Layout, PlacedLug, PlacedPart, Region, Span
from diagramgen.library.catalogue import load
from diagramgen.library.model import Symbol, Zone
from diagramgen.library.outline_size import shape_of
from diagramgen.model.build import Build, Cable, Cavity, Channel, End, Lead, Load, Part, Plate, Post

FILE = "hand.yaml"

SYMBOLS = {
    "pot": """
dimensions:
  body: {value: 24, says: case, source: test}
  depth: {value: 10, says: depth, source: test}
body:
  - {disc: body, from: 0, to: depth}
lugs:
  - {row: [ten, wiper, zero], at: [0, 17], pitch: 7.7, away: down, depth: 4, hole: 1.8}
  - {spot: case, at: [0, -6], depth: depth, hole: 4}
mounting: {hole: 9.7, bushing: 9.525, thread: 9.5, washers: 1.2, nut: 2.3, shaft: 6.35, shaft-length: 20}
controls: {turn: {kind: knob}}
values:
  track: {is: resistance, value: 500k, says: track, source: test}
elements:
  - {is: track, ends: {zero: zero, wiper: wiper, ten: ten}, values: {resistance: track}, by: turn}
metal: {case: {lugs: case, by nut: yes}}
""",
    "slider": """
dimensions: {depth: {value: 30, says: depth, source: test}}
body:
  - {box: [12, 20], from: 0, to: depth}
lugs:
  - {row: [a], at: [0, 7], depth: 18}
  - {row: [common], at: [0, 0], depth: 18}
  - {row: [b], at: [0, -7], depth: 18}
controls: {slide: {kind: switch, positions: [up, down]}}
contacts:
  slide:
    rows:
      - {at: up, joins: [[common, a]]}
      - {at: down, joins: [[common, b]]}
""",
    "jack": """
body:
  - {disc: 20, from: 0, to: 12}
keep clear:
  - {box: [6, 4], at: [14, 0], from: 0, to: 12}
lugs:
  - {row: [tip], at: [10, 4], depth: 8}
  - {row: [sleeve], at: [-10, 4], depth: 8}
controls: {plug: {kind: plug, positions: [out, mono]}}
metal: {bushing: {lugs: sleeve, touchable: yes, by nut: yes}}
""",
    "coil": """
body:
  - {box: [40, 16], from: 0, to: 0}
lugs:
  - {row: [start, finish, shield], at: [0, 8], pitch: 5, away: down, kind: conductor}
values: {resistance: {is: resistance, value: 7k, says: coil, source: test}}
elements:
  - {is: coil, ends: {start: start, finish: finish}, values: {resistance: resistance}}
metal: {cover: {lugs: shield, touchable: yes}}
cable: 4
""",
    "cap": """
body:
  - {box: [8, 4], from: 0, to: 4}
lugs:
  - {row: [one, other], pitch: 12, kind: leg}
values: {value: {is: capacitance, value: 22n, says: value, source: test}}
elements:
  - {is: capacitor, ends: {one: one, other: other}, values: {capacitance: value}}
between lugs: yes
""",
    "bridge": """
body:
  - {box: [20, 10], from: 0, to: 0}
lugs:
  - {row: [strings], kind: conductor}
metal: {strings: {lugs: strings, touchable: yes}}
""",
    "shield-foil": """
body:
  - {box: [30, 30], from: 0, to: 0.1}
lugs:
  - {spot: foil, at: [0, 0], depth: 0}
metal: {foil: {lugs: foil}}
""",
    "metal-plate": """
body:
  - {box: [80, 40], from: 0, to: 0}
lugs:
  - {spot: plate, at: [0, 0], depth: 0}
metal: {plate: {lugs: plate, touchable: yes}}
""",
}
FAMILIES = {"jack": "jacks", "coil": "pickups", "bridge": "grounds", "shield-foil": "shields",
            "metal-plate": "plates", "cap": "components"}


@cache
def symbol(name: str) -> Symbol:
    """One of the small symbols above, read as a symbol file is."""
    say = Diagnostics()
    head = f"symbol: {name}\nkind: {name}\nfamily: {FAMILIES.get(name, 'controls')}\nabout: for tests\n"
    found = load((head + SYMBOLS[name]).encode(), f"{name}.yaml", say)
    assert found is not None, [p.text() for p in say.sorted()]
    return found


def place(line: int = 1) -> Location:
    return Location(FILE, line, 1)


def end(text: str) -> End:
    part, _, lug = text.partition(".")
    return End(part, lug, place())


def part(
    name: str, kind: str, at: tuple[float, float] | None = None, cavity: str = "main", **changes: object
) -> Part:
    between = changes.pop("between", None)
    legs = (end(between[0]), end(between[1])) if isinstance(between, tuple) else None
    made = Part(name, symbol(kind), name, cavity, "", Point(*at) if at else None, 0.0, {}, {}, {}, legs,
                "", None, None, None, "", place())
    return replace(made, **changes)  # type: ignore[arg-type]


def lead(tag: str, text: str, kind: str = "wire", colour: str | None = None, **changes: object) -> Lead:
    start, _, finish = text.partition(" -> ")
    shields = tuple(end(s) for s in changes.pop("shield_to", ()))  # type: ignore[attr-defined]
    worn = parse_colour(colour) if colour else None
    made = Lead(tag, False, end(start), end(finish), worn, kind, None, None, None,
                False, "", shields, False, (), (), False, (), (), (), "", False, "", "", place())
    return replace(made, **changes)  # type: ignore[arg-type]


def cavity(name: str = "main", width: float = 124, height: float = 74, **changes: object) -> Cavity:
    outline = rounded_box(Box(0, 0, width, height), 12)
    made = Cavity(name, name, "rear", outline, 38.0, 5.0, (), None, 0.0, None, None, place())
    return replace(made, **changes)  # type: ignore[arg-type]


def hinged(side: str = "left", metal: bool = False) -> Plate:
    return Plate(side, metal, 2.0)


def post(x: float, y: float, diameter: float) -> Post:
    return Post(Point(x, y), diameter)


def channel(
    name: str, diameter: float = 8, length: float | None = 60, to: str = "", cavity: str = "main"
) -> Channel:
    return Channel(name, cavity, to, Point(0, 30), Point(0, 10) if to else None, diameter, length, place())


def cable(name: str, diameter: float, **changes: object) -> Cable:
    colours: tuple[LeadColour, ...] = (parse_colour("red"), parse_colour("white"))
    return replace(Cable(name, diameter, colours, False, (), place()), **changes)  # type: ignore[arg-type]


def build(parts: Sequence[Part] = (), leads: Sequence[Lead] = (), cavities: Sequence[Cavity] | None = None,
          channels: Sequence[Channel] = (), cables: Sequence[Cable] = (), **changes: object) -> Build:
    spaces = [cavity()] if cavities is None else cavities
    made = Build(FILE, "by hand", "", "", {}, "right", False, "", "A4", {c.name: c for c in spaces},
                 {c.name: c for c in channels}, {p.name: p for p in parts}, tuple(leads),
                 {c.name: c for c in cables}, (), (), Load(3000, 1e-10, 1e6, True), 24, 1.4, 20.0, ())
    return replace(made, **changes)  # type: ignore[arg-type]


def _zones(zones: Sequence[Zone], to: Transform) -> tuple[Zone, ...]:
    return tuple(replace(z, outline=z.outline.mapped(to)) for z in zones)


def placed(p: Part, to: Transform, region: str, outside: bool = False) -> PlacedPart:
    s = shape_of(p.symbol, p.dimensions)
    body, keep = _zones(s.body, to), _zones(s.keep_clear, to)
    lugs = {}
    for n, g in s.lugs.items():
        away = None if g.away is None else to.direction(g.away)
        lugs[n] = PlacedLug(p.name, n, to(g.at), g.depth, away, g.kind, g.tongue, g.hole, g.takes)
    points = [q for z in body for q in z.outline.flat()] + [g.at for g in lugs.values()]
    return PlacedPart(p, s, to, region, outside, p.at is None, body, (), keep, lugs, box_around(points))


def span(region: str, length: float | None, kind: str = "inside", over: tuple[str, ...] = ()) -> Span:
    return Span(region, kind, polyline((Point(0, 0), Point(length or 10.0, 0))), length, over)


def layout(made: Build, laid: Sequence[LaidLead] = (), doors: Sequence[ChannelPort] = (),
           apart: Mapping[str, Point] | None = None) -> Layout:
    """Places as written, each cavity on a spot of its own; parts without a cavity in a stall far off."""
    regions: dict[str, Region] = {}
    shift = 0.0
    for c in made.cavities.values():
        outline: Path = c.outline or rounded_box(Box(0, 0, 100, 100), 0)
        by = (apart or {}).get(c.name, Point(shift, 0))
        on_plan = outline.mapped(_flip(made, outline).then(moved(by)))
        regions[c.name] = Region(c.name, "cavity" if c.outline else "board", c, on_plan, by, made.flipped,
                                 on_plan.box())
        shift += outline.box().width + 100
    stall = rounded_box(Box(-200, 0, -100, 100), 0)
    regions["stall"] = Region("stall", "stall", None, stall, Point(-200, 0), False, stall.box())
    parts = {p.name: _place(p, made, regions) for p in made.parts.values()}
    return Layout(made, regions, parts, tuple(doors), made.channels, tuple(laid), made.to_scale,
                  Box(-200, 0, shift, 200))


def _flip(made: Build, outline: Path) -> Transform:
    box = outline.box()
    return Transform(a=-1.0, e=box.left + box.right) if made.flipped else Transform()


def _place(p: Part, made: Build, regions: Mapping[str, Region]) -> PlacedPart:
    region = regions.get(p.cavity)
    if region is None or region.cavity is None:
        return placed(p, moved(Point(-150, 50)), "stall", outside=True)
    if p.between:
        return placed(p, moved(region.box.centre), region.name)
    outline = region.cavity.outline or region.outline
    spot = _flip(made, outline)(p.at or Point(50, 30))
    turn = -p.turned if made.flipped else p.turned
    return placed(p, turned(turn).then(moved(spot.plus(region.shift))), region.name)


def codes(say: Diagnostics) -> list[str]:
    return [p.code for p in say.sorted()]


def only(say: Diagnostics, code: str) -> Problem:
    found = [p for p in say.sorted() if p.code == code]
    assert len(found) == 1, [p.text() for p in say.sorted()]
    return found[0]


def degrees(angle: float) -> float:
    return math.radians(angle)
