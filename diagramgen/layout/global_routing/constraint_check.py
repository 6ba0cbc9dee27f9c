"""Holds the laid leads against what the file asked of them, and reports what is not as asked."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence

import shapely
from shapely.geometry import LineString
from shapely.geometry import Point as Spot
from shapely.geometry.base import BaseGeometry

from diagramgen.kernel.codes import Severity
from diagramgen.kernel.diagnostics import Diagnostics
from diagramgen.kernel.geometry import Point
from diagramgen.layout.codes import RTE_102, RTE_103, RTE_104, RTE_105, RTE_106
from diagramgen.layout.global_routing.constraints import Constraints
from diagramgen.layout.global_routing.crossable import region_of
from diagramgen.layout.global_routing.region_memo import (
    APART,
    LOOSE_ENDS,
    Pair,
    beside_distance,
    close_ends,
    closest,
    length_apart,
    line_of,
    pairs_of,
)
from diagramgen.layout.global_routing.regions import WALL_BAND
from diagramgen.layout.model import LaidLead
from diagramgen.layout.placement.arrange_cavities import Placement
from diagramgen.layout.placement.place_parts import hulls, polygon
from diagramgen.layout.routing import Route, RoutingRegion
from diagramgen.model.build import Lead

MISSED = 0.5
"""A lead passes a place where it comes as near as that, mm."""
_ALONG = 10.0  # mm that a lead along the wall may lie off it beyond its ways there and back
_TURN = 12.0  # mm together without which two leads are not twisted: one turn takes 10 to 15
_SHORT = 5.0  # mm along the wall from which it lies there at all


def check_constraints(
    placement: Placement, constraints: Mapping[str, Constraints], laid: Sequence[LaidLead], say: Diagnostics
) -> None:
    """Report what single leads did not get: the wall (RTE-102), parts to pass (RTE-103), places to pass (RTE-106)."""
    for one in laid:
        wish = constraints[one.lead.tag]
        if wish.along:
            _check_wall(placement, one, say)
        for how, names in (("over", wish.over), ("under", wish.under)):
            for name in names:
                _check_part(placement, one, how, name, say)
        for place in one.lead.via:
            _check_place(placement, one, place, say)


def _line(one: LaidLead, region: str = "") -> BaseGeometry:
    paths = [span.path.flat(0.05) for span in one.spans if region in ("", span.region)]
    return shapely.union_all([LineString(p) for p in paths if len(set(p)) > 1])


def _check_wall(placement: Placement, one: LaidLead, say: Diagnostics) -> None:
    for name in dict.fromkeys(span.region for span in one.spans if span.kind == "inside"):
        floor = polygon(placement.regions[name].outline)
        path = _line(one, name)
        if path.is_empty:
            continue
        ends = [span.path for span in one.spans if span.region == name and span.kind == "inside"]
        ways = sum(floor.exterior.distance(Spot(p)) for p in (ends[0].start, ends[-1].end))
        off = path.intersection(floor.buffer(-WALL_BAND - 0.1)).length
        if off > 1.3 * ways + _ALONG or path.length - off < _SHORT:
            say.add(
                RTE_102,
                one.lead.place,
                f"lead {one.lead.tag} lies along the wall for {path.length - off:.0f} of its {path.length:.0f} mm "
                f"in '{name}' only",
                "Lead it there with 'via', or leave 'along wall' out.",
            )


def _check_part(placement: Placement, one: LaidLead, how: str, name: str, say: Diagnostics) -> None:
    body = shapely.union_all(hulls(placement.parts[name]))
    if not body.is_empty and _line(one).intersection(body).length < MISSED:
        say.add(
            RTE_103,
            one.lead.place,
            f"lead {one.lead.tag} is not laid {how} {name}: no way was found there",
            f"Lead it there with 'via', or leave '{how} {name}' out.",
        )


def _check_place(placement: Placement, one: LaidLead, place: Point, say: Diagnostics) -> None:
    region = region_of(placement, one.lead, place)
    spot = f"{place.x:g} {place.y:g}"
    if not region:
        why = "it lies outside of every cavity the lead passes"
    else:
        at = Spot(placement.views[region](place))
        apart = _line(one, region).distance(at)
        if apart <= MISSED:
            return
        here = [p for p in placement.parts.values() if p.region == region]
        under = [p.part.name for p in here if shapely.union_all(hulls(p)).covers(at)]
        wall = polygon(placement.regions[region].outline).exterior.distance(at)
        why = f"it comes within {apart:.1f} mm of it"
        why += f"; {under[0]} stands there" if under else f"; the wall is {wall:.1f} mm from it" if wall < 2 else ""
    say.add(
        RTE_106,
        one.lead.place,
        f"lead {one.lead.tag} does not pass the place {spot}: {why}",
    )


def check_pairs(
    regions: Mapping[str, tuple[RoutingRegion, tuple[Route, ...]]],
    constraints: Mapping[str, Constraints],
    leads: Mapping[str, Lead],
    say: Diagnostics,
) -> None:
    """Report leads nearer than they shall be (RTE-104), or twisted and not laid together (RTE-105)."""
    met: dict[tuple[str, str], float] = {}
    for name, (region, routes) in regions.items():
        for pair in pairs_of(region.nets, constraints):
            mine, theirs = region.nets[pair.mine].subject, region.nets[pair.theirs].subject
            if pair.twisted:
                together = _check_twisted(leads[mine], theirs, region, pair, routes, say)
                met[mine, theirs] = met[theirs, mine] = met.get((mine, theirs), 0.0) + together
            else:
                _check_apart(leads[mine], theirs, name, region, pair, routes, say)
    for tag, wish in constraints.items():
        if wish.twisted and met.get((tag, wish.twisted), 0.0) < _TURN:
            nowhere = (tag, wish.twisted) in met
            say.add(
                RTE_105,
                leads[tag].place,
                f"lead {tag} cannot be twisted with {wish.twisted}: they "
                + ("lie beside each other nowhere" if nowhere else "pass no cavity together"),
                "Lead both past the same places with 'via', or leave 'twisted with' out." if nowhere
                else "Leave 'twisted with' out.",
            )


def _check_twisted(
    lead: Lead, other: str, region: RoutingRegion, pair: Pair, routes: Sequence[Route], say: Diagnostics
) -> float:
    """Say that twisted leads part; returns how much of them lies together, or is said not to, mm."""
    mine, theirs = line_of(routes[pair.mine]), line_of(routes[pair.theirs])
    near = beside_distance(region.nets[pair.mine], region.nets[pair.theirs])
    short, long = sorted((mine, theirs), key=lambda line: line.length)
    together = float(short.intersection(long.buffer(near)).length)
    if length_apart(mine, theirs, near) > LOOSE_ENDS:
        say.add(
            RTE_105,
            lead.place,
            f"lead {lead.tag} lies beside {other} for {together:.0f} of {short.length:.0f} mm only: it is not drawn "
            "as twisted with it there",
            "Are their ends near each other? Lead both past the same places with 'via', or leave 'twisted with' out.",
        )
        return math.inf
    return together


def _check_apart(
    lead: Lead, other: str, name: str, region: RoutingRegion, pair: Pair, routes: Sequence[Route], say: Diagnostics
) -> None:
    mine, theirs = line_of(routes[pair.mine]), line_of(routes[pair.theirs])
    apart, at = closest(region, pair, mine, theirs)
    if apart < APART - MISSED / 10:
        lugs = [t for t in region.pins if at is not None]
        near = min(lugs, key=lambda t: t.at.distance(at or t.at)).subject if lugs else name
        how = f"comes within {apart:.1f} mm of" if apart > 0.05 else "crosses"
        say.add(
            RTE_104,
            lead.place,
            f"lead {lead.tag} {how} lead {other} near {near}: they are to be {APART:.0f} mm apart",
        )
    elif mine.distance(theirs) < APART - MISSED / 10 and not close_ends(region, pair).is_empty:
        say.add(
            RTE_104.at(Severity.NOTE),
            lead.place,
            f"lead {lead.tag} comes within {mine.distance(theirs):.1f} mm of lead {other} where their ends are no "
            "further apart",
            "Keep them apart by hand there, or change lugs.",
        )
