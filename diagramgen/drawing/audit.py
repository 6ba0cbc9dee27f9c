"""Measures a composed diagram: what covers what, which lead is where it must not be, which tag is missing.

The audit sees the finished marks and the layout they came from; limits are constants with a reason. It runs
in the tests on every sample and in ``check`` on the user's own builds.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass

import numpy as np
import shapely
from shapely.geometry.base import BaseGeometry

from diagramgen.drawing.codes import (
    DRW_101,
    DRW_102,
    DRW_104,
    DRW_105,
    DRW_106,
    DRW_107,
    DRW_108,
    DRW_109,
    DRW_110,
    DRW_111,
    DRW_112,
)
from diagramgen.drawing.diagram import Drawing
from diagramgen.drawing.findings import Finding
from diagramgen.drawing.labelling.candidates import tag_labels
from diagramgen.drawing.labelling.place_labels import PlacedLabel, frame_of
from diagramgen.drawing.leads_over_lugs import over_lugs
from diagramgen.drawing.lightness import contrast
from diagramgen.drawing.scene import Mark, Role, Shape, Sheet, Text, walk_placed
from diagramgen.drawing.style import style_of
from diagramgen.kernel.geometry import Box, Path, Point
from diagramgen.kernel.tokens import PAPER
from diagramgen.layout.lug_reach import ends_of_bend
from diagramgen.layout.model import LaidLead, Layout, PlacedLug
from diagramgen.layout.pads import EYELET, LEAD_EDGE_WIDTH
from diagramgen.lettering import text_width
from diagramgen.model.build import End

# Measures what lies too close in a drawing: lead along lead, label on a lug that it does not name.

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
            yield Finding(DRW_109, f"leads {one.tag} and {other.tag} lie on each other for {along:.0f} mm",
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
            yield Finding(DRW_110, f"the label '{words}' hides the lug {lugs[hit].key}",
                          (subject, f"lug:{lugs[hit].key}"))


# Measures whether words and leads of a drawing stand out from what lies behind them, as WCAG 2.2 counts it.

TEXT_CONTRAST = 4.5
"""Least contrast of words against their ground (WCAG 2.2 SC 1.4.3, text of usual size)."""
EDGE_CONTRAST = 3.0
"""Least contrast of a lead's edge against what lies beside it (WCAG 2.2 SC 1.4.11)."""
SEEN = 0.02
"""A ground that takes less than this share of the place is not what the eye reads against."""
BESIDE = 0.25
"""What lies within this of a lead's edge lies beside it, mm: one drawing line's width."""
_EDGES = (Role.LEAD_EDGE, Role.LEG)


@dataclass(frozen=True)
class _Ground:
    """A painted area: its place in the order of painting, its shape and its shade."""

    order: int
    area: BaseGeometry
    shade: str


def pale_texts(marks: Sequence[Mark]) -> Iterable[Finding]:
    """Words that stand out from an area behind them by less than ``TEXT_CONTRAST``."""
    grounds = _Grounds(marks)
    for order, mark, subject in _painted(marks):
        if isinstance(mark, Text) and mark.text.strip():
            ink = style_of(mark.role, mark.emphasis, mark.colour).text_colour
            worst = grounds.worst(order, _text_area(mark), ink)
            if worst < TEXT_CONTRAST:
                yield Finding(DRW_111, f"the words '{mark.text}' stand {worst:.1f} to 1 against what lies behind them; "
                              f"{TEXT_CONTRAST} to 1 are needed", (subject,))


def pale_leads(marks: Sequence[Mark]) -> Iterable[Finding]:
    """Leads whose edge stands out from what lies beside it by less than ``EDGE_CONTRAST``."""
    grounds = _Grounds(marks)
    told: set[str] = set()
    for order, mark, subject in _painted(marks):
        if isinstance(mark, Shape) and mark.role in _EDGES and subject not in told:
            style = style_of(mark.role, mark.emphasis, mark.colour)
            line = shapely.union_all([shapely.LineString(p.flat(0.1)) for p in mark.path])
            body = line.buffer(style.width_mm / 2)
            beside = line.buffer(style.width_mm / 2 + BESIDE, cap_style="flat").difference(body)
            worst = grounds.worst(order, beside, style.stroke)
            if worst < EDGE_CONTRAST:
                told.add(subject)
                yield Finding(DRW_112, f"the edge of {subject.replace(':', ' ')} stands {worst:.1f} to 1 against what "
                              f"lies beside it; {EDGE_CONTRAST:.0f} to 1 are needed", (subject,))


class _Grounds:
    """The painted areas of a drawing, asked what is seen behind a mark."""

    def __init__(self, marks: Sequence[Mark]) -> None:
        self._all = [g for order, mark, _ in _painted(marks) if isinstance(mark, Shape) for g in _area(order, mark)]
        self._tree = shapely.STRtree(np.array([g.area for g in self._all], dtype=object))

    def worst(self, order: int, place: BaseGeometry, ink: str) -> float:
        """The least contrast of ``ink`` with any ground painted before ``order`` and seen at ``place``."""
        below = sorted((self._all[int(i)] for i in self._tree.query(place, predicate="intersects")),
                       key=lambda g: -g.order)
        left, least = place, SEEN * place.area
        found = []
        for ground in below:
            if ground.order < order and left.area >= least:
                if left.intersection(ground.area).area >= least:
                    found.append(contrast(ink, ground.shade))
                left = left.difference(ground.area)
        if left.area >= least:
            found.append(contrast(ink, PAPER))
        return min(found, default=math.inf)


def _painted(marks: Sequence[Mark]) -> Iterator[tuple[int, Shape | Text, str]]:
    """Shapes and words in the order they are painted, with the subject each belongs to."""
    for order, placed in enumerate(walk_placed(Sheet(0.0, 0.0, "", tuple(marks)))):
        if isinstance(placed.mark, Shape | Text):
            yield order, placed.mark, placed.subject


def _area(order: int, mark: Shape) -> Iterator[_Ground]:
    """What a mark covers: its fill, or the white band of a lead that passes over others."""
    style = style_of(mark.role, mark.emphasis, mark.colour)
    if style.fill:
        area: BaseGeometry = shapely.Polygon()
        for path in mark.path:
            area = shapely.symmetric_difference(area, _polygon(path))
        yield _Ground(order, area, style.fill)
    elif mark.role == Role.LEAD_HALO:
        for path in mark.path:
            line = shapely.LineString(path.flat(0.1))
            yield _Ground(order, line.buffer(style.width_mm / 2, cap_style="flat"), style.stroke)


def _polygon(path: Path) -> BaseGeometry:
    points = path.flat(0.1)
    return shapely.make_valid(shapely.Polygon(points)) if len(points) > 3 else shapely.Polygon()


def _text_area(text: Text) -> shapely.Polygon:
    """The turned rectangle of a line's capitals."""
    width = text_width(text.text, text.height, text.bold)
    left = {"start": 0.0, "middle": -width / 2, "end": -width}[text.anchor]
    c, s = math.cos(text.angle), math.sin(text.angle)
    corners = [(left, 0.0), (left + width, 0.0), (left + width, -text.height), (left, -text.height)]
    return shapely.Polygon([(text.at.x + c * x - s * y, text.at.y + s * x + c * y) for x, y in corners])


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


def _words(one: PlacedLabel) -> str:
    return " ".join(line.text for line in one.label.lines)


def _labels_on_labels(labels: Sequence[PlacedLabel]) -> Iterable[Finding]:
    if not labels:
        return
    frames = np.array([shapely.buffer(frame_of(one), -TOUCH) for one in labels], dtype=object)
    first, second = shapely.STRtree(frames).query(frames, predicate="intersects")
    for a, b in sorted((int(a), int(b)) for a, b in zip(first, second, strict=True) if a < b):
        yield Finding(DRW_101, f"the label '{_words(labels[a])}' lies on the label '{_words(labels[b])}'",
                      (labels[a].label.subject, labels[b].label.subject))


def _labels_on_leads(labels: Sequence[PlacedLabel], leads: Sequence[LaidLead]) -> Iterable[Finding]:
    if not labels or not leads:
        return
    frames = np.array([frame_of(one) for one in labels], dtype=object)
    half = LEAD_EDGE_WIDTH / 2 - TOUCH
    bodies = np.array([shapely.LineString(one.path.flat(0.05)).buffer(half) for one in leads], dtype=object)
    rows, hits = shapely.STRtree(bodies).query(frames, predicate="intersects")
    for row, hit in sorted((int(r), int(h)) for r, h in zip(rows, hits, strict=True)):
        lead = f"lead:{leads[hit].lead.tag}"
        if labels[row].label.may_cover != lead:
            yield Finding(DRW_102, f"the label '{_words(labels[row])}' hides lead {leads[hit].lead.tag}",
                          (labels[row].label.subject, lead))


def _ends_off_lugs(layout: Layout) -> Iterable[Finding]:
    for laid in layout.leads:
        for end, at in ((laid.lead.start, laid.path.start), (laid.lead.end, laid.path.end)):
            limit = ON_RIM if laid.lead.kind == "bend" else ON_LUG
            if end.known and _place_of(layout, laid, end).distance(at) > limit:
                yield Finding(DRW_104, f"lead {laid.lead.tag} does not end on {end}", (f"lead:{laid.lead.tag}",))


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
                yield Finding(DRW_105, f"lead {laid.lead.tag} leaves the cavity '{span.region}'",
                              (f"lead:{laid.lead.tag}",))


def _tags(labels: Sequence[PlacedLabel], leads: Sequence[LaidLead]) -> Iterable[Finding]:
    """A lead bears its tag at both ends, where it is long enough for two."""
    # A lead too short for two tags of this drawing's own lettering bears one.
    present = {one.label.key: one.label.lines[0].height for one in labels if one.label.key.startswith("tag:")}
    height = max(present.values(), default=SMALLEST)
    for laid in leads:
        missing = [label.key for label in tag_labels(laid, height) if label.key not in present]
        for key in missing:
            end = laid.lead.start if key.endswith(":start") else laid.lead.end
            where = f" at {end}" if end.known else " at its free end"
            yield Finding(DRW_106, f"lead {laid.lead.tag} has no tag{where}", (f"lead:{laid.lead.tag}",))


def _out_of_frame(labels: Sequence[PlacedLabel], frame: Box | None) -> Iterable[Finding]:
    if frame is None:
        return
    for one in labels:
        left, top, right, bottom = shapely.bounds(frame_of(one))
        if min(left - frame.left, top - frame.top, frame.right - right, frame.bottom - bottom) < -TOUCH:
            yield Finding(DRW_108, f"the label '{_words(one)}' stands outside the frame", (one.label.subject,))


def _small(labels: Sequence[PlacedLabel]) -> Iterable[Finding]:
    for one in labels:
        if min(line.height for line in one.label.lines) < SMALLEST - 1e-9:
            yield Finding(DRW_107, f"the label '{_words(one)}' is lettered below {SMALLEST} mm", (one.label.subject,))
