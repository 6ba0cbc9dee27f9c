"""Leads and braids drawn over a lug, or the joint of a bent lug, that is not theirs: there they read as soldered to it.

Judged by what is drawn, on whichever sheet draws it largest: pads and joints with their lines, leads as broad as where
they stand out. A sheet on which this happens says something false, so it is an error.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np
import shapely

from diagramgen.drawing.braids import tails
from diagramgen.drawing.codes import DRW_103, DRW_113
from diagramgen.drawing.diagram import joint_counts
from diagramgen.drawing.findings import Finding
from diagramgen.kernel.codes import Code
from diagramgen.kernel.diagnostics import Diagnostics
from diagramgen.kernel.geometry import Path
from diagramgen.layout.model import Layout
from diagramgen.layout.pads import BEHIND, SEEN, USUAL, Pad, half_width, pad_radius, rim_joints
from diagramgen.model.build import Lead

ROUNDED = 0.01
"""Ways are rounded and curves are flattened by this much, mm: no more is made of a distance."""


@dataclass(frozen=True)
class _Stroke:
    """What is drawn of a lead or of its braid: its code, how it is called, its half width and its own lugs."""

    code: Code
    says: str
    lead: Lead
    path: Path
    half: float
    own: frozenset[str]


def over_lugs(layout: Layout) -> tuple[Finding, ...]:
    """Every lead (DRW-103) and every braid's end (DRW-113) over a foreign lug, of a layout at full size."""
    pads = _pads(layout)
    strokes = [one for one in _strokes(layout) if one.path.length() > 0]
    if not pads or not strokes:
        return ()
    tree = shapely.STRtree(np.array([shapely.Point(pad.at).buffer(pad.radius) for pad in pads], dtype=object))
    found = [Finding(one.code, f"{one.says} is drawn over {pad.key}, which is not its own", (f"lead:{one.lead.tag}",
                     f"lug:{pad.key}"))
             for one in strokes for pad in _under(one, pads, tree, layout)]
    return tuple(dict.fromkeys(found))


def report_over_lugs(layout: Layout, astray: frozenset[str], say: Diagnostics) -> None:
    """What ``over_lugs`` finds, as errors; ``astray``: tags of leads to parts that stand wrong, which was said."""
    places = {f"lead:{one.lead.tag}": one.lead.place for one in layout.leads}
    if len(places) < len(layout.leads):
        return  # two leads of one tag, whose ways are mixed up: said where they were read
    for finding in over_lugs(layout):
        subject = finding.subjects[0]
        if subject.removeprefix("lead:") not in astray:
            say.add(finding.code, places[subject], finding.message)


def _under(one: _Stroke, pads: Sequence[Pad], tree: shapely.STRtree, layout: Layout) -> Iterator[Pad]:
    """The foreign pads that a stroke touches; lugs in front of or behind one of its own are told by the detail."""
    line = shapely.LineString(one.path.flat(0.05))
    ends = [(part, layout.parts[part].lugs[lug].at) for part, _, lug in (key.partition(".") for key in sorted(one.own))
            if part in layout.parts and lug in layout.parts[part].lugs]
    reach = one.half - SEEN - ROUNDED
    for hit in np.sort(tree.query(line, predicate="dwithin", distance=max(reach, 0.0))).tolist():
        pad = pads[hit]
        part = pad.key.partition(".")[0]
        deep = any(name == part and at.distance(pad.at) < BEHIND for name, at in ends)
        if not deep and one.own.isdisjoint(pad.own) and line.distance(shapely.Point(pad.at)) < pad.radius + reach:
            yield pad


def _pads(layout: Layout) -> list[Pad]:
    counts = joint_counts(layout)
    found = [Pad(lug.key, lug.at, pad_radius(lug, counts.get(lug.key, 0)), (lug.key,))
             for part in layout.parts.values() for lug in part.lugs.values()]
    leads = [one.lead for one in layout.leads]
    return found + [pad for part in layout.parts.values() for pad in rim_joints(part, leads)]


def _strokes(layout: Layout) -> Iterator[_Stroke]:
    for laid in layout.leads:
        lead = laid.lead
        own = frozenset(str(end) for end in (lead.start, lead.end) if end.known)
        yield _Stroke(DRW_103, f"lead {lead.tag}", lead, laid.path, half_width(lead, strong=True), own)
    for laid, end, way in tails(layout):
        yield _Stroke(DRW_113, f"the braid of lead {laid.lead.tag} to {end}", laid.lead, way, USUAL,
                      frozenset((str(end),)))
