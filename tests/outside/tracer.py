"""Reads a printed diagram back: follows every lead over the pixels from lug to lug, as an eye would.

It is given the picture and where the lugs are, nothing else: no scene, no layout, nothing of the program. What a
reader of the sheet knows is written down below: how wide a lead is drawn and how each colour looks.

Three steps. Stretches: wherever the cross-section looks like a lead (dark edge, body, dark edge) it is followed
both ways until it is hidden. Links: two ends of one colour belong together where one goes on from the other and
what lies between may hide a lead (another lead and its halo, a tag, a joint: never the floor or a part). Leads:
chains of stretches from lug to lug.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field

import numpy as np
from scipy.ndimage import find_objects, label
from scipy.optimize import linear_sum_assignment
from trace_looks import (
    AT_TAG,
    CORNER,
    DEAREST,
    FRAME,
    LEG,
    LEGS_JOIN,
    LOST,
    ON_JOINT,
    REACH,
    SLEEVE,
    SLEEVE_LONG,
    TO_LUG,
    UPON,
    Coarse,
    End,
    Floats,
    Offer,
    Spot,
    bytes_of,
    greyed,
    index_of,
)
from trace_stretches import (
    Follower,
    Stretch,
    Tag,
    as_tag,
)


@dataclass(frozen=True)
class Lead:
    """A lead as read: colour (code or ``leg``) and the two lugs, in order of their names."""

    colour: str
    ends: tuple[str, str]


@dataclass
class Reading:
    """What was read: the leads, and stretches that begin on a lug and were lost."""

    leads: list[Lead]
    loose: list[tuple[str, str, Spot]] = field(default_factory=list)
    """Colour, lug, where it was lost (mm)."""


def _lost(one: Stretch) -> float:
    """What it costs to leave an end without a link: a glimpse may be chance, a long stretch leads somewhere."""
    return min(LOST, 0.5 + 0.4 * one.length)


def matched(ends: Sequence[End], lost: Sequence[float], offers: Sequence[Offer]) -> dict[End, End | str]:
    """The cheapest way to give every end another end, a lug, or nothing at its price.

    An assignment of ends to ends gives pairs and, now and then, a ring of more; a ring is cut at its dearest links.
    """
    number = {end: i for i, end in enumerate(ends)}
    cost = np.full((len(ends), len(ends)), 1e3)
    lug: dict[End, str] = {}
    np.fill_diagonal(cost, lost)
    for price, end, other in offers:
        i = number[end]
        if isinstance(other, str):
            if price < cost[i, i]:
                cost[i, i], lug[end] = price, other
        else:
            j = number[other]
            cost[i, j] = cost[j, i] = min(price / 2, cost[i, j])
    _, chosen = linear_sum_assignment(cost)
    mate: dict[End, End | str] = {}
    for ring in _rings(chosen.tolist()):
        for i, j in _paired(tuple(ring), cost)[1]:
            mate[ends[i]], mate[ends[j]] = ends[j], ends[i]
    for end in ends:
        if end not in mate and end in lug:
            mate[end] = lug[end]
    return mate


def _rings(chosen: list[int]) -> list[list[int]]:
    """The rings of an assignment, longest ones cut to twelve."""
    seen: set[int] = set()
    result = []
    for start in range(len(chosen)):
        ring = []
        at = start
        while at not in seen:
            seen.add(at)
            ring.append(at)
            at = chosen[at]
        result += [ring[i : i + 12] for i in range(0, len(ring), 12)]
    return [ring for ring in result if len(ring) > 1]


def _paired(ring: tuple[int, ...], cost: Floats) -> tuple[float, list[tuple[int, int]]]:
    """The cheapest pairs within a few ends; who is left over costs what it costs alone."""
    if not ring:
        return 0.0, []
    first, rest = ring[0], ring[1:]
    price, pairs = _paired(rest, cost)
    best = (price + float(cost[first, first]), pairs)
    for i, other in enumerate(rest):
        link = 2 * float(cost[first, other])
        if link < best[0]:
            price, pairs = _paired(rest[:i] + rest[i + 1 :], cost)
            if price + link < best[0]:
                best = (price + link, [(first, other), *pairs])
    return best


def _opposite(tag: Tag, a: Floats, b: Floats) -> bool:
    """Whether two places lie on different sides of a tag, seen from its middle."""
    one, two = a - tag.at, b - tag.at
    return float(one @ two) < 0


def _turn(heading: float, a: Floats, b: Floats) -> float:
    """The angle between a heading and the way from a to b, 0 to pi."""
    return abs(math.remainder(math.atan2(b[1] - a[1], b[0] - a[0]) - heading, math.tau))


def _chained(found: Sequence[Stretch], mate: Mapping, pen: float) -> Reading:
    reading = Reading([])
    for end, lug in sorted((e, m) for e, m in mate.items() if isinstance(m, str)):
        at, steps = end, 0
        while steps <= len(found):
            far = (at[0], not at[1])
            on = mate.get(far)
            if on is None:
                place = found[far[0]].end(far[1])[0] * pen
                reading.loose.append((found[end[0]].code, lug, (float(place[0]), float(place[1]))))
                break
            if isinstance(on, str):
                if end <= far and lug != on:
                    reading.leads.append(Lead(found[end[0]].code, (min(lug, on), max(lug, on))))
                break
            at, steps = on, steps + 1
    return reading


class Tracer(Follower):
    """Joins the stretches of a picture to leads from lug to lug."""

    def _through_tag(self, code: str, a: Floats, b: Floats) -> bool:
        """Whether a tag of a lead of this colour lies on just the stretch between two ends."""
        return any(t.off(a) < AT_TAG and t.off(b) < AT_TAG and _opposite(t, a, b) and self._framed(t, code)
                   for t in self.tags)

    def bared(self, a: Floats, ha: float, b: Floats, hb: float | None = None, slack: float = 0.15) -> float:
        """The share of the way between two ends where the floor or a part is plainly seen.

        The way is straight or goes on in each end's heading and bends; the better hidden one counts.
        """
        reach = math.hypot(*(b - a))
        t = np.linspace(0, 1, max(2, int(reach / 0.08)))[:, None]
        one = a + 0.45 * reach * np.array([math.cos(ha), math.sin(ha)])
        two = b + 0.45 * reach * np.array([math.cos(hb), math.sin(hb)]) if hb is not None else (one + b) / 2
        bent = (1 - t) ** 3 * a + 3 * (1 - t) ** 2 * t * one + 3 * (1 - t) * t**2 * two + t**3 * b
        # Ends are not found to the pixel: a little floor at either end means nothing.
        return max(0.0, min(self._bared(a + t * (b - a)), self._bared(bent)) - slack)

    def _bared(self, way: Floats) -> float:
        off = np.abs(self.rgb(way).astype(int)[:, None, :] - self.behind[None]).max(axis=-1).min(axis=-1)
        return float((off <= 2).mean())

    def shown(self, code: str, a: Floats, b: Floats) -> float:
        """The share of the straight way between two places where the lead itself is seen."""
        body, edge = self.looks[code]
        seen = index_of(self.rgb(a + np.linspace(0, 1, 12)[:, None] * (b - a)))
        return float((np.maximum(body[seen], edge[seen]) > 0.4).mean())

    def read(self, lugs: Mapping[str, Spot]) -> Reading:
        """Follow every lead between the lugs, given in mm of the picture."""
        places = {name: np.array(at) / self.pen for name, at in lugs.items()}
        xs, ys = [p[0] for p in places.values()], [p[1] for p in places.values()]
        margin = 25.0
        box = (min(xs) - margin, min(ys) - margin, max(xs) + margin, max(ys) + margin)
        self.tags = self._tags(box)
        reading = self._joined(self.stretches(box), places)
        reading.leads += self._sleeved(places, box)
        return reading

    def _sleeved(self, lugs: Mapping[str, Floats], box: tuple[float, float, float, float]) -> list[Lead]:
        """Joints in the air whose sleeve hides the whole lead from lug to lug."""
        coarse = Coarse(self, box, 2)
        fill = bytes_of(SLEEVE).astype(int)
        if self.grey:
            fill = greyed(bytes_of(SLEEVE)[None])[0].astype(int)
        part = coarse.pixels(0, 0).astype(np.int16)
        numbers, _ = label(np.abs(part - fill).max(axis=-1) <= 2)
        cell = coarse.step / self.scale
        result = []
        for number, where in enumerate(find_objects(numbers), start=1):
            y, x = np.nonzero(numbers[where] == number)
            if len(x) < 4.0 / cell**2:
                continue
            sleeve = as_tag(np.stack([x, y], axis=-1) * cell)
            if sleeve is None or abs(sleeve.long - FRAME - SLEEVE_LONG / 2) > 0.4:
                continue
            middle = sleeve.at + coarse.place(0, 0) + np.array([where[1].start, where[0].start]) * cell
            way = np.array([math.cos(sleeve.angle), math.sin(sleeve.angle)]) * SLEEVE_LONG / 2
            ends = [min(lugs, key=lambda n, at=middle + k * way: (math.hypot(*(lugs[n] - at)), n)) for k in (-1, 1)]
            far = max(math.hypot(*(lugs[n] - middle - k * way)) for n, k in zip(ends, (-1, 1), strict=True))
            if far < 3.0 and ends[0] != ends[1]:
                result.append(Lead("sleeve", (min(ends), max(ends))))
        return result

    def _joined(self, found: Sequence[Stretch], lugs: Mapping[str, Floats]) -> Reading:
        ends = [(i, last) for i in range(len(found)) for last in (False, True)]
        offers = sorted([*self._to_lugs(found, ends, lugs), *self._to_ends(found, ends, np.array([*lugs.values()]))])
        mate = matched(ends, [_lost(found[e[0]]) for e in ends], offers)
        return _chained(found, mate, self.pen)

    def _to_lugs(self, found: Sequence[Stretch], ends: Iterable[tuple[int, bool]], lugs: Mapping[str, Floats]) -> list:
        result = []
        names = list(lugs)
        at = np.array([lugs[n] for n in names])
        for end in ends:
            place, heading = found[end[0]].end(end[1])
            gaps = np.hypot(*(at - place).T)
            reach = ON_JOINT if self._on_lead(found, end) else TO_LUG
            for k in np.flatnonzero(gaps <= reach):
                d = float(gaps[k])
                off = _turn(heading, place, at[k]) if d > ON_JOINT else 0.0
                if off > math.radians(130 if d < 4 else 75):
                    continue
                # The joint and the eyelet hide the last stretch.
                hidden = max(0.0, d - ON_JOINT)
                rim = at[k] + (place - at[k]) * min(1.0, ON_JOINT / max(d, 1e-6))
                cost = 0.04 * d + 0.02 * d**2 + 0.5 * off**2 * min(1.0, d / 4.0)
                cost += 4.0 * self.bared(place, heading, rim, slack=0.05) if hidden > 0.3 else 0.0
                if cost <= DEAREST:
                    result.append((cost, end, names[k]))
        return result

    def _on_lead(self, found: Sequence[Stretch], end: End) -> bool:
        """Whether an end of bare wire lies upon another lead, where a braid begins: what is hidden ends at a halo."""
        if found[end[0]].code != "BARE":
            return False
        place = found[end[0]].end(end[1])[0]
        return any(
            float(np.hypot(*(other.points - place).T).min()) < UPON
            for i, other in enumerate(found)
            if i != end[0] and other.code not in (found[end[0]].code, LEG)
        )

    def _to_ends(self, found: Sequence[Stretch], ends: Sequence[End], lugs: Floats) -> list[Offer]:
        result = []
        spots = [(e, *found[e[0]].end(e[1])) for e in ends if not self._on_lead(found, e)]
        for i, (a, pa, ha) in enumerate(spots):
            for b, pb, hb in spots[i + 1 :]:
                if found[a[0]].code != found[b[0]].code or a[0] == b[0]:
                    continue
                d = math.hypot(*(pb - pa))
                if d > REACH:
                    continue
                one, two = _turn(ha, pa, pb), _turn(hb, pb, pa)
                if self._through_tag(found[a[0]].code, pa, pb):
                    result.append((0.3 + 0.1 * (one**2 + two**2), a, b))
                    continue
                shared = (np.hypot(*(lugs - pa).T) < 2.2) & (np.hypot(*(lugs - pb).T) < 2.2)
                if d < CORNER and not shared.any() and self.shown(found[a[0]].code, pa, pb) > 0.7:
                    result.append((0.4 + 0.3 * d, a, b))
                    continue
                if d > 0.5 and max(one, two) > math.radians(80 if d < 4 else 60):
                    continue
                cost = 0.2 * d + 1.5 * (one**2 + two**2) * min(1.0, d / 3.0)
                cost *= LEGS_JOIN if found[a[0]].code == LEG else 1.0
                if cost < DEAREST:
                    cost += 6.0 * self.bared(pa, ha, pb, hb)
                if cost <= DEAREST:
                    result.append((cost, a, b))
        return result
