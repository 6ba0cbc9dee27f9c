"""Parts against the cavity: its wall, the posts left standing in it, and foil on the wall."""

from __future__ import annotations

from collections.abc import Mapping

from shapely.geometry import MultiPoint, Polygon
from shapely.geometry import Point as Spot

from diagramgen.layout.fit.limits import METAL_GAP, ROUNDING, TOUCH
from diagramgen.layout.fit.solids import Fitted, misfit, on_plan, overlap, polygon, reach_outside, where
from diagramgen.layout.model import Layout, Region
from diagramgen.problems import Collector
from diagramgen.units import number

SHIELDS = ("shield", "foil", "paint")
"""Words in a symbol's name or family that tell a shield patch from other metal."""


def check_walls(layout: Layout, parts: tuple[Fitted, ...], roles: Mapping[str, str], say: Collector) -> None:
    """Each part against the wall and the posts of its own cavity."""
    foiled = foiled_regions(layout)
    for part in parts:
        room = polygon(part.region.outline)
        _wall(part, room, say)
        _lugs(part, room, part.region.name in foiled, roles, say)
        _posts(part, part.region, say)


def foiled_regions(layout: Layout) -> frozenset[str]:
    """Cavities that hold a shield patch, whose wall may therefore be metal."""
    symbols = ((p.region, p.part.symbol) for p in layout.parts.values())
    return frozenset(region for region, s in symbols if is_shield(s.name, s.family))


def is_shield(name: str, family: str) -> bool:
    """Whether a symbol is foil or paint rather than a part with a body."""
    return any(word in text for text in (name, family) for word in SHIELDS)


def _wall(part: Fitted, room: Polygon, say: Collector) -> None:
    out = max((reach_outside(s.shape, room) for s in part.solids), default=0.0)
    if out > ROUNDING:
        misfit(say, "P304", (part,),
               f"{part.name} reaches through the wall of the cavity: {number(out)} mm short",
               "Move it inwards, turn it, or take wood away there.")
        return
    gap = min((float(room.exterior.distance(s.shape)) for s in part.solids), default=TOUCH)
    if gap < TOUCH - 1e-6:
        say.warning("P305", where(part.placed),
                    f"{part.name} is {number(gap)} mm from the wall of the cavity",
                    f"{number(TOUCH)} mm is the least that is sure to be free: measure on the bench.")


def _lugs(part: Fitted, room: Polygon, foil: bool, roles: Mapping[str, str], say: Collector) -> None:
    spots = [(float(room.exterior.distance(Spot(g.at))) * (1 if room.contains(Spot(g.at)) else -1), g)
             for g in part.lugs()]
    if not spots:
        return
    gap, lug = min(spots, key=lambda found: found[0])
    if gap < -ROUNDING:
        misfit(say, "P304", (part,),
               f"the lug {lug.key} lies behind the wall of the cavity: {number(-gap)} mm short",
               "Move the part inwards or turn it so that its lugs look into the cavity.")
        return
    near = [(g, n) for g, n in spots if g < METAL_GAP and n.kind != "spot" and roles.get(n.key) != "ground"]
    if foil and near:
        gap, lug = min(near, key=lambda found: found[0])
        say.warning("P331", where(part.placed),
                    f"the lug {lug.key} is {number(gap)} mm from the wall, which is shielded",
                    f"Keep {number(METAL_GAP)} mm, bend the lug away, or put tape on the shield there.")


def _posts(part: Fitted, region: Region, say: Collector) -> None:
    assert region.cavity is not None
    for post in region.cavity.posts:
        stake = Spot(on_plan(region, post.at)).buffer(post.diameter / 2, quad_segs=64)
        short = max((overlap(s.shape, stake) for s in part.solids), default=0.0)
        struck = [g.key for g in part.lugs() if stake.contains(Spot(g.at))]
        if short > ROUNDING or struck:
            what = part.name if short > ROUNDING else f"the lug {struck[0]}"
            by = short if short > ROUNDING else _into(part, struck[0], stake)
            misfit(say, "P306", (part,),
                   f"{what} stands where a post is left in the cavity: {number(by)} mm short",
                   "Move the part, or check the post's place and diameter.")
            continue
        gap = min((float(stake.distance(s.shape)) for s in part.solids), default=TOUCH)
        if gap < TOUCH - 1e-6:
            say.warning("P305", where(part.placed),
                        f"{part.name} is {number(gap)} mm from a post of the cavity",
                        f"{number(TOUCH)} mm is the least that is sure to be free: measure on the bench.")


def _into(part: Fitted, key: str, stake: Polygon) -> float:
    at = next(g.at for g in part.lugs() if g.key == key)
    return float(stake.exterior.distance(MultiPoint([at])))
