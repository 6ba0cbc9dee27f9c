"""Route a case: ``routing.py CASE.json PATHS.json``; the paths are measured with ``route_metrics.py``.

CASE.json: {cavity: polygon, shapes: [polygon], lugs: [[x, y]], leads: [[lug, lug]], clearance: mm}.
PATHS.json: one polyline a lead, in the order of the leads, curves flattened to 0.05 mm.
"""

from __future__ import annotations

import json
import sys
from pathlib import Path
from typing import Any

from diagramgen.kernel.geometry import Point
from diagramgen.layout.routing import Net, Obstacle, Pin, RoutingRegion, route

LANE = 0.47  # mm between the middles of two leads; the measure calls anything under 0.4 an overlap
BEND = 1.5


def room_of(case: dict[str, Any]) -> RoutingRegion:
    """The case as a room: bodies that may not be passed over, lugs without a circle of their own."""
    return RoutingRegion(
        outline=tuple(Point(*p) for p in case["cavity"]),
        obstacles=tuple(
            Obstacle(f"part:{i}", tuple(Point(*p) for p in shape)) for i, shape in enumerate(case["shapes"])
        ),
        pins=tuple(Pin(f"lug:{i}", Point(*at), radius=0.0) for i, at in enumerate(case["lugs"])),
        nets=tuple(Net(f"lead:{i}", a, b, LANE, BEND) for i, (a, b) in enumerate(case["leads"])),
        clearance=case["clearance"],
    )


def paths_of(case: dict[str, Any]) -> list[list[tuple[float, float]]]:
    """The case's leads as polylines."""
    return [[(p.x, p.y) for p in laid.path.flat(0.05)] for laid in route(room_of(case))]


def main(case: str, paths: str) -> None:
    found = paths_of(json.loads(Path(case).read_text()))
    Path(paths).write_text(json.dumps(found))


if __name__ == "__main__":
    main(sys.argv[1], sys.argv[2])
