"""Draws the figures of docs/layout.md from one sample: each is what the program's own functions make of it.

    python tools/layout_figures.py [FOLDER]
"""

from __future__ import annotations

import math
import sys
from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import dataclass, field, replace
from functools import cached_property
from pathlib import Path
from typing import Any
from xml.sax.saxutils import escape

import numpy as np
import shapely

ROOT = Path(__file__).resolve().parent.parent
sys.path.insert(0, str(ROOT))

from diagramgen import api  # noqa: E402
from diagramgen.drawing.diagram import obstacles  # noqa: E402
from diagramgen.drawing.labelling.candidates import lug_labels, part_labels, tag_labels  # noqa: E402
from diagramgen.drawing.labelling.leaders import Leaders  # noqa: E402
from diagramgen.drawing.labelling.place_labels import (  # noqa: E402
    SHORTLIST,
    Label,
    candidate_boxes,
    frame_of,
    place_labels,
)
from diagramgen.kernel.diagnostics import Diagnostics  # noqa: E402
from diagramgen.kernel.geometry import Box, Point  # noqa: E402
from diagramgen.kernel.tokens import EDGE, ERROR, HEAD, INK, LIT, PALE_RULE, PAPER  # noqa: E402
from diagramgen.layout.global_routing.channel_ports import PinOrder, assign_pins, order_pins, sides_of  # noqa: E402
from diagramgen.layout.global_routing.constraints import constraints_of  # noqa: E402
from diagramgen.layout.global_routing.crossing_minimisation import count_crossings  # noqa: E402
from diagramgen.layout.global_routing.global_route import leads_through  # noqa: E402
from diagramgen.layout.global_routing.route_leads import routing_regions  # noqa: E402
from diagramgen.layout.memo import Memo  # noqa: E402
from diagramgen.layout.model import Layout, PlacedPart  # noqa: E402
from diagramgen.layout.placement.arrange_cavities import Placement, arrange  # noqa: E402
from diagramgen.layout.placement.clearance import COMFORTABLE, no_fit_polygon, pieces_of  # noqa: E402
from diagramgen.layout.placement.pack import stall_candidates  # noqa: E402
from diagramgen.layout.placement.place_parts import hulls, place_part  # noqa: E402
from diagramgen.layout.placement.propose_places import PlacementGrid, PlacementTask, kinds_of  # noqa: E402
from diagramgen.layout.plan import layout  # noqa: E402
from diagramgen.layout.routing import Effort, RoutingRegion  # noqa: E402
from diagramgen.layout.routing.astar import Search  # noqa: E402
from diagramgen.layout.routing.clean_up import pads_of, without_spikes  # noqa: E402
from diagramgen.layout.routing.cost_map import MeshedRegion, mesh_region, triangle_costs  # noqa: E402
from diagramgen.layout.routing.fan_out import fan_out  # noqa: E402
from diagramgen.layout.routing.funnel import Spacing, TrackAssignment  # noqa: E402
from diagramgen.layout.routing.local_search import improve_locally  # noqa: E402
from diagramgen.layout.routing.priced_zones import priced_zones_in  # noqa: E402
from diagramgen.layout.routing.rip_up import reroute_conflicts  # noqa: E402
from diagramgen.layout.routing.router import (  # noqa: E402
    FINAL_ROUNDS,
    TRACK_SLACK,
    corner_keepouts,
    lead_costs_of,
    route,
    subnets_of,
)
from diagramgen.layout.routing.topological_route import TopologicalRoute, crossing_pairs, point_on  # noqa: E402
from diagramgen.model.build import Build  # noqa: E402

FOLDER = ROOT / "docs" / "layout-figures"
SAMPLE = ROOT / "samples" / "two-pickups-toggle.yaml"
REGION = "controls"
SHOWN = "W14"
"""The lead that single-lead figures follow."""

MID, PALE, WASH, STRONG, WARM = EDGE, PALE_RULE, HEAD, ERROR, LIT
"""Dark, middle and pale greys; one dark and one pale red-brown: five steps of grey in print without colour."""


@dataclass
class Figure:
    """One drawing: millimetres of the plan in, SVG out."""

    box: Box
    scale: float = 5.0
    marks: list[str] = field(default_factory=list)
    notes: list[str] = field(default_factory=list)
    size: float = 14.0
    """Height of the notes' letters, in the picture's units."""

    def at(self, p: Point) -> tuple[float, float]:
        """A place of the plan in the picture."""
        return round((p.x - self.box.left) * self.scale, 1), round((p.y - self.box.top) * self.scale, 1)

    def line(self, points: Iterable[Point], colour: str = INK, width: float = 1.2, dash: str = "",
             fill: str = "none", closed: bool = False) -> None:
        """One line or outline."""
        rows = [self.at(p) for p in points]
        d = "M" + "L".join(f"{x:g} {y:g}" for x, y in rows) + ("Z" if closed else "")
        style = f' stroke-dasharray="{dash}"' if dash else ""
        self.marks.append(f'<path d="{d}" fill="{fill}" stroke="{colour}" stroke-width="{width:g}"{style}/>')

    def polygons(self, rows: Iterable[Sequence[Point]], fill: str, colour: str, width: float) -> None:
        """Many closed outlines in one path."""
        d = "".join("M" + "L".join("{:g} {:g}".format(*self.at(p)) for p in points) + "Z" for points in rows)
        style = f'fill="{fill}" fill-rule="evenodd" stroke="{colour}" stroke-width="{width:g}"'
        self.marks.append(f'<path d="{d}" {style}/>')

    def dots(self, points: Iterable[Point], size: float, colour: str) -> None:
        """Many dots in one path."""
        d = "".join("M{:g} {:g}h0".format(*self.at(p)) for p in points)
        self.marks.append(f'<path d="{d}" stroke="{colour}" stroke-width="{size:g}"/>')

    def segments(self, rows: Iterable[Sequence[Point]], colour: str, width: float) -> None:
        """Many short lines in one path, to a whole unit of the picture."""
        d = ""
        for a, b in rows:
            (x, y), (u, v) = map(self.at, (a, b))
            d += f"M{x:.0f} {y:.0f}l{u - x:.0f} {v - y:.0f}"
        self.marks.append(f'<path d="{d}" fill="none" stroke="{colour}" stroke-width="{width:g}"/>')

    def shape(self, shape: Any, fill: str, colour: str = "none", width: float = 0.8) -> None:
        """A geometry with its holes."""
        pieces = [p for p in getattr(shape, "geoms", [shape]) if p.geom_type == "Polygon" and not p.is_empty]
        rings = [ring for piece in pieces for ring in (piece.exterior, *piece.interiors)]
        if rings:
            self.polygons([[Point(x, y) for x, y in ring.coords[:-1]] for ring in rings], fill, colour, width)

    def dot(self, p: Point, radius: float = 2.5, fill: str = INK, colour: str = "none") -> None:
        """One round mark."""
        x, y = self.at(p)
        self.marks.append(f'<circle cx="{x:g}" cy="{y:g}" r="{radius:g}" fill="{fill}" stroke="{colour}"/>')

    def text(self, p: Point, words: str, size: float = 13.0, colour: str = INK, turn: float = 0.0) -> None:
        """Words about their middle."""
        x, y = self.at(p)
        place = f'x="{x:g}" y="{y + size / 3:.1f}" font-size="{size:g}" text-anchor="middle"'
        if turn:
            place += f' transform="rotate({math.degrees(turn):.0f} {x:g} {y:g})"'
        self.marks.append(f'<text {place} fill="{PAPER}" stroke="{PAPER}" stroke-width="3">{escape(words)}</text>'
                          f'<text {place} fill="{colour}">{escape(words)}</text>')

    def note(self, words: str) -> None:
        """A line below the picture."""
        self.notes.append(words)

    def svg(self) -> str:
        """The whole picture."""
        wide, high = self.box.width * self.scale, self.box.height * self.scale
        step = 1.45 * self.size
        whole = high + 12 + step * len(self.notes)
        notes = "".join(f'<text x="8" y="{high + 4 + step * (i + 1):.1f}" font-size="{self.size:g}" fill="{INK}">'
                        f'{escape(words)}</text>' for i, words in enumerate(self.notes))
        body = "\n".join(self.marks)
        return (f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {wide:.0f} {whole:.0f}" width="{wide:.0f}" '
                f'font-family="sans-serif" stroke-linejoin="round" stroke-linecap="round">\n'
                f'<rect width="100%" height="100%" fill="{PAPER}"/>\n{body}\n{notes}\n</svg>\n')


class Asked(Memo):
    """A memo that also shows what was asked of it."""

    def __init__(self) -> None:
        super().__init__()
        self.questions: dict[str, tuple[Any, ...]] = {}

    def __call__(self, name: str, work: Callable[..., Any], *question: Any) -> Any:
        """What ``work`` makes of the question, which is kept to be looked at."""
        self.questions[name] = question
        return super().__call__(name, work, *question)


class Sample:
    """The sample as far as each step of the layout takes it; every step is made once."""

    @cached_property
    def build(self) -> Build:
        """The sample, read."""
        found = api.read(SAMPLE).build
        assert isinstance(found, Build)
        return found

    @cached_property
    def asked(self) -> Asked:
        """What placing was asked."""
        return Asked()

    @cached_property
    def placement(self) -> Placement:
        """Everything placed."""
        return arrange(self.build, Diagnostics(), self.asked)

    @cached_property
    def layout(self) -> Layout:
        """Everything placed and routed."""
        return layout(self.build, Diagnostics())

    @cached_property
    def region(self) -> RoutingRegion:
        """The router's input for the region shown."""
        placement = self.placement
        return routing_regions(placement, order_pins(placement), constraints_of(placement, Diagnostics()))[REGION]

    @cached_property
    def meshed(self) -> MeshedRegion:
        """That region as a mesh."""
        found = mesh_region(self.region)
        assert found is not None
        return found

    @cached_property
    def subnets(self) -> Any:
        """Its subnets with their costs."""
        return subnets_of(self.region, self.meshed)

    @cached_property
    def shown(self) -> int:
        """Number of the net that is shown alone."""
        return next(i for i, net in enumerate(self.region.nets) if net.subject == SHOWN)

    def topology(self, passes: int = Effort.passes) -> TopologicalRoute:
        """The topological route after so many passes."""
        keepout = corner_keepouts(self.region, self.meshed)
        effort = Effort(passes=passes)
        return reroute_conflicts(self.meshed.mesh, self.subnets.subnets, keepout, effort).topology

    def relaxed(self) -> tuple[TopologicalRoute, dict[int, list[Point]]]:
        """The topological route with its crossing points where the tracks put them, and every lead's corners."""
        pitch = [c.costs.pitch * TRACK_SLACK for c in self.subnets.subnets]
        topology = self.topology()
        tracks = TrackAssignment(topology, Spacing(pitch, corner_keepouts(self.region, self.meshed)))
        paths = tracks.relax(sorted(topology.crossings), FINAL_ROUNDS)
        tracks.write_back()
        return topology, {i: without_spikes(path) for i, path in paths.items()}


def around(shapes: Iterable[Box], more: float) -> Box:
    """The box round boxes, grown."""
    whole: Box | None = None
    for box in shapes:
        whole = box if whole is None else whole.union(box)
    assert whole is not None
    return whole.grown(more)


def plan_figure(sample: Sample, scale: float = 4.0) -> Figure:
    """All regions with their parts, pale."""
    figure = Figure(around((r.box for r in sample.placement.regions.values()), 4.0), scale)
    for region in sample.placement.regions.values():
        figure.line(region.outline.flat(0.2), MID, 1.0, "4 3" if region.kind == "stall" else "", WASH, closed=True)
    for part in sample.placement.parts.values():
        body(figure, part)
    return figure


def body(figure: Figure, part: PlacedPart, fill: str = PAPER, colour: str = PALE) -> None:
    """A part's bodies and lugs."""
    for hull in hulls(part):
        figure.shape(hull, fill, colour)
    for lug in part.lugs.values():
        figure.dot(lug.at, 1.6, colour)


def region_figure(sample: Sample, scale: float = 6.0) -> Figure:
    """The wall and bodies of the region that is routed."""
    region = sample.placement.regions[REGION]
    figure = Figure(region.box.grown(3.0), scale)
    figure.line(region.outline.flat(0.2), MID, 1.4, "", "none", closed=True)
    for part in sample.placement.parts.values():
        if part.region == REGION:
            body(figure, part)
    return figure


def region_graph(sample: Sample) -> Iterator[Figure]:
    """Regions and the channels between them."""
    figure = plan_figure(sample)
    graph_edges(figure, sample)
    figure.note("Nodes: cavities (solid), stalls (dashed). Edges: channels. Stalls are not to scale.")
    yield figure


def graph_edges(figure: Figure, sample: Sample, only: Sequence[str] | None = None) -> None:
    """Channels as edges, regions as nodes; ``only`` these channels, strongly."""
    placement = sample.placement
    for channel in placement.build.channels.values():
        sides = sides_of(placement, channel.name)
        if sides is None or (only is not None and channel.name not in only):
            continue
        ends = [placement.regions[name].box.centre for name in sides]
        gate = placement.openings[channel.name, sides[0]].centre
        figure.line([ends[0], gate, ends[1]], STRONG if only is not None else INK, 3.2 if only is not None else 2.0)
        figure.dot(gate, 4.0, PAPER, STRONG)
        if only is None:
            figure.text(Point(gate.x, gate.y - 3.0), channel.name, 12.0, STRONG)
    for name, region in placement.regions.items():
        if only is None:
            figure.dot(region.box.centre, 7.0)
            figure.text(Point(region.box.centre.x, region.box.centre.y + 4.5), name, 14.0)


def placement(sample: Sample) -> Iterator[Figure]:
    """The sample's pots without their places: what the program proposes, and what one bars the next."""
    parts = {n: replace(p, at=None) if p.cavity == REGION else p for n, p in sample.build.parts.items()}
    asked = Asked()
    arrange(replace(sample.build, parts=parts), Diagnostics(), asked)
    task: PlacementTask = asked.questions[f"proposed {REGION}"][0]
    kinds = kinds_of(task)
    grid = PlacementGrid(task, kinds, COMFORTABLE, 2.0)
    found = asked(f"proposed {REGION}", lambda _: None, task)
    names = [p.name for p in task.free]
    first, rest = names[0], names[1:]
    k = next(i for i, kind in enumerate(kinds) if first in kind.names)
    left, top, right, bottom = task.floor.bounds
    figure = Figure(Box(left, top, right, bottom).grown(3.0), 6.0)
    figure.shape(task.floor, WASH, MID, 1.4)
    stand = [place_part(p, found[p.name], REGION) for p in task.free if p.name in rest]
    free = grid.open[k, 0].ravel()
    for part in stand:
        area = no_fit_polygon(pieces_of(part), kinds[k].pieces[0], COMFORTABLE)
        figure.shape(area.intersection(task.floor), "none", WARM, 1.2)
        free = free & ~shapely.contains_xy(area, grid.at)
    for part in stand:
        body(figure, part, PAPER, MID)
        figure.text(part.box.centre, part.part.name, 13.0)
    for x, y in grid.at[free]:
        figure.dot(Point(float(x), float(y)), 1.5, STRONG)
    body(figure, place_part(task.free[0], found[first], REGION), "none", STRONG)
    figure.text(place_part(task.free[0], found[first], REGION).box.centre, first, 13.0, STRONG)
    figure.note(f"Every part without its place. Pale outlines: no-fit polygons of the others against {first};")
    figure.note(f"dots: places left for {first} with the widest clearances, unturned; red outline: the place found.")
    yield figure


def packing(sample: Sample) -> Iterator[Figure]:
    """Stalls with the places tried for them, strips between cavities."""
    figure = plan_figure(sample)
    contents, openings, blocks, _ = sample.asked.questions["stalls"]
    for one, opening in zip(contents, openings, strict=True):
        for candidate in stall_candidates(one, opening, shapely.union_all(blocks), 0.0):
            figure.dot(candidate.stall.box.centre, 1.2, WARM)
    for one, opening in zip(contents, openings, strict=True):
        region = sample.placement.regions[one.name]
        figure.line(region.outline.flat(0.2), STRONG, 2.0, "", "none", closed=True)
        figure.dot(opening.centre, 3.5, PAPER, STRONG)
        figure.text(region.box.centre, one.name, 14.0)
    for channel, strip in sample.placement.strips.items():
        figure.line(strip, INK, 5.0)
        figure.text(Point((strip[0].x + strip[-1].x) / 2, strip[0].y - 4.0), channel, 12.0)
    clipped(figure)
    figure.note("Pale dots: middles of the places tried for a stall. Red: the places taken, with their throats.")
    figure.note("Thick lines: strips between cavities. The largest cavity stands fast.")
    yield figure


def global_route(sample: Sample) -> Iterator[Figure]:
    """The lead that passes most channels."""
    placement = sample.placement
    tag, found = max(placement.global_routes.items(), key=lambda item: (len(item[1].channels), item[0]))
    lead = next(one for one in placement.leads if one.tag == tag)
    figure = plan_figure(sample)
    graph_edges(figure, sample, found.channels)
    for name in found.regions:
        region = placement.regions[name]
        figure.dot(region.box.centre, 7.0, STRONG)
        figure.text(Point(region.box.centre.x, region.box.centre.y + 4.5), name, 14.0)
    figure.note(f"Lead {tag} ({lead.start} to {lead.end}): {' > '.join(found.regions)}")
    figure.note(f"through {', '.join(found.channels)}: fewest channels first, then the shorter ones.")
    yield figure


def pin_order(sample: Sample) -> Iterator[Figure]:
    """One stall routed with two orders of its pins."""
    placement, channel = sample.placement, "pickups"
    sides = sides_of(placement, channel)
    assert sides is not None
    stall = sides[1]
    tags = leads_through(placement.global_routes)[channel]
    for words, order in (("in the order of the file", tags), ("in the pin order found", None)):
        pins = order_pins(placement)
        if order is not None:
            pins = PinOrder(dict(pins.at), dict(pins.offsets))
            assign_pins(placement, pins, channel, sides, order)
        region = routing_regions(placement, pins, constraints_of(placement, Diagnostics()))[stall]
        routes = route(region)
        figure = Figure(placement.regions[stall].box.grown(2.0), 7.0, size=24.0)
        figure.line(placement.regions[stall].outline.flat(0.2), MID, 1.2, "4 3", WASH, closed=True)
        for part in placement.parts.values():
            if part.region == stall:
                body(figure, part, PAPER, MID)
        for one in routes:
            figure.line(one.path.flat(0.1), INK, 1.6)
            figure.dot(one.path.start, 2.4, STRONG)
            figure.dot(one.path.end, 2.4, STRONG)
        crossed = sum(count_crossings(region, routes).values())
        figure.note(f"Leads {words}: {crossed} crossings in the stall")
        yield figure


def mesh(sample: Sample) -> Iterator[Figure]:
    """Triangles and what a mm in them costs one lead."""
    figure = region_figure(sample)
    meshed, net = sample.meshed, sample.region.nets[sample.shown]
    costs = triangle_costs(sample.region, meshed, net)
    triangles: dict[str, list[Any]] = {}
    for corners, cost in zip(meshed.mesh.corners, costs, strict=True):
        fill = INK if cost == math.inf else MID if cost >= 40 else PALE if cost > 2 else WASH if cost > 1 else PAPER
        triangles.setdefault(fill, []).append(shapely.Polygon([tuple(meshed.mesh.points[c]) for c in corners]))
    for fill, pieces in triangles.items():
        figure.shape(shapely.union_all(pieces, grid_size=0.01).simplify(0.08), fill)
    mesh_lines(figure, sample, PALE)
    for exit_ in meshed.exits:
        figure.dot(meshed.mesh.points[exit_], 2.2, STRONG)
    figure.note(f"Cost of a mm for {SHOWN}: white 1, pale to 2, light grey to 12, grey 40 and 60, black closed.")
    figure.note(f"{len(meshed.mesh.corners)} triangles; dots: mesh corners at which leads begin.")
    yield figure


def mesh_lines(figure: Figure, sample: Sample, colour: str = PALE) -> None:
    """The mesh edges within the figure."""
    mesh_, frame = sample.meshed.mesh, shapely.box(*figure.box)
    edges = ([mesh_.points[u], mesh_.points[v]] for u, v in mesh_.ends)
    kept = [edge for edge in edges if shapely.LineString(edge).intersects(frame)]
    figure.segments(kept, colour, 0.4)


def crossing_points(topology: TopologicalRoute, lead: int) -> list[Point]:
    """Start, crossings of mesh edges, end."""
    own = topology.crossings[lead]
    between = [point_on(topology.mesh, edge, t) for edge, t in zip(own.edges, own.at, strict=True)]
    return [topology.mesh.points[own.start], *between, topology.mesh.points[own.end]]


def topological(sample: Sample) -> Iterator[Figure]:
    """Leads in their order on one mesh edge."""
    topology, _ = sample.relaxed()
    lengths = topology.mesh.lengths
    edge = max(range(len(lengths)), key=lambda e: (len(topology.edge_order[e]), -lengths[e]))
    leads = {lead for _, lead, _ in topology.edge_order[edge]}
    middle = point_on(topology.mesh, edge, 0.5)
    figure = Figure(Box(middle.x - 24, middle.y - 16, middle.x + 24, middle.y + 16), 16.0)
    mesh_lines(figure, sample, MID)
    for lead in sorted(topology.crossings):
        points = crossing_points(topology, lead)
        figure.line(points, INK if lead in leads else PALE, 1.8 if lead in leads else 1.0)
        for p in points[1:-1] if lead in leads else ():
            figure.dot(p, 2.0)
    u, v = topology.mesh.ends[edge]
    figure.line([topology.mesh.points[u], topology.mesh.points[v]], STRONG, 2.6)
    for rank, (t, _, _) in enumerate(topology.edge_order[edge]):
        p = point_on(topology.mesh, edge, t)
        figure.dot(p, 8.0, PAPER, STRONG)
        figure.text(p, str(rank), 11.0, STRONG)
    clipped(figure)
    figure.note("Each lead is the row of mesh edges it crosses. Numbers: its place in the order on the red edge,")
    figure.note("which is one portal; between two neighbours lies a gap that the next lead may take.")
    yield figure


def clipped(figure: Figure) -> None:
    """Cut off what lies outside the figure's box."""
    wide, high = figure.box.width * figure.scale, figure.box.height * figure.scale
    clip = f'<clipPath id="c"><rect width="{wide:g}" height="{high:g}"/></clipPath>'
    figure.marks.insert(0, clip + '<g clip-path="url(#c)">')
    figure.marks.append("</g>")


def astar(sample: Sample) -> Iterator[Figure]:
    """The states of one search."""
    topology = sample.topology()
    number = sample.subnets.of_net[sample.shown][0]
    subnet = sample.subnets.subnets[number]
    topology.rip_up(number)
    search = Search(topology, subnet.start, subnet.end, subnet.costs)
    found = search.run(Effort.expansions)
    assert found is not None
    places = [Point(node[5], node[6]) for node in search.nodes]
    box = Box(min(p.x for p in places), min(p.y for p in places), max(p.x for p in places), max(p.y for p in places))
    figure = Figure(box.grown(4.0), 7.0)
    for part in sample.placement.parts.values():
        if part.region == REGION:
            body(figure, part)
    mesh_lines(figure, sample)
    for lead in sorted(topology.crossings):
        figure.line(crossing_points(topology, lead), MID, 0.8)
    closed = [search.known[node[2]] < 0 for node in search.nodes]  # its gap has been expanded
    figure.dots((p for p, done in zip(places, closed, strict=True) if not done), 4.0, WARM)
    figure.dots((p for p, done in zip(places, closed, strict=True) if done), 4.5, INK)
    topology.insert(number, found)
    points = crossing_points(topology, number)
    figure.line(points, STRONG, 2.4)
    for p, words in ((points[0], "start"), (points[-1], "goal")):
        figure.dot(p, 5.0, STRONG)
        figure.text(Point(p.x, p.y - 3.2), words, 13.0, STRONG)
    clipped(figure)
    figure.note(f"{SHOWN} rerouted among the others (grey): {search.expanded} states expanded (dark dots),")
    figure.note(f"{len(search.nodes)} found (pale dots). State: (triangle, portal, gap).")
    figure.note("Cost, mm of detour: length x cost of the zone + crossings + crowding.")
    yield figure


def rip_up(sample: Sample) -> Iterator[Figure]:
    """Crossings after the first and after the last pass."""
    for passes in (1, Effort.passes):
        topology = sample.topology(passes)
        pairs = crossing_pairs(topology)
        figure = region_figure(sample, 5.0)
        figure.size = 24.0
        for lead in sorted(topology.crossings):
            figure.line(crossing_points(topology, lead), INK, 1.1)
        for triangles in pairs.values():
            for triangle in triangles:
                figure.dot(sample.meshed.centroids[triangle], 6.0, "none", STRONG)
        figure.note(f"After pass {passes}: {sum(map(len, pairs.values()))} crossings (circles)")
        yield figure


def funnel(sample: Sample) -> Iterator[Figure]:
    """One lead's sleeve and the lead pulled taut in it."""
    topology = sample.topology()
    number = sample.subnets.of_net[sample.shown][0]
    own = topology.crossings[number]
    points = crossing_points(topology, number)
    box = Box(min(p.x for p in points), min(p.y for p in points), max(p.x for p in points), max(p.y for p in points))
    scale = min(14.0, 800 / (box.width + 14.0), 620 / (box.height + 14.0))
    aside = max(7.0, (560 / scale - box.width) / 2)
    figure = Figure(Box(box.left - aside, box.top - 7.0, box.right + aside, box.bottom + 7.0), scale)
    for triangle in own.triangles:
        figure.line([topology.mesh.points[c] for c in topology.mesh.corners[triangle]], PALE, 0.8, "", WASH, True)
    for edge in own.edges:
        figure.line([topology.mesh.points[i] for i in topology.mesh.ends[edge]], MID, 1.4)
    figure.line(points, INK, 1.2, "5 4")
    pitch = [c.costs.pitch * TRACK_SLACK for c in sample.subnets.subnets]
    tracks = TrackAssignment(topology, Spacing(pitch, corner_keepouts(sample.region, sample.meshed)))
    tracks.pack()
    alone = tracks.pull_taut(number)
    figure.line(alone, STRONG, 2.6)
    for p in alone:
        figure.dot(p, 4.0, STRONG)
    clipped(figure)
    figure.note("Dashed: through the crossing points. Red: pulled taut in the sleeve of")
    figure.note("triangles, kept between its neighbours and off the corners; dots: corners.")
    yield figure


def local_search(sample: Sample) -> Iterator[Figure]:
    """Leads before and after the local search, and as they are drawn."""
    relaxed = sample.relaxed()[1]
    costs = lead_costs_of(sample.region, sample.meshed, sample.subnets)
    zones = priced_zones_in(sample.meshed.frame, [zone.shape for zone in sample.meshed.zones])
    better = improve_locally(fan_out(relaxed, costs, zones), costs, zones, Effort.improvements)
    figure = region_figure(sample)
    for path in relaxed.values():
        figure.line(path, WARM, 2.6)
    for path in better.values():
        figure.line(path, MID, 1.0)
    for one in route(sample.region):
        figure.line(one.path.flat(0.1), INK, 1.6)
    many = [sum(len(p) - 2 for p in paths.values()) for paths in (relaxed, better)]
    figure.note(f"Pale red: after relaxation, {many[0]} corners. Grey: after the local search, {many[1]}.")
    figure.note("Black: rounded, and moved off foreign pads.")
    yield figure


def check(sample: Sample) -> Iterator[Figure]:
    """What finished leads are held against."""
    figure = region_figure(sample)
    outline = shapely.Polygon([tuple(p) for p in sample.region.outline])
    figure.shape(outline.difference(outline.buffer(-sample.region.clearance)), WARM)
    for obstacle in sample.region.obstacles:
        shape = shapely.Polygon([tuple(p) for p in obstacle.outline])
        if not obstacle.passable:
            figure.shape(shape.buffer(sample.region.clearance), "none", WARM, 1.0)
        figure.shape(shape, PALE if not obstacle.passable else WASH, MID)
    for pad in pads_of(sample.region):
        figure.shape(shapely.Point(pad.at).buffer(pad.keepout), PAPER, STRONG, 0.8)
    for one in route(sample.region):
        figure.line(one.path.flat(0.1), INK, 1.4)
    figure.note("Held against every finished lead: band along the wall, bodies with their clearance (pale bodies")
    figure.note("may be passed over), red circles: keepout of a lug or joint for leads that do not end there.")
    yield figure


HEIGHT = 1.8
"""Capital height of tags, mm."""


def labels_of(sample: Sample) -> list[Label]:
    """The labels of the region shown."""
    inside = [p for p in sample.layout.parts.values() if p.region == REGION]
    wanted = [label for part in inside for label in (*part_labels(part, 2.5, HEIGHT), *lug_labels(part, HEIGHT))]
    tags = [label for one in sample.layout.leads for label in tag_labels(one, HEIGHT)]
    box = sample.layout.regions[REGION].box
    return wanted + [t for t in tags if box.left < t.candidates[0].at.x < box.right
                     and box.top < t.candidates[0].at.y < box.bottom]


def candidates(sample: Sample) -> Iterator[Figure]:
    """Every candidate of one tag."""
    laid = next(one for one in sample.layout.leads if one.lead.tag == SHOWN)
    tag = next(iter(tag_labels(laid, HEIGHT)))
    boxes = candidate_boxes(tag.candidates, np.array(tag.size))
    figure = region_figure(sample)
    for one in sample.layout.leads:
        figure.line(one.path.flat(0.1), PALE, 1.2)
    dear = max(c.cost for c in tag.candidates)
    for box, candidate in sorted(zip(boxes, tag.candidates, strict=True), key=lambda pair: -pair[1].cost):
        if candidate.leader is not None:
            figure.line([candidate.at, candidate.leader], PALE, 0.6)
        figure.shape(box, "none", STRONG if candidate.cost < 5 else WARM if candidate.cost < dear / 2 else MID, 0.8)
    figure.line(laid.path.flat(0.1), INK, 2.4)
    clipped(figure)
    led = sum(c.leader is not None for c in tag.candidates)
    figure.note(f"{len(tag.candidates)} candidates of one tag of {SHOWN}: {len(tag.candidates) - led} on the lead "
                f"(red: cheap), {led} beside it with a leader (grey).")
    yield figure


MANY = 18
"""Candidates of one label in the figure of the conflict graph."""


def conflicts(sample: Sample) -> Iterator[Figure]:
    """Which candidates exclude each other, and the set chosen."""
    part = max((p for p in sample.layout.parts.values() if not p.outside), key=lambda p: len(list(lug_labels(p, 1.0))))
    few = [replace(one, candidates=one.candidates[:MANY]) for one in lug_labels(part, HEIGHT)]
    placed = place_labels(few, [], [], part.box.grown(60.0))
    boxes = [box for one in few for box in candidate_boxes(one.candidates, np.array(one.size))]
    owner = [i for i, one in enumerate(few) for _ in one.candidates]
    figure = Figure(part.box.grown(7.0), 18.0, size=16.0)
    body(figure, part, WASH, MID)
    for box in boxes:
        figure.shape(box, "none", PALE)
    middles = [Point(*box.centroid.coords[0]) for box in boxes]
    pairs = [(i, j) for i in range(len(boxes)) for j in range(i)
             if owner[i] != owner[j] and boxes[i].intersects(boxes[j])]
    figure.segments([(middles[i], middles[j]) for i, j in pairs], WARM, 0.4)
    figure.dots(middles, 4.5, MID)
    for one in placed:
        figure.shape(frame_of(one), PAPER, STRONG, 1.6)
        figure.text(one.candidate.at, one.label.lines[0].text, 15.0, INK, one.candidate.angle)
    figure.note(f"{len(few)} lug names of '{part.part.name}', up to {MANY} candidates each (dots);")
    figure.note(f"{len(pairs)} pairs that cannot both be taken (lines). Red frames: the set chosen.")
    figure.note(f"In a drawing each label brings up to {SHORTLIST} candidates.")
    yield figure


def leader_lines(sample: Sample) -> Iterator[Figure]:
    """The labels placed, those with leaders strong."""
    frame = sample.layout.regions[REGION].box.grown(16.0)
    leads = [(f"lead:{one.lead.tag}", one.path) for one in sample.layout.leads]
    placed = place_labels(labels_of(sample), obstacles(sample.layout), leads, frame)
    figure = region_figure(sample)
    figure.box = frame
    for one in sample.layout.leads:
        figure.line(one.path.flat(0.1), PALE, 1.0)
    led = [one for one in placed if one.candidate.leader is not None]
    for label in placed:
        figure.shape(frame_of(label), PAPER, PALE, 0.8)
        figure.text(label.candidate.at, label.label.lines[0].text, 9.0, MID, label.candidate.angle)
    for label in led:
        assert label.candidate.leader is not None
        figure.line([label.candidate.at, label.candidate.leader], STRONG, 1.4)
        figure.shape(frame_of(label), PAPER, STRONG, 0.8)
        figure.text(label.candidate.at, label.label.lines[0].text, 9.0, INK, label.candidate.angle)
        figure.dot(label.candidate.leader, 2.4, STRONG)
    ends = np.array([[tuple(x.candidate.at), tuple(x.candidate.leader or x.candidate.at)] for x in led])
    crossed = len(Leaders(ends.reshape(-1, 2, 2), np.arange(len(led))).crossings()[0])
    clipped(figure)
    figure.note(f"{len(placed)} labels, {len(led)} with a leader (red); {crossed} leaders cross.")
    yield figure


FIGURES: dict[str, Callable[[Sample], Iterator[Figure]]] = {
    "01-region-graph": region_graph, "02-placement": placement, "03-packing": packing, "04-global-route": global_route,
    "05-pin-order": pin_order, "06-mesh": mesh, "07-topological-route": topological, "08-astar": astar,
    "09-rip-up": rip_up, "10-funnel": funnel, "11-local-search": local_search, "12-constraint-check": check,
    "13-label-candidates": candidates, "14-conflict-graph": conflicts, "15-leader-lines": leader_lines,
}


def beside(figures: Sequence[Figure]) -> str:
    """One figure, or two side by side."""
    if len(figures) == 1:
        return figures[0].svg()
    gap, rows, x = 24.0, [], 0.0
    for figure in figures:
        inner = figure.svg().split("\n", 1)[1].rsplit("</svg>", 1)[0].split("\n", 1)[1]
        rows.append(f'<g transform="translate({x:g} 0)">\n{inner}</g>')
        x += figure.box.width * figure.scale + gap
    high = max(f.box.height * f.scale + 12 + 1.45 * f.size * len(f.notes) for f in figures)
    return (f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {x - gap:.0f} {high:.0f}" width="{x - gap:.0f}" '
            'font-family="sans-serif" stroke-linejoin="round" stroke-linecap="round">\n'
            f'<rect width="100%" height="100%" fill="{PAPER}"/>\n' + "\n".join(rows) + "\n</svg>\n")


def drawn() -> dict[str, str]:
    """File name -> SVG of every figure."""
    sample = Sample()
    return {f"{name}.svg": beside(list(make(sample))) for name, make in FIGURES.items()}


def main() -> None:
    """Write every figure."""
    folder = Path(sys.argv[1]) if len(sys.argv) > 1 else FOLDER
    folder.mkdir(parents=True, exist_ok=True)
    for name, text in drawn().items():
        (folder / name).write_text(text, encoding="utf-8")


if __name__ == "__main__":
    main()
