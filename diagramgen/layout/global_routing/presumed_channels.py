"""Ways through the wood that nobody named: from a cavity to a part outside, and from one cavity to another.

A lead that takes one has to be drawn in its cavity like any other, clear of lugs it does not belong to. So a way is
presumed through the wall nearest to where its leads go. It is no claim about the wood: it has no size and no length, no
opening is drawn for it, and FIT-203 and RTE-110 say that it was not measured.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace

import shapely

from diagramgen.kernel.diagnostics import Diagnostics
from diagramgen.kernel.geometry import Point
from diagramgen.layout.codes import FIT_203, FIT_204, RTE_110
from diagramgen.layout.global_routing.global_route import LOOSE_PARTS, PITCH
from diagramgen.layout.placement.cavity_sites import Site
from diagramgen.layout.placement.off_plan_stalls import DOWN, PART_GAP
from diagramgen.layout.placement.place_parts import footprint
from diagramgen.layout.placement.rows import facing
from diagramgen.model.build import Build, Channel, Lead, Part

APART = 9.0
"""Wood between two ways in, mm, beside the leads of each: so much that their stalls stand apart."""
FREE = 5.0
"""Free floor wanted before a way in, mm, so that its leads can fan out."""
CROWDED = 1.5
"""What a millimetre by which things beyond two ways lie over each other is worth, in millimetres of a longer way."""
STEP = 1.0
"""Between two places of the wall that are tried, mm."""


def with_presumed_channels(build: Build, home: Mapping[str, str], sites: Mapping[str, Site], say: Diagnostics) -> Build:
    """The build with a presumed channel for each part outside without one, and between cavities that leads join and
    no channel does; each part and lead is said.

    Pickups come in together, as most instruments have one passage for them; every other part by itself. A part whose
    leads go to no cavity stays where it is.
    """
    taken = {name: [_Taken(site.wall.nearest(site.view(at)), 0.0, 0.0) for at in _openings(build, name)]
             for name, site in sites.items()}
    return _between(_ways_in(build, home, sites, taken, say), home, sites, taken, say)


@dataclass(frozen=True)
class _Taken:
    """A way through a wall: how far along it, and half the widths of its leads and of what stands beyond it, mm."""

    along: float
    leads: float
    beyond: float


Taken = Mapping[str, list[_Taken]]
"""Cavity -> the ways through its wall."""


def _ways_in(
    build: Build, home: Mapping[str, str], sites: Mapping[str, Site], taken: Taken, say: Diagnostics
) -> Build:
    loose = [p for p in build.parts.values() if home[p.name] == LOOSE_PARTS and p.between is None]
    parts, channels = dict(build.parts), dict(build.channels)
    for part in loose:
        _say(build, part, say)
    for words, group in _groups(loose):
        ends = list(_ends(build, home, {p.name for p in group}))
        if not ends:
            continue
        cavity = Counter(home[name] for name, _ in ends).most_common(1)[0][0]
        at = _opening(sites[cavity], [e for e in ends if home[e[0]] == cavity], len(ends), _width(group), taken[cavity])
        name = f"way in of {words}"
        channels[name] = Channel(name, cavity, "", at, None, 0.0, None, group[0].place)
        parts |= {p.name: replace(p, through=name) for p in group}
    return replace(build, parts=parts, channels=channels)


def _between(
    build: Build, home: Mapping[str, str], sites: Mapping[str, Site], taken: Taken, say: Diagnostics
) -> Build:
    """Cavities that leads join and no channel does, joined by the fewest ways, the one of most leads first."""
    where = {p.name: build.channels[p.through].cavity if p.through in build.channels else home[p.name]
             for p in build.parts.values()}
    group = {name: name for name in build.cavities}

    def joined(one: str, other: str) -> None:
        old, new = group[one], group[other]
        group.update({name: new for name, at in group.items() if at == old})

    for channel in build.channels.values():
        if channel.cavity in group and channel.to in group:
            joined(channel.cavity, channel.to)
    wanting: dict[tuple[str, str], list[Lead]] = {}
    for lead in build.leads:
        a, b = where.get(lead.start.part, ""), where.get(lead.end.part, "")
        if not (a in group and b in group and lead.start.known and lead.end.known) or group[a] == group[b]:
            continue
        say.add(
            RTE_110,
            lead.place,
            f"no channel leads from {lead.start} to {lead.end}: lead {lead.tag} is drawn through the walls where it is "
            "short, without a mouth, and its length is not known",
        )
        wanting.setdefault((min(a, b), max(a, b)), []).append(lead)
    channels = dict(build.channels)
    for pair, leads in sorted(wanting.items(), key=lambda item: (-len(item[1]), item[0])):
        if group[pair[0]] == group[pair[1]]:
            continue
        joined(*pair)
        # From the larger cavity; its far opening is left to face it.
        a, b = sorted(pair, key=lambda name: -len(sites[name].parts))
        ends = [(e.part, e.lug) for lead in leads for e in (lead.start, lead.end) if where[e.part] == a]
        at = _opening(sites[a], ends, len(leads), sites[b].box.width, taken[a])
        name = f"way from {a} to {b}"
        channels[name] = Channel(name, a, b, at, None, 0.0, None, build.cavities[a].place)
    return replace(build, channels=channels)


def _groups(loose: Sequence[Part]) -> Iterator[tuple[str, list[Part]]]:
    pickups = [p for p in loose if p.symbol.family == "pickups"]
    if pickups:
        yield ("the pickups" if len(pickups) > 1 else pickups[0].name), pickups
    for part in loose:
        if part not in pickups:
            yield part.name, [part]


def _ends(build: Build, home: Mapping[str, str], names: set[str]) -> Iterator[tuple[str, str]]:
    """(part, lug) in a cavity to which the leads of these parts go, once for each lead."""
    for lead in build.leads:
        for own, other in ((lead.start, lead.end), (lead.end, lead.start)):
            if own.part in names and home.get(other.part) in build.cavities:
                yield other.part, other.lug


def _openings(build: Build, cavity: str) -> Iterator[Point]:
    for channel in build.channels.values():
        if channel.cavity == cavity:
            yield channel.at
        if channel.to == cavity and channel.far is not None:
            yield channel.far


def _opening(
    site: Site, ends: Sequence[tuple[str, str]], leads: int, beyond: float, taken: list[_Taken]
) -> Point:
    """Where on the wall, in the file's coordinates: near the lugs, apart from the others, with free floor before it."""
    lugs = [site.parts[name].lugs[lug].at for name, lug in ends
            if name in site.parts and lug in site.parts[name].lugs] or [site.box.centre]
    offers = _offers(site, lugs, leads * PITCH / 2, beyond / 2, taken)
    _, found = min(offers, key=lambda one: (round(one[0], 3), one[1].along))
    taken.append(found)
    return site.view.inverse()(site.wall.at(found.along)[0])


def _offers(
    site: Site, lugs: Sequence[Point], leads: float, beyond: float, taken: Sequence[_Taken]
) -> Iterator[tuple[float, _Taken]]:
    """Every place along the wall, and what a way there costs, in mm of a longer one."""
    wall = site.wall
    goal = Point(sum(p.x for p in lugs) / len(lugs), sum(p.y for p in lugs) / len(lugs))
    bodies = shapely.union_all([footprint(p) for p in site.parts.values()])
    for step in range(int(wall.length / STEP)):
        along = step * STEP
        gaps = [(other, _round(along - other.along, wall.length) - APART) for other in taken]
        close = sum(max(0.0, leads + other.leads - gap) for other, gap in gaps)
        crowded = sum(max(0.0, beyond + other.beyond - gap) for other, gap in gaps)
        front = shapely.LineString([wall.at(along + o)[0] for o in (-leads, 0.0, leads)]).buffer(FREE)
        price = wall.at(along)[0].distance(goal) + 20.0 * close + CROWDED * crowded + front.intersection(bodies).area
        yield price, _Taken(along, leads, beyond)


def _width(group: Sequence[Part]) -> float:
    """Of parts outside, side by side as they will stand, mm."""
    return sum(facing(part, LOOSE_PARTS, DOWN)[0].box.width + PART_GAP for part in group)


def _round(gap: float, length: float) -> float:
    """Distance along a closed wall, the shorter way."""
    return min(gap % length, -gap % length)


def _say(build: Build, part: Part, say: Diagnostics) -> None:
    channel = build.channels.get(part.through)
    if channel is not None and channel.to in build.cavities:
        say.add(
            FIT_204,
            part.places.get("through", part.place),
            f"{part.says or part.name} comes through '{channel.name}', but that channel leads to '{channel.to}', "
            "not outside",
            f"If it is mounted there, write 'in {channel.to}' in place of 'through {channel.name}'.",
        )
        return
    say.add(
        FIT_203,
        part.place,
        f"nothing says where the leads of {part.says or part.name} come in: they are drawn through the nearest wall, "
        "without a mouth, and their length is not known",
    )
