"""Straightens finished leads: each may leave out, shift or add corners where that costs less, all counted.

What counts: length, bends, crossings of other leads, running within a lane of them, and ground that is not
free. For one lead at a time the cheapest way through its own corners and places near them is found (a
shortest path over pairs of corners); the others stand still meanwhile, so the sum only goes down.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely.geometry import Polygon

from diagramgen.geometry import Point

Floats = NDArray[np.float64]
Places = NDArray[np.int64]

_NEAR = 4.0  # price of running one pitch's length within a lane of another lead, in mm
_STRIPS = ((1.0, 1.0), (0.5, 1.5))  # share of a lane within which closeness counts, and how much
_BEND, _TURN = 0.8, 1.2  # price of a corner and of its square angle (quarter turns), in pitches
_SQUARE = 3.4  # strip half-widths that a crossing may take along the lead: anything steeper than 30 degrees
_SHARP = 40.0  # price of a hairpin, in mm
_HAIRPIN = math.radians(95)
_SKIP = 2  # corners that a shifted place may leap over
_HAIR = 0.005  # mm by which a leg along an edge may stray over it
_GAIN = 0.05  # mm that a change must bring
_WALL = 1e6
_CROSS = 2.0
_DEAR = 10.0  # price of a mm from which ground is not entered anew
_OWN = 2.5  # price of a mm on its own body near its lug


@dataclass(frozen=True)
class Ground:
    """The floor within which leads stay, and the zones on it that may cost (a hair slimmer than they are)."""

    frame: Polygon
    shapes: NDArray[np.object_]
    tree: shapely.STRtree


def ground_from(frame: Polygon, zones: Sequence[Polygon]) -> Ground:
    """The ground for straightening; legs along the edge of the frame or of a zone are free."""
    wide = frame.buffer(_HAIR, join_style="mitre")
    shapely.prepare(wide)
    shapes = np.empty(len(zones), dtype=object)
    shapes[:] = [zone.buffer(-_HAIR, join_style="mitre") for zone in zones]
    return Ground(wide, shapes, shapely.STRtree(shapes))


@dataclass(frozen=True)
class Thread:
    """A lead to be straightened: its pitch, the price of a crossing, its price (mm a mm) for each zone.

    ``start`` and ``end`` name the places it shares with other leads, ``own`` the mm let off in each zone
    on the first and last leg; ``leaving`` and ``arriving`` are its directions (rad) before and after them.
    """

    start: int
    end: int
    pitch: float
    crossing: float
    zones: tuple[float, ...]
    own: tuple[float, ...]
    leaving: float | None = None
    arriving: float | None = None


@dataclass(frozen=True)
class _Kinds:
    """Which legs begin at the lead's start, end at its end, and which it has already."""

    at_start: NDArray[np.bool_]
    at_end: NDArray[np.bool_]
    old: NDArray[np.bool_]


@dataclass(frozen=True)
class _Others:
    """Every leg of the other leads: ends, wanted distance, and whether they share this lead's ends."""

    a: Floats
    b: Floats
    apart: Floats
    at_start: NDArray[np.bool_]
    at_end: NDArray[np.bool_]


def polished(
    paths: dict[int, list[Point]], threads: dict[int, Thread], ground: Ground, tries: int, rounds: int = 3
) -> dict[int, list[Point]]:
    """The leads with fewer needless corners; at most ``tries`` leads are taken up in all."""
    now = {lead: list(path) for lead, path in paths.items()}
    dirty = set(now)
    for _ in range(rounds):
        changed: set[int] = set()
        for lead in sorted(now):
            if lead not in dirty or tries <= 0 or len(now[lead]) < 2:
                continue
            tries -= 1
            better = _straightened(lead, now, threads, ground)
            if better is not None:
                now[lead] = better
                changed.add(lead)
        dirty = {lead for lead in now if any(_close(now[lead], now[c]) for c in sorted(changed) if c != lead)}
        dirty |= changed
        if not changed:
            break
    return now


def _close(first: Sequence[Point], second: Sequence[Point]) -> bool:
    """Whether the boxes around two leads meet."""
    ax, ay = [p.x for p in first], [p.y for p in first]
    bx, by = [p.x for p in second], [p.y for p in second]
    return max(min(ax), min(bx)) < min(max(ax), max(bx)) and max(min(ay), min(by)) < min(max(ay), max(by))


def _straightened(
    lead: int, paths: dict[int, list[Point]], threads: dict[int, Thread], ground: Ground
) -> list[Point] | None:
    """The lead's cheapest way through places near its corners, or ``None`` when it has the cheapest."""
    thread, path = threads[lead], paths[lead]
    places, layers, base = candidates(path, thread.pitch)
    first, last = _pairs(layers, base)
    xy = np.array(places)
    others = _others(lead, paths, threads, xy)
    old = base[first] & base[last] & (np.cumsum(base)[last] - np.cumsum(base)[first] == 1)
    kinds = _Kinds(layers[first] == 0, layers[last] == layers[-1], old)
    costs = leg_costs(xy[first], xy[last], others, thread, kinds)
    costs += _ground_costs(xy[first], xy[last], thread, ground, kinds)
    costs += _stub_turns(xy[first], xy[last], thread, kinds)
    found, cost = cheapest(xy, first, last, costs, thread.pitch)
    held = {(i, j): c for i, j, c in zip(first.tolist(), last.tolist(), costs.tolist(), strict=True)}
    spine = [k for k in range(len(places)) if base[k]]
    before = sum(held[pair] for pair in pairwise(spine))
    angle = np.arctan2(*(xy[spine[1:]] - xy[spine[:-1]]).T[::-1])
    before += float(_turn_price(np.diff(angle), thread.pitch).sum())
    if cost > before - _GAIN:
        return None
    return [places[k] for k in found]


def candidates(path: Sequence[Point], pitch: float) -> tuple[list[Point], Places, NDArray[np.bool_]]:
    """Places for corners: the path's own (marked in the last list) and some beside them, layer by layer."""
    places, layers, base = [path[0]], [0], [True]
    layer = 0

    def fan(end: Point, angle: float) -> None:
        for k in (-3, -2, -1, 1, 2, 3):
            places.append(end.towards(angle + 0.35 * k, 1.6 * pitch))
            layers.append(layer)
            base.append(False)

    first, last = path[0].angle_to(path[1]), path[-1].angle_to(path[-2])
    long = path[0].distance(path[1]) > 3 * pitch
    if long:
        layer += 1
        fan(path[0], first)
    for before, here, after in zip(path, path[1:], path[2:], strict=False):
        layer += 1
        places.append(here)
        layers.append(layer)
        base.append(True)
        across = before.angle_to(here) + math.remainder(here.angle_to(after) - before.angle_to(here), math.tau) / 2
        for step in (-1.0, -0.5, 0.5, 1.0):
            places.append(here.towards(across + math.pi / 2, step * pitch))
            layers.append(layer)
            base.append(False)
    if path[-1].distance(path[-2]) > 3 * pitch:
        layer += 1
        fan(path[-1], last)
    places.append(path[-1])
    layers.append(layer + 1)
    base.append(True)
    return places, np.array(layers), np.array(base)


def _pairs(layers: Places, base: NDArray[np.bool_]) -> tuple[Places, Places]:
    step = layers[None, :] - layers[:, None]
    plain = base[None, :] & base[:, None]
    first, last = np.nonzero((step >= 1) & (plain | (step <= _SKIP)))
    return first, last


def _others(lead: int, paths: dict[int, list[Point]], threads: dict[int, Thread], xy: Floats) -> _Others:
    mine = threads[lead]
    low, high = xy.min(axis=0) - mine.pitch * 2, xy.max(axis=0) + mine.pitch * 2
    rows: list[tuple[float, float, float, float, float, bool, bool]] = []
    for other in sorted(paths):
        if other == lead:
            continue
        thread, path = threads[other], paths[other]
        apart = 0.97 * (mine.pitch + thread.pitch) / 2
        shares = (mine.start in (thread.start, thread.end), mine.end in (thread.start, thread.end))
        rows += [(*p, *q, apart, *shares) for p, q in pairwise(path)]
    table = np.array(rows, dtype=float).reshape(-1, 7)
    a, b = table[:, 0:2], table[:, 2:4]
    kept = np.all((np.maximum(a, b) > low) & (np.minimum(a, b) < high), axis=1)
    table = table[kept]
    return _Others(table[:, 0:2], table[:, 2:4], table[:, 4], table[:, 5] > 0, table[:, 6] > 0)


def leg_costs(a: Floats, b: Floats, others: _Others, thread: Thread, kinds: _Kinds) -> Floats:
    """Length, crossings and closeness of the legs a-b against all other legs (mm)."""
    length = np.maximum(np.hypot(*(b - a).T), 1e-9)
    costs: Floats = length.copy()
    if not len(others.a):
        return costs
    i, j = _meeting(a, b, others)
    u = ((b - a) / length[:, None])[i]
    p, q, apart, size = others.a[j] - a[i], others.b[j] - a[i], others.apart[j], length[i]
    px, py = p[:, 0] * u[:, 0] + p[:, 1] * u[:, 1], p[:, 1] * u[:, 0] - p[:, 0] * u[:, 1]
    qx, qy = q[:, 0] * u[:, 0] + q[:, 1] * u[:, 1], q[:, 1] * u[:, 0] - q[:, 0] * u[:, 1]
    rise, run = qy - py, qx - px
    flat = np.abs(rise) < 1e-9
    safe = np.where(flat, 1.0, rise)
    cut = px - run * py / safe
    crosses = (py * qy < 0) & (cut > 1e-6) & (cut < size - 1e-6)
    stub = min(3.0, 1.5 * thread.pitch)
    least = np.where(kinds.at_start[i] & others.at_start[j], stub, 0.0)
    most = size - np.where(kinds.at_end[i] & others.at_end[j], stub, 0.0)
    near: Floats = np.zeros(len(i))
    for share, weight in _STRIPS:
        wide = share * apart
        t0, t1 = (-wide - py) / safe, (wide - py) / safe
        t0, t1 = np.clip(np.minimum(t0, t1), 0, 1), np.clip(np.maximum(t0, t1), 0, 1)
        t0, t1 = np.where(flat, 0.0, t0), np.where(flat, np.where(np.abs(py) < wide, 1.0, 0.0), t1)
        xa, xb = px + t0 * run, px + t1 * run
        along = np.minimum(np.maximum(xa, xb), most) - np.maximum(np.minimum(xa, xb), least)
        near += weight * np.maximum(along - np.where(crosses, _SQUARE * wide, 0.0), 0.0)
    costs += np.bincount(i, _CROSS * thread.crossing * crosses + _NEAR / thread.pitch * near, len(a))
    return costs


def _meeting(a: Floats, b: Floats, others: _Others) -> tuple[Places, Places]:
    """The pairs (leg, other leg) whose boxes come near enough to matter."""
    low, high = np.minimum(a, b), np.maximum(a, b)
    reach = others.apart[:, None]
    least, most = np.minimum(others.a, others.b) - reach, np.maximum(others.a, others.b) + reach
    meet = (low[:, None, 0] < most[None, :, 0]) & (high[:, None, 0] > least[None, :, 0])
    meet &= (low[:, None, 1] < most[None, :, 1]) & (high[:, None, 1] > least[None, :, 1])
    i, j = np.nonzero(meet)
    return i, j


def _ground_costs(a: Floats, b: Floats, thread: Thread, ground: Ground, kinds: _Kinds) -> Floats:
    """What the ground under each leg costs beyond its length; new legs may not enter foreign zones at all."""
    legs = np.asarray(shapely.linestrings(np.stack([a, b], axis=1)), dtype=object)
    costs: Floats = np.where(shapely.covers(ground.frame, legs), 0.0, _WALL)
    prices, own = np.array(thread.zones), np.array(thread.own)
    leg, zone = ground.tree.query(legs, predicate="intersects")
    dear = prices[zone] > 1.0
    leg, zone = leg[dear], zone[dear]
    exact = kinds.old[leg] | (own[zone] > 0) | (prices[zone] < _DEAR)
    np.add.at(costs, leg[~exact], _WALL)
    leg, zone = leg[exact], zone[exact]
    if len(leg):
        inside = shapely.length(shapely.intersection(ground.shapes[zone], legs[leg]))
        free = np.where((kinds.at_start | kinds.at_end)[leg], np.minimum(inside, own[zone]), 0.0)
        cost = (inside - free) * (prices[zone] - 1.0) + free * (np.minimum(prices[zone], _OWN) - 1.0)
        np.add.at(costs, leg, cost)
    return costs


def _turn_price(turn: Floats, pitch: float) -> Floats:
    """The price (mm) of corners that turn by so much (rad)."""
    size = np.abs((turn + math.pi) % math.tau - math.pi)
    price: Floats = pitch * (_BEND + _TURN * (size / (math.pi / 2)) ** 2) + np.where(size > _HAIRPIN, _SHARP, 0.0)
    return price


def _stub_turns(a: Floats, b: Floats, thread: Thread, kinds: _Kinds) -> Floats:
    """What the corners cost between a lead's stubs and its first and last legs."""
    angle = np.arctan2(*(b - a).T[::-1])
    costs: Floats = np.zeros(len(a))
    if thread.leaving is not None:
        costs += np.where(kinds.at_start, _turn_price(angle - thread.leaving, thread.pitch), 0.0)
    if thread.arriving is not None:
        costs += np.where(kinds.at_end, _turn_price(thread.arriving - angle, thread.pitch), 0.0)
    return costs


def cheapest(xy: Floats, first: Places, last: Places, costs: Floats, pitch: float) -> tuple[list[int], float]:
    """The cheapest chain of legs from the first place to the last one, corners priced by their turn."""
    total = np.full(len(costs), np.inf)
    angle = np.arctan2(*(xy[last] - xy[first]).T[::-1])
    parent = np.full(len(costs), -1, dtype=np.int64)
    total[first == 0] = costs[first == 0]
    into: list[list[int]] = [[] for _ in range(len(xy))]
    out: list[list[int]] = [[] for _ in range(len(xy))]
    for leg, (i, j) in enumerate(zip(first.tolist(), last.tolist(), strict=True)):
        into[j].append(leg)
        out[i].append(leg)
    for k in range(1, len(xy) - 1):
        if not into[k] or not out[k]:
            continue
        ins, outs = np.array(into[k]), np.array(out[k])
        sums = total[ins][:, None] + _turn_price(angle[outs][None, :] - angle[ins][:, None], pitch)
        pick = sums.argmin(axis=0)
        total[outs] = sums[pick, np.arange(len(outs))] + costs[outs]
        parent[outs] = ins[pick]
    goal = np.array(into[-1])
    leg = int(goal[total[goal].argmin()])
    best, chain = float(total[leg]), [int(last[leg])]
    while leg >= 0:
        chain.append(int(first[leg]))
        leg = int(parent[leg])
    return chain[::-1], best
