"""The fit check's one entrance."""

from __future__ import annotations

import itertools
import math
from collections.abc import Iterable, Mapping, Sequence

from shapely.geometry import MultiPoint, Polygon
from shapely.geometry import Point as Spot

from diagramgen.kernel.diagnostics import Diagnostics
from diagramgen.kernel.geometry import Point
from diagramgen.kernel.units import number
from diagramgen.layout.codes import (
    FIT_301,
    FIT_302,
    FIT_303,
    FIT_304,
    FIT_305,
    FIT_306,
    FIT_307,
    FIT_308,
    FIT_320,
    FIT_321,
    FIT_330,
    FIT_331,
)
from diagramgen.layout.fit.depth import check_depths
from diagramgen.layout.fit.limits import METAL_GAP, ROUNDING, SAME_SPOT, TOUCH
from diagramgen.layout.fit.solids import (
    FittedPart,
    Solid,
    fitted_parts,
    misfit,
    on_plan,
    overlap,
    polygon,
    reach_outside,
    where,
)
from diagramgen.layout.fit.wire_sizes import outer_diameter, own_cable
from diagramgen.layout.model import Layout, PlacedLug, Region
from diagramgen.model.build import Channel

# Parts against the cavity: its wall, the posts left standing in it, and foil on the wall.

SHIELDS = ("shield", "foil", "paint")
"""Words in a symbol's name or family that tell a shield patch from other metal."""


def check_walls(layout: Layout, parts: tuple[FittedPart, ...], roles: Mapping[str, str], say: Diagnostics) -> None:
    """Each part against the wall and the posts of its own cavity."""
    foiled = foiled_regions(layout)
    for part in parts:
        outline = polygon(part.region.outline)
        _wall(part, outline, say)
        _lugs(part, outline, part.region.name in foiled, roles, say)
        _posts(part, part.region, say)


def foiled_regions(layout: Layout) -> frozenset[str]:
    """Cavities that hold a shield patch, whose wall may therefore be metal."""
    symbols = ((p.region, p.part.symbol) for p in layout.parts.values())
    return frozenset(region for region, s in symbols if is_shield(s.name, s.family))


def is_shield(name: str, family: str) -> bool:
    """Whether a symbol is foil or paint rather than a part with a body."""
    return any(word in text for text in (name, family) for word in SHIELDS)


def _wall(part: FittedPart, outline: Polygon, say: Diagnostics) -> None:
    out = max((reach_outside(s.shape, outline) for s in part.solids), default=0.0)
    if out > ROUNDING:
        misfit(say, FIT_304, (part,),
               f"{part.name} reaches through the wall of the cavity: {number(out)} mm short")
        return
    gap = min((float(outline.exterior.distance(s.shape)) for s in part.solids), default=TOUCH)
    if gap < TOUCH - 1e-6:
        say.add(FIT_305, where(part.placed),
                f"{part.name} is {number(gap)} mm from the wall of the cavity",
                f"{number(TOUCH)} mm is the least that is sure to be free: measure on the bench.")


def _lugs(part: FittedPart, outline: Polygon, foil: bool, roles: Mapping[str, str], say: Diagnostics) -> None:
    spots = [(float(outline.exterior.distance(Spot(g.at))) * (1 if outline.contains(Spot(g.at)) else -1), g)
             for g in part.lugs()]
    if not spots:
        return
    gap, lug = min(spots, key=lambda found: found[0])
    if gap < -ROUNDING:
        misfit(say, FIT_304, (part,),
               f"the lug {lug.key} lies behind the wall of the cavity: {number(-gap)} mm short",
               "Move the part inwards or turn it so that its lugs look into the cavity.")
        return
    near = [(g, n) for g, n in spots if g < METAL_GAP and n.kind != "spot" and roles.get(n.key) != "ground"]
    if foil and near:
        gap, lug = min(near, key=lambda found: found[0])
        say.add(FIT_331, where(part.placed),
                f"the lug {lug.key} is {number(gap)} mm from the wall, which is shielded",
                f"Keep {number(METAL_GAP)} mm, bend the lug away, or put tape on the shield there.")


def _posts(part: FittedPart, region: Region, say: Diagnostics) -> None:
    assert region.cavity is not None
    for post in region.cavity.posts:
        stake = Spot(on_plan(region, post.at)).buffer(post.diameter / 2, quad_segs=64)
        short = max((overlap(s.shape, stake) for s in part.solids), default=0.0)
        struck = [g.key for g in part.lugs() if stake.contains(Spot(g.at))]
        if short > ROUNDING or struck:
            what = part.name if short > ROUNDING else f"the lug {struck[0]}"
            by = short if short > ROUNDING else _into(part, struck[0], stake)
            misfit(say, FIT_306, (part,),
                   f"{what} stands where a post is left in the cavity: {number(by)} mm short")
            continue
        gap = min((float(stake.distance(s.shape)) for s in part.solids), default=TOUCH)
        if gap < TOUCH - 1e-6:
            say.add(FIT_305, where(part.placed),
                    f"{part.name} is {number(gap)} mm from a post of the cavity",
                    f"{number(TOUCH)} mm is the least that is sure to be free: measure on the bench.")


def _into(part: FittedPart, key: str, stake: Polygon) -> float:
    at = next(g.at for g in part.lugs() if g.key == key)
    return float(stake.exterior.distance(MultiPoint([at])))


# What passes through a drilled channel: circles of cables and wires in a round hole.

SURE_FILL = 0.5
DENSEST = 7 / 9


def smallest_hole(diameters: Iterable[float]) -> float:
    """The smallest hole (mm) that surely passes these circles: exact up to three, by areas beyond."""
    sizes = sorted(diameters, reverse=True)
    exact = _up_to_three(sizes[:3])
    if len(sizes) <= 3:
        return exact
    return max(exact, math.sqrt(sum(d * d for d in sizes) / SURE_FILL))


def _up_to_three(sizes: Sequence[float]) -> float:
    if len(sizes) < 3:
        return sum(sizes)
    a, b, c = (d / 2 for d in sizes)
    if c <= a * b * (a + b) / (a * a + a * b + b * b):
        return 2 * (a + b)  # the third lies in the gap beside the other two
    ka, kb, kc = 1 / a, 1 / b, 1 / c
    # Descartes' circle theorem: the circle round three that touch one another.
    return -2 / (ka + kb + kc - 2 * math.sqrt(ka * kb + kb * kc + kc * ka))


def check_channels(layout: Layout, say: Diagnostics) -> None:
    """The fill of every channel."""
    for channel in layout.channels.values():
        circles = channel_circles(layout, channel)
        if circles:
            _fill(channel, circles, say)


def _fill(channel: Channel, circles: Sequence[tuple[str, float]], say: Diagnostics) -> None:
    sizes = [d for _, d in circles]
    fill = sum(d * d for d in sizes) / channel.diameter**2
    exact, needed = _up_to_three(sorted(sizes, reverse=True)[:3]), smallest_hole(sizes)
    listed = ", ".join(f"{what} {number(d)}" for what, d in circles)
    hole = f"channel {channel.name} is {number(channel.diameter)} mm; through it go {listed}: "
    filled = f"they fill {number(fill * 100, 0)} % of it"
    remedy = f"A hole of {number(math.ceil(needed * 2 - 1e-9) / 2)} mm passes them all."
    if exact - channel.diameter > 1e-6:
        say.add(FIT_320, channel.place, f"{hole}{number(exact - channel.diameter)} mm short", remedy)
    elif len(sizes) > 3 and fill > DENSEST:
        short = number(needed - channel.diameter)
        say.add(FIT_320, channel.place, f"{hole}{filled}, {short} mm short", remedy)
    elif len(sizes) > 3 and fill > SURE_FILL:
        say.add(FIT_321, channel.place,
                f"{hole}{filled}; more than {number(SURE_FILL * 100, 0)} % may not pull through", remedy)


def channel_circles(layout: Layout, channel: Channel) -> tuple[tuple[str, float], ...]:
    """What passes a channel, as (words, outer diameter in mm): a cable counts once, not per conductor."""
    build = layout.build
    tags = {tag for d in layout.ports if d.channel == channel.name for tag in d.slots}
    found: dict[str, float] = {}
    for lead in build.leads:
        if lead.tag not in tags and channel.name not in lead.channels:
            continue
        if lead.cable in build.cables:
            found[f"cable {lead.cable}"] = build.cables[lead.cable].diameter
            continue
        owner = own_cable(lead, build, channel.name)
        jacket = build.parts[owner].symbol.cable_diameter if owner else None
        if jacket:
            found[f"cable of {owner}"] = jacket
        else:
            found[lead.tag] = outer_diameter(lead, build)
    return tuple(found.items())


# Part against part: bodies, lugs, the space a leaf or plug needs, and lugs near foreign metal.

_MOVE = "Move one of the two, turn it, or take a smaller part."
_GROUND = "ground"


def check_bodies(parts: tuple[FittedPart, ...], roles: Mapping[str, str], say: Diagnostics) -> None:
    """Every pair in one cavity: same spot, overlap, touch, foreign lugs, keep-clear zones.

    ``roles`` (lug key -> ground | hot | other) lets ground lugs lie near metal; without it all lugs count.
    """
    for a, b in itertools.combinations(parts, 2):
        if a.region.name != b.region.name:
            continue
        if _same_spot(a, b, say):
            continue
        overlapping = _pair(a, b, say)
        for one, other in ((a, b), (b, a)):
            if not overlapping:
                _foreign_lugs(one, other, roles, say)
            _keep_clear(one, other, say)


def _same_spot(a: FittedPart, b: FittedPart, say: Diagnostics) -> bool:
    apart = a.placed.place(Point(0, 0)).distance(b.placed.place(Point(0, 0)))
    if apart >= SAME_SPOT or not (a.solids and b.solids):
        return False
    misfit(say, FIT_301, (a, b), f"{b.name} stands on the spot of {a.name}")
    return True


def _pair(a: FittedPart, b: FittedPart, say: Diagnostics) -> bool:
    """Whether two bodies overlap; a gap that is too small is said too."""
    pairs = [(s, t) for s in a.solids for t in b.solids if s.meets_depth(t)]
    worst = max((overlap(s.shape, t.shape) for s, t in pairs), default=0.0)
    if worst > ROUNDING:
        misfit(say, FIT_302, (a, b), f"{b.name} and {a.name} overlap: {number(worst)} mm short", _MOVE)
        return True
    gap = min((float(s.shape.distance(t.shape)) for s, t in pairs), default=math.inf)
    if gap < TOUCH:
        say.add(FIT_303, where(b.placed),
                f"{b.name} and {a.name} all but touch: {number(gap)} mm between them",
                f"Measure both on the bench; {number(TOUCH)} mm is the least that is sure to be free.")
    return False


def _foreign_lugs(owner: FittedPart, other: FittedPart, roles: Mapping[str, str], say: Diagnostics) -> None:
    """Lugs of ``owner`` inside the body of ``other``, or too near to its metal."""
    gaps = [(_gap(owner, lug, solid), lug) for lug in owner.lugs() for solid in other.solids]
    inside = [(gap, lug) for gap, lug in gaps if gap < 0]
    if inside:
        gap, lug = min(inside, key=lambda found: found[0])
        misfit(say, FIT_307, (other, owner),
               f"the lug {lug.key} lies inside the body of {other.name}: {number(-gap)} mm short", _MOVE)
        return
    if not other.metal:
        return
    near = [(gap, lug) for gap, lug in gaps
            if gap < METAL_GAP and lug.kind != "spot" and roles.get(lug.key) != _GROUND]
    if near:
        gap, lug = min(near, key=lambda found: found[0])
        hot = "the hot lug" if roles.get(lug.key) == "hot" else "the lug"
        say.add(FIT_330, where(owner.placed),
                f"{hot} {lug.key} is {number(gap)} mm from the metal of {other.name}",
                f"Keep {number(METAL_GAP)} mm, bend the lug away, or sleeve it.")


def _gap(owner: FittedPart, lug: PlacedLug, solid: Solid) -> float:
    """Distance of a lug from a body in plan and depth, mm; negative by how deep it lies inside in plan."""
    depth, spot = owner.depth_of(lug), Spot(lug.at)
    plan = float(solid.shape.distance(spot))
    beside = max(solid.low - depth, depth - solid.high, 0.0)
    within = solid.low < depth < solid.high
    if plan == 0.0 and within:
        return -max(float(solid.shape.exterior.distance(spot)), ROUNDING)
    return math.hypot(plan, beside)


def _keep_clear(owner: FittedPart, other: FittedPart, say: Diagnostics) -> None:
    """What stands in the way of a leaf that swings or a plug that is pushed in."""
    for zone in owner.keep_clear:
        worst = max((overlap(zone.shape, s.shape) for s in other.solids if zone.meets_depth(s)), default=0.0)
        if worst > ROUNDING:
            misfit(say, FIT_308, (owner, other),
                   f"{other.name} stands {number(worst)} mm in the space that {owner.name} needs to move",
                   "Turn or move one of the two; an open jack's leaf moves 3 to 4 mm as the plug goes in.")
            return
        for lug in other.lugs():
            if zone.shape.contains(Spot(lug.at)) and zone.low < other.depth_of(lug) < zone.high:
                misfit(say, FIT_308, (owner, other),
                       f"the lug {lug.key} stands in the space that {owner.name} needs to move",
                       "Turn or move one of the two, or bend the lug away.")
                return


def check_fit(layout: Layout, say: Diagnostics, roles: Mapping[str, str] | None = None) -> None:
    """Say every misfit with the millimetres missing; what was not measured is not judged.

    ``roles`` maps lug keys to ground, hot or other (``circuit.roles.net_roles``); with it a ground lug may
    lie beside metal and a hot one is named so.
    """
    known = dict(roles or {})
    parts = fitted_parts(layout)
    check_bodies(parts, known, say)
    check_walls(layout, parts, known, say)
    check_depths(layout, say)
    check_channels(layout, say)


def report_routing(layout: Layout, routed: Diagnostics, say: Diagnostics) -> frozenset[str]:
    """Report what the router could not keep.

    Leads to parts that overlap the cavity wall are left out: FIT-304 was said of those.

    Parameters: routed - problems of the router, not yet reported; say - receives those reported, read for FIT-304.
    Returns: tags of the leads left out; a component hung by its legs on such a part goes with it.
    """
    wrong = {p.place for p in say if p.code == "FIT-304"}
    parts = {name for name, placed in layout.parts.items() if where(placed) in wrong}
    parts |= {name for name, placed in layout.parts.items()
              if any(end.part in parts for end in placed.part.between or ())}
    astray = [one.lead for one in layout.leads if {one.lead.start.part, one.lead.end.part} & parts]
    places = {lead.place for lead in astray}
    say.extend(say.quoted(p) for p in routed if p.code != "RTE-101" or p.place not in places)
    return frozenset(lead.tag for lead in astray)
