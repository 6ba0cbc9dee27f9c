"""Where labels go: every label offers places, the placer takes the set that hides least.

A place costs what it covers: a lug or another label never, a lead seldom, free floor nothing; a place far
from its subject costs more and brings a leader line. All candidates are measured at once; then each label
in turn takes its cheapest place until nothing changes. Deterministic, bounded effort.
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
from diagramgen.drawing.labelling.local_search import Choice, Pairs, choose
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
LEAVES_CRUMB = 10.0
CRUMB = 1.6
"""A shorter bit of lead, mm, between its tag and the lead that passes over it looks like dirt, not like a lead."""
PASSES_OVER = LEAD_HALO_WIDTH / 2
"""How far to either side a lead hides what runs beneath it, mm."""
OUT_OF_FRAME = 4000.0
BAD = 40.0
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
class Line:
    """One line of a label: capital height in sheet mm."""

    text: str
    height: float
    bold: bool = False
    role: Role = Role.NOTE_TEXT


@dataclass(frozen=True)
class Spot:
    """A candidate: the label's middle, its reading angle, its price, and where a leader ends (or None)."""

    at: Point
    angle: float = 0.0
    price: float = 0.0
    leader: Point | None = None


@dataclass(frozen=True)
class Label:
    """A label that wants a place. ``own`` is the subject it may lie on (its lead); ``pill`` draws a frame."""

    key: str
    subject: str
    lines: tuple[Line, ...]
    spots: tuple[Spot, ...]
    own: str = ""
    pill: bool = False
    colour: str = ""
    apart: float = 0.0
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
    """What a label must not hide: an area (or, where ``line``, only its outline) and how dear it is."""

    subject: str
    outline: tuple[Point, ...]
    price: float
    line: bool = False


@dataclass(frozen=True)
class Set:
    """A label with the place it got; ``clash`` is what that place still covers (0 when clean)."""

    label: Label
    spot: Spot
    clash: float


def place_labels(
    labels: Sequence[Label], obstacles: Sequence[Obstacle], leads: Sequence[tuple[str, Path]], frame: Box
) -> tuple[Set, ...]:
    """A place for every label, in the order given; coordinates in sheet mm, leads from the lowest to the highest."""
    if not labels:
        return ()
    held = _held(tuple(obstacles))
    stand = [_standing(label, held) for label in labels]
    owner = np.repeat(np.arange(len(labels)), [len(label.spots) for label in labels])
    boxes = np.concatenate([one.boxes for one in stand])
    price = np.concatenate([one.prices for one in stand])
    lines = [(subject, _stretch(path)) for subject, path in leads]
    clash = np.concatenate([one.clash for one in stand]) + _lead_clash(labels, owner, boxes, lines)
    clash += np.concatenate(_crumbs(labels, stand, lines))
    clash += _frame_clash(boxes, frame)
    kept = _best(owner, price + clash)
    ends = np.concatenate([one.ends for one in stand])[kept]
    angles = np.concatenate([one.angles for one in stand])[kept]
    spots = [s for label in labels for s in label.spots]
    places = Places(owner[kept], boxes[kept], ends, angles, [spots[k] for k in kept])
    hard, crossing = _pairs(labels, places)
    chosen, covers = _chosen(len(labels), owner[kept], price[kept], clash[kept], hard, crossing)
    return tuple(Set(label, places.spots[c], covered)
                 for label, c, covered in zip(labels, chosen, covers, strict=True))


def _chosen(
    count: int, owner: NDArray[np.int_], price: NDArray[np.float64], clash: NDArray[np.float64], hard: Pairs,
    crossing: Pairs,
) -> tuple[list[int], list[float]]:
    """A place for each label and what it covers: leaders cross only where something would be hidden otherwise."""
    plain = choose(Choice(count, owner, price + clash, hard), BAD)
    least = _covers(clash, hard, plain)
    for cross in LEADERS_CROSS:
        pairs = replace(crossing, prices=np.where(crossing.prices < COVERS_LABEL, cross, crossing.prices))
        chosen = choose(Choice(count, owner, price + clash, pairs), BAD)
        covers = _covers(clash, hard, chosen)
        if sum(covers) <= sum(least) + 1e-6:
            return chosen, covers
    return plain, least


def _covers(clash: NDArray[np.float64], pairs: Pairs, chosen: Sequence[int]) -> list[float]:
    """What each chosen place covers."""
    return [float(clash[c]) + more for c, more in zip(chosen, pairs.met(chosen), strict=True)]


def _best(owner: NDArray[np.int_], price: NDArray[np.float64]) -> NDArray[np.int_]:
    """The cheapest ``SHORTLIST`` places of each label: only these are weighed against other labels."""
    order = np.lexsort((np.arange(len(price)), price, owner))
    first = np.searchsorted(owner[order], owner[order], side="left")
    return np.sort(order[np.arange(len(order)) - first < SHORTLIST])


@dataclass(frozen=True, eq=False)
class Held:
    """What no label may hide, ready to be asked about many places."""

    obstacles: tuple[Obstacle, ...]
    tree: shapely.STRtree
    lugs: tuple[Obstacle, ...]
    """Those no leader may cross."""
    over_lugs: shapely.STRtree


@lru_cache(maxsize=8)
def _held(obstacles: tuple[Obstacle, ...]) -> Held:
    lugs = tuple(o for o in obstacles if o.price >= COVERS_LUG)
    return Held(obstacles, shapely.STRtree(_shapes(obstacles)), lugs, shapely.STRtree(_shapes(lugs)))


@dataclass(frozen=True, eq=False)
class Standing:
    """The places of one label and what they cost, whatever the leads and the other labels do."""

    boxes: NDArray[np.object_]
    """Turned rectangles with half the free air around the label."""
    prices: NDArray[np.float64]
    angles: NDArray[np.float64]
    ends: NDArray[np.float64]
    """Place, end of its leader, axis; not a number where there is none."""
    clash: NDArray[np.float64]


@lru_cache(maxsize=192)
def _standing(label: Label, held: Held) -> Standing:
    """Kept, since most labels of a drawing stand in the next one, too."""
    spots = label.spots
    boxes = turned_boxes(spots, np.array(label.size) + CLEAR)
    nowhere = ((math.nan, math.nan), (math.nan, math.nan))
    ends = np.array([nowhere if s.leader is None else _leader_ends(s) for s in spots]).reshape(-1, 2, 2)
    clash = _obstacle_clash(label, boxes, held) + _leader_clash(label, held)
    return Standing(boxes, np.array([s.price for s in spots]), np.array([s.angle for s in spots]), ends, clash)


@dataclass(frozen=True, eq=False)
class Stretch:
    """A lead as labels are held against it."""

    line: shapely.LineString
    band: shapely.Polygon
    """What it hides of leads beneath it."""
    ribbon: shapely.Polygon
    """What a label hides of it."""


@lru_cache(maxsize=128)
def _stretch(path: Path) -> Stretch:
    line = shapely.linestrings(path.flat(0.1))
    ribbon = shapely.buffer(line, 0.55, quad_segs=2)
    shapely.prepare(ribbon)  # few and long: made ready once for the many boxes they are held against
    return Stretch(line, shapely.buffer(line, PASSES_OVER, cap_style="flat"), ribbon)


@dataclass(frozen=True, eq=False)
class Places:
    """The places that labels are weighed against one another in."""

    owner: NDArray[np.int_]
    """Number of the label."""
    boxes: NDArray[np.object_]
    ends: NDArray[np.float64]
    angles: NDArray[np.float64]
    spots: Sequence[Spot]


def turned_boxes(spots: Sequence[Spot], sizes: NDArray[np.float64]) -> NDArray[np.object_]:
    """The rectangle of each spot; ``sizes``: width and height in mm, a row a spot or one row for all."""
    half = np.broadcast_to(sizes, (len(spots), 2)) / 2
    at = np.array([s.at for s in spots]).reshape(-1, 2)
    cos = np.array([math.cos(s.angle) for s in spots])
    sin = np.array([math.sin(s.angle) for s in spots])
    corners = np.empty((len(spots), 5, 2))
    for i, (side, upright) in enumerate(((-1, -1), (1, -1), (1, 1), (-1, 1), (-1, -1))):
        a, b = side * half[:, 0], upright * half[:, 1]
        corners[:, i, 0] = at[:, 0] + cos * a - sin * b
        corners[:, i, 1] = at[:, 1] + sin * a + cos * b
    return np.asarray(shapely.polygons(corners), dtype=object)


def _shapes(obstacles: Sequence[Obstacle]) -> NDArray[np.object_]:
    rings = [shapely.linearrings([*o.outline, o.outline[0]]) for o in obstacles]
    return np.array([ring if o.line else shapely.Polygon(ring) for o, ring in zip(obstacles, rings, strict=True)],
                    dtype=object)


def _obstacle_clash(label: Label, boxes: NDArray[np.object_], held: Held) -> NDArray[np.float64]:
    clash = np.zeros(len(boxes))
    found, hit = held.tree.query(boxes, predicate="intersects")
    own = label.own or None
    prices = np.array([0.0 if o.subject == own else o.price for o in held.obstacles])
    np.add.at(clash, found, prices[hit])
    return clash


def _lead_clash(
    labels: Sequence[Label], owner: NDArray[np.int_], boxes: NDArray[np.object_], leads: Sequence[tuple[str, Stretch]]
) -> NDArray[np.float64]:
    clash = np.zeros(len(boxes))
    if not leads:
        return clash
    ribbons = np.array([stretch.ribbon for _, stretch in leads], dtype=object)
    found, hit = shapely.STRtree(ribbons).query(boxes)
    tags = np.array([tag for tag, _ in leads], dtype=object)
    owns = np.array([label.own for label in labels], dtype=object)
    foreign = tags[hit] != owns[owner[found]]
    found, hit = found[foreign], hit[foreign]
    meet = shapely.intersects(ribbons[hit], boxes[found])
    np.add.at(clash, found[meet], COVERS_LEAD)
    return clash


def _crumbs(
    labels: Sequence[Label], stand: Sequence[Standing], leads: Sequence[tuple[str, Stretch]]
) -> list[NDArray[np.float64]]:
    """What it costs each label to leave but a crumb of its lead between itself and a lead that passes over it."""
    clash = [np.zeros(len(one.boxes)) for one in stand]
    bands = np.array([stretch.band for _, stretch in leads], dtype=object)
    tags: dict[str, list[int]] = {}
    for i, label in enumerate(labels):
        if label.own and label.pill:
            tags.setdefault(label.own, []).append(i)
    for i, (subject, stretch) in enumerate(leads):
        if subject in tags:
            over = i + 1 + np.flatnonzero(shapely.intersects(bands[i + 1 :], stretch.line))
            for tag in tags[subject] if len(over) else ():
                clash[tag] += _crumbs_at(stand[tag], stretch, tuple(leads[j][1] for j in over.tolist()))
    return clash


@lru_cache(maxsize=192)
def _crumbs_at(tag: Standing, lead: Stretch, over: tuple[Stretch, ...]) -> NDArray[np.float64]:
    """What a lead's tag pays at each of its places; ``over``: the leads that pass over this one."""
    clash = np.zeros(len(tag.boxes))
    seen = shapely.get_parts(shapely.difference(lead.line, shapely.union_all([one.band for one in over])))
    upon = np.flatnonzero(shapely.intersects(tag.boxes, lead.line))
    for piece in seen:
        covers = upon[shapely.intersects(tag.boxes[upon], piece)]
        left, of = shapely.get_parts(shapely.difference(piece, tag.boxes[covers]), return_index=True)
        long = shapely.length(left)
        np.add.at(clash, covers[of[(long > 0.02) & (long < CRUMB)]], LEAVES_CRUMB)
    clash.setflags(write=False)
    return clash


def _frame_clash(boxes: NDArray[np.object_], frame: Box) -> NDArray[np.float64]:
    bounds = shapely.bounds(boxes)
    outside = (bounds[:, 0] < frame.left) | (bounds[:, 1] < frame.top)
    outside |= (bounds[:, 2] > frame.right) | (bounds[:, 3] > frame.bottom)
    return np.where(outside, OUT_OF_FRAME, 0.0)


def _leader_clash(label: Label, held: Held) -> NDArray[np.float64]:
    """A leader line may cross leads, never a lug."""
    clash = np.zeros(len(label.spots))
    led = np.array([i for i, s in enumerate(label.spots) if s.leader is not None], dtype=int)
    if not len(led) or not held.lugs:
        return clash
    ends = np.array([(*s.at, *s.leader) for s in label.spots if s.leader is not None])
    lines = shapely.linestrings(ends.reshape(-1, 2, 2))
    found, hit = held.over_lugs.query(lines, predicate="intersects")
    foreign = np.array([o.subject not in (label.subject, label.own) for o in held.lugs])[hit]
    found, hit = found[foreign], hit[foreign]
    # Lugs behind one another share a place: what the leader points at is never in its way.
    pointed_at = shapely.intersects(held.over_lugs.geometries[hit], shapely.points(ends[found, 2:]))
    np.add.at(clash, led[found[~pointed_at]], COVERS_LUG / 4)
    return clash


def _pairs(labels: Sequence[Label], places: Places) -> tuple[Pairs, Pairs]:
    """Which candidates of other labels each candidate excludes: it covers them, strikes their leader, reads on.

    The second also holds those whose leaders cross.
    """
    owner, boxes, angles, count = places.owner, places.boxes, places.angles, len(places.boxes)
    found = [_overlaps(boxes, owner, angles)]
    crossing = (np.empty(0, dtype=int), np.empty(0, dtype=int))
    led = np.flatnonzero(~np.isnan(places.ends[:, 0, 0]))
    if len(led):
        leaders = Leaders(places.ends[led], owner[led])
        line, box = leaders.strikes(boxes, owner, _square(angles))
        one, other = leaders.crossings()
        found.append((led[line], box))
        crossing = (led[one], led[other])
    named = np.flatnonzero(np.array([label.apart > 0.0 for label in labels])[owner])
    if len(named):
        air = np.array([labels[owner[i]].size for i in named]) + [(labels[owner[i]].apart, 0.0) for i in named]
        wide = turned_boxes([places.spots[i] for i in named.tolist()], air)
        one, other = _overlaps(wide, owner[named], angles[named])
        found.append((named[one], named[other]))
    first, second = (np.concatenate(side) for side in zip(*found, strict=True))
    return _priced(_keys(first, second, count), _keys(*crossing, count), count)


def _keys(first: NDArray[np.int_], second: NDArray[np.int_], count: int) -> NDArray[np.int_]:
    """Pairs of places, either way round, each as one number, once, in order."""
    joined = np.sort(np.minimum(first, second) * count + np.maximum(first, second))
    return joined[np.diff(joined, prepend=-1) > 0]


def _priced(hard: NDArray[np.int_], crossing: NDArray[np.int_], count: int) -> tuple[Pairs, Pairs]:
    """Each pair in the rows of both its places: those that hide something, then with those whose leaders cross."""
    soft = np.setdiff1d(crossing, hard, assume_unique=True)
    once = np.concatenate((2 * hard, 2 * soft + 1))  # the last bit tells a crossing
    pair = once // 2
    both = np.sort(np.concatenate((once, 2 * (pair % count * count + pair // count) + once % 2)))
    joined, crosses = both // 2, both % 2 > 0
    rows = np.arange(count + 1) * count
    hides = joined[~crosses]
    return (Pairs(np.searchsorted(hides, rows), hides % count, np.full(len(hides), COVERS_LABEL)),
            Pairs(np.searchsorted(joined, rows), joined % count, np.where(crosses, LEADERS_CROSS[0], COVERS_LABEL)))


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


def _leader_ends(spot: Spot) -> tuple[Point, Point]:
    """Both ends of a leader, from the middle of its label nearly to what it points at: that is not struck."""
    assert spot.leader is not None
    reach = spot.at.distance(spot.leader)
    return spot.at, spot.at.towards(spot.at.angle_to(spot.leader), max(reach - TIP, reach / 2))


def frame_of(placed: Set) -> shapely.Polygon:
    """The turned rectangle a placed label covers."""
    w, h = placed.label.size
    turn = _turn(placed.spot)
    corners = ((-w / 2, -h / 2), (w / 2, -h / 2), (w / 2, h / 2), (-w / 2, h / 2))
    return shapely.Polygon([turn(Point(x, y)) for x, y in corners])


def as_obstacles(placed: Set) -> list[Obstacle]:
    """A placed label, and its leader, as what others must not hide."""
    found = [Obstacle("", tuple(Point(x, y) for x, y in frame_of(placed).exterior.coords[:-1]), COVERS_LABEL)]
    if placed.spot.leader is not None:
        line = shapely.LineString(_leader_ends(placed.spot)).buffer(0.1, cap_style="flat")
        found.append(Obstacle("", tuple(Point(x, y) for x, y in line.exterior.coords[:-1]), COVERS_LABEL))
    return found


def label_marks(placed: Set) -> list[Mark]:
    """The marks of a placed label: leader, pill, lines of text."""
    label, spot = placed.label, placed.spot
    w, h = label.size
    marks: list[Mark] = []
    if spot.leader is not None:
        start = _edge(spot, w, h)
        marks.append(Shape((polyline([start, spot.leader]),), Role.LEADER, label.subject))
    if label.pill:
        frame = rounded_box(Box(-w / 2, -h / 2, w / 2, h / 2), min(h / 2, 1.0))
        marks.append(Shape((frame.mapped(_turn(spot)),), Role.TAG, label.subject, label.colour))
    lines = label.lines
    total = sum(one.height for one in lines) + sum(GAP * one.height + 0.2 for one in lines[1:])
    y = -total / 2
    for i, one in enumerate(lines):
        y += one.height + (GAP * one.height + 0.2 if i else 0.0)
        at = _turn(spot)(Point(0.0, y))
        marks.append(Text(one.text, at, one.height, "middle", spot.angle, one.bold, one.role, label.subject))
    return marks


def _turn(spot: Spot) -> Transform:
    return turned(spot.angle).then(moved(spot.at))


def _edge(spot: Spot, w: float, h: float) -> Point:
    """Where a leader leaves the label's frame."""
    assert spot.leader is not None
    back = _turn(spot).inverse()(spot.leader)
    scale = max(abs(back.x) / (w / 2), abs(back.y) / (h / 2), 1e-9)
    return _turn(spot)(Point(back.x / scale, back.y / scale)) if scale > 1 else spot.at


def around(anchor: Point, size: tuple[float, float], first: float, price: float = 0.0) -> list[Spot]:
    """Places beside a point, nearest first: right, left, below, above and the corners, ``first`` mm off."""
    w, h = size
    dx, dy = w / 2 + first, h / 2 + first
    offsets = [(dx, 0.0, 0.0), (-dx, 0.0, 0.1), (0.0, dy, 0.2), (0.0, -dy, 0.2), (dx, dy, 0.5), (-dx, dy, 0.5),
               (dx, -dy, 0.5), (-dx, -dy, 0.5)]
    return [Spot(Point(anchor.x + x, anchor.y + y), 0.0, price + extra) for x, y, extra in offsets]


def with_leader(anchor: Point, size: tuple[float, float], reach: float = 34.0, price: float = 8.0) -> list[Spot]:
    """Places farther off, on rings, with a leader back to the point."""
    w, h = size
    spots = []
    distance = 4.0
    while distance <= reach:
        steps = 8 if distance < 8 else 14
        for k in range(steps):
            angle = math.tau * k / steps
            x = anchor.x + (distance + w / 2 * abs(math.cos(angle))) * math.cos(angle)
            y = anchor.y + (distance + h / 2 * abs(math.sin(angle))) * math.sin(angle)
            spots.append(Spot(Point(x, y), 0.0, price + 0.5 * distance, anchor))
        distance += 4.0
    return spots
