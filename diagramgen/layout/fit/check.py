"""The fit check's one entrance."""

from __future__ import annotations

from collections.abc import Mapping

from diagramgen.layout.fit.bodies import check_bodies
from diagramgen.layout.fit.depth import check_depths
from diagramgen.layout.fit.holes import check_channels
from diagramgen.layout.fit.solids import fitted
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
