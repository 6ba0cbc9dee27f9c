"""Many points round a cavity as few straight lines and arcs, within a stated tolerance.

The points are cut where lines and circular arcs describe them in the fewest pieces (least squares of each piece plus a
price for every piece, the best cutting by dynamic programming); neighbours are then made to meet.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

import numpy as np

from diagramgen.features.trace.homography import Numbers
from diagramgen.kernel.geometry import Arc, Line, Path, Piece, Point, polyline

NODES = 320
"""Places at which the outline may be cut."""
PRICES = (400.0, 150.0, 60.0, 24.0, 12.0, 6.0, 3.0)
"""What a piece costs, in squares of the noise; the first that keeps the tolerance is taken: the plainest outline."""
ARC_COSTS = 1.25
STRAIGHT = 1500.0
"""mm of radius from which an arc is drawn as a line."""
SHORT = 2.5
"""mm; pieces shorter than this may be what blur made of a sharp corner ..."""
KEEN = 2.6
"""... where the corner lies at most so many picture elements beyond them."""
SHORTEST = 0.4
"""mm; a piece shorter than this is left out."""


@dataclass(frozen=True)
class Fit:
    """A closed path and how far the points lie from it: all but one in a hundred, mm."""

    path: Path
    off: float


@dataclass(frozen=True)
class _Straight:
    at: Point
    angle: float


@dataclass(frozen=True)
class _Round:
    centre: Point
    radius: float


def fit(points: Numbers, tolerance: float, noise: float, grain: float = 0.0) -> Fit:
    """The points as lines and arcs within ``tolerance``; as a polygon where arcs do not keep it.

    ``grain``: mm of a picture element; 0 where the outline was drawn by hand and its corners are meant.
    """
    tolerance = within(tolerance, grain)
    spread = max(noise, tolerance / 3, 0.01)
    best: Fit | None = None
    for price in PRICES:
        made = _in_pieces(points, spread, price, grain)
        if made is None:
            continue
        found = Fit(made[0], distance_off(points, *made))
        best = found if best is None or found.off < best.off else best
        if found.off <= tolerance:
            return found
    plain = _polygon(points, tolerance)
    return plain if best is None or best.off > tolerance else best


def within(tolerance: float, grain: float) -> float:
    """The tolerance that can be kept: closer than two thirds of a picture element only its noise is followed."""
    return max(tolerance, grain * 2 / 3)


def distance_off(points: Numbers, path: Path, sharp: Sequence[Point] = ()) -> float:
    """How far the points lie from the path, and the path from the points: all but one in a hundred.

    Near the corners ``sharp`` nothing is compared: the points are rounded there by blur, the path is not.
    """
    from shapely import LinearRing, distance
    from shapely import points as as_points

    ring = LinearRing(points)
    drawn = LinearRing(path.flat(0.005))
    stops = np.linspace(0, drawn.length, 600, endpoint=False)
    along = np.array([drawn.interpolate(s).coords[0] for s in stops])
    corners = np.array(sharp, dtype=float).reshape(-1, 1, 2)

    def plain(those: Numbers) -> Numbers:
        kept: Numbers = those[(np.hypot(*np.moveaxis(those - corners, -1, 0)) > SHORT / 2).all(axis=0)]
        return kept

    there, back = distance(as_points(plain(points)), drawn), distance(as_points(plain(along)), ring)
    return float(max(np.percentile(there, 99), np.percentile(back, 99)))


def _polygon(points: Numbers, tolerance: float) -> Fit:
    from shapely import LinearRing

    simple = LinearRing(points).simplify(tolerance * 0.8)
    path = polyline([Point(float(x), float(y)) for x, y in list(simple.coords)[:-1]], closed=True)
    return Fit(path, distance_off(points, path))


def _in_pieces(points: Numbers, noise: float, price: float, grain: float) -> tuple[Path, list[Point]] | None:
    """The best cutting and its sharp corners; None where it has no sound form."""
    nodes = _nodes(len(points))
    cut = _cut(points, nodes, noise, price)
    # Again from a place where it was cut: the first time the start was one by chance.
    turned = np.roll(points, -int(nodes[cut[len(cut) // 2]]), axis=0)
    cut = _cut(turned, nodes, noise, price)
    spans = [turned[nodes[i] : nodes[j] + 1] for i, j in pairwise(cut)]
    if len(spans) < 2:
        return None
    forms = [_form(span, noise) for span in spans]
    forms, spans, sharp = _sharpened(forms, spans, grain)
    ends = [Point(*map(float, span[0])) for span in spans]
    joints = [_joint(forms[i - 1], forms[i], ends[i]) for i in range(len(forms))]
    path = _joined(forms, joints, spans)
    return None if path is None else (path, [joint for joint, keen in zip(joints, sharp, strict=True) if keen])


def _sharpened(
    forms: list[_Straight | _Round], spans: list[Numbers], grain: float
) -> tuple[list[_Straight | _Round], list[Numbers], list[bool]]:
    """Short pieces between two long ones that meet close by left out: blur rounds a corner that is sharp in the wood.

    Returns forms, spans, and for each whether it begins with a sharpened corner.
    """
    long = [i for i, span in enumerate(spans) if float(np.hypot(*np.diff(span, axis=0).T).sum()) >= SHORT]
    count = len(forms)
    if grain <= 0 or len(long) < 3:
        return forms, spans, [False] * count
    kept, sharp, own = list[int](), dict[int, bool](), list(spans)
    for n, i in enumerate(long):
        kept.append(i)
        to = long[(n + 1) % len(long)]
        between = [k % count for k in range(i + 1, to if to > i else to + count)]
        if not between:
            continue
        run = np.vstack([spans[k] for k in between])
        near = [float(np.hypot(*(run - np.array(p)).T).min()) for p in _meetings(forms[i], forms[to])]
        if near and min(near) < KEEN * grain:
            sharp[to] = True
            own[to] = np.vstack([run[len(run) // 2 :], spans[to]])
        else:
            kept += between
    kept.sort()
    return [forms[k] for k in kept], [own[k] for k in kept], [sharp.get(k, False) for k in kept]


def _nodes(count: int) -> Numbers:
    return np.unique(np.linspace(0, count - 1, min(NODES, count)).round().astype(int))


def _cut(points: Numbers, nodes: Numbers, noise: float, price: float) -> list[int]:
    """Indices into ``nodes`` at which the closed run of points is cut, first and last included."""
    costs = _costs(points, nodes) / (noise * noise) + price
    best, came = np.full(len(nodes), np.inf), np.zeros(len(nodes), dtype=int)
    best[0] = 0.0
    for j in range(1, len(nodes)):
        sums = best[:j] + costs[:j, j]
        came[j] = int(np.argmin(sums))
        best[j] = sums[came[j]]
    cut = [len(nodes) - 1]
    while cut[-1]:
        cut.append(int(came[cut[-1]]))
    return cut[::-1]


def _costs(points: Numbers, nodes: Numbers) -> Numbers:
    """Squares left by the better of line and arc for every span of nodes; an arc is dearer."""
    x, y = (points - points.mean(axis=0)).T
    z = x * x + y * y
    terms = (np.ones_like(x), x, y, x * x, x * y, y * y, z, z * x, z * y, z * z)
    run = np.array([np.concatenate([[0.0], np.cumsum(t)]) for t in terms])
    i, j = np.triu_indices(len(nodes), 1)
    n, sx, sy, sxx, sxy, syy, sz, szx, szy, szz = run[:, nodes[j] + 1] - run[:, nodes[i]]
    vxx, vxy, vyy = sxx - sx * sx / n, sxy - sx * sy / n, syy - sy * sy / n
    straight = (vxx + vyy) / 2 - np.sqrt((vxx - vyy) ** 2 / 4 + vxy * vxy)
    # The circle of least squares of z = a x + b y + c, all about the middle of the span.
    vzx, vzy, vzz = szx - sz * sx / n, szy - sz * sy / n, szz - sz * sz / n
    det = vxx * vyy - vxy * vxy
    safe = np.where(det > 1e-9 * (vxx + vyy) ** 2 + 1e-12, det, np.inf)
    a, b = (vzx * vyy - vzy * vxy) / safe, (vzy * vxx - vzx * vxy) / safe
    left = np.maximum(vzz - a * vzx - b * vzy, 0.0)
    radius2 = np.maximum((a / 2) ** 2 + (b / 2) ** 2 + (sz - a * sx - b * sy) / n, 1e-6)
    curved = np.where(np.isfinite(safe), left / (4 * radius2), np.inf)
    curved = np.where(n >= 6, curved, np.inf)
    result = np.full((len(nodes), len(nodes)), np.inf)
    result[i, j] = np.maximum(np.minimum(straight, ARC_COSTS * curved + 1e-9), 0.0)
    return result


def _form(span: Numbers, noise: float) -> _Straight | _Round:
    """The line or the circle of a span, its ends left out: there its neighbours reach into it."""
    trim = min(len(span) // 8, 6)
    inner = span[trim : len(span) - trim]
    middle = inner.mean(axis=0)
    x, y = (inner - middle).T
    _, axes = np.linalg.eigh(np.cov(x, y) if len(inner) > 1 else np.eye(2))
    along = axes[:, 1] if axes[:, 1] @ (span[-1] - span[0]) >= 0 else -axes[:, 1]
    line = _Straight(Point(*map(float, middle)), math.atan2(along[1], along[0]))
    if len(inner) < 6:
        return line
    off_line = float(np.sqrt(np.mean((x * along[1] - y * along[0]) ** 2)))
    rows = np.column_stack([x, y, np.ones_like(x)])
    (a, b, c), *_ = np.linalg.lstsq(rows, x * x + y * y, rcond=None)
    radius = math.sqrt(max(c + (a * a + b * b) / 4, 1e-9))
    off_arc = float(np.sqrt(np.mean((np.hypot(x - a / 2, y - b / 2) - radius) ** 2)))
    if radius > STRAIGHT or off_line <= max(off_arc * 1.2, noise * 0.5):
        return line
    return _Round(Point(float(middle[0] + a / 2), float(middle[1] + b / 2)), radius)


def _joint(before: _Straight | _Round, after: _Straight | _Round, near: Point) -> Point:
    """Where two neighbours meet; midway between them where they only touch or pass."""
    meeting = [p for p in _meetings(before, after) if p.distance(near) < 2.5]
    if meeting:
        return min(meeting, key=near.distance)
    a, b = _foot(before, near), _foot(after, near)
    return Point((a.x + b.x) / 2, (a.y + b.y) / 2)


def _foot(form: _Straight | _Round, p: Point) -> Point:
    if isinstance(form, _Round):
        return form.centre.towards(form.centre.angle_to(p), form.radius)
    d = p.minus(form.at)
    return form.at.towards(form.angle, d.x * math.cos(form.angle) + d.y * math.sin(form.angle))


def _meetings(a: _Straight | _Round, b: _Straight | _Round) -> list[Point]:
    if isinstance(a, _Straight) and isinstance(b, _Straight):
        across = math.sin(b.angle - a.angle)
        if abs(across) < 0.05:
            return []
        d = b.at.minus(a.at)
        return [a.at.towards(a.angle, (d.x * math.sin(b.angle) - d.y * math.cos(b.angle)) / across)]
    if isinstance(a, _Round) and isinstance(b, _Round):
        apart = a.centre.distance(b.centre)
        if apart < 1e-9:
            return []
        reach = (apart * apart + a.radius**2 - b.radius**2) / (2 * apart)
        half = a.radius**2 - reach * reach
        base = a.centre.towards(a.centre.angle_to(b.centre), reach)
        turn = a.centre.angle_to(b.centre) + math.pi / 2
        return [] if half < 0 else [base.towards(turn, s * math.sqrt(half)) for s in (1, -1)]
    line, circle = (a, b) if isinstance(a, _Straight) else (b, a)
    assert isinstance(line, _Straight)
    assert isinstance(circle, _Round)
    base = _foot(line, circle.centre)
    half = circle.radius**2 - base.distance(circle.centre) ** 2
    return [] if half < 0 else [base.towards(line.angle, s * math.sqrt(half)) for s in (1, -1)]


def _joined(forms: Sequence[_Straight | _Round], joints: Sequence[Point], spans: Sequence[Numbers]) -> Path | None:
    pieces: list[Piece] = []
    for i, form in enumerate(forms):
        start, to = joints[i], joints[(i + 1) % len(joints)]
        if start.distance(to) < SHORTEST and len(forms) > 3:
            pieces.append(Line(to))
            continue
        middle = spans[i][len(spans[i]) // 2]
        arc = _through(start, _foot(form, Point(float(middle[0]), float(middle[1]))), to) \
            if isinstance(form, _Round) else None
        pieces.append(arc or Line(to))
    path = Path(joints[0], tuple(pieces), True)
    return path if len(pieces) >= 2 else None


def _through(a: Point, m: Point, b: Point) -> Arc | None:
    """The arc from ``a`` over ``m`` to ``b``."""
    across = 2 * ((m.x - a.x) * (b.y - a.y) - (m.y - a.y) * (b.x - a.x))
    if abs(across) < 1e-6:
        return None
    m2, b2 = a.distance(m) ** 2, a.distance(b) ** 2
    u, v = m.minus(a), b.minus(a)
    centre = Point(a.x + (v.y * m2 - u.y * b2) / across, a.y + (u.x * b2 - v.x * m2) / across)
    if centre.distance(a) > STRAIGHT:
        return None
    first = math.remainder(centre.angle_to(m) - centre.angle_to(a), math.tau)
    second = math.remainder(centre.angle_to(b) - centre.angle_to(m), math.tau)
    sign = 1.0 if across > 0 else -1.0
    sweep = sign * ((sign * first) % math.tau + (sign * second) % math.tau)
    return Arc(b, centre, sweep)
