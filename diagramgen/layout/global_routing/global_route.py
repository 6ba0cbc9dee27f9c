"""Global routes: which regions each lead passes, and through which channels.

No geometry: regions are nodes, channels edges of the region graph.
"""

from __future__ import annotations

import heapq
from collections.abc import Mapping
from dataclasses import dataclass

from diagramgen.kernel.diagnostics import Diagnostics, Location
from diagramgen.layout.codes import RTE_110, RTE_111
from diagramgen.layout.fit.wire_sizes import outer_diameter
from diagramgen.model.build import Build, Channel, End, Lead, Part

BOARD = "board"
LOOSE_PARTS = "loose parts"
"""Region of parts outside every cavity that no channel leads to."""
PITCH = 1.9
"""Smallest distance between leads that lie side by side, mm: the drawn lead with its white halo."""

LEG_WIRE = 0.6
"""Thickness of a component's own leg, mm (0.5 to 0.8; typical, from memory)."""


def stall_of(channel: str) -> str:
    """The region of the parts outside whose leads come through a channel."""
    return f"stall {channel}"


def home_regions(build: Build) -> dict[str, str]:
    """Part -> the region it stands in; a component hung by its legs is at home where its first lug is."""
    found: dict[str, str] = {}
    for part in build.parts.values():
        if part.between is None:
            found[part.name] = _home(build, part.cavity, part.through)
    for part in build.parts.values():
        if is_floating(part) and found[part.name] == LOOSE_PARTS:
            found[part.name] = _among(build, found, part.name)
    hung = [p for p in build.parts.values() if p.between is not None]
    for _ in range(len(hung)):
        for part in hung:
            ends = [e.part for e in part.between or () if e.part in found]
            if part.name not in found and ends:
                inside = [e for e in ends if found[e] in build.cavities]
                found[part.name] = found[(inside or ends)[0]]
    for part in hung:
        found.setdefault(part.name, _home(build, part.cavity, part.through))
    return found


def is_floating(part: Part) -> bool:
    """Whether a part hangs in its leads alone: a joint in the air or a component without a place."""
    return part.symbol.family in ("joints", "components") and part.at is None and part.between is None


def _among(build: Build, found: Mapping[str, str], name: str) -> str:
    """The cavity where most of a floating part's leads go; through a stall's opening where they come from one."""
    votes: dict[str, int] = {}
    for lead in build.leads:
        for own, other in ((lead.start, lead.end), (lead.end, lead.start)):
            region = found.get(other.part, "") if own.part == name else ""
            if region.startswith("stall "):
                region = build.channels[region.removeprefix("stall ")].cavity
            if region in build.cavities:
                votes[region] = votes.get(region, 0) + 1
    return max(sorted(votes), key=lambda r: votes[r]) if votes else LOOSE_PARTS


def _home(build: Build, cavity: str, through: str) -> str:
    if cavity in build.cavities:
        return cavity
    channel = build.channels.get(through)
    if channel is not None and channel.cavity in build.cavities and channel.to not in build.cavities:
        return stall_of(through)
    return LOOSE_PARTS if build.cavities else BOARD


@dataclass(frozen=True)
class GlobalRoute:
    """The regions a lead passes, in order, and the channels between them (one fewer).

    Not ``connected`` where none lead on.
    """

    regions: tuple[str, ...]
    channels: tuple[str, ...]
    connected: bool = True
    """False where no channel leads from its start to its end: it then is laid straight, with a fault."""


RegionGraph = Mapping[str, tuple[tuple[str, str], ...]]
"""Region -> (channel, region behind it)."""


def region_graph(build: Build, home: Mapping[str, str]) -> dict[str, tuple[tuple[str, str], ...]]:
    """Build the region graph: region -> (channel, region beyond) in the order of the file."""
    found: dict[str, list[tuple[str, str]]] = {}

    def join(channel: Channel, one: str, other: str) -> None:
        found.setdefault(one, []).append((channel.name, other))
        found.setdefault(other, []).append((channel.name, one))

    stalls = set(home.values())
    for channel in build.channels.values():
        if channel.to in build.cavities and channel.to != channel.cavity:
            join(channel, channel.cavity, channel.to)
        if stall_of(channel.name) in stalls:
            join(channel, channel.cavity, stall_of(channel.name))
    return {region: tuple(neighbours) for region, neighbours in found.items()}


def shortest_route(build: Build, graph: RegionGraph, start: str, goal: str) -> GlobalRoute | None:
    """Find the shortest route between two regions: fewest channels, then least channel length (mm).

    Returns: the route, or None where there is none. Source: Dijkstra 1959.
    """
    heap: list[tuple[int, float, tuple[str, ...], tuple[str, ...]]] = [(0, 0.0, (), (start,))]
    done: set[str] = set()
    while heap:
        count, length, channels, regions = heapq.heappop(heap)
        if regions[-1] == goal:
            return GlobalRoute(regions, channels)
        if regions[-1] in done:
            continue
        done.add(regions[-1])
        for channel, beyond in graph.get(regions[-1], ()):
            more = build.channels[channel].length or 0.0
            heapq.heappush(heap, (count + 1, length + more, (*channels, channel), (*regions, beyond)))
    return None


def global_routes(
    build: Build, home: Mapping[str, str], leads: tuple[Lead, ...], say: Diagnostics
) -> dict[str, GlobalRoute]:
    """Find the route of every lead, by tag.

    One that no channel helps along is reported (RTE-110, RTE-111) and not connected.
    """
    graph = region_graph(build, home)
    return {lead.tag: _global_route(build, home, graph, lead, say) for lead in leads}


def _global_route(
    build: Build, home: Mapping[str, str], graph: RegionGraph, lead: Lead, say: Diagnostics
) -> GlobalRoute:
    start, goal = _region(home, lead.start), _region(home, lead.end)
    if not start or not goal:
        known = start or goal
        route = _loose_end_route(graph, known) if known else GlobalRoute((next(iter(home.values()), BOARD),), ())
        return route if start or not known else GlobalRoute(route.regions[::-1], route.channels[::-1])
    found: GlobalRoute | None = GlobalRoute((start,), ())
    for channel in lead.channels:
        if found is not None and channel in build.channels:
            found = _extended_through(build, graph, found, channel)
    if found is None:
        say.add(
            RTE_111,
            lead.place,
            f"lead {lead.tag} ({lead.start} -> {lead.end}) cannot be laid through "
            f"{', '.join(lead.channels)}: these channels do not follow one another",
        )
        found = GlobalRoute((start,), ())
    rest = shortest_route(build, graph, found.regions[-1], goal)
    if rest is not None:
        return GlobalRoute(found.regions + rest.regions[1:], found.channels + rest.channels)
    say.add(
        RTE_110,
        lead.place,
        f"no channel leads from {lead.start} to {lead.end}: lead {lead.tag} is drawn "
        "straight across the plan and its length is not known",
    )
    return GlobalRoute((start, goal), (), connected=False)


def _region(home: Mapping[str, str], end: End) -> str:
    return home.get(end.part, "") if end.known else ""


def _loose_end_route(graph: RegionGraph, known: str) -> GlobalRoute:
    """A lead with one end in the air: it stays where it is, but leaves a stall through its opening."""
    behind = graph.get(known, ())
    if known.startswith("stall ") and behind:
        return GlobalRoute((known, behind[0][1]), (behind[0][0],))
    return GlobalRoute((known,), ())


def _extended_through(build: Build, graph: RegionGraph, route: GlobalRoute, channel: str) -> GlobalRoute | None:
    """A way taken further through a channel, on the shortest way to its nearer opening."""
    sides = [r for r in graph if any(c == channel for c, _ in graph[r])]
    tries = [shortest_route(build, graph, route.regions[-1], side) for side in sides]
    found = [t for t in tries if t is not None and channel not in t.channels]
    if not found:
        return None
    best = min(found, key=lambda t: (len(t.channels), t.regions))
    beyond = next(r for c, r in graph[best.regions[-1]] if c == channel)
    return GlobalRoute(route.regions + best.regions[1:] + (beyond,), route.channels + best.channels + (channel,))


def pitch_of(build: Build, lead: Lead) -> float:
    """Distance (mm) from a lead's track to the next: its own thickness with braid or cloth, at least the drawn
    width with halo.
    """
    return max(outer_diameter(lead, build), PITCH)


def leads_through(routes: Mapping[str, GlobalRoute]) -> dict[str, tuple[str, ...]]:
    """List the tags of the leads that pass each channel, in the order of the leads."""
    found: dict[str, list[str]] = {}
    for tag, route in routes.items():
        for channel in route.channels:
            if tag not in found.setdefault(channel, []):
                found[channel].append(tag)
    return {channel: tuple(tags) for channel, tags in found.items()}


def legs(build: Build) -> tuple[Lead, ...]:
    """The two legs of each component hung between lugs, as leads of kind ``leg`` named after the part.

    Legs that the file itself draws are not made twice.
    """
    drawn = {frozenset((str(lead.start), str(lead.end))) for lead in build.leads}
    found = []
    for part in build.parts.values():
        own = part.symbol.lug_names()[:2]
        for n, (lug, goal) in enumerate(zip(own, part.between or (), strict=False), start=1):
            lead = _leg(f"{part.name} leg {n}", End(part.name, lug, part.place), goal, part.place)
            if frozenset((str(lead.start), str(lead.end))) not in drawn:
                found.append(lead)
    return tuple(found)


def _leg(tag: str, start: End, end: End, place: Location) -> Lead:
    return Lead(
        tag=tag,
        pinned=False,
        start=start,
        end=end,
        colour=None,
        kind="leg",
        gauge=None,
        diameter=LEG_WIRE,
        length=None,
        cloth=False,
        cable="",
        shield_to=(),
        shield_cut=False,
        via=(),
        channels=(),
        along_wall=False,
        over=(),
        under=(),
        apart_from=(),
        twisted_with="",
        reused=False,
        bus="",
        remark="",
        place=place,
    )
