"""The layout of a build in one call: place, arrange, order the pins, route the leads."""

from __future__ import annotations

from dataclasses import replace

from diagramgen.kernel.diagnostics import Diagnostics
from diagramgen.kernel.geometry import Box
from diagramgen.layout.global_routing.channel_ports import channel_ports, order_pins
from diagramgen.layout.global_routing.region_memo import RegionMemo, RegionRouter, route_with_partners
from diagramgen.layout.global_routing.route_leads import route_leads
from diagramgen.layout.model import LaidLead, Layout
from diagramgen.layout.placement.arrange_cavities import Placement, arrange, place_all
from diagramgen.model.build import Build

__all__ = ["layout", "place_all"]


def layout(build: Build, say: Diagnostics, router: RegionRouter | None = None) -> Layout:
    """Place and route everything; never fails: what cannot be kept is drawn plainly and reported.

    Parameters: say - receives the problems; router - how the leads of a region are routed, such as a ``RegionMemo``
    that keeps what was routed and placed before. Returns: the layout, frozen.
    """
    placement = arrange(build, say, router.placements if isinstance(router, RegionMemo) else None)
    leads, pin_order = route_leads(placement, order_pins(placement), say, router or route_with_partners)
    return Layout(
        build=build,
        regions=dict(placement.regions),
        parts={name: replace(placed, part=build.parts[name]) for name, placed in placement.parts.items()},
        ports=channel_ports(placement, pin_order),
        channels=build.channels,
        leads=leads,
        to_scale=build.to_scale and not _in_rows(placement),
        box=_box(placement, leads),
    )


def _in_rows(placement: Placement) -> bool:
    """Whether measures of the file had to be given up, as not everything finds a place in its cavity."""
    given_up = any(r.cavity is not None and r.cavity.outline != placement.build.cavities[r.name].outline
                   for r in placement.regions.values())
    return given_up or any(p.automatic and p.part.at is not None for p in placement.parts.values())


def _box(placement: Placement, leads: tuple[LaidLead, ...]) -> Box:
    boxes = [r.box for r in placement.regions.values()]
    boxes += [p.box for p in placement.parts.values()]
    boxes += [span.path.box() for lead in leads for span in lead.spans]
    whole = boxes[0]
    for box in boxes[1:]:
        whole = whole.union(box)
    return whole
