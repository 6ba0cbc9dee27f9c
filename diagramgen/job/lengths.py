"""Cut lengths: how long each wire is cut, and every share of it.

Rule: route (as laid, true) + channels (their own lengths) + twist + rise at each end + joint at each end +
service slack + hinge, rounded up to 5 mm. Leads run level in a cavity: at the deepest of the lead's own lugs there and
of the bodies it passes over (its own part's not, where both ends are on it). The rise at an end is the level less the
depth of its lug. Lugs outside the cavities and channel mouths count no rise; the slack covers them. A bus is one bare
wire: it is cut once, with its first stretch.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from shapely.geometry import LineString

from diagramgen.job.codes import LEN_301, LEN_302, LEN_303
from diagramgen.job.words import channels_of, end_words, is_pickup, lug_kind
from diagramgen.kernel.diagnostics import Diagnostics, Location
from diagramgen.kernel.units import number
from diagramgen.layout.fit.solids import floor_depth, polygon
from diagramgen.layout.fit.wire_sizes import outer_diameter, own_cable
from diagramgen.layout.model import LaidLead, Layout, PlacedPart, Span
from diagramgen.layout.placement.guessed_places import given_up
from diagramgen.model.build import End, Lead

JOINT = {"eyelet": 6.0, "spot": 8.0, "pad": 3.0, "conductor": 0.0, "screw": 8.0, "clip": 6.0, "leg": 6.0,
         "sleeve": 8.0}
"""mm of bare wire a joint takes, by kind of lug (common practice, no source)."""

INNER_STRIP = 4.0
"""Strip of a pickup's inner conductor, about 28 AWG: 3 to 4 mm, no wrap (common practice, no source)."""

PUSH = 6.0
"""How far a cloth covering is pushed back, mm; it is not cut off, so it adds no length."""

HINGE = 125.0
"""What a lead that crosses a hinged plate needs more, so that the plate lies flat: 100 to 150 mm
(common practice, no source)."""

TURN = 12.0
"""Length of one turn of two wires twisted together, mm (one turn in 10 to 15 mm: common practice, no source)."""

STEP = 5.0
"""Cut lengths are rounded up to this, mm: nobody cuts finer."""


@dataclass(frozen=True)
class Share:
    """One part of a cut length in mm: ``name`` is route, channel, twist, rise, joint, slack, hinge or rounding."""

    name: str
    mm: float
    says: str


@dataclass(frozen=True)
class CutLength:
    """How long a wire is cut, with its shares. All mm."""

    shares: tuple[Share, ...]
    total: float | None
    """What to cut; None where nothing was measured or no wire is cut."""
    need: float | None
    """The least that reaches: without slack and rounding."""
    reason: str
    """Why there is no total; '' where there is one."""
    strips: tuple[str, str]
    """What to do to the covering at each end: ``strip 6``, ``push 6``, ``bare`` or ''."""
    owner: str
    """The part whose own conductor it is, trimmed and not cut from the reel; ''."""
    given: bool
    """The total stands in the file."""
    cut_with: str = ""
    """The tag of the bus wire's first stretch, whose length covers this stretch too."""

    def share(self, name: str) -> float:
        """The sum of all shares of a name."""
        return sum(s.mm for s in self.shares if s.name == name)


def cut_length(laid: LaidLead, layout: Layout) -> CutLength:
    """The cut length of one lead, with the reason where there is none."""
    lead, build = laid.lead, layout.build
    owner = own_cable(lead, build)
    strips = (strip_words(lead, lead.start, layout), strip_words(lead, lead.end, layout))
    if not lead.is_wire:
        return CutLength((), None, None, "no wire is cut", ("", ""), owner if lead.kind == "sleeved" else "", False)
    bus = [other for other in layout.leads if lead.bus and other.lead.bus == lead.bus]
    if bus and bus[0].lead.tag != lead.tag:
        first = bus[0].lead.tag
        return CutLength((), None, None, f"one wire with {first}", strips, owner, False, first)
    reason = next((r for one in bus or [laid] if (r := _unmeasured(one, layout))), "")
    given = lead.length is not None
    if reason:
        return CutLength((), lead.length, None, "" if given else reason, strips, owner, given)
    shares = [s for one in bus or [laid] for s in (*_way(one, layout), *_rises(one, layout))]
    shares += _joints((bus[0].lead.start, bus[-1].lead.end) if bus else (lead.start, lead.end), lead, layout)
    shares += _twist(lead, shares, layout)
    if crosses_hinge(lead, layout):
        shares.append(Share("hinge", HINGE, "crosses the hinged plate"))
    need = sum(s.mm for s in shares)
    shares.append(Share("slack", build.slack, "service slack"))
    total = math.ceil(round((need + build.slack) / STEP, 6)) * STEP
    shares.append(Share("rounding", total - need - build.slack, f"up to {number(STEP)} mm"))
    kept = tuple(s for s in shares if s.mm > 0.005)
    return CutLength(kept, lead.length if lead.length is not None else total, need, "", strips, owner, given)


def strip_words(lead: Lead, end: End, layout: Layout) -> str:
    """What to do to the covering at an end."""
    mm = _joint_mm(lead, end, layout)
    if not lead.is_wire or mm == 0:
        return "push 6" if lead.is_wire and lead.cloth and _joint_kind(end, layout) not in ("conductor", "") else ""
    if lead.kind == "bare" or (lead.colour is not None and lead.colour.bare):
        return "bare"
    return f"strip {number(mm)}"


def _joint_kind(end: End, layout: Layout) -> str:
    return lug_kind(layout.build, end) if end.known else ""


def _joint_mm(lead: Lead, end: End, layout: Layout) -> float:
    """Bare wire a joint takes beyond the route, mm."""
    kind = _joint_kind(end, layout)
    if not kind or kind == "conductor" or lead.cloth:
        return 0.0
    thin = is_pickup(layout.build, own_cable(lead, layout.build))
    return min(INNER_STRIP, JOINT[kind]) if thin else JOINT[kind]


def _joints(ends: tuple[End, End], lead: Lead, layout: Layout) -> list[Share]:
    found = []
    for end in ends:
        mm = _joint_mm(lead, end, layout)
        found.append(Share("joint", mm, f"{_joint_kind(end, layout) or 'free end'} at {end_words(layout.build, end)}"))
    return found


def _unmeasured(laid: LaidLead, layout: Layout) -> str:
    """Why a lead has no true length; '' where it has one."""
    lead = laid.lead
    if not lead.start.known or not lead.end.known:
        if "unknown" in (lead.start.part, lead.end.part):
            return "one end is not known yet"
        return "one end is parked: leave it as long as it is"
    missing = [s for s in laid.spans if s.true_length is None]
    if not missing:
        return ""
    unplaced = [s.region for s in missing if s.kind == "inside" and given_up(layout, s.region)]
    if unplaced:
        return f"not all parts find a place in {unplaced[0]}"
    if not layout.to_scale and all(s.true_length is None for s in laid.spans if s.kind == "inside"):
        return "nothing was measured: the build has no cavity"
    nameless = [c for c in channels_of(layout, lead) if layout.channels[c].length is None]
    if nameless and any(s.kind != "inside" for s in missing):
        return "no length is given for channel " + ", ".join(nameless)
    if missing[0].kind == "inside":
        return f"cavity {missing[0].region} was not measured"
    return "its way outside the cavities was not measured"


def _way(laid: LaidLead, layout: Layout) -> list[Share]:
    """Route inside the cavities, and the channels' own lengths."""
    inside = sum(s.true_length or 0.0 for s in laid.spans if s.kind == "inside")
    passed = sum(s.true_length or 0.0 for s in laid.spans if s.kind != "inside")
    names = ", ".join(channels_of(layout, laid.lead))
    return [Share("route", inside, "as laid"), Share("channel", passed, f"channel {names}")]


def twisted(lead: Lead, layout: Layout) -> tuple[Lead, ...]:
    """The leads a lead is twisted with, whichever of them says so."""
    return tuple(one.lead for one in layout.leads
                 if one.lead.tag == lead.twisted_with or one.lead.twisted_with == lead.tag)


def _twist(lead: Lead, shares: list[Share], layout: Layout) -> list[Share]:
    """What winding round each other takes: a helix of ``TURN`` mm a turn, half a wire's thickness off its axis."""
    others = twisted(lead, layout)
    if not others:
        return []
    across = (outer_diameter(lead, layout.build) + max(outer_diameter(o, layout.build) for o in others)) / 2
    way = sum(s.mm for s in shares if s.name in ("route", "channel"))
    return [Share("twist", way * (math.hypot(1.0, math.pi * across / TURN) - 1.0),
                  f"wound round {', '.join(o.tag for o in others)}")]


def _rises(laid: LaidLead, layout: Layout) -> list[Share]:
    found = []
    for end, span in ((laid.lead.start, laid.spans[0]), (laid.lead.end, laid.spans[-1])):
        placed = layout.parts.get(end.part)
        if placed is None or placed.outside or span.kind != "inside" or end.lug not in placed.lugs:
            continue
        rise = run_level(laid, span.region, layout) - _depth(placed, end, layout)
        found.append(Share("rise", max(0.0, rise), f"at {end_words(layout.build, end)}"))
    return found


def run_level(laid: LaidLead, region: str, layout: Layout) -> float:
    """Depth (mm below the wood) at which a lead runs in a cavity: its deepest lug there, or a body passed over.

    From lug to lug of one part a lead lies along that part's side: it does not climb over the part's own body, and
    the two lugs' difference of depth is all it rises.
    """
    own = laid.lead.start.part if laid.lead.start.part == laid.lead.end.part else ""
    depths = [0.0]
    for end in (laid.lead.start, laid.lead.end):
        placed = layout.parts.get(end.part)
        if placed is not None and not placed.outside and placed.region == region and end.lug in placed.lugs:
            depths.append(_depth(placed, end, layout))
    for span in laid.spans:
        if span.region == region and span.kind == "inside":
            depths += [_height(layout.parts[name], span) for name in span.over if name in layout.parts and name != own]
    return max(depths)


def _depth(placed: PlacedPart, end: End, layout: Layout) -> float:
    """Depth of a lug below the face that carries the controls, also for a part on the opposite floor."""
    floor = floor_depth(placed, layout.regions[placed.region])
    depth = placed.lugs[end.lug].depth
    return depth if floor is None else floor - depth


def _height(placed: PlacedPart, span: Span) -> float:
    """The deepest of a part's zones that a stretch of lead passes over."""
    points = span.path.flat()
    line = LineString(points) if len(points) > 1 else None
    passed = [z.high for z in placed.body
              if z.outline.closed and line is not None and line.intersects(polygon(z.outline))]
    return max(passed, default=0.0)


def crosses_hinge(lead: Lead, layout: Layout) -> bool:
    """Whether one end hangs on a hinged plate and the other does not."""
    return _plate(lead.start, layout) != _plate(lead.end, layout)


def _plate(end: End, layout: Layout) -> str:
    """The cavity whose hinged plate carries a part; '' for parts that stay with the body."""
    placed = layout.parts.get(end.part)
    if placed is None or placed.outside or placed.part.symbol.mounting.side == "floor":
        return ""
    region = layout.regions.get(placed.region)
    cavity = region.cavity if region else None
    return cavity.name if cavity and cavity.plate and cavity.plate.hinge else ""


SHORTEST = 2 * INNER_STRIP
"""mm: both ends of the thinnest conductor stripped, and nothing between."""


def check_lengths(layout: Layout, say: Diagnostics) -> None:
    """Lengths in the file that are too short, cables that do not reach, and leads without a length."""
    silent: dict[str, list[str]] = {}
    for laid in layout.leads:
        lead, cut = laid.lead, cut_length(laid, layout)
        if lead.length is not None and lead.is_wire and lead.length < SHORTEST:
            say.add(LEN_301, lead.place, f"lead {lead.tag} is given {number(lead.length, 4)} mm: no wire is cut and "
                    f"stripped shorter than {number(SHORTEST)} mm", "Check the figure and its unit.")
        elif lead.length is not None and cut.need is not None and cut.need - lead.length > 0.5:
            say.add(LEN_301, lead.place, f"lead {lead.tag} is given {number(lead.length)} mm, but needs "
                    f"{number(cut.need)} mm: {number(cut.need - lead.length)} mm short, before slack",
                    "Leave the length out, or check the places of its two ends.")
        if cut.owner:
            _reach(lead, cut, layout, say)
        if cut.total is None and lead.is_wire and "channel" in cut.reason:
            silent.setdefault(cut.reason, []).append(lead.tag)
    for reason, tags in silent.items():
        say.add(LEN_303, Location(layout.build.file), f"no cut length for {', '.join(tags)}: {reason}")


def _reach(lead: Lead, cut: CutLength, layout: Layout, say: Diagnostics) -> None:
    part = layout.build.parts[cut.owner]
    if part.cable_length is None or cut.need is None:
        return
    short = cut.need - part.cable_length
    if short > 0.5:
        say.add(LEN_302, part.places.get("cable length", part.place),
                f"the {number(part.cable_length)} mm cable of {part.name} does not reach {lead.end} with lead "
                f"{lead.tag}: {number(cut.need)} mm needed, {number(short)} mm short")
