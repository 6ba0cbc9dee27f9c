"""Reorders pins from leads that are laid: the fewest crossings that another order promises.

Two leads that cross in a region and share one of its openings would not, had they each other's pin there: each could go
on along the other's way from where they meet. So exchanging two pins turns a crossing on either side of the opening
into none and none into one, and the crossings with all others stay the same in sum.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence

import shapely
from shapely.geometry import Point as Spot

from diagramgen.layout.global_routing.channel_ports import (
    STALL_WEIGHT,
    PinOrder,
    assign_pins,
    beside_partners,
    sides_of,
)
from diagramgen.layout.global_routing.constraints import Constraints
from diagramgen.layout.global_routing.region_memo import line_of
from diagramgen.layout.placement.arrange_cavities import Placement
from diagramgen.layout.routing import Route, RoutingRegion

Crossed = Mapping[tuple[str, str], int]
"""Tags of two leads in order -> how often they cross."""

_END = 1.0  # mm from an end within which leads that meet do not count as crossing


def count_crossings(region: RoutingRegion, routes: Sequence[Route]) -> dict[tuple[str, str], int]:
    """Count how often each two leads of a region cross, apart from their ends; (tag, tag) in order -> count."""
    lines = [line_of(r) for r in routes]
    tree = shapely.STRtree(lines)
    found: dict[tuple[str, str], int] = {}
    for i, line in enumerate(lines):
        for j in sorted(tree.query(line, predicate="intersects").tolist()):
            if j <= i:
                continue
            met = line.intersection(lines[j])
            points = [g for g in getattr(met, "geoms", [met]) if g.geom_type == "Point" and not g.is_empty]
            ends = [Spot(region.pins[e].at) for r in (region.nets[i], region.nets[j]) for e in (r.start, r.end)]
            count = sum(1 for p in points if min(p.distance(e) for e in ends) > _END)
            key = _key(routes[i].subject, routes[j].subject)
            if count and key[0] != key[1]:
                found[key] = found.get(key, 0) + count
    return found


def weighted_crossings(placement: Placement, crossed: Mapping[str, Crossed]) -> int:
    """Sum all crossings, those in stalls weighted by STALL_WEIGHT."""
    return sum(_weight(placement, name) * sum(pairs.values()) for name, pairs in crossed.items())


def _weight(placement: Placement, region: str) -> int:
    return STALL_WEIGHT if placement.regions[region].kind == "stall" else 1


def _key(a: str, b: str) -> tuple[str, str]:
    return (a, b) if a < b else (b, a)


def exchange_pins(
    placement: Placement, pin_order: PinOrder, crossed: Mapping[str, Crossed], constraints: Mapping[str, Constraints]
) -> PinOrder | None:
    """Exchange neighbours in every channel while that promises fewer crossings; None where no order changes."""
    odd = {name: {key for key, count in pairs.items() if count % 2} for name, pairs in crossed.items()}
    partners = {frozenset((tag, wish.twisted)) for tag, wish in constraints.items() if wish.twisted}
    new = PinOrder(dict(pin_order.at), dict(pin_order.offsets))
    changed = False
    for channel in dict.fromkeys(channel for channel, _ in pin_order.offsets):
        sides = sides_of(placement, channel)
        if sides is None:
            continue
        old = sorted((t for c, t in pin_order.offsets if c == channel), key=lambda t: pin_order.offsets[channel, t])
        order = beside_partners(_exchanged(placement, old, sides, odd), partners)
        if order != old:
            assign_pins(placement, new, channel, sides, order)
            changed = True
    return new if changed else None


def _exchanged(
    placement: Placement, old: Sequence[str], sides: tuple[str, str], odd: dict[str, set[tuple[str, str]]]
) -> list[str]:
    """The order after exchanges of neighbours that take away more crossings than they make."""
    order = list(old)
    for _ in order:
        still = True
        for i in range(len(order) - 1):
            key = _key(order[i], order[i + 1])
            gain = sum(_weight(placement, s) * (1 if key in odd.get(s, ()) else -1) for s in sides)
            if gain > 0:
                order[i], order[i + 1] = order[i + 1], order[i]
                for s in sides:
                    odd.setdefault(s, set()).symmetric_difference_update({key})
                still = False
        if still:
            break
    return order
