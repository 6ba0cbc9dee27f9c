"""The labels of a diagram: part names with value, lug names, and a tag near both ends of every lead."""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator
from dataclasses import replace
from functools import lru_cache
from itertools import pairwise

import numpy as np
import shapely
from numpy.typing import NDArray

from diagramgen.drawing.labelling.place_labels import (
    Candidate,
    Label,
    LabelLine,
    candidate_boxes,
    candidates_around,
    candidates_with_leader,
)
from diagramgen.drawing.parts import is_sheet, stacks
from diagramgen.drawing.scene import Role
from diagramgen.kernel import units
from diagramgen.kernel.geometry import Box, Path, Point, along
from diagramgen.layout.model import LaidLead, PlacedLug, PlacedPart
from diagramgen.library.model import TypicalValue
from diagramgen.library.reader import QUANTITIES
from diagramgen.reader.taper_table import START

INSIDE = 1.2
"""How far within a body a leader to it ends, mm."""
DOUBT = 0.5
"""A name that stands less than this nearer to its own part than to another, mm, may be read as the other's."""
NEARER_ANOTHER = 16.0
"""What such a place costs: more than a leader from free floor nearby."""


def value_text(part: PlacedPart) -> str:
    """The part's principal values as printed: ``500 kΩ log``; a typical value the file did not give is marked."""
    symbol = part.part.symbol
    used = [v for e in symbol.elements if e.kind in ("track", "capacitor", "resistor", "cell") for v in
            e.values.values()]
    texts, assumed = [], False
    for name in dict.fromkeys(used):
        typical: TypicalValue = symbol.values[name]
        value = part.part.values.get(name, typical.value)
        if value is None:
            continue
        assumed |= name not in part.part.values and typical.quantity in QUANTITIES
        if typical.quantity in QUANTITIES and isinstance(value, float):
            texts.append(units.quantity(value, QUANTITIES[typical.quantity]))
        elif isinstance(value, str):
            texts.append("own law" if value.startswith(START) else value)
    text = _joined(texts)
    return f"{text} (assumed)" if text and assumed else text


def _joined(texts: list[str]) -> str:
    """The values in a row, a repeated one once; the two halves of a blend's law are one word."""
    words = ["blend" if t == "reverse blend" else t for t in texts]
    return " ".join(dict.fromkeys(words))


def part_labels(part: PlacedPart, name_height: float, small: float) -> Iterator[Label]:
    """The part's name with its value, inside its body where that is free, else beside it."""
    lines = [LabelLine(part.part.says, name_height, True, Role.NAME_TEXT)]
    value = value_text(part)
    if value:
        lines.append(LabelLine(value, small, False, Role.VALUE_TEXT))
    subject = f"part:{part.part.name}"
    bare = Label(f"name:{part.part.name}", subject, tuple(lines), (), gap=2 * name_height)
    w, h = bare.size
    box = part.box
    for zone in part.body:
        if zone.draw == "body":
            box = zone.outline.box()
            break
    yield replace(bare, candidates=_name_candidates(box, part.box, w, h))


@lru_cache(maxsize=64)
def _name_candidates(body: Box, whole: Box, w: float, h: float) -> tuple[Candidate, ...]:
    """Places for a name: in the body, beside the whole part, and farther off with a leader."""
    off = candidates_with_leader(body.centre, (w, h), 50.0, cost=14.0)
    led = (replace(candidate, leader=_into(body, candidate.at)) for candidate in off)
    return (*_inside(body, w, h), *_beside(whole, w, h), *led)


def _into(box: Box, start: Point) -> Point:
    """Where a leader that makes for a body's middle ends: just inside its edge."""
    centre = box.centre
    away = max(abs(start.x - centre.x) / max(box.width / 2 - INSIDE, 1e-6),
               abs(start.y - centre.y) / max(box.height / 2 - INSIDE, 1e-6))
    return centre if away <= 1.0 else centre.towards(centre.angle_to(start), centre.distance(start) / away)


def priced_by_owner(label: Label, part: PlacedPart, others: Iterable[PlacedPart]) -> Label:
    """Add the cost of ambiguity to a part's name: nearer to another body than to its own, it names that one."""
    own = tuple(zone.outline for zone in part.body)
    foreign = tuple(zone.outline for one in others if one is not part and not is_sheet(one) for zone in one.body)
    return replace(label, candidates=_told_apart(label.candidates, label.size, own, foreign))


@lru_cache(maxsize=64)
def _told_apart(
    candidates: tuple[Candidate, ...], size: tuple[float, float], own: tuple[Path, ...], foreign: tuple[Path, ...]
) -> tuple[Candidate, ...]:
    plain = [i for i, candidate in enumerate(candidates) if candidate.leader is None]
    if not plain:
        return candidates
    frames = candidate_boxes([candidates[i] for i in plain], np.array(size))
    mine, theirs = (_off(frames, shapely.STRtree([_body(one) for one in bodies])) for bodies in (own, foreign))
    doubt = {i for i, unsure in zip(plain, (mine > 0.0) & (theirs < mine + DOUBT), strict=True) if unsure}
    return tuple(
        replace(one, cost=one.cost + NEARER_ANOTHER) if i in doubt else one for i, one in enumerate(candidates)
    )


def _off(frames: NDArray[np.object_], bodies: shapely.STRtree) -> NDArray[np.float64]:
    """How far each frame is from the nearest body, mm; without bodies as far as can be."""
    if not len(bodies):
        return np.full(len(frames), np.inf)
    _, found = bodies.query_nearest(frames, return_distance=True, all_matches=False)
    return np.asarray(found)


@lru_cache(maxsize=512)
def _body(outline: Path) -> shapely.Polygon:
    return shapely.Polygon(outline.flat(0.2))


def _inside(box: Box, w: float, h: float) -> Iterator[Candidate]:
    steps = 7
    room_x, room_y = box.width - w - 1.0, box.height - h - 1.0
    for turn, (rx, ry) in ((0.0, (room_x, room_y)), (-math.pi / 2, (box.width - h - 1.0, box.height - w - 1.0))):
        if rx < 0 or ry < 0:
            continue
        for i in range(steps):
            for j in range(steps):
                dx, dy = rx * (i / (steps - 1) - 0.5), ry * (j / (steps - 1) - 0.5)
                cost = 0.12 * math.hypot(dx, dy) + (6.0 if turn else 0.0)
                yield Candidate(Point(box.centre.x + dx, box.centre.y + dy), turn, cost)


def _beside(box: Box, w: float, h: float) -> Iterator[Candidate]:
    for gap in (1.0, 2.5, 4.0):
        for share in (0.0, -0.5, 0.5):
            x, y = box.centre.x + share * box.width, box.centre.y + share * box.height
            cost = 5.0 + gap + abs(share)
            yield Candidate(Point(x, box.top - gap - h / 2), 0.0, cost)
            yield Candidate(Point(x, box.bottom + gap + h / 2), 0.0, cost)
            yield Candidate(Point(box.left - gap - w / 2, y), 0.0, cost)
            yield Candidate(Point(box.right + gap + w / 2, y), 0.0, cost)


def lug_labels(part: PlacedPart, height: float) -> Iterator[Label]:
    """The name of every lug but the back of a case; lugs behind one another share one label."""
    groups = stacks(part)
    stacked = {lug.name for group in groups for lug in group}
    for group in groups:
        yield _stack_label(part, group, height)
    if len(part.lugs) == 1:
        return
    for lug in part.lugs.values():
        if lug.kind not in ("spot", "sleeve", "leg") and lug.name not in stacked:
            yield _lug_label(part, lug, _word(part, lug), height)


def _stack_label(part: PlacedPart, group: list[PlacedLug], height: float) -> Label:
    """One label for lugs behind one another, led off the part: their names stand in the folded-out detail."""
    words = [_word(part, lug).split() for lug in group]
    shared = words[0][0] + ", " if all(len(w) > 1 and w[0] == words[0][0] for w in words) else ""
    lines = (LabelLine(f"{shared}{len(group)} deep", height, False, Role.LUG_TEXT),)
    key = f"lugname:{group[0].key}"
    size = Label(key, "", lines, ()).size
    led = candidates_with_leader(group[0].at, size, 28.0, cost=4.0)
    candidates = [*candidates_around(group[0].at, size, 1.6, 3.0), *led]
    return Label(key, f"lug:{group[0].key}", lines, tuple(candidates))


def _word(part: PlacedPart, lug: PlacedLug) -> str:
    return part.part.symbol.lug_words.get(lug.name, lug.name)


def _lug_label(part: PlacedPart, lug: PlacedLug, text: str, height: float) -> Label:
    lines = (LabelLine(text, height, False, Role.LUG_TEXT),)
    key = f"lugname:{lug.key}"
    w, h = Label(key, "", lines, ()).size
    candidates: list[Candidate] = []
    tight = False
    if lug.away is not None:
        reach = lug.tongue.length() / 2 - 1.6 if lug.tongue else 1.5
        inward = lug.away + math.pi
        upright = _reading(lug.away)
        # Where neighbours stand closer than the word is long, all of the row read along the lugs.
        across = abs(math.cos(lug.away + math.pi / 2)) * w + abs(math.sin(lug.away + math.pi / 2)) * h
        tight = any(o.name != lug.name and o.at.distance(lug.at) < across + 1.0 for o in part.lugs.values())
        for extra in (0.2, 1.0, 2.0):
            middle = lug.at.towards(inward, reach + extra + _extent(w, h, inward))
            candidates.append(Candidate(middle, 0.0, 0.3 * extra + (6.0 if tight else 0.0)))
            candidates.append(Candidate(lug.at.towards(inward, reach + extra + w / 2), upright, 0.6 + 0.3 * extra))
        side = lug.away + math.pi / 2
        for sign in (1, -1):
            for back in (0.0, 1.5, -1.5):
                middle = lug.at.towards(side, sign * (1.9 + _extent(w, h, side))).towards(inward, back)
                candidates.append(Candidate(middle, 0.0, 1.5 + abs(back) * 0.2))
                upright_at = lug.at.towards(side, sign * (1.9 + h / 2)).towards(inward, back + w / 4)
                candidates.append(Candidate(upright_at, upright, 2.2 + abs(back) * 0.2))
    candidates += candidates_around(lug.at, (w, h), 1.6, 7.0 if tight else 2.0)
    candidates = [_plainly(candidate, part, lug) for candidate in candidates]
    candidates += candidates_with_leader(lug.at, (w, h), 24.0, cost=12.0)
    return Label(key, f"lug:{lug.key}", lines, tuple(candidates))


def _plainly(candidate: Candidate, part: PlacedPart, lug: PlacedLug) -> Candidate:
    """The spot at a price that tells how plainly it names this lug: far off, or nearer to another, costs."""
    own = candidate.at.distance(lug.at)
    others = [candidate.at.distance(o.at) for o in part.lugs.values()
              if o.at.distance(lug.at) > 0.5 and o.kind not in ("spot", "sleeve")]
    doubt = 10.0 if others and min(others) < own + 1.0 else 0.0
    return Candidate(candidate.at, candidate.angle, candidate.cost + doubt + 0.5 * max(0.0, own - 7.0))


def _extent(w: float, h: float, angle: float) -> float:
    """Half the size of an upright box along a direction."""
    return abs(math.cos(angle)) * w / 2 + abs(math.sin(angle)) * h / 2


def _reading(angle: float) -> float:
    """The same line, read left to right or upwards."""
    folded = math.remainder(angle, math.pi)
    return folded if folded < math.pi / 2 - 1e-6 else folded - math.pi


def tag_labels(laid: LaidLead, height: float) -> Iterator[Label]:
    """A pill with tag and colour word near both ends of a lead (one, where the lead is short)."""
    lead = laid.lead
    if lead.kind in ("leg", "bend", "bridge"):
        return
    word = lead.colour.short if lead.colour else ("bare" if lead.kind == "bare" else "?")
    lines = (LabelLine(f"{lead.tag} {word}", height, True, Role.TAG_TEXT),)
    own = f"lead:{lead.tag}"
    colour = lead.colour.code if lead.colour else ""
    plain = Label("", own, lines, (), own, True, colour)
    for end, candidates in _tag_candidates(laid.path, *plain.size):
        yield Label(f"tag:{lead.tag}:{end}", own, lines, candidates, own, True, colour)


@lru_cache(maxsize=128)
def _tag_candidates(path: Path, w: float, h: float) -> tuple[tuple[str, tuple[Candidate, ...]], ...]:
    """Places for the tags of a lead, by the end they stand near."""
    points = path.flat(0.1)
    total = sum(a.distance(b) for a, b in pairwise(points))
    if total <= 2.0 * w + 4:
        return (("start", tuple(_along(points, total, total, w, h))),)
    reach = total / 2 - w / 2
    return (("start", tuple(_along(points, total, reach, w, h))),
            ("end", tuple(_along(points[::-1], total, reach, w, h))))


def _along(points: tuple[Point, ...], total: float, reach: float, w: float, h: float) -> Iterator[Candidate]:
    """Places on the lead near its end, on its straightest stretch, then beside it with a leader."""
    step = 0.75
    first = min(2.6 + w / 2, total / 2)
    distance, tried = first, 0
    while distance <= max(first, min(reach, first + 48.0)) + 1e-9:
        at, angle = along(points, distance)
        before, _ = along(points, max(0.0, distance - w / 2))
        after, _ = along(points, min(total, distance + w / 2))
        chord = before.distance(after)
        bent = w - chord + 4.0 * abs(math.sin(math.remainder(before.angle_to(after) - angle, math.pi)))
        cost = 0.16 * (distance - first)
        yield Candidate(at, _reading(before.angle_to(after)), cost + 2.0 * max(0.0, bent))
        if tried % 2 == 0:
            yield Candidate(at, 0.0, cost + 2.5)
        distance, tried = distance + step, tried + 1
    for far in (3.0, 9.0):
        at, _ = along(points, min(far, total / 2))
        yield from candidates_with_leader(at, (w, h), 28.0, cost=15.0 + far / 3)
