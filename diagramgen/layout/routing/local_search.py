"""Improves finished leads: each may leave out, shift or add corners where that costs less.

What counts: length, bends, crossings, running within a pitch of another lead, and zones. For one lead at a time the
cheapest chain through its own corners and places near them is found (a shortest path over pairs of corners); the others
stand still meanwhile, so the sum only goes down.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from diagramgen.kernel.geometry import Point
from diagramgen.layout.routing.priced_zones import (
    FORBIDDEN,
    Floats,
    LeadCosts,
    LegFlags,
    Places,
    PricedZones,
    bend_cost,
    leg_zone_costs,
    stub_bend_costs,
)

CLOSENESS_COST = 4.0  # price of running one pitch's length beside another lead, in mm
CLOSENESS_BANDS = ((1.0, 1.0), (0.5, 1.5))  # share of a pitch within which closeness counts, and how much
_SQUARE = 3.4  # strip half-widths that a crossing may take along the lead: anything steeper than 30 degrees
MOST_SKIPPED = 2  # corners that a shifted place may leap over
LEAST_GAIN = 0.05  # mm that a change must bring
CROSSING_WEIGHT = 2.0


@dataclass(frozen=True)
class _OtherLegs:
    """Every leg of the other leads: ends, wanted distance, and whether they share this lead's ends."""

    a: Floats
    b: Floats
    apart: Floats
    at_start: NDArray[np.bool_]
    at_end: NDArray[np.bool_]


def improve_locally(
    paths: dict[int, list[Point]], costs_by_lead: dict[int, LeadCosts], zones: PricedZones, tries: int, rounds: int = 3
) -> dict[int, list[Point]]:
    """Improve leads one at a time until none gains.

    Parameters: paths - lead -> corners, mm; tries - leads taken up in all, at most; rounds - times each may be.
    Returns: lead -> corners. A lead is taken up again only when one beside it has changed.
    """
    now = {lead: list(path) for lead, path in paths.items()}
    graphs: dict[int, _LegGraph] = {}
    legs = _LegTable(now, costs_by_lead)
    dirty = set(now)
    for _ in range(rounds):
        changed: set[int] = set()
        for lead in sorted(now):
            if lead not in dirty or tries <= 0 or len(now[lead]) < 2:
                continue
            tries -= 1
            if lead not in graphs:
                graphs[lead] = _leg_graph(now[lead], costs_by_lead[lead], zones)
            better = _improved(lead, graphs[lead], legs, costs_by_lead[lead])
            if better is not None:
                now[lead] = better
                legs.changed(lead, better)
                del graphs[lead]
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
class _LegGraph:
    """The legs that a lead may choose from, and all of their price that the other leads do not change.

    ``spine`` numbers the places of its own corners, ``held`` its own legs.
    """

    places: list[Point]
    xy: Floats
    first: Places
    last: Places
    kinds: LegFlags
    costs: Floats
    spine: list[int]
    held: list[int]
    turns: float


def _leg_graph(path: Sequence[Point], lead_costs: LeadCosts, zones: PricedZones) -> _LegGraph:
    places, layers, base = candidates(path, lead_costs.pitch)
    first, last = _pairs(layers, base)
    xy = np.array(places)
    old = base[first] & base[last] & (np.cumsum(base)[last] - np.cumsum(base)[first] == 1)
    flags = LegFlags(layers[first] == 0, layers[last] == layers[-1], old)
    costs = leg_zone_costs(xy[first], xy[last], lead_costs, zones, flags)
    if costs[old].max() < FORBIDDEN:  # then no way through a wall is any cheaper
        open_ones = costs < FORBIDDEN
        first, last, costs = first[open_ones], last[open_ones], costs[open_ones]
        flags = LegFlags(flags.at_start[open_ones], flags.at_end[open_ones], flags.existing[open_ones])
    costs += stub_bend_costs(xy[first], xy[last], lead_costs, flags)
    spine = np.nonzero(base)[0].tolist()
    legs = {pair: k for k, pair in enumerate(zip(first.tolist(), last.tolist(), strict=True))}
    angle = np.arctan2(*(xy[spine[1:]] - xy[spine[:-1]]).T[::-1])
    turns = float(bend_cost(np.diff(angle), lead_costs.pitch).sum())
    return _LegGraph(places, xy, first, last, flags, costs, spine, [legs[pair] for pair in pairwise(spine)], turns)


def _improved(lead: int, graph: _LegGraph, legs: _LegTable, lead_costs: LeadCosts) -> list[Point] | None:
    """The lead's cheapest way through places near its corners, or ``None`` when it has the cheapest."""
    xy, first, last = graph.xy, graph.first, graph.last
    others = legs.others(lead, lead_costs, xy)
    costs = graph.costs + leg_costs(xy[first], xy[last], others, lead_costs, graph.kinds)
    found, cost = cheapest_chain(xy, first, last, costs, lead_costs.pitch)
    if cost > float(costs[graph.held].sum()) + graph.turns - LEAST_GAIN:
        return None
    return [graph.places[k] for k in found]


def candidates(path: Sequence[Point], pitch: float) -> tuple[list[Point], Places, NDArray[np.bool_]]:
    """List places for the corners of a lead: its own and some beside them.

    Parameters: path - corners, mm; pitch - mm. Returns: places, the layer of each (rising along the path), and whether
    it is one of the path's own corners.
    """
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
    first, last = np.nonzero((step >= 1) & (plain | (step <= MOST_SKIPPED)))
    return first, last


class _LegTable:
    """The legs of all leads as they are now, one row a leg."""

    def __init__(self, paths: dict[int, list[Point]], costs_by_lead: dict[int, LeadCosts]) -> None:
        self.keys = sorted(paths)
        self.tables = [_ends(paths[key]) for key in self.keys]
        self.index = {key: i for i, key in enumerate(self.keys)}
        mine = [costs_by_lead[key] for key in self.keys]
        self.pitch = np.array([t.pitch for t in mine])
        self.starts, self.ends = np.array([t.start for t in mine]), np.array([t.end for t in mine])
        self._joined()

    def _joined(self) -> None:
        self.table = np.concatenate(self.tables) if self.tables else np.zeros((0, 4))
        self.owner = np.repeat(np.arange(len(self.keys)), [len(t) for t in self.tables])
        self.low = np.minimum(self.table[:, 0:2], self.table[:, 2:4])
        self.high = np.maximum(self.table[:, 0:2], self.table[:, 2:4])

    def changed(self, lead: int, path: Sequence[Point]) -> None:
        """Take in the new path of a lead."""
        self.tables[self.index[lead]] = _ends(path)
        self._joined()

    def others(self, lead: int, mine: LeadCosts, xy: Floats) -> _OtherLegs:
        """The legs of all other leads that lie near some places."""
        low, high = xy.min(axis=0) - mine.pitch * 2, xy.max(axis=0) + mine.pitch * 2
        kept = (self.owner != self.index[lead]) & np.all((self.high > low) & (self.low < high), axis=1)
        rows, owner = self.table[kept], self.owner[kept]
        at_start = (self.starts == mine.start) | (self.ends == mine.start)
        at_end = (self.starts == mine.end) | (self.ends == mine.end)
        apart = 0.97 * (mine.pitch + self.pitch) / 2
        return _OtherLegs(rows[:, 0:2], rows[:, 2:4], apart[owner], at_start[owner], at_end[owner])


def _ends(path: Sequence[Point]) -> Floats:
    """The legs of a path, one row each: from x, y to x, y."""
    xy = np.array(path)
    return np.concatenate([xy[:-1], xy[1:]], axis=1)


def leg_costs(a: Floats, b: Floats, others: _OtherLegs, lead_costs: LeadCosts, flags: LegFlags) -> Floats:
    """Price legs against all legs of other leads.

    Parameters: a, b - (n, 2) ends of the legs, mm. Returns: n costs, mm: length, crossings and closeness.
    """
    length = np.maximum(np.hypot(*(b - a).T), 1e-9)
    costs: Floats = length.copy()
    if not len(others.a):
        return costs
    i, j = _meeting(a, b, others)
    unit = (b - a) / length[:, None]
    px, py = _along(i, j, a, unit, others.a)
    qx, qy = _along(i, j, a, unit, others.b)
    apart = others.apart[j]
    beside = (np.minimum(py, qy) < apart) & (np.maximum(py, qy) > -apart)
    i, j = i[beside], j[beside]
    px, py, qx, qy, apart = px[beside], py[beside], qx[beside], qy[beside], apart[beside]
    size = length[i]
    rise, run = qy - py, qx - px
    flat = np.abs(rise) < 1e-9
    safe = np.where(flat, 1.0, rise)
    cut = px - run * py / safe
    crosses = (py * qy < 0) & (cut > 1e-6) & (cut < size - 1e-6)
    stub = min(3.0, 1.5 * lead_costs.pitch)
    least = np.where(flags.at_start[i] & others.at_start[j], stub, 0.0)
    most = size - np.where(flags.at_end[i] & others.at_end[j], stub, 0.0)
    near: Floats = np.zeros(len(i))
    for share, weight in CLOSENESS_BANDS:
        wide = share * apart
        t0, t1 = (-wide - py) / safe, (wide - py) / safe
        t0, t1 = np.minimum(t0, t1), np.maximum(t0, t1)
        t0, t1 = np.minimum(np.maximum(t0, 0.0), 1.0), np.minimum(np.maximum(t1, 0.0), 1.0)
        t0, t1 = np.where(flat, 0.0, t0), np.where(flat, np.where(np.abs(py) < wide, 1.0, 0.0), t1)
        xa, xb = px + t0 * run, px + t1 * run
        along = np.minimum(np.maximum(xa, xb), most) - np.maximum(np.minimum(xa, xb), least)
        near += weight * np.maximum(along - np.where(crosses, _SQUARE * wide, 0.0), 0.0)
    met = CROSSING_WEIGHT * lead_costs.crossing * crosses + CLOSENESS_COST / lead_costs.pitch * near
    costs += np.bincount(i, met, len(a))
    return costs


def _along(i: Places, j: Places, a: Floats, unit: Floats, points: Floats) -> tuple[Floats, Floats]:
    """How far each point j lies along leg i and to its side (mm)."""
    x, y = points[j, 0] - a[i, 0], points[j, 1] - a[i, 1]
    ux, uy = unit[i, 0], unit[i, 1]
    return x * ux + y * uy, y * ux - x * uy


def _meeting(a: Floats, b: Floats, others: _OtherLegs) -> tuple[Places, Places]:
    """The pairs (leg, other leg) whose boxes come near enough to matter."""
    low, high = np.minimum(a, b), np.maximum(a, b)
    reach = others.apart[:, None]
    least, most = np.minimum(others.a, others.b) - reach, np.maximum(others.a, others.b) + reach
    meet = (low[:, None, 0] < most[None, :, 0]) & (high[:, None, 0] > least[None, :, 0])
    meet &= (low[:, None, 1] < most[None, :, 1]) & (high[:, None, 1] > least[None, :, 1])
    i, j = np.nonzero(meet)
    return i, j


def cheapest_chain(xy: Floats, first: Places, last: Places, costs: Floats, pitch: float) -> tuple[list[int], float]:
    """Find the cheapest chain of legs from the first place to the last, corners priced by their turn.

    Parameters: xy - (places, 2), mm; first, last - place numbers of each leg, in the order of ``first``; costs - of
    each leg, mm. Returns: the places passed, and the cost. Dynamic programming over legs, so that turns can be priced.
    """
    count = len(xy)
    total = np.full(len(costs), np.inf)
    parent = np.full(len(costs), -1, dtype=np.int64)
    angle = np.arctan2(*(xy[last] - xy[first]).T[::-1])
    into = np.argsort(last, kind="stable")
    outs = np.searchsorted(first, np.arange(count + 1)).tolist()
    ins = np.searchsorted(last[into], np.arange(count + 1)).tolist()
    total[: outs[1]] = costs[: outs[1]]
    turns = _turns(angle, into, ins, outs, pitch)
    at = 0
    for k in range(1, count - 1):
        many, more = ins[k + 1] - ins[k], outs[k + 1] - outs[k]
        if not many or not more:
            continue
        before = into[ins[k] : ins[k + 1]]
        sums = turns[at : at + many * more].reshape(many, more) + total[before][:, None]
        at += many * more
        pick = sums.argmin(axis=0)
        total[outs[k] : outs[k + 1]] = sums.min(axis=0) + costs[outs[k] : outs[k + 1]]
        parent[outs[k] : outs[k + 1]] = before[pick]
    goal = into[ins[count - 1] :]
    leg = int(goal[total[goal].argmin()])
    best, chain = float(total[leg]), [int(last[leg])]
    while leg >= 0:
        chain.append(int(first[leg]))
        leg = int(parent[leg])
    return chain[::-1], best


def _turns(angle: Floats, into: Places, ins: Sequence[int], outs: Sequence[int], pitch: float) -> Floats:
    """The prices of all corners: at each place every leg into it by every leg out of it, end to end."""
    many, more = np.diff(ins)[1:-1], np.diff(outs)[1:-1]
    sizes = many * more
    if not sizes.sum():
        return np.zeros(0)
    at = np.arange(sizes.sum()) - np.repeat(np.cumsum(sizes) - sizes, sizes)
    wide = np.repeat(more, sizes)
    before = into[np.repeat(np.array(ins[1:-2]), sizes) + at // np.maximum(wide, 1)]
    after = np.repeat(np.array(outs[1:-2]), sizes) + at % np.maximum(wide, 1)
    return bend_cost(angle[after] - angle[before], pitch)
