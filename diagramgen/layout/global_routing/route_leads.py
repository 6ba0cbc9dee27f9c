"""Routes every lead over the plan.

Through the openings of its global route, and in each region as the router finds it.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from diagramgen.kernel.diagnostics import Diagnostics
from diagramgen.kernel.geometry import Line, Path, Point, polyline
from diagramgen.layout.codes import RTE_101
from diagramgen.layout.global_routing.channel_ports import PinOrder
from diagramgen.layout.global_routing.constraint_check import check_constraints, check_pairs
from diagramgen.layout.global_routing.constraints import Constraints, constraints_of
from diagramgen.layout.global_routing.crossing_minimisation import count_crossings, exchange_pins, weighted_crossings
from diagramgen.layout.global_routing.region_memo import RegionRouter, route_with_partners
from diagramgen.layout.global_routing.regions import STUB, RegionBuilder
from diagramgen.layout.lug_reach import check_bend, ends_of_bend
from diagramgen.layout.model import LaidLead, PlacedLug, Region, Span
from diagramgen.layout.placement.arrange_cavities import Placement
from diagramgen.layout.placement.strips import track_path
from diagramgen.layout.routing import Route, RoutingRegion
from diagramgen.model.build import End, Lead

STRAIGHT = ("bend", "bridge")
"""Kinds that are no wire on the floor: metal or solder straight from lug to lug."""
PIN_ORDERS = 3  # times that the leads in the openings may be put into a better order


@dataclass(frozen=True)
class _Stretch:
    """One stretch of a lead inside a region: the region, and the number of its net there."""

    region: str
    net: int


@dataclass(frozen=True)
class _Attempt:
    """Everything laid with the leads in one order in the openings."""

    pin_order: PinOrder
    stretches: Mapping[str, list[_Stretch] | None]
    regions: Mapping[str, RoutingRegion]
    routes: Mapping[str, tuple[Route, ...]]


def route_leads(
    placement: Placement, pin_order: PinOrder, say: Diagnostics, router: RegionRouter = route_with_partners
) -> tuple[tuple[LaidLead, ...], PinOrder]:
    """Route every lead of the plan.

    Returns: the leads with their spans, in the plan's order, and the pin order used. Pins are exchanged at most
    PIN_ORDERS times where the routes show that another order crosses less; the better one is kept. What could not be
    kept is reported.
    """
    constraints = constraints_of(placement, say)
    best = _attempt(placement, pin_order, constraints, None, router)
    crossed = {name: count_crossings(region, best.routes[name]) for name, region in best.regions.items()}
    for _ in range(PIN_ORDERS):
        other = exchange_pins(placement, best.pin_order, crossed, constraints)
        if other is None:
            break
        tried = _attempt(placement, other, constraints, best, router)
        found = {name: count_crossings(region, tried.routes[name]) for name, region in tried.regions.items()}
        if weighted_crossings(placement, found) >= weighted_crossings(placement, crossed):
            break
        best, crossed = tried, found
    laid = []
    for lead in placement.leads:
        stretch = best.stretches[lead.tag]
        one = (
            _straight(placement, lead)
            if stretch is None
            else _laid(placement, best.pin_order, lead, stretch, best.routes, constraints)
        )
        for fault in one.faults:
            _tell(lead, fault, say)
        if lead.kind == "bend" and lead.start.part == lead.end.part and lead.start.part in placement.parts:
            check_bend(lead, placement.parts[lead.start.part], say)
        laid.append(one)
    check_constraints(placement, constraints, laid, say)
    leads = {lead.tag: lead for lead in placement.leads}
    check_pairs({name: (region, best.routes[name]) for name, region in best.regions.items()}, constraints, leads, say)
    return tuple(laid), best.pin_order


def _attempt(
    placement: Placement, pin_order: PinOrder, constraints: Mapping[str, Constraints], last: _Attempt | None,
    router: RegionRouter,
) -> _Attempt:
    """All regions laid; those in which nothing has changed since the last try keep their routes."""
    stretches, regions = _asked(placement, pin_order, constraints)
    routes = {}
    for name, region in regions.items():
        same = last is not None and last.regions.get(name) == region
        routes[name] = last.routes[name] if last is not None and same else router(region, constraints)
    return _Attempt(pin_order, stretches, regions, routes)


def routing_regions(
    placement: Placement, pin_order: PinOrder, constraints: Mapping[str, Constraints]
) -> dict[str, RoutingRegion]:
    """Make the router's input for every region that leads pass.

    Returns: region name -> region with its obstacles, pins and nets (mm on the plan).
    """
    return _asked(placement, pin_order, constraints)[1]


def _asked(
    placement: Placement, pin_order: PinOrder, constraints: Mapping[str, Constraints]
) -> tuple[dict[str, list[_Stretch] | None], dict[str, RoutingRegion]]:
    builders = {name: RegionBuilder(placement, pin_order, region) for name, region in placement.regions.items()}
    stretches = {lead.tag: _ask(placement, builders, lead, constraints[lead.tag]) for lead in placement.leads}
    return stretches, {name: builder.build() for name, builder in builders.items() if builder.nets}


def _ask(
    placement: Placement, builders: dict[str, RegionBuilder], lead: Lead, wish: Constraints
) -> list[_Stretch] | None:
    """Add a net for one lead to every region it passes; None for a lead that is drawn straight."""
    route = placement.global_routes[lead.tag]
    ends = (_lug(placement, lead.start), _lug(placement, lead.end))
    if not route.connected or (lead.start.known and ends[0] is None) or (lead.end.known and ends[1] is None):
        return None
    if ends == (None, None) or (lead.kind in STRAIGHT and not route.channels):
        return None
    if any((c, r) not in placement.openings for c, pair in _passages(placement, lead) for r in pair):
        return None
    found = []
    for i, name in enumerate(route.regions):
        builder = builders[name]
        before = builder.channel_pin(route.channels[i - 1], lead.tag) if i else None
        after = builder.channel_pin(route.channels[i], lead.tag) if i < len(route.channels) else None
        if before is None and ends[0] is not None:
            before = builder.lug_pin(ends[0].key)
        if after is None and ends[1] is not None:
            after = builder.lug_pin(ends[1].key)
        if before is None and after is not None:
            before = builder.stub_pin(lead.tag, str(lead.start), after)
        if after is None and before is not None:
            after = builder.stub_pin(lead.tag, str(lead.end), before)
        if before is not None and after is not None:
            found.append(_Stretch(name, builder.add_net(lead, before, after, wish)))
    return found


def _passages(placement: Placement, lead: Lead) -> list[tuple[str, tuple[str, str]]]:
    route = placement.global_routes[lead.tag]
    return [(c, (route.regions[i], route.regions[i + 1])) for i, c in enumerate(route.channels)]


def _lug(placement: Placement, end: End) -> PlacedLug | None:
    part = placement.parts.get(end.part) if end.known else None
    return part.lugs.get(end.lug) if part else None


def _laid(
    placement: Placement,
    pin_order: PinOrder,
    lead: Lead,
    stretch: list[_Stretch],
    routes: Mapping[str, tuple[Route, ...]],
    constraints: Mapping[str, Constraints],
) -> LaidLead:
    spans: list[Span] = []
    faults: list[str] = []
    route = placement.global_routes[lead.tag]
    for i, leg in enumerate(stretch):
        found = routes[leg.region][leg.net]
        region = placement.regions[leg.region]
        if i and not _is_stall(placement, route.regions[i - 1]) and not _is_stall(placement, route.regions[i]):
            spans.append(_passage(placement, pin_order, lead, route.channels[i - 1], route.regions[i - 1]))
        path = found.path if found.path.pieces else Path(found.path.start, (Line(found.path.start),))
        over = tuple(name for name in found.over if name not in constraints[lead.tag].under)
        spans.append(Span(leg.region, _kind(region), path, _true(placement, lead, i, found.length), over))
        faults += [f"{fault} (in '{leg.region}')" for fault in found.faults]
    return LaidLead(lead, tuple(spans), tuple(dict.fromkeys(faults)))


def _is_stall(placement: Placement, region: str) -> bool:
    return placement.regions[region].kind == "stall"


def _kind(region: Region) -> str:
    return "outside" if region.kind == "stall" else "inside"


def is_true(placement: Placement, region: Region) -> bool:
    """Whether lengths in a region are those of the instrument: it was measured, or its parts were."""
    if region.kind != "cavity" or region.cavity is None:
        return False
    measured = any(not p.automatic for p in placement.parts.values() if p.region == region.name)
    return region.cavity.outline is not None or measured


def _true(placement: Placement, lead: Lead, i: int, length: float) -> float | None:
    """True length (mm) of a stretch: as laid inside a cavity, the channel's own where the stretch lies outside."""
    route = placement.global_routes[lead.tag]
    region = placement.regions[route.regions[i]]
    if region.kind == "stall":
        channel = route.channels[i - 1] if i else (route.channels or ("",))[0]
        found = placement.build.channels.get(channel)
        return found.length if found else None
    return length if is_true(placement, region) else None


def _passage(placement: Placement, pin_order: PinOrder, lead: Lead, channel: str, coming_from: str) -> Span:
    """The strip across a channel between two cavities."""
    near = placement.build.channels[channel].cavity
    far = next(r for c, r in placement.openings if c == channel and r != near and not _is_stall(placement, r))
    start, end = pin_order.at[channel, near, lead.tag], pin_order.at[channel, far, lead.tag]
    path = track_path(placement.strips[channel], pin_order.offsets[channel, lead.tag], start, end)
    if coming_from != near:
        path = path.reversed()
    return Span(coming_from, "channel", path, placement.build.channels[channel].length)


def _straight(placement: Placement, lead: Lead) -> LaidLead:
    """A lead drawn from lug to lug in one line: solder and bent lugs, and what has no way at all."""
    route = placement.global_routes[lead.tag]
    one, other = _lug(placement, lead.start), _lug(placement, lead.end)
    if one is None and other is None:
        region = placement.regions.get(route.regions[0])
        here = region.box.centre if region else Point(0.0, 0.0)
        ends = (here, here.towards(0.0, STUB))
    else:
        first = one.at if one else other.at.towards(0.0, STUB) if other else Point(0.0, 0.0)
        ends = (first, other.at if other else first.towards(0.0, STUB))
    if lead.kind == "bend" and one and other and lead.start.part == lead.end.part:
        ends = ends_of_bend(placement.parts[lead.start.part], lead)
    path = polyline(ends) if ends[0] != ends[1] else Path(ends[0], (Line(ends[0]),))
    start = placement.parts[lead.start.part].region if one else route.regions[0]
    if lead.kind in STRAIGHT and route.connected and one and other:
        kind, true, faults = _kind(placement.regions[start]), path.length(), ()
        return LaidLead(lead, (Span(start, kind, path, true),), faults)
    fault = "no channel helps it along" if not route.connected else "no lug is known to lay it to"
    return LaidLead(lead, (Span(start, "outside", path, None),), (fault,))


def _tell(lead: Lead, fault: str, say: Diagnostics) -> None:
    if fault == "no channel helps it along":
        return  # said where the way was looked for
    say.add(
        RTE_101,
        lead.place,
        f"lead {lead.tag} ({lead.start} -> {lead.end}): {fault}",
    )
