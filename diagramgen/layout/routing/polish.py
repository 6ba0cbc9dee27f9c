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

_NEAR = 3.0  # price of a mm within a lane of another lead, in mm
_BEND, _TURN, _SHARP = 0.4, 0.6, 40.0  # price of a corner, of its square angle (quarter turns), of a hairpin
_HAIRPIN = math.radians(95)
_SKIP = 2  # corners that a shifted place may leap over
_GAIN = 0.05  # mm that a change must bring
_WALL = 1e6
_OWN = 2.5  # price of a mm on its own body near its lug


@dataclass(frozen=True)
class Ground:
    """The floor that is free for everybody (``clear``) and the priced zones on it (mm a mm, per lead)."""

    frame: Polygon
    clear: shapely.Geometry
    shapes: tuple[Polygon, ...]


@dataclass(frozen=True)
class Thread:
    """A lead to be straightened: its pitch, the price of a crossing, its price (mm a mm) for each zone.

    ``start`` and ``end`` name the places it shares with other leads, ``own`` the mm let off in each zone
    on the first and last leg.
    """

    start: int
    end: int
    pitch: float
    crossing: float
    zones: tuple[float, ...]
    own: tuple[float, ...]


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
    ends = (layers[first] == 0, layers[last] == layers[-1])
    costs = leg_costs(xy[first], xy[last], others, thread, ends)
    costs += _ground_costs(xy[first], xy[last], thread, ground, ends)
    found, cost = cheapest(xy, first, last, costs)
    held = {(i, j): c for i, j, c in zip(first.tolist(), last.tolist(), costs.tolist(), strict=True)}
    spine = [k for k in range(len(places)) if base[k]]
    before = sum(held[pair] for pair in pairwise(spine))
    before += float(_turn_price(xy[spine[:-2]], xy[spine[1:-1]], xy[spine[2:]]).sum())
    if cost > before - _GAIN:
        return None
    return [places[k] for k in found]


def candidates(path: Sequence[Point], pitch: float) -> tuple[list[Point], NDArray[np.int64], NDArray[np.bool_]]:
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


def _pairs(layers: NDArray[np.int64], base: NDArray[np.bool_]) -> tuple[NDArray[np.int64], NDArray[np.int64]]:
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


def leg_costs(
    a: Floats, b: Floats, others: _Others, thread: Thread, ends: tuple[NDArray[np.bool_], NDArray[np.bool_]]
) -> Floats:
    """Length, crossings and closeness of the legs a-b against all other legs (mm)."""
    length = np.maximum(np.hypot(*(b - a).T), 1e-9)
    costs: Floats = length.copy()
    if not len(others.a):
        return costs
    u = (b - a) / length[:, None]
    p, q = others.a[None] - a[:, None], others.b[None] - a[:, None]
    px, py = _turned(p, u)
    qx, qy = _turned(q, u)
    rise = qy - py
    flat = np.abs(rise) < 1e-9
    safe = np.where(flat, 1.0, rise)
    cut = px - (qx - px) * py / safe
    crosses = (py * qy < 0) & (cut > 1e-6) & (cut < length[:, None] - 1e-6)
    apart = others.apart[None]
    t0, t1 = (-apart - py) / safe, (apart - py) / safe
    t0, t1 = np.clip(np.minimum(t0, t1), 0, 1), np.clip(np.maximum(t0, t1), 0, 1)
    inside = flat & (np.abs(py) < apart)
    t0, t1 = np.where(flat, 0.0, t0), np.where(flat, np.where(inside, 1.0, 0.0), t1)
    xa, xb = px + t0 * (qx - px), px + t1 * (qx - px)
    stub = min(3.0, 1.5 * thread.pitch)
    least = np.where(ends[0][:, None] & others.at_start[None], stub, 0.0)
    most = length[:, None] - np.where(ends[1][:, None] & others.at_end[None], stub, 0.0)
    near = np.minimum(np.maximum(xa, xb), most) - np.maximum(np.minimum(xa, xb), least)
    near = np.maximum(near, 0.0) - np.where(crosses, 2 * apart, 0.0)
    costs += thread.crossing * crosses.sum(axis=1) + _NEAR * np.maximum(near, 0.0).sum(axis=1)
    return costs


def _turned(p: Floats, u: Floats) -> tuple[Floats, Floats]:
    """Points relative to a leg's start as distances along and beside it."""
    ux, uy = u[:, None, 0], u[:, None, 1]
    return p[..., 0] * ux + p[..., 1] * uy, p[..., 1] * ux - p[..., 0] * uy


def _ground_costs(
    a: Floats, b: Floats, thread: Thread, ground: Ground, ends: tuple[NDArray[np.bool_], NDArray[np.bool_]]
) -> Floats:
    """What the ground under each leg costs beyond its length."""
    legs = np.asarray(shapely.linestrings(np.stack([a, b], axis=1)), dtype=object)
    costs: Floats = np.zeros(len(a))
    dear = np.nonzero(~shapely.covers(ground.clear, legs))[0]
    if not len(dear):
        return costs
    outside = ~shapely.covers(ground.frame, legs[dear])
    costs[dear[outside]] = _WALL
    dear = dear[~outside]
    at_end = ends[0][dear] | ends[1][dear]
    for shape, price, own in zip(ground.shapes, thread.zones, thread.own, strict=True):
        if price <= 1.0:
            continue
        hit = shapely.intersects(shape, legs[dear])
        if hit.any():
            inside = shapely.length(shapely.intersection(shape, legs[dear[hit]]))
            free = np.where(at_end[hit], np.minimum(inside, own), 0.0)
            costs[dear[hit]] += (inside - free) * (price - 1.0) + free * (min(_OWN, price) - 1.0)
    return costs


def _turn_price(a: Floats, b: Floats, c: Floats) -> Floats:
    """The price of the corner b between a and c (arrays of points, broadcast)."""
    d, e = b - a, c - b
    turn = np.abs(np.arctan2(d[..., 0] * e[..., 1] - d[..., 1] * e[..., 0], (d * e).sum(axis=-1)))
    price: Floats = _BEND + _TURN * (turn / (math.pi / 2)) ** 2 + np.where(turn > _HAIRPIN, _SHARP, 0.0)
    return price


def cheapest(xy: Floats, first: NDArray[np.int64], last: NDArray[np.int64], costs: Floats) -> tuple[list[int], float]:
    """The cheapest chain of legs from the first place to the last one, corners priced by their turn."""
    total = np.full(len(costs), np.inf)
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
        turn = _turn_price(xy[first[ins]][:, None], xy[k][None, None], xy[last[outs]][None, :])
        sums = total[ins][:, None] + turn
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
