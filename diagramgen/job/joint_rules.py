"""Joints that take more than their lug holds, or than an iron can work on one spot."""

from __future__ import annotations

from diagramgen.job.codes import LEN_304
from diagramgen.job.lead_list import joints
from diagramgen.kernel.diagnostics import Diagnostics
from diagramgen.model.build import Build

SPREAD = ("Take some to another case that is joined to it, or join two in a sleeve before the case; else set them on "
          "two spots, each made in one heat.")
ELSEWHERE = "Move one to another lug of the same net, or join two in a sleeve before the lug."


def check_joints(build: Build, say: Diagnostics) -> None:
    """Warn where more ends meet at a lug than it takes."""
    for joint in joints(build):
        if joint.wires > joint.takes:
            part = build.parts[joint.key.split(".", 1)[0]]
            ends = ", ".join(e.tag for e in joint.ends if e.wires)
            spot = joint.kind == "spot"
            can = f"{joint.takes} can be worked on one spot of it" if spot else f"it takes {joint.takes}"
            say.add(LEN_304, part.place, f"{joint.wires} ends meet at {joint.key} ({ends}); {can}",
                    SPREAD if spot else ELSEWHERE)
