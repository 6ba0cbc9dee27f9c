"""Pin order: in which order the leads that pass a channel lie side by side in its openings.

Leads in a stall shall not cross; between two cavities the order with the fewest crossings on both sides is taken. Pins
lie on the wall, so that a lead passes from a stall into its cavity at one point.
"""

from __future__ import annotations

import math
from collections.abc import Sequence, Set
from dataclasses import dataclass

from diagramgen.kernel.geometry import Point
from diagramgen.layout.boundary import Opening, Wall
from diagramgen.layout.global_routing.global_route import leads_through, pitch_of
from diagramgen.layout.model import ChannelPort
from diagramgen.layout.placement.arrange_cavities import Placement
from diagramgen.model.build import Lead

STALL_WEIGHT = 3
"""A crossing in a stall counts as so many in a cavity: there is little room to see it."""


@dataclass
class PinOrder:
    """Where each lead passes each channel: on the wall of either region, and its track across the channel."""

    at: dict[tuple[str, str, str], Point]
    """(channel, region, tag) -> the point on the wall."""
    offsets: dict[tuple[str, str], float]
    """(channel, tag) -> mm to the right of the channel's middle line, going from its cavity to its far end."""


def order_pins(placement: Placement) -> PinOrder:
    """Order and place the leads in every channel by where each goes next.

    A second round knows the pins of the first.
    """
    through = leads_through(placement.global_routes)
    pin_order = PinOrder({}, {})
    twisted = {frozenset((lead.tag, lead.twisted_with)) for lead in placement.leads if lead.twisted_with}
    for _ in range(2):
        for channel, tags in through.items():
            sides = sides_of(placement, channel)
            if sides is not None:
                order = beside_partners(_order(placement, pin_order, channel, sides, tags), twisted)
                assign_pins(placement, pin_order, channel, sides, order)
    return pin_order


def sides_of(placement: Placement, channel: str) -> tuple[str, str] | None:
    """The regions before and behind a channel; None where there is nothing behind it."""
    near = placement.build.channels[channel].cavity
    far = _behind(placement, channel, near)
    return None if far is None else (near, far)


def beside_partners(order: Sequence[str], twisted: Set[frozenset[str]]) -> list[str]:
    """The order with twisted leads next to each other: the later one is moved beside the earlier one."""
    found = list(order)
    for pair in sorted(twisted, key=sorted):
        places = sorted(found.index(tag) for tag in pair if tag in found)
        if len(places) == 2 and places[1] > places[0] + 1:
            found.insert(places[0] + 1, found.pop(places[1]))
    return found


def _behind(placement: Placement, channel: str, near: str) -> str | None:
    found = [r for c, r in placement.openings if c == channel and r != near]
    stalls = [r for r in found if r.startswith("stall ")]
    known = [*stalls, *found] if (channel, near) in placement.openings else []
    return known[0] if known else None


def _order(
    placement: Placement, pin_order: PinOrder, channel: str, sides: tuple[str, str], tags: Sequence[str]
) -> list[str]:
    """The tags from the left to the right of the channel's course that crosses least."""
    leads = {lead.tag: lead for lead in placement.leads}
    keys: list[dict[str, float]] = []
    for region, sign in zip(sides, (-1.0, 1.0), strict=True):
        opening = placement.openings[channel, region]
        side = {}
        for tag in tags:
            goal = _next_point(placement, pin_order, leads[tag], channel, region)
            side[tag] = sign * _bearing(opening, goal)
        keys.append(side)
    near, far = keys
    first, second = (far, near) if sides[1].startswith("stall ") else (near, far)
    # No crossing on the side that weighs more is made up for on the other side: that one only decides between equals.
    return sorted(tags, key=lambda t: (round(first[t], 6), second[t], tags.index(t)))


def _bearing(opening: Opening, goal: Point | None) -> float:
    """Direction from an opening to a place, clockwise from straight in, radians."""
    if goal is None or goal.distance(opening.centre) < 1e-6:
        return 0.0
    deep = opening.centre.towards(opening.outward, 3.0)
    return math.remainder(deep.angle_to(goal) - opening.inward, math.tau)


def _next_point(placement: Placement, pin_order: PinOrder, lead: Lead, channel: str, region: str) -> Point | None:
    """Where a lead goes inside ``region`` when it comes through ``channel``."""
    route = placement.global_routes[lead.tag]
    for i, passed in enumerate(route.channels):
        if passed != channel or region not in route.regions[i : i + 2]:
            continue
        onward = region == route.regions[i + 1]
        j = i + 1 if onward else i - 1
        if 0 <= j < len(route.channels):
            other = route.channels[j]
            slot = pin_order.at.get((other, region, lead.tag))
            return slot or placement.openings[other, region].centre
        end = lead.end if onward else lead.start
        part = placement.parts.get(end.part)
        lug = part.lugs.get(end.lug) if part else None
        return lug.at if lug else None
    return None


def assign_pins(
    placement: Placement, pin_order: PinOrder, channel: str, sides: tuple[str, str], order: Sequence[str]
) -> None:
    """Place the leads of a channel at their pins and offsets, in the order from the left to the right of its course."""
    near, far = sides
    walls = {name: Wall(placement.regions[name].outline) for name in sides if placement.regions[name].kind != "stall"}
    leads = {lead.tag: lead for lead in placement.leads}
    pitches = [pitch_of(placement.build, leads[tag]) for tag in order]
    total, x, offsets = sum(pitches), 0.0, []
    for pitch in pitches:
        offsets.append(round(x + pitch / 2 - total / 2, 4))
        x += pitch
    spots = walls[near].points_at(placement.openings[channel, near], offsets)
    beyond = spots
    if far in walls:
        beyond = walls[far].points_at(placement.openings[channel, far], [-o for o in offsets])
    for tag, offset, here, there in zip(order, offsets, spots, beyond, strict=True):
        pin_order.offsets[channel, tag] = offset
        pin_order.at[channel, near, tag] = here
        pin_order.at[channel, far, tag] = there


def channel_ports(placement: Placement, pin_order: PinOrder) -> tuple[ChannelPort, ...]:
    """Make the port of every opening, with the places of its leads, in the order of the channels."""
    found = []
    for (channel, region), opening in placement.openings.items():
        if region not in placement.regions:
            continue
        mine = {t: p for (c, r, t), p in pin_order.at.items() if c == channel and r == region}
        found.append(ChannelPort(channel, region, opening.centre, opening.inward, placement.widths[channel], mine))
    return tuple(found)
