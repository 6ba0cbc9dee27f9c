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
from numpy.typing import NDArray

from diagramgen.geometry import Point
from diagramgen.layout.routing.ground import Floats, Ground, Kinds, Places, Thread, ground_costs, stub_turns, turn_price

_NEAR = 4.0  # price of running one pitch's length within a lane of another lead, in mm
_STRIPS = ((1.0, 1.0), (0.5, 1.5))  # share of a lane within which closeness counts, and how much
_SQUARE = 3.4  # strip half-widths that a crossing may take along the lead: anything steeper than 30 degrees
_SKIP = 2  # corners that a shifted place may leap over
_GAIN = 0.05  # mm that a change must bring
_CROSS = 2.0


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
    choices: dict[int, _Choice] = {}
    dirty = set(now)
    for _ in range(rounds):
        changed: set[int] = set()
        for lead in sorted(now):
            if lead not in dirty or tries <= 0 or len(now[lead]) < 2:
                continue
            tries -= 1
            if lead not in choices:
                choices[lead] = _choice(now[lead], threads[lead], ground)
            better = _straightened(lead, choices[lead], now, threads)
            if better is not None:
                now[lead] = better
                del choices[lead]
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


@dataclass(frozen=True)
class _Choice:
    """The legs that a lead may choose from, and all of their price that the other leads do not change.

    ``spine`` numbers the places of its own corners, ``held`` its own legs.
    """

    places: list[Point]
    xy: Floats
    first: Places
    last: Places
    kinds: Kinds
    costs: Floats
    spine: list[int]
    held: list[int]
    turns: float


def _choice(path: Sequence[Point], thread: Thread, ground: Ground) -> _Choice:
    places, layers, base = candidates(path, thread.pitch)
    first, last = _pairs(layers, base)
    xy = np.array(places)
    old = base[first] & base[last] & (np.cumsum(base)[last] - np.cumsum(base)[first] == 1)
    kinds = Kinds(layers[first] == 0, layers[last] == layers[-1], old)
    costs = ground_costs(xy[first], xy[last], thread, ground, kinds)
    costs += stub_turns(xy[first], xy[last], thread, kinds)
    spine = np.nonzero(base)[0].tolist()
    legs = {pair: k for k, pair in enumerate(zip(first.tolist(), last.tolist(), strict=True))}
    angle = np.arctan2(*(xy[spine[1:]] - xy[spine[:-1]]).T[::-1])
    turns = float(turn_price(np.diff(angle), thread.pitch).sum())
    return _Choice(places, xy, first, last, kinds, costs, spine, [legs[pair] for pair in pairwise(spine)], turns)


def _straightened(
    lead: int, choice: _Choice, paths: dict[int, list[Point]], threads: dict[int, Thread]
) -> list[Point] | None:
    """The lead's cheapest way through places near its corners, or ``None`` when it has the cheapest."""
    thread, xy, first, last = threads[lead], choice.xy, choice.first, choice.last
    others = _others(lead, paths, threads, xy)
    costs = choice.costs + leg_costs(xy[first], xy[last], others, thread, choice.kinds)
    found, cost = cheapest(xy, first, last, costs, thread.pitch)
    if cost > float(costs[choice.held].sum()) + choice.turns - _GAIN:
        return None
    return [choice.places[k] for k in found]


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


def leg_costs(a: Floats, b: Floats, others: _Others, thread: Thread, kinds: Kinds) -> Floats:
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
        sums = total[ins][:, None] + turn_price(angle[outs][None, :] - angle[ins][:, None], pitch)
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
