"""The plan: cavities at true scale around the largest, strips between them, stalls beside the openings."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import shapely
from shapely.geometry.base import BaseGeometry

from diagramgen.kernel.diagnostics import Diagnostics
from diagramgen.kernel.geometry import Box, Point, Transform, circle, moved
from diagramgen.layout.boundary import Opening
from diagramgen.layout.global_routing.global_route import (
    LOOSE_PARTS,
    GlobalRoute,
    global_routes,
    home_regions,
    leads_through,
    legs,
    pitch_of,
    stall_of,
)
from diagramgen.layout.global_routing.presumed_channels import with_presumed_channels
from diagramgen.layout.memo import Memo
from diagramgen.layout.model import PlacedPart, Region
from diagramgen.layout.placement.cavity_sites import OPENING_CLEARANCE, Site, find_openings, make_sites
from diagramgen.layout.placement.free_floor import free_place, lead_goals, place_hanging
from diagramgen.layout.placement.off_plan_stalls import bearing, directions, fill_stall, parts_of_stall, place_stall
from diagramgen.layout.placement.pack import pack_stalls
from diagramgen.layout.placement.place_parts import footprint, path_of, place_of, place_part, polygon
from diagramgen.layout.placement.rows import facing
from diagramgen.layout.placement.spread import spread
from diagramgen.model.build import Build, Lead, Part


@dataclass(frozen=True)
class Placement:
    """Regions, parts and openings on the plan, before a single lead is laid."""

    build: Build
    """The build, with a presumed channel for each way that the file does not name."""
    regions: dict[str, Region]
    views: dict[str, Transform]
    """From the file's coordinates of a cavity to the plan."""
    parts: dict[str, PlacedPart]
    openings: dict[tuple[str, str], Opening]
    """(channel, region) -> the opening on that region's wall; of a stall, the opening of its cavity."""
    strips: dict[str, tuple[Point, ...]]
    """Channel between two cavities -> the middle line of its strip, from its cavity to its far one."""
    widths: dict[str, float]
    """Channel -> width (mm) its leads take side by side, at least the channel's diameter."""
    leads: tuple[Lead, ...]
    """The file's leads, then the legs of components hung between lugs."""
    global_routes: dict[str, GlobalRoute]


def place_all(build: Build, say: Diagnostics) -> dict[str, PlacedPart]:
    """Every part of the build at its place on the plan."""
    return arrange(build, say).parts


def arrange(build: Build, say: Diagnostics, memo: Memo | None = None) -> Placement:
    """Place everything; what cannot stand where it should is said and placed all the same."""
    memo = memo or Memo()
    home = home_regions(build)
    sites = make_sites(build, home, say, memo)
    build = with_presumed_channels(build, home, sites, say)
    home = home_regions(build)
    leads = (*build.leads, *legs(build))
    found = global_routes(build, home, leads, say)
    widths = _widths(build, leads, leads_through(found))
    find_openings(build, sites, widths)
    shifts, strips = spread(build, sites, widths)
    regions = {s.name: _region(s, shifts[s.name]) for s in sites.values()}
    parts: dict[str, PlacedPart] = {}
    openings: dict[tuple[str, str], Opening] = {}
    for site in sites.values():
        for name, part in site.parts.items():
            parts[name] = _shifted(part, shifts[site.name])
        for channel, opening in site.openings.items():
            openings[channel, site.name] = opening.moved(shifts[site.name])
    views = {s.name: s.view.then(moved(shifts[s.name])) for s in sites.values()}
    placement = Placement(build, regions, views, parts, openings, strips, widths, leads, found)
    _add_stalls(placement, home, memo)
    _add_loose(placement, home)
    _hang_all(placement, home, memo)
    ordered = {name: placement.parts[name] for name in build.parts}
    return Placement(build, regions, views, ordered, openings, strips, widths, leads, found)


def _widths(build: Build, leads: Sequence[Lead], through: Mapping[str, Sequence[str]]) -> dict[str, float]:
    """Channel -> the width its leads take side by side, mm, at least its diameter."""
    by_tag = {lead.tag: lead for lead in leads}
    return {
        c.name: max(c.diameter, sum(pitch_of(build, by_tag[t]) for t in through.get(c.name, ())))
        for c in build.channels.values()
    }


def _region(site: Site, shift: Point) -> Region:
    outline = site.outline.mapped(moved(shift))
    kind = "cavity" if site.cavity else "board"
    view = site.view.then(moved(shift))
    posts = tuple(circle(view(p.at), p.diameter / 2) for p in site.cavity.posts) if site.cavity else ()
    return Region(site.name, kind, site.cavity, outline, shift, site.view.mirrors, outline.box(), posts)


def _shifted(part: PlacedPart, by: Point) -> PlacedPart:
    if by == Point(0.0, 0.0):
        return part
    place = part.place.then(moved(by))
    return place_part(part.part, place, part.region, outside=part.outside, automatic=part.automatic, shape=part.shape)


def _add_stalls(placement: Placement, home: Mapping[str, str], memo: Memo) -> None:
    """A stall beside every opening that parts outside come through."""
    build = placement.build
    contents, openings = [], []
    for channel in build.channels.values():
        name = stall_of(channel.name)
        parts = [p for p in build.parts.values() if home[p.name] == name and p.between is None]
        opening = placement.openings.get((channel.name, channel.cavity))
        if not parts or opening is None:
            continue
        goals = _goals(placement, name, opening)
        count = sum(1 for route in placement.global_routes.values() if name in route.regions)
        contents.append(fill_stall(name, parts, count, placement.widths[channel.name], goals))
        openings.append(opening)
        placement.openings[channel.name, name] = Opening(opening.centre, opening.outward, opening.along)
    blocks: list[BaseGeometry] = [polygon(r.outline) for r in placement.regions.values()]
    blocks += [shapely.LineString(line).buffer(placement.widths[c] / 2 + 1.0) for c, line in placement.strips.items()]
    for stall in memo("stalls", pack_stalls, contents, openings, blocks, _frame(placement)):
        outline = path_of(stall.outline())
        name = stall.contents.name
        placement.regions[name] = Region(name, "stall", None, outline, Point(0.0, 0.0), False, outline.box())
        placement.parts.update(parts_of_stall(stall))


def _frame(placement: Placement) -> Box:
    boxes = [r.box for r in placement.regions.values()]
    whole = boxes[0]
    for box in boxes[1:]:
        whole = whole.union(box)
    return whole


def _goals(placement: Placement, stall: str, opening: Opening) -> dict[str, list[float]]:
    """Lug of the stall's parts -> the bearings its leads take behind the opening."""
    lugs = {lug.key: lug.at for p in placement.parts.values() for lug in p.lugs.values()}
    direction = directions(opening)[0]
    found: dict[str, list[float]] = {}
    for lead in placement.leads:
        if stall not in placement.global_routes[lead.tag].regions:
            continue
        for own, other in ((lead.start, lead.end), (lead.end, lead.start)):
            if str(other) in lugs:
                found.setdefault(str(own), []).append(bearing(opening, direction, lugs[str(other)]))
    return found


def _add_loose(placement: Placement, home: Mapping[str, str]) -> None:
    """Parts outside whose leads go to no cavity: below the plan."""
    parts = [p for p in placement.build.parts.values() if home[p.name] == LOOSE_PARTS and p.between is None]
    if not parts:
        return
    frame = _frame(placement)
    stall_contents = fill_stall(LOOSE_PARTS, parts, 4, 4.0, {})
    opening = Opening(Point(frame.left + stall_contents.box.width / 2, frame.bottom + 8.0), -math.pi / 2, 0.0)
    stall = place_stall(stall_contents, opening, math.pi / 2, 0.0, 0.0)
    outline = path_of(stall.outline())
    placement.regions[LOOSE_PARTS] = Region(LOOSE_PARTS, "stall", None, outline, Point(0.0, 0.0), False, outline.box())
    placement.parts.update(parts_of_stall(stall))


def _hang_all(placement: Placement, home: Mapping[str, str], memo: Memo) -> None:
    """Place what hangs in leads: components between their lugs, then joints in the air."""
    waiting = [p for p in placement.build.parts.values() if p.name not in placement.parts]
    while waiting:
        ready = [p for p in waiting if p.between and all(e.part in placement.parts for e in p.between)]
        ready += [p for p in waiting if not p.between]
        part = (ready or waiting)[0]
        waiting.remove(part)
        region = placement.regions.get(home[part.name]) or next(iter(placement.regions.values()))
        hung = _hung(placement, part, region, memo) if part.between else _afloat(placement, part, region)
        placement.parts[part.name] = hung


def _hung(placement: Placement, part: Part, region: Region, memo: Memo) -> PlacedPart:
    view = placement.views.get(region.name)
    if part.at is not None and view is not None:
        return place_part(part, place_of(part, view), region.name)
    lugs = {lug.key: lug.at for p in _others(placement, region) for lug in p.lugs.values()}
    known = [lugs[str(e)] for e in part.between or () if str(e) in lugs]
    ends = (known[0], known[1]) if len(known) == 2 else (known or [region.box.centre])[:1] * 2
    others, floor = _others(placement, region), polygon(region.outline)
    extra = [*_posts(placement, region), *_fronts(placement, region)]
    question = (part, region.name, (ends[0], ends[1]), floor, others, extra)
    place = memo(f"hung {part.name}", place_hanging, *question)
    return place_part(part, place, region.name, automatic=True)


def _others(placement: Placement, region: Region) -> list[PlacedPart]:
    return [p for p in placement.parts.values() if p.region == region.name]


def _afloat(placement: Placement, part: Part, region: Region) -> PlacedPart:
    """A joint in the air: on free floor between the lugs and openings its leads come from, looking at them."""
    others = _others(placement, region)
    lugs = {lug.key: lug.at for p in others for lug in p.lugs.values()}
    gates: dict[str, Point] = {}
    for (channel, name), opening in placement.openings.items():
        if name == region.name:
            gates |= {p.part.name: opening.centre for p in placement.parts.values() if p.part.through == channel}
    goals = lead_goals(part.name, placement.leads, lugs, gates)
    floor = polygon(region.outline)
    taken = [*(footprint(p) for p in others), *_posts(placement, region), *_fronts(placement, region)]
    place = free_place(part, region.name, floor, taken, goals=goals, turn=0.0)
    if place is not None and goals:
        towards = Point(place.e, place.f).angle_to(goals[0][1])
        turn = facing(part, region.name, towards, outside=False)[1]
        place = free_place(part, region.name, floor, taken, goals=goals, turn=turn) or place
    centre = floor.representative_point()
    return place_part(part, place or moved(Point(centre.x, centre.y)), region.name, automatic=True)


def _fronts(placement: Placement, region: Region) -> list[BaseGeometry]:
    """Floor before the region's openings, where the leads fan out."""
    openings = [m.centre for (_, name), m in placement.openings.items() if name == region.name]
    return [shapely.Point(p).buffer(OPENING_CLEARANCE) for p in openings]


def _posts(placement: Placement, region: Region) -> list[BaseGeometry]:
    if region.cavity is None:
        return []
    view = placement.views[region.name]
    return [shapely.Point(view(p.at)).buffer(p.diameter / 2) for p in region.cavity.posts]
