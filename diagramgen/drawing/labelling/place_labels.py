"""Label placement: every label brings candidates, and the set that hides least is taken.

A candidate costs what it covers: a lug or another label never, a lead seldom, free floor nothing; one far from its
subject costs more and brings a leader line. Coordinates and lengths in sheet mm. Deterministic, bounded effort.
Source: candidates and local search as in Christensen, Marks and Shieber 1995, point-feature label placement.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import lru_cache

import numpy as np
import shapely
from numpy.typing import NDArray

from diagramgen.drawing.labelling.leaders import Leaders
from diagramgen.drawing.labelling.local_search import ConflictPairs, Selection, select
from diagramgen.drawing.scene import Mark, Role, Shape, Text
from diagramgen.drawing.style import LEAD_HALO_WIDTH
from diagramgen.kernel.geometry import Box, Path, Point, Transform, moved, polyline, rounded_box, turned
from diagramgen.lettering import text_width

COVERS_LUG = 400.0
COVERS_LABEL = 400.0
COVERS_LEAD = 60.0
LEADERS_CROSS = (30.0, 12.0, 4.0)
"""What it costs that two leaders cross, tried in turn: they can still be followed, a lead beneath a label cannot."""
COVERS_EDGE = 12.0
LEAVES_SLIVER = 10.0
SLIVER = 1.6
"""A shorter bit of lead, mm, between its tag and the lead that passes over it looks like dirt, not like a lead."""
PASSES_OVER = LEAD_HALO_WIDTH / 2
"""How far to either side a lead hides what runs beneath it, mm."""
OUT_OF_FRAME = 4000.0
PUSH_ABOVE = 40.0
"""A place dearer than this covers something or lies far off: worth pushing others for."""
SHORTLIST = 64
"""Places of one label that are weighed against other labels; more brought no better drawing."""
SQUARE = 1e-9
"""A label turned by less than this, rad, from upright or lying is taken as being so."""
CLEAR = 0.45
"""Free air around a label in mm."""
TIP = 0.6
"""So near to what it points at, mm, a leader may touch other words."""
GAP = 0.5
"""Gap between two lines of one label as a share of the capital height."""


@dataclass(frozen=True)
class LabelLine:
    """One line of a label: capital height in sheet mm."""

    text: str
    height: float
    bold: bool = False
    role: Role = Role.NOTE_TEXT


@dataclass(frozen=True)
class Candidate:
    """A place for a label: its middle, reading angle (rad), own cost, and where a leader ends (or None)."""

    at: Point
    angle: float = 0.0
    cost: float = 0.0
    leader: Point | None = None


@dataclass(frozen=True)
class Label:
    """A label that wants a place. ``may_cover`` is the subject it may lie on (its lead); ``pill`` draws a frame."""

    key: str
    subject: str
    lines: tuple[LabelLine, ...]
    candidates: tuple[Candidate, ...]
    may_cover: str = ""
    pill: bool = False
    colour: str = ""
    gap: float = 0.0
    """Air in mm between this label and another such one on the same line: two names must not read as one."""

    @property
    def size(self) -> tuple[float, float]:
        """Width and height over all in mm."""
        pad = 0.7 if self.pill else 0.15
        width = max(text_width(one.text, one.height, one.bold) for one in self.lines)
        height = sum(one.height for one in self.lines)
        height += sum(GAP * one.height + 0.2 for one in self.lines[1:])
        descends = 0.0 if self.pill else 0.2 * self.lines[-1].height
        return width + 2 * pad, height + (0.6 if self.pill else 0.2) + descends


@dataclass(frozen=True)
class Obstacle:
    """What a label must not hide: an area (or, where ``line``, only its outline) and what hiding it costs."""

    subject: str
    outline: tuple[Point, ...]
    cost: float
    line: bool = False


@dataclass(frozen=True)
class PlacedLabel:
    """A label with its candidate; ``covered`` is the cost of what it still covers (0 when clean)."""

    label: Label
    candidate: Candidate
    covered: float


def place_labels(
    labels: Sequence[Label], obstacles: Sequence[Obstacle], leads: Sequence[tuple[str, Path]], frame: Box
) -> tuple[PlacedLabel, ...]:
    """Place all labels together.

    Parameters: leads - (subject, path), from the lowest to the highest; frame - the sheet's room.
    Returns: one placed label for each, in the order given.
    """
    if not labels:
        return ()
    index = _obstacle_index(tuple(obstacles))
    sets = [_candidate_set(label, index) for label in labels]
    owner = np.repeat(np.arange(len(labels)), [len(label.candidates) for label in labels])
    boxes = np.concatenate([one.boxes for one in sets])
    cost = np.concatenate([one.costs for one in sets])
    lines = [(subject, _lead_ribbon(path)) for subject, path in leads]
    clash = np.concatenate([one.covered for one in sets]) + _lead_cost(labels, owner, boxes, lines)
    clash += np.concatenate(_slivers(labels, sets, lines))
    clash += _frame_cost(boxes, frame)
    kept = _shortlisted(owner, cost + clash)
    ends = np.concatenate([one.ends for one in sets])[kept]
    angles = np.concatenate([one.angles for one in sets])[kept]
    candidates = [s for label in labels for s in label.candidates]
    pool = CandidatePool(owner[kept], boxes[kept], ends, angles, [candidates[k] for k in kept])
    hard, crossing = _conflict_pairs(labels, pool)
    chosen, covers = _selected(len(labels), owner[kept], cost[kept], clash[kept], hard, crossing)
    return tuple(PlacedLabel(label, pool.candidates[c], covered)
                 for label, c, covered in zip(labels, chosen, covers, strict=True))


def _selected(
    count: int, owner: NDArray[np.int_], cost: NDArray[np.float64], covered: NDArray[np.float64], hard: ConflictPairs,
    crossing: ConflictPairs,
) -> tuple[list[int], list[float]]:
    """A place for each label and what it covers: leaders cross only where something would be hidden otherwise."""
    plain = select(Selection(count, owner, cost + covered, hard), PUSH_ABOVE)
    least = _covers(covered, hard, plain)
    for cross in LEADERS_CROSS:
        pairs = replace(crossing, costs=np.where(crossing.costs < COVERS_LABEL, cross, crossing.costs))
        chosen = select(Selection(count, owner, cost + covered, pairs), PUSH_ABOVE)
        covers = _covers(covered, hard, chosen)
        if sum(covers) <= sum(least) + 1e-6:
            return chosen, covers
    return plain, least


def _covers(covered: NDArray[np.float64], pairs: ConflictPairs, chosen: Sequence[int]) -> list[float]:
    """What each chosen place covers."""
    return [float(covered[c]) + more for c, more in zip(chosen, pairs.conflicts_of(chosen), strict=True)]


def _shortlisted(owner: NDArray[np.int_], cost: NDArray[np.float64]) -> NDArray[np.int_]:
    """The cheapest ``SHORTLIST`` places of each label: only these are weighed against other labels."""
    order = np.lexsort((np.arange(len(cost)), cost, owner))
    first = np.searchsorted(owner[order], owner[order], side="left")
    return np.sort(order[np.arange(len(order)) - first < SHORTLIST])


@dataclass(frozen=True, eq=False)
class ObstacleIndex:
    """Obstacles in search trees, ready to be asked about many candidates."""

    obstacles: tuple[Obstacle, ...]
    tree: shapely.STRtree
    lugs: tuple[Obstacle, ...]
    """Those no leader may cross."""
    over_lugs: shapely.STRtree


@lru_cache(maxsize=8)
def _obstacle_index(obstacles: tuple[Obstacle, ...]) -> ObstacleIndex:
    lugs = tuple(o for o in obstacles if o.cost >= COVERS_LUG)
    return ObstacleIndex(obstacles, shapely.STRtree(_shapes(obstacles)), lugs, shapely.STRtree(_shapes(lugs)))


@dataclass(frozen=True, eq=False)
class CandidateSet:
    """The candidates of one label and what they cost, whatever the leads and the other labels do."""

    boxes: NDArray[np.object_]
    """Turned rectangles with half the free air around the label."""
    costs: NDArray[np.float64]
    angles: NDArray[np.float64]
    ends: NDArray[np.float64]
    """Place, end of its leader, axis; not a number where there is none."""
    covered: NDArray[np.float64]


@lru_cache(maxsize=192)
def _candidate_set(label: Label, index: ObstacleIndex) -> CandidateSet:
    """Kept, since most labels of a drawing stand in the next one, too."""
    candidates = label.candidates
    boxes = candidate_boxes(candidates, np.array(label.size) + CLEAR)
    nowhere = ((math.nan, math.nan), (math.nan, math.nan))
    ends = np.array([nowhere if s.leader is None else _leader_ends(s) for s in candidates]).reshape(-1, 2, 2)
    covered = _obstacle_cost(label, boxes, index) + _leader_cost(label, index)
    costs, angles = np.array([one.cost for one in candidates]), np.array([one.angle for one in candidates])
    return CandidateSet(boxes, costs, angles, ends, covered)


@dataclass(frozen=True, eq=False)
class LeadRibbon:
    """A lead as labels are held against it."""

    line: shapely.LineString
    band: shapely.Polygon
    """What it hides of leads beneath it."""
    ribbon: shapely.Polygon
    """What a label hides of it."""


@lru_cache(maxsize=128)
def _lead_ribbon(path: Path) -> LeadRibbon:
    line = shapely.linestrings(path.flat(0.1))
    ribbon = shapely.buffer(line, 0.55, quad_segs=2)
    shapely.prepare(ribbon)  # few and long: made ready once for the many boxes they are held against
    return LeadRibbon(line, shapely.buffer(line, PASSES_OVER, cap_style="flat"), ribbon)


@dataclass(frozen=True, eq=False)
class CandidatePool:
    """The shortlisted candidates of all labels, to be weighed against one another."""

    owner: NDArray[np.int_]
    """Number of the label."""
    boxes: NDArray[np.object_]
    ends: NDArray[np.float64]
    angles: NDArray[np.float64]
    candidates: Sequence[Candidate]


def candidate_boxes(candidates: Sequence[Candidate], sizes: NDArray[np.float64]) -> NDArray[np.object_]:
    """Make the turned rectangle of each candidate.

    Parameters: sizes - width and height in mm, a row a candidate or one row for all. Returns: polygons.
    """
    half = np.broadcast_to(sizes, (len(candidates), 2)) / 2
    at = np.array([s.at for s in candidates]).reshape(-1, 2)
    cos = np.array([math.cos(s.angle) for s in candidates])
    sin = np.array([math.sin(s.angle) for s in candidates])
    corners = np.empty((len(candidates), 5, 2))
    for i, (side, upright) in enumerate(((-1, -1), (1, -1), (1, 1), (-1, 1), (-1, -1))):
        a, b = side * half[:, 0], upright * half[:, 1]
        corners[:, i, 0] = at[:, 0] + cos * a - sin * b
        corners[:, i, 1] = at[:, 1] + sin * a + cos * b
    return np.asarray(shapely.polygons(corners), dtype=object)


def _shapes(obstacles: Sequence[Obstacle]) -> NDArray[np.object_]:
    rings = [shapely.linearrings([*o.outline, o.outline[0]]) for o in obstacles]
    return np.array([ring if o.line else shapely.Polygon(ring) for o, ring in zip(obstacles, rings, strict=True)],
                    dtype=object)


def _obstacle_cost(label: Label, boxes: NDArray[np.object_], index: ObstacleIndex) -> NDArray[np.float64]:
    covered = np.zeros(len(boxes))
    found, hit = index.tree.query(boxes, predicate="intersects")
    own = label.may_cover or None
    prices = np.array([0.0 if o.subject == own else o.cost for o in index.obstacles])
    np.add.at(covered, found, prices[hit])
    return covered


def _lead_cost(
    labels: Sequence[Label],
    owner: NDArray[np.int_],
    boxes: NDArray[np.object_],
    leads: Sequence[tuple[str, LeadRibbon]],
) -> NDArray[np.float64]:
    covered = np.zeros(len(boxes))
    if not leads:
        return covered
    ribbons = np.array([ribbon.ribbon for _, ribbon in leads], dtype=object)
    found, hit = shapely.STRtree(ribbons).query(boxes)
    tags = np.array([tag for tag, _ in leads], dtype=object)
    owns = np.array([label.may_cover for label in labels], dtype=object)
    foreign = tags[hit] != owns[owner[found]]
    found, hit = found[foreign], hit[foreign]
    meet = shapely.intersects(ribbons[hit], boxes[found])
    np.add.at(covered, found[meet], COVERS_LEAD)
    return covered


def _slivers(
    labels: Sequence[Label], sets: Sequence[CandidateSet], leads: Sequence[tuple[str, LeadRibbon]]
) -> list[NDArray[np.float64]]:
    """What it costs each label to leave but a sliver of its lead between itself and a lead that passes over it."""
    covered = [np.zeros(len(one.boxes)) for one in sets]
    bands = np.array([ribbon.band for _, ribbon in leads], dtype=object)
    tags: dict[str, list[int]] = {}
    for i, label in enumerate(labels):
        if label.may_cover and label.pill:
            tags.setdefault(label.may_cover, []).append(i)
    for i, (subject, ribbon) in enumerate(leads):
        if subject in tags:
            over = i + 1 + np.flatnonzero(shapely.intersects(bands[i + 1 :], ribbon.line))
            for tag in tags[subject] if len(over) else ():
                covered[tag] += _sliver_cost(sets[tag], ribbon, tuple(leads[j][1] for j in over.tolist()))
    return covered


@lru_cache(maxsize=192)
def _sliver_cost(tag: CandidateSet, lead: LeadRibbon, over: tuple[LeadRibbon, ...]) -> NDArray[np.float64]:
    """What a lead's tag pays at each of its places; ``over``: the leads that pass over this one."""
    covered = np.zeros(len(tag.boxes))
    seen = shapely.get_parts(shapely.difference(lead.line, shapely.union_all([one.band for one in over])))
    upon = np.flatnonzero(shapely.intersects(tag.boxes, lead.line))
    for piece in seen:
        covers = upon[shapely.intersects(tag.boxes[upon], piece)]
        left, of = shapely.get_parts(shapely.difference(piece, tag.boxes[covers]), return_index=True)
        long = shapely.length(left)
        np.add.at(covered, covers[of[(long > 0.02) & (long < SLIVER)]], LEAVES_SLIVER)
    covered.setflags(write=False)
    return covered


def _frame_cost(boxes: NDArray[np.object_], frame: Box) -> NDArray[np.float64]:
    bounds = shapely.bounds(boxes)
    outside = (bounds[:, 0] < frame.left) | (bounds[:, 1] < frame.top)
    outside |= (bounds[:, 2] > frame.right) | (bounds[:, 3] > frame.bottom)
    return np.where(outside, OUT_OF_FRAME, 0.0)


def _leader_cost(label: Label, index: ObstacleIndex) -> NDArray[np.float64]:
    """A leader line may cross leads, never a lug."""
    covered = np.zeros(len(label.candidates))
    led = np.array([i for i, s in enumerate(label.candidates) if s.leader is not None], dtype=int)
    if not len(led) or not index.lugs:
        return covered
    ends = np.array([(*s.at, *s.leader) for s in label.candidates if s.leader is not None])
    lines = shapely.linestrings(ends.reshape(-1, 2, 2))
    found, hit = index.over_lugs.query(lines, predicate="intersects")
    foreign = np.array([o.subject not in (label.subject, label.may_cover) for o in index.lugs])[hit]
    found, hit = found[foreign], hit[foreign]
    # Lugs behind one another share a place: what the leader points at is never in its way.
    pointed_at = shapely.intersects(index.over_lugs.geometries[hit], shapely.points(ends[found, 2:]))
    np.add.at(covered, led[found[~pointed_at]], COVERS_LUG / 4)
    return covered


def _conflict_pairs(labels: Sequence[Label], pool: CandidatePool) -> tuple[ConflictPairs, ConflictPairs]:
    """Which candidates of other labels each candidate excludes: it covers them, strikes their leader, reads on.

    The second also holds those whose leaders cross.
    """
    owner, boxes, angles, count = pool.owner, pool.boxes, pool.angles, len(pool.boxes)
    found = [_overlaps(boxes, owner, angles)]
    crossing = (np.empty(0, dtype=int), np.empty(0, dtype=int))
    led = np.flatnonzero(~np.isnan(pool.ends[:, 0, 0]))
    if len(led):
        leaders = Leaders(pool.ends[led], owner[led])
        line, box = leaders.hits(boxes, owner, _square(angles))
        one, other = leaders.crossings()
        found.append((led[line], box))
        crossing = (led[one], led[other])
    named = np.flatnonzero(np.array([label.gap > 0.0 for label in labels])[owner])
    if len(named):
        air = np.array([labels[owner[i]].size for i in named]) + [(labels[owner[i]].gap, 0.0) for i in named]
        wide = candidate_boxes([pool.candidates[i] for i in named.tolist()], air)
        one, other = _overlaps(wide, owner[named], angles[named])
        found.append((named[one], named[other]))
    first, second = (np.concatenate(side) for side in zip(*found, strict=True))
    return _priced(_keys(first, second, count), _keys(*crossing, count), count)


def _keys(first: NDArray[np.int_], second: NDArray[np.int_], count: int) -> NDArray[np.int_]:
    """Pairs of places, either way round, each as one number, once, in order."""
    joined = np.sort(np.minimum(first, second) * count + np.maximum(first, second))
    return joined[np.diff(joined, prepend=-1) > 0]


def _priced(hard: NDArray[np.int_], crossing: NDArray[np.int_], count: int) -> tuple[ConflictPairs, ConflictPairs]:
    """Each pair in the rows of both its places: those that hide something, then with those whose leaders cross."""
    soft = np.setdiff1d(crossing, hard, assume_unique=True)
    once = np.concatenate((2 * hard, 2 * soft + 1))  # the last bit tells a crossing
    pair = once // 2
    both = np.sort(np.concatenate((once, 2 * (pair % count * count + pair // count) + once % 2)))
    joined, crosses = both // 2, both % 2 > 0
    rows = np.arange(count + 1) * count
    hides = joined[~crosses]
    return (ConflictPairs(np.searchsorted(hides, rows), hides % count, np.full(len(hides), COVERS_LABEL)),
            ConflictPairs(np.searchsorted(joined, rows), joined % count,
                          np.where(crosses, LEADERS_CROSS[0], COVERS_LABEL)))


def _overlaps(
    boxes: NDArray[np.object_], owner: NDArray[np.int_], angles: NDArray[np.float64]
) -> tuple[NDArray[np.int_], NDArray[np.int_]]:
    """Which boxes of different owners meet, each pair once."""
    first, second = shapely.STRtree(boxes).query(boxes)
    once = (first < second) & (owner[first] != owner[second])
    first, second = first[once], second[once]
    # Only with boxes that are not their own bounds must it be looked at more closely.
    square = _square(angles)
    near = np.flatnonzero(~(square[first] & square[second]))
    apart = near[~shapely.intersects(boxes[first[near]], boxes[second[near]])]
    return np.delete(first, apart), np.delete(second, apart)


def _square(angles: NDArray[np.float64]) -> NDArray[np.bool_]:
    """Which boxes stand upright or lie: they are their own bounds."""
    square: NDArray[np.bool_] = np.abs(np.remainder(angles + math.pi / 4, math.pi / 2) - math.pi / 4) < SQUARE
    return square


def _leader_ends(candidate: Candidate) -> tuple[Point, Point]:
    """Both ends of a leader, from the middle of its label nearly to what it points at: that is not struck."""
    assert candidate.leader is not None
    reach = candidate.at.distance(candidate.leader)
    return candidate.at, candidate.at.towards(candidate.at.angle_to(candidate.leader), max(reach - TIP, reach / 2))


def frame_of(placed: PlacedLabel) -> shapely.Polygon:
    """Make the turned rectangle a placed label covers."""
    w, h = placed.label.size
    turn = _turn(placed.candidate)
    corners = ((-w / 2, -h / 2), (w / 2, -h / 2), (w / 2, h / 2), (-w / 2, h / 2))
    return shapely.Polygon([turn(Point(x, y)) for x, y in corners])


def as_obstacles(placed: PlacedLabel) -> list[Obstacle]:
    """Turn a placed label, and its leader, into obstacles for labels placed later."""
    found = [Obstacle("", tuple(Point(x, y) for x, y in frame_of(placed).exterior.coords[:-1]), COVERS_LABEL)]
    if placed.candidate.leader is not None:
        line = shapely.LineString(_leader_ends(placed.candidate)).buffer(0.1, cap_style="flat")
        found.append(Obstacle("", tuple(Point(x, y) for x, y in line.exterior.coords[:-1]), COVERS_LABEL))
    return found


def label_marks(placed: PlacedLabel) -> list[Mark]:
    """Draw a placed label: leader, pill, lines of text."""
    label, candidate = placed.label, placed.candidate
    w, h = label.size
    marks: list[Mark] = []
    if candidate.leader is not None:
        start = _edge(candidate, w, h)
        marks.append(Shape((polyline([start, candidate.leader]),), Role.LEADER, label.subject))
    if label.pill:
        frame = rounded_box(Box(-w / 2, -h / 2, w / 2, h / 2), min(h / 2, 1.0))
        marks.append(Shape((frame.mapped(_turn(candidate)),), Role.TAG, label.subject, label.colour))
    lines = label.lines
    total = sum(one.height for one in lines) + sum(GAP * one.height + 0.2 for one in lines[1:])
    y = -total / 2
    for i, one in enumerate(lines):
        y += one.height + (GAP * one.height + 0.2 if i else 0.0)
        at = _turn(candidate)(Point(0.0, y))
        marks.append(Text(one.text, at, one.height, "middle", candidate.angle, one.bold, one.role, label.subject))
    return marks


def _turn(candidate: Candidate) -> Transform:
    return turned(candidate.angle).then(moved(candidate.at))


def _edge(candidate: Candidate, w: float, h: float) -> Point:
    """Where a leader leaves the label's frame."""
    assert candidate.leader is not None
    back = _turn(candidate).inverse()(candidate.leader)
    scale = max(abs(back.x) / (w / 2), abs(back.y) / (h / 2), 1e-9)
    return _turn(candidate)(Point(back.x / scale, back.y / scale)) if scale > 1 else candidate.at


def candidates_around(anchor: Point, size: tuple[float, float], first: float, cost: float = 0.0) -> list[Candidate]:
    """Make candidates beside a point: right, left, below, above and the corners, ``first`` mm off."""
    w, h = size
    dx, dy = w / 2 + first, h / 2 + first
    offsets = [(dx, 0.0, 0.0), (-dx, 0.0, 0.1), (0.0, dy, 0.2), (0.0, -dy, 0.2), (dx, dy, 0.5), (-dx, dy, 0.5),
               (dx, -dy, 0.5), (-dx, -dy, 0.5)]
    return [Candidate(Point(anchor.x + x, anchor.y + y), 0.0, cost + extra) for x, y, extra in offsets]


def candidates_with_leader(
    anchor: Point, size: tuple[float, float], reach: float = 34.0, cost: float = 8.0
) -> list[Candidate]:
    """Make candidates on rings round a point up to ``reach`` mm off, each with a leader back to it."""
    w, h = size
    candidates = []
    distance = 4.0
    while distance <= reach:
        steps = 8 if distance < 8 else 14
        for k in range(steps):
            angle = math.tau * k / steps
            x = anchor.x + (distance + w / 2 * abs(math.cos(angle))) * math.cos(angle)
            y = anchor.y + (distance + h / 2 * abs(math.sin(angle))) * math.sin(angle)
            candidates.append(Candidate(Point(x, y), 0.0, cost + 0.5 * distance, anchor))
        distance += 4.0
    return candidates
