"""Places parts that have no cavity: pickups above, controls in rows lugs down, jack right, grounds below.

Nothing here is to scale between parts; gaps are left between the rows and columns for the leads, and
parts that share many leads stand near each other.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass

from diagramgen.kernel.geometry import Box, Point, Transform, box_around, moved, turned
from diagramgen.layout.model import PlacedPart
from diagramgen.layout.placement.place_parts import place_part, rounded
from diagramgen.model.build import Lead, Part

ROW_GAP = 15.0
"""Floor left between parts of a row and between rows for the leads, mm."""
WIDEST = 232.0
"""Width after which a row is broken, mm: a landscape sheet less the jack and the margins."""


@dataclass(frozen=True)
class _Item:
    """A part in its row: turned as it will stand, about its own origin."""

    name: str
    shape: PlacedPart
    turn: float

    @property
    def box(self) -> Box:
        return self.shape.box


def facing(part: Part, region: str, towards: float, outside: bool = True) -> tuple[PlacedPart, float]:
    """The part about its own origin with its lugs looking in the direction ``towards``, and its turn."""
    plain = place_part(part, Transform(), region, outside=outside)
    look = _look(plain)
    turn = 0.0
    if look is not None:
        quarters = round(math.remainder(towards - look, math.tau) / (math.pi / 2))
        turn = math.remainder(quarters * math.pi / 2, math.tau)
    return place_part(part, turned(turn), region, outside=outside, shape=plain.shape), turn


def _look(part: PlacedPart) -> float | None:
    """The direction most lugs look in, or where they lie about the body's middle; None for neither."""
    lugs = [lug for lug in part.lugs.values() if lug.kind != "spot"] or list(part.lugs.values())
    away = [lug.away for lug in lugs if lug.away is not None]
    x, y = sum(math.cos(a) for a in away), sum(math.sin(a) for a in away)
    if math.hypot(x, y) > 0.3 * max(1, len(away)):
        return math.atan2(y, x)
    corners = [p for z in part.body for p in z.outline.flat()]
    if not corners:
        return None
    middle = box_around(corners).centre
    centre = Point(sum(lug.at.x for lug in lugs) / len(lugs), sum(lug.at.y for lug in lugs) / len(lugs))
    return middle.angle_to(centre) if middle.distance(centre) > 1.0 else None


def sort_of(part: Part) -> str:
    """source (pickups), jack, control, or ground (everything else that stands below)."""
    kinds = {c.kind for c in part.symbol.controls}
    if "plug" in kinds:
        return "jack"
    if kinds:
        return "control"
    elements = {e.kind for e in part.symbol.elements}
    return "source" if elements & {"coil", "transducer"} else "ground"


def arrange_rows(parts: Sequence[Part], leads: Iterable[Lead], region: str) -> dict[str, PlacedPart]:
    """Every part with its place on the board, the board's upper left part near the origin."""
    weight = _weights(leads)
    sorts: dict[str, list[_Item]] = {"source": [], "jack": [], "control": [], "ground": []}
    for part in parts:
        sort = sort_of(part)
        towards = {"jack": math.pi, "ground": -math.pi / 2}.get(sort, math.pi / 2)
        shape, turn = facing(part, region, towards)
        if sort == "control":
            turn = part.turned
            shape = place_part(part, turned(turn), region, outside=True)
        sorts[sort].append(_Item(part.name, shape, turn))
    rows = [*_broken(sorts["source"]), *_broken(sorts["control"])]
    last = _broken(sorts["ground"])
    rows = _ordered([*rows, *last], weight)
    return _lay(rows, sorts["jack"], weight)


def _weights(leads: Iterable[Lead]) -> dict[tuple[str, str], int]:
    found: dict[tuple[str, str], int] = {}
    for lead in leads:
        if lead.start.known and lead.end.known and lead.start.part != lead.end.part:
            for pair in ((lead.start.part, lead.end.part), (lead.end.part, lead.start.part)):
                found[pair] = found.get(pair, 0) + 1
    return found


def _broken(items: list[_Item]) -> list[list[_Item]]:
    """A row as several of about one length where it is too long for the paper."""
    if not items:
        return []
    whole = sum(i.box.width + ROW_GAP for i in items)
    count = max(1, math.ceil(whole / WIDEST))
    size = math.ceil(len(items) / count)
    return [items[k : k + size] for k in range(0, len(items), size)]


def _places(rows: list[list[_Item]]) -> dict[str, Point]:
    """The middle of every part with the rows centred above each other."""
    found, y = {}, 0.0
    for row in rows:
        width = sum(i.box.width for i in row) + ROW_GAP * (len(row) - 1)
        x, high = -width / 2, max(i.box.height for i in row)
        for item in row:
            found[item.name] = Point(x + item.box.width / 2, y + high / 2)
            x += item.box.width + ROW_GAP
        y += high + ROW_GAP
    return found


def _price(rows: list[list[_Item]], weight: Mapping[tuple[str, str], int]) -> float:
    at = _places(rows)
    return sum(n * at[a].distance(at[b]) for (a, b), n in weight.items() if a in at and b in at)


def _ordered(rows: list[list[_Item]], weight: Mapping[tuple[str, str], int]) -> list[list[_Item]]:
    """Rows with their parts exchanged, within a row and between rows of controls, while leads get shorter."""
    best = _price(rows, weight)
    spots = [(r, k) for r, row in enumerate(rows) for k in range(len(row))]
    for _ in range(6):
        changed = False
        for i, (r, k) in enumerate(spots):
            for s, m in spots[i + 1 :]:
                if sort_of(rows[r][k].shape.part) != sort_of(rows[s][m].shape.part):
                    continue
                rows[r][k], rows[s][m] = rows[s][m], rows[r][k]
                price = _price(rows, weight)
                if price < best - 1e-6:
                    best, changed = price, True
                else:
                    rows[r][k], rows[s][m] = rows[s][m], rows[r][k]
        if not changed:
            break
    return rows


def _lay(rows: list[list[_Item]], jacks: list[_Item], weight: Mapping[tuple[str, str], int]) -> dict[str, PlacedPart]:
    found: dict[str, PlacedPart] = {}
    y, right = 0.0, 0.0
    for row in rows:
        gap = ROW_GAP + 1.0 * max(_busy(row, weight) - 4, 0)
        width = sum(i.box.width for i in row) + ROW_GAP * (len(row) - 1)
        x = -width / 2
        top = min(i.box.top for i in row)
        for item in row:
            low = y - top if sort_of(item.shape.part) == "control" else y - item.box.top
            found[item.name] = _put(item, Point(x - item.box.left, low))
            x += item.box.width + ROW_GAP
        right = max(right, width / 2)
        y += max(found[i.name].box.bottom for i in row) - y + gap
    height = sum(j.box.height for j in jacks) + ROW_GAP * (len(jacks) - 1)
    down = max(0.0, (y - ROW_GAP - height) / 2) if rows else 0.0
    for jack in jacks:
        found[jack.name] = _put(jack, Point(right + ROW_GAP - jack.box.left, down - jack.box.top))
        down += jack.box.height + ROW_GAP
    return found


def _busy(row: list[_Item], weight: Mapping[tuple[str, str], int]) -> int:
    names = {i.name for i in row}
    return sum(n for (a, b), n in weight.items() if a in names and b not in names)


def _put(item: _Item, at: Point) -> PlacedPart:
    place = turned(item.turn).then(moved(rounded(at)))
    part = item.shape.part
    outside = part.symbol.outside is not None
    return place_part(part, place, item.shape.region, outside=outside, automatic=True, shape=item.shape.shape)
