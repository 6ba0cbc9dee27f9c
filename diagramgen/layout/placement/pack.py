"""Finds a place for every stall: near its opening, clear of everything, the whole plan small.

Each stall has a list of places that are free of what stands fast. Two starts are improved one stall at a
time, and the better end is taken: each stall at its own best, and stalls of one wall pushed apart in the
order of their openings, which keeps their throats from crossing.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from itertools import pairwise

import shapely
from shapely.geometry.base import BaseGeometry
from shapely.prepared import prep

from diagramgen.kernel.geometry import Box, Point, turned
from diagramgen.layout.boundary import Opening
from diagramgen.layout.placement.off_plan_stalls import (
    SHEET,
    STALL_CLEARANCE,
    OffPlanStall,
    StallContents,
    directions,
    place_stall,
)

LIFTS = (1.2, 5.0, 9.0, 14.0, 20.0, 28.0, 38.0)
OVERLAP_COST = 500.0


@dataclass(frozen=True)
class _Candidate:
    price: float
    stall: OffPlanStall
    direction: float
    slide: float
    lift: float


_Chosen = dict[int, int]


def pack_stalls(
    contents: Sequence[StallContents], openings: Sequence[Opening], blocks: Sequence[BaseGeometry], frame: Box
) -> list[OffPlanStall]:
    """Find a place for every stall; ``blocks`` stand fast, ``frame`` is the box around them."""
    fixed = shapely.union_all([b.buffer(STALL_CLEARANCE - 0.6) for b in blocks])
    slides = _pushed_apart(contents, openings)
    candidates = [stall_candidates(c, m, fixed, s) for c, m, s in zip(contents, openings, slides, strict=True)]
    ends = [_improved(candidates, start, frame) for start in (_greedy(candidates, frame), _packed(candidates, slides))]
    best = min(range(len(ends)), key=lambda n: (round(_total(candidates, ends[n], frame), 3), n))
    return [candidates[i][ends[best][i]].stall for i in range(len(candidates))]


def stall_candidates(content: StallContents, opening: Opening, fixed: BaseGeometry, packed: float) -> list[_Candidate]:
    """List places for a stall clear of everything fixed, each with its cost in mm; a far one where there is none."""
    half = content.box.width / 2 + content.width / 2
    slides = [0.0] + [s * 2.5 * i for i in range(1, int(half / 2.5) + 10) for s in (1, -1)]
    if packed not in slides:
        slides.append(packed)
    taken, found = prep(fixed), []
    for n, direction in enumerate(directions(opening)):
        for lift, slide in itertools.product(LIFTS, slides):
            beyond = max(0.0, abs(slide) - content.box.width / 2 + content.width / 2 + 2)
            if beyond > lift * 1.5 + 2:
                continue
            stall = place_stall(content, opening, direction, slide, lift)
            if not taken.intersects(shapely.box(*stall.box)):
                price = 0.5 * abs(slide) + 1.2 * lift + 2.0 * beyond + 14.0 * n
                found.append(_Candidate(price, stall, direction, slide, lift))
    far = directions(opening)[0]
    return found or [_Candidate(0.0, place_stall(content, opening, far, 0.0, 45.0), far, 0.0, 45.0)]


def _pushed_apart(contents: Sequence[StallContents], openings: Sequence[Opening]) -> list[float]:
    """Slide of each stall when those of one wall stand side by side in the order of their openings.

    Groups that touch share the least common shift (pool adjacent violators).
    """
    slides = [0.0] * len(contents)
    for direction in sorted({directions(m)[0] for m in openings}):
        group = [i for i, m in enumerate(openings) if directions(m)[0] == direction]
        at = {i: _along(direction, openings[i].centre) for i in group}
        group.sort(key=lambda i: (at[i], i))
        offset = {group[0]: 0.0}
        for before, i in pairwise(group):
            offset[i] = offset[before] + (contents[before].box.width + contents[i].box.width) / 2 + STALL_CLEARANCE
        pools: list[list[int]] = []
        for i in group:
            pools.append([i])
            while len(pools) > 1 and _mean(pools[-2], at, offset) > _mean(pools[-1], at, offset):
                last = pools.pop()
                pools[-1] += last
        for pool in pools:
            base = _mean(pool, at, offset)
            for i in pool:
                slides[i] = round(base + offset[i] - at[i], 2)
    return slides


def _along(direction: float, p: Point) -> float:
    """How far along the near edges of stalls that lie in this direction."""
    return turned(-direction - math.pi / 2)(p).x


def _mean(pool: Sequence[int], at: Mapping[int, float], offset: Mapping[int, float]) -> float:
    return sum(at[i] - offset[i] for i in pool) / len(pool)


def _greedy(candidates: Sequence[Sequence[_Candidate]], frame: Box) -> _Chosen:
    chosen: _Chosen = {}
    for i in sorted(range(len(candidates)), key=lambda i: (len(candidates[i]), i)):
        chosen[i] = _best(i, candidates, chosen, frame)
    return chosen


def _packed(candidates: Sequence[Sequence[_Candidate]], slides: Sequence[float]) -> _Chosen:
    """Every stall at its pushed slide; those that were pushed share the lift the farthest of them needs."""
    first = [t[0].direction for t in candidates]
    needed: dict[float, float] = {}
    for i, own in enumerate(candidates):
        lifts = [t.lift for t in own if t.slide == slides[i] and t.direction == first[i]]
        if slides[i] != 0.0 and lifts:
            needed[first[i]] = max(needed.get(first[i], 0.0), min(lifts))
    chosen = {}
    for i, own in enumerate(candidates):
        lift = needed.get(first[i], 0.0)
        chosen[i] = min(
            range(len(own)),
            key=lambda n: (own[n].direction != first[i], abs(own[n].slide - slides[i]) + abs(own[n].lift - lift), n),
        )
    return chosen


def _improved(candidates: Sequence[Sequence[_Candidate]], start: _Chosen, frame: Box) -> _Chosen:
    chosen = dict(start)
    for _ in range(6):
        before = dict(chosen)
        for i in range(len(candidates)):
            rest = {k: v for k, v in chosen.items() if k != i}
            chosen[i] = _best(i, candidates, rest, frame)
        if chosen == before:
            break
    return chosen


def _sheet_price(whole: Box) -> float:
    over = max(0.0, whole.width - SHEET[0]) + max(0.0, whole.height - SHEET[1])
    return 0.25 * (whole.width + whole.height) + 4.0 * over


def _total(candidates: Sequence[Sequence[_Candidate]], chosen: _Chosen, frame: Box) -> float:
    whole, total = frame, 0.0
    for i, n in chosen.items():
        whole = whole.union(candidates[i][n].stall.box)
        total += candidates[i][n].price
    for i, k in itertools.combinations(sorted(chosen), 2):
        total += _overlap_cost(candidates[i][chosen[i]].stall, candidates[k][chosen[k]].stall)
    return total + _sheet_price(whole)


def _best(i: int, candidates: Sequence[Sequence[_Candidate]], chosen: _Chosen, frame: Box) -> int:
    others = [candidates[k][v].stall for k, v in sorted(chosen.items())]
    around = frame
    for other in others:
        around = around.union(other.box)
    best, where = math.inf, 0
    for n, one in enumerate(candidates[i]):
        if one.price >= best:
            continue
        cost = one.price + _sheet_price(around.union(one.stall.box))
        for other in others:
            if cost >= best:
                break
            cost += _overlap_cost(one.stall, other)
        if round(cost, 4) < best:
            best, where = round(cost, 4), n
    return where


def _overlap_cost(one: OffPlanStall, other: OffPlanStall) -> float:
    """Price of two stalls that stand on one another, or one in front of the other's opening."""
    total = 0.0
    for p, g in ((one.box.corners(), one.box), (one.throat, one.throat_box)):
        for q, h in ((other.box.corners(), other.box), (other.throat, other.throat_box)):
            wide = min(g.right, h.right) - max(g.left, h.left) + STALL_CLEARANCE
            high = min(g.bottom, h.bottom) - max(g.top, h.top) + STALL_CLEARANCE
            if wide > 0 and high > 0 and not (_apart(p, q) or _apart(q, p)):
                total += OVERLAP_COST + wide * high
    return total


def _apart(one: Sequence[Point], other: Sequence[Point]) -> bool:
    """Whether a side of the first convex outline parts it from the second by most of the clearance."""
    for k, a in enumerate(one):
        b = one[(k + 1) % len(one)]
        length = a.distance(b)
        if length < 1e-6:
            continue
        nx, ny = (b.y - a.y) / length, (a.x - b.x) / length
        mine = [nx * p.x + ny * p.y for p in one]
        theirs = [nx * p.x + ny * p.y for p in other]
        if min(theirs) - max(mine) > 0.7 * STALL_CLEARANCE or min(mine) - max(theirs) > 0.7 * STALL_CLEARANCE:
            return True
    return False
