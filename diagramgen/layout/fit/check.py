"""The fit check's one entrance."""

from __future__ import annotations

from collections.abc import Mapping

from diagramgen.layout.fit.bodies import check_bodies
from diagramgen.layout.fit.depth import check_depths
from diagramgen.layout.fit.holes import check_channels
from diagramgen.layout.fit.solids import fitted, where
from diagramgen.layout.fit.walls import check_walls
from diagramgen.layout.model import Layout
from diagramgen.problems import Collector


def check_fit(layout: Layout, say: Collector, roles: Mapping[str, str] | None = None) -> None:
    """Say every misfit with the millimetres missing; what was not measured is not judged.

    ``roles`` maps lug keys to ground, hot or other (``circuit.roles.net_roles``); with it a ground lug may
    lie beside metal and a hot one is named so.
    """
    known = dict(roles or {})
    parts = fitted(layout)
    check_bodies(parts, known, say)
    check_walls(layout, parts, known, say)
    check_depths(layout, say)
    check_channels(layout, say)


def say_ways(layout: Layout, routed: Collector, say: Collector) -> frozenset[str]:
    """Say what the router could not keep, but of the leads to parts that stand in the wall: these have to move first.

    The tags of those leads are given back. A component hung by its legs on such a part goes with it.
    """
    wrong = {p.place for p in say if p.code == "P304"}
    parts = {name for name, placed in layout.parts.items() if where(placed) in wrong}
    parts |= {name for name, placed in layout.parts.items()
              if any(end.part in parts for end in placed.part.between or ())}
    astray = [one.lead for one in layout.leads if {one.lead.start.part, one.lead.end.part} & parts]
    places = {lead.place for lead in astray}
    say.extend(say.quoted(p) for p in routed if p.code != "W101" or p.place not in places)
    return frozenset(lead.tag for lead in astray)
