"""How thick a lead is, and whose cable it runs in."""

from __future__ import annotations

from diagramgen.kernel.units import awg_diameter
from diagramgen.model.build import Build, Lead

OUTER = {18: 2.0, 20: 1.8, 22: 1.6, 24: 1.4, 26: 1.3, 28: 1.1, 30: 0.9}
"""Outer diameter of PVC hook-up wire by AWG, mm (typical, from memory: 22 is 1.5-1.65, 24 is 1.3-1.45,
26 is 1.2-1.35)."""

CLOTH = 2.1
"""Outer diameter of cloth-covered wire, mm (22 AWG: 1.9 to 2.4, typical, from memory)."""

SHIELDED = 3.0
"""Outer diameter of a single shielded conductor, mm (typical, from memory)."""


def outer_diameter(lead: Lead, build: Build) -> float:
    """Outer diameter of a lead in mm: as given, or typical for its kind and gauge."""
    if lead.diameter is not None:
        return lead.diameter
    gauge = lead.gauge if lead.gauge is not None else build.wire_gauge
    if lead.kind == "bare" or (lead.colour is not None and lead.colour.bare):
        return awg_diameter(gauge)
    if lead.kind == "shielded":
        return SHIELDED
    if lead.cloth:
        return CLOTH
    if lead.gauge is None or lead.gauge == build.wire_gauge:
        return build.wire_diameter
    return OUTER[min(OUTER, key=lambda g: (abs(g - gauge), g))]


def own_cable(lead: Lead, build: Build, through: str = "") -> str:
    """The part whose own conductor a lead is, or ''; ``through`` prefers a part behind that channel."""
    owners = [e.part for e in (lead.start, lead.end) if _conductor(build, e.part, e.lug)]
    if lead.cable in build.parts:
        owners.insert(0, lead.cable)
    behind = [o for o in owners if through and build.parts[o].through == through]
    return next(iter(behind or owners), "")


def _conductor(build: Build, part: str, lug: str) -> bool:
    if part not in build.parts:
        return False
    patterns = build.parts[part].symbol.drawing.lugs
    return any(lug in row and p.kind == "conductor" for p in patterns for row in p.names)
