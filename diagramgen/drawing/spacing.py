"""Measures what lies too close in a drawing: lead along lead, label on a lug that it does not name."""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence

import numpy as np
import shapely

from diagramgen.drawing.findings import Finding
from diagramgen.layout.model import LaidLead, Layout, PlacedLug
from diagramgen.layout.pads import EYELET, LEAD_EDGE_WIDTH

MERGE = LEAD_EDGE_WIDTH - 0.12
"""Two leads whose middles are nearer than this, mm, share an edge and look like one broad lead; 0.12 mm of overlap,
half a 0.25 mm line, no eye sees."""
SHALLOW = math.radians(20)
"""A crossing flatter than this does not read as a crossing: by the rule of smooth continuation the eye may leave by
the wrong lead (our own figure; no standard gives one)."""
TOGETHER = 2 * MERGE / math.sin(SHALLOW)
"""How far along two leads may share an edge, mm: what a crossing at ``SHALLOW`` takes."""
FAN = 8.0
"""Leads that end on one lug come together this near to it, mm: there they have no other way."""
SHARED = 2.0
"""Ends nearer than this, mm, are on one lug or on lugs behind one another."""
LUG_ROUND = EYELET - 0.12
"""A label nearer to a lug's centre than this covers its eyelet, mm."""


def leads_on_leads(leads: Sequence[LaidLead]) -> Iterable[Finding]:
    """Pairs of leads that run along each other closer than ``MERGE``, away from lugs they share."""
    if len(leads) < 2:
        return
    lines = np.array([shapely.LineString(one.path.flat(0.05)) for one in leads], dtype=object)
    first, second = shapely.STRtree(lines).query(lines, predicate="dwithin", distance=MERGE)
    for a, b in sorted((int(a), int(b)) for a, b in zip(first, second, strict=True) if a < b):
        one, other = leads[a].lead, leads[b].lead
        if one.twisted_with == other.tag or other.twisted_with == one.tag:
            continue
        along = _along(lines[a], lines[b], leads[a], leads[b])
        if along > TOGETHER:
            yield Finding("D109", f"leads {one.tag} and {other.tag} lie on each other for {along:.0f} mm",
                          (f"lead:{one.tag}", f"lead:{other.tag}"))


def _along(a: shapely.LineString, b: shapely.LineString, one: LaidLead, other: LaidLead) -> float:
    """The longest stretch in mm of one lead that another lies on."""
    close = shapely.intersection(a, shapely.buffer(b, MERGE))
    fans = [shapely.Point(p).buffer(FAN) for p in (one.path.start, one.path.end)
            for q in (other.path.start, other.path.end) if p.distance(q) < SHARED]
    if fans:
        close = shapely.difference(close, shapely.union_all(fans))
    if close.geom_type == "MultiLineString":
        close = shapely.line_merge(close)
    return max((float(g.length) for g in shapely.get_parts(close)), default=0.0)


def labels_on_lugs(labels: Sequence[tuple[str, str, shapely.Polygon]], layout: Layout) -> Iterable[Finding]:
    """Labels (subject, words, the area they cover) that lie on a lug they do not name."""
    lugs: list[PlacedLug] = [lug for part in layout.parts.values() for lug in part.lugs.values()]
    if not labels or not lugs:
        return
    frames = np.array([frame for _, _, frame in labels], dtype=object)
    points = np.array([shapely.Point(lug.at) for lug in lugs], dtype=object)
    rows, hits = shapely.STRtree(points).query(frames, predicate="dwithin", distance=LUG_ROUND)
    for row, hit in sorted((int(r), int(h)) for r, h in zip(rows, hits, strict=True)):
        subject, words, _ = labels[row]
        own = [lug for lug in lugs if f"lug:{lug.key}" == subject]
        # One label names all the lugs behind one another.
        if all(lug.at.distance(lugs[hit].at) > SHARED for lug in own):
            yield Finding("D110", f"the label '{words}' hides the lug {lugs[hit].key}",
                          (subject, f"lug:{lugs[hit].key}"))
