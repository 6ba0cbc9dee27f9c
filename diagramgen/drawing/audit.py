"""Measures a composed diagram: what covers what, which lead is where it must not be, which tag is missing.

The audit sees the finished marks and the layout they came from; limits are constants with a reason. It runs
in the tests on every sample and in ``check`` on the user's own builds.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence

import numpy as np
import shapely

from diagramgen.build.model import End
from diagramgen.drawing.contrast import pale_leads, pale_texts
from diagramgen.drawing.diagram import Drawing
from diagramgen.drawing.findings import Finding
from diagramgen.drawing.labels import Set, frame_of
from diagramgen.drawing.naming import tag_labels
from diagramgen.drawing.overlugs import over_lugs
from diagramgen.drawing.spacing import labels_on_lugs, leads_on_leads
from diagramgen.geometry import Box, Point
from diagramgen.layout.bends import ends_of_bend
from diagramgen.layout.model import LaidLead, Layout
from diagramgen.layout.pads import LEAD_EDGE_WIDTH

TOUCH = 0.12
"""Overlap in mm that no eye sees: half an ISO 128 line of 0.25 mm."""
ON_LUG = 0.05
"""How far a lead's end may lie from its lug, mm."""
ON_RIM = 0.5
"""The same for a bent lug on the rim of its case, mm: the rim is a chain of chords, worked out anew in each view."""
SMALLEST = 1.8
"""Least capital height inside a full-size drawing, mm (ISO 3098 series)."""


def audit(drawing: Drawing, layout: Layout, frame: Box | None = None) -> tuple[Finding, ...]:
    """Every fault of the drawing; ``layout`` is the one that was drawn and ``frame`` its window, in sheet mm."""
    return (
        *_labels_on_labels(drawing.labels),
        *_labels_on_leads(drawing.labels, layout.leads),
        *over_lugs(layout),
        *_ends_off_lugs(layout),
        *_outside(layout),
        *_tags(drawing.labels, layout.leads),
        *_small(drawing.labels),
        *_out_of_frame(drawing.labels, frame),
        *leads_on_leads(layout.leads),
        *labels_on_lugs([(one.label.subject, _words(one), frame_of(one)) for one in drawing.labels], layout),
        *pale_texts(drawing.marks),
        *pale_leads(drawing.marks),
    )


def _words(one: Set) -> str:
    return " ".join(line.text for line in one.label.lines)


def _labels_on_labels(labels: Sequence[Set]) -> Iterable[Finding]:
    if not labels:
        return
    frames = np.array([shapely.buffer(frame_of(one), -TOUCH) for one in labels], dtype=object)
    first, second = shapely.STRtree(frames).query(frames, predicate="intersects")
    for a, b in sorted((int(a), int(b)) for a, b in zip(first, second, strict=True) if a < b):
        yield Finding("D101", f"the label '{_words(labels[a])}' lies on the label '{_words(labels[b])}'",
                      (labels[a].label.subject, labels[b].label.subject))


def _labels_on_leads(labels: Sequence[Set], leads: Sequence[LaidLead]) -> Iterable[Finding]:
    if not labels or not leads:
        return
    frames = np.array([frame_of(one) for one in labels], dtype=object)
    half = LEAD_EDGE_WIDTH / 2 - TOUCH
    bodies = np.array([shapely.LineString(one.path.flat(0.05)).buffer(half) for one in leads], dtype=object)
    rows, hits = shapely.STRtree(bodies).query(frames, predicate="intersects")
    for row, hit in sorted((int(r), int(h)) for r, h in zip(rows, hits, strict=True)):
        lead = f"lead:{leads[hit].lead.tag}"
        if labels[row].label.own != lead:
            yield Finding("D102", f"the label '{_words(labels[row])}' hides lead {leads[hit].lead.tag}",
                          (labels[row].label.subject, lead))


def _ends_off_lugs(layout: Layout) -> Iterable[Finding]:
    for laid in layout.leads:
        for end, at in ((laid.lead.start, laid.path.start), (laid.lead.end, laid.path.end)):
            limit = ON_RIM if laid.lead.kind == "bend" else ON_LUG
            if end.known and _place_of(layout, laid, end).distance(at) > limit:
                yield Finding("D104", f"lead {laid.lead.tag} does not end on {end}", (f"lead:{laid.lead.tag}",))


def _place_of(layout: Layout, laid: LaidLead, end: End) -> Point:
    """Where a lead is to end: on its lug; a bent lug on the rim of the case that bears the spot."""
    part, lead = layout.parts[end.part], laid.lead
    if lead.kind == "bend" and lead.start.part == lead.end.part:
        return ends_of_bend(part, lead)[0 if end is lead.start else 1]
    return part.lugs[end.lug].at


def _outside(layout: Layout) -> Iterable[Finding]:
    rooms = {name: shapely.Polygon(r.outline.flat(0.05)).buffer(0.05) for name, r in layout.regions.items()}
    for laid in layout.leads:
        for span in laid.spans:
            room = rooms.get(span.region)
            if span.kind != "inside" or room is None:
                continue
            if not room.covers(shapely.LineString(span.path.flat(0.05))):
                yield Finding("D105", f"lead {laid.lead.tag} leaves the cavity '{span.region}'",
                              (f"lead:{laid.lead.tag}",))


def _tags(labels: Sequence[Set], leads: Sequence[LaidLead]) -> Iterable[Finding]:
    """A lead bears its tag at both ends, where it is long enough for two."""
    # A lead too short for two tags of this drawing's own lettering bears one.
    present = {one.label.key: one.label.lines[0].height for one in labels if one.label.key.startswith("tag:")}
    height = max(present.values(), default=SMALLEST)
    for laid in leads:
        missing = [label.key for label in tag_labels(laid, height) if label.key not in present]
        for key in missing:
            end = laid.lead.start if key.endswith(":start") else laid.lead.end
            where = f" at {end}" if end.known else " at its free end"
            yield Finding("D106", f"lead {laid.lead.tag} has no tag{where}", (f"lead:{laid.lead.tag}",))


def _out_of_frame(labels: Sequence[Set], frame: Box | None) -> Iterable[Finding]:
    if frame is None:
        return
    for one in labels:
        left, top, right, bottom = shapely.bounds(frame_of(one))
        if min(left - frame.left, top - frame.top, frame.right - right, frame.bottom - bottom) < -TOUCH:
            yield Finding("D108", f"the label '{_words(one)}' stands outside the frame", (one.label.subject,))


def _small(labels: Sequence[Set]) -> Iterable[Finding]:
    for one in labels:
        if min(line.height for line in one.label.lines) < SMALLEST - 1e-9:
            yield Finding("D107", f"the label '{_words(one)}' is lettered below {SMALLEST} mm", (one.label.subject,))
