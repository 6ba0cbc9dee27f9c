"""What passes through a drilled channel: circles of cables and wires in a round hole.

One circle needs d <= D, two need d1 + d2 <= D, three the circle round three that touch: exact. More than
three: circles whose areas add up to at most half of the hole's always fit ("Packing Disks into Disks with
Optimal Worst-Case Density", SoCG 2019); beyond 7/9, the densest of the small equal packings (seven equal
circles), nothing is pulled through. Between the two it is a matter of trying.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence

from diagramgen.build.model import Channel
from diagramgen.layout.fit.wires import outer_diameter, own_cable
from diagramgen.layout.model import Layout
from diagramgen.problems import Collector
from diagramgen.units import number

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


def check_channels(layout: Layout, say: Collector) -> None:
    """The fill of every channel."""
    for channel in layout.channels.values():
        circles = channel_circles(layout, channel)
        if circles:
            _fill(channel, circles, say)


def _fill(channel: Channel, circles: Sequence[tuple[str, float]], say: Collector) -> None:
    sizes = [d for _, d in circles]
    fill = sum(d * d for d in sizes) / channel.diameter**2
    exact, needed = _up_to_three(sorted(sizes, reverse=True)[:3]), smallest_hole(sizes)
    listed = ", ".join(f"{what} {number(d)}" for what, d in circles)
    hole = f"channel {channel.name} is {number(channel.diameter)} mm; through it go {listed}: "
    filled = f"they fill {number(fill * 100, 0)} % of it"
    remedy = f"A hole of {number(math.ceil(needed * 2 - 1e-9) / 2)} mm passes them all."
    if exact - channel.diameter > 1e-6:
        say.error("P320", channel.place, f"{hole}{number(exact - channel.diameter)} mm short", remedy)
    elif len(sizes) > 3 and fill > DENSEST:
        short = number(needed - channel.diameter)
        say.error("P320", channel.place, f"{hole}{filled}, {short} mm short", remedy)
    elif len(sizes) > 3 and fill > SURE_FILL:
        say.warning("P321", channel.place,
                    f"{hole}{filled}; more than {number(SURE_FILL * 100, 0)} % may not pull through", remedy)


def channel_circles(layout: Layout, channel: Channel) -> tuple[tuple[str, float], ...]:
    """What passes a channel, as (words, outer diameter in mm): a cable counts once, not per conductor."""
    build = layout.build
    tags = {tag for d in layout.doors if d.channel == channel.name for tag in d.slots}
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
