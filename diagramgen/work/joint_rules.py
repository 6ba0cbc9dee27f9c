"""Joints that take more wires than their lug holds."""

from __future__ import annotations

from diagramgen.build.model import Build
from diagramgen.problems import Collector
from diagramgen.work.leadlist import joints


def check_joints(build: Build, say: Collector) -> None:
    """Warn where more wires meet at a lug than it takes."""
    for joint in joints(build):
        if joint.wires > joint.takes:
            part = build.parts[joint.key.split(".", 1)[0]]
            wires = ", ".join(e.tag for e in joint.ends if e.wires)
            say.warning("W304", part.place,
                        f"{joint.wires} wires meet at {joint.key} ({wires}); it takes {joint.takes}",
                        "Move one to another lug of the same net, or join two in a sleeve before the lug.")
