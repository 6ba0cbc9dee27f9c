"""Controls as a player sees them, each position a group of its own that is shown or not.

Every picture is 24 mm square. What stands still is drawn once; what moves is in the groups ``at:0``, ``at:1`` and
so on, one for each position. The words of the positions stand beside the picture, not in it.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence

from diagramgen.drawing.scene import Emphasis, Group, Mark, Role, Shape, Sheet
from diagramgen.kernel.geometry import Box, Path, Point, circle, polyline, rounded_box

# Small pictures of pickups, each coil a group of its own that can be lit.

WIDTH, COIL, EDGE = 44.0, 9.0, 2.0
"""Of a picture, of a coil along the strings, round the coils, mm."""
MOST_POLES = 12


def pickup(name: str, coils: Sequence[str], poles: int) -> Sheet:
    """A pickup seen from the strings: its coils one below the other in groups ``coil:NAME``.

    ``poles``: pole pieces of one coil, 0 for a plain bar.
    """
    tall = COIL * len(coils) + 2 * EDGE
    marks: list[Mark] = [Shape((rounded_box(Box(0.5, 0.5, WIDTH - 0.5, tall - 0.5), 2.5),), Role.BODY)]
    for i, coil in enumerate(coils):
        marks.append(Group(tuple(_coil(EDGE + COIL * i, min(poles, MOST_POLES))), f"coil:{coil}"))
    return Sheet(WIDTH, tall, name, tuple(marks))


def strip(name: str, coil: str) -> Sheet:
    """A contact transducer: a thin strip."""
    tall = COIL + 2 * EDGE
    middle = tall / 2
    body = rounded_box(Box(1.0, middle - 1.8, WIDTH - 1.0, middle + 1.8), 1.8)
    return Sheet(WIDTH, tall, name, (Group((Shape((body,), Role.HOLE),), f"coil:{coil}"),))


def _coil(top: float, poles: int) -> list[Mark]:
    body = Box(EDGE + 1.0, top + 0.7, WIDTH - EDGE - 1.0, top + COIL - 0.7)
    marks: list[Mark] = [Shape((rounded_box(body, (COIL - 1.4) / 2),), Role.HOLE)]
    if poles < 2:
        bar = Box(body.left + 4.0, body.centre.y - 0.7, body.right - 4.0, body.centre.y + 0.7)
        return [*marks, Shape((rounded_box(bar, 0.7),), Role.BUSHING)]
    pitch = (body.width - 9.0) / (poles - 1)
    radius = min(1.3, pitch * 0.36)
    return marks + [Shape((circle(Point(body.left + 4.5 + pitch * i, body.centre.y), radius),), Role.BUSHING)
                    for i in range(poles)]


SIDE = 24.0
"""Both sides of a picture, mm."""
MIDDLE = Point(SIDE / 2, SIDE / 2)
FIRST, SWEEP = math.radians(120), math.radians(300)
"""Where a knob's pointer stands at 0, and how far it turns to 10, clockwise as the player sees it (common practice)."""
MOST_STEP = math.radians(36)
"""Between two positions of a rotary switch (12 positions a turn take 30 degrees; few are drawn wider)."""

Base = list[Mark]


def picture(name: str, base: Sequence[Mark], moving: Sequence[Sequence[Mark]]) -> Sheet:
    """What stands still and what each position shows."""
    groups = [Group(tuple(marks), f"at:{i}") for i, marks in enumerate(moving)]
    return Sheet(SIDE, SIDE, name, (*base, *groups))


def knob(name: str, turns: Sequence[float]) -> Sheet:
    """A knob with a pointer at each turn (0 to 10)."""
    base: Base = [_tick(FIRST + SWEEP * n / 10, 9.6, 10.6 if n % 5 else 11.2) for n in range(11)]
    base += [Shape((circle(MIDDLE, 8.2),), Role.BODY), Shape((circle(MIDDLE, 6.4),), Role.BODY_DETAIL)]
    return picture(name, base, [[_pointer(FIRST + SWEEP * turn / 10)] for turn in turns])


def rotary(name: str, count: int) -> Sheet:
    """A pointer knob with a dot at each position, the first at the left."""
    step = min(MOST_STEP, SWEEP / max(1, count - 1))
    angles = [-math.pi / 2 + step * (i - (count - 1) / 2) for i in range(count)]
    base: Base = [Shape((circle(MIDDLE.towards(a, 10.4), 0.6),), Role.SOLID) for a in angles]
    base += [Shape((circle(MIDDLE, 8.2),), Role.BODY), Shape((circle(MIDDLE, 6.4),), Role.BODY_DETAIL)]
    return picture(name, base, [[_pointer(a)] for a in angles])


def lever(name: str, count: int) -> Sheet:
    """A blade in a slot, the first position at the top."""
    ys = _steps(count, 4.0, 20.0)
    base: Base = [Shape((rounded_box(Box(10.6, 1.6, 13.4, 22.4), 1.4),), Role.SHAFT)]
    base += [Shape((polyline([Point(7.0, y), Point(8.6, y)]),), Role.BODY_DETAIL) for y in ys]
    return picture(name, base, [[_tip(Box(9.0, y - 2.0, 19.0, y + 2.0), 1.6)] for y in ys])


def slide(name: str, places: Sequence[Sequence[tuple[int, int]]]) -> Sheet:
    """One slide or several side by side; for each position, (place, number of places) of every slide."""
    many = len(places[0]) if places else 1
    xs = [MIDDLE.x + 9.0 * (i - (many - 1) / 2) for i in range(many)]
    base: Base = [Shape((rounded_box(Box(x - 2.8, 3.0, x + 2.8, 21.0), 0.8),), Role.SHAFT) for x in xs]
    moving = [[_tip(Box(x - 2.2, y - 2.9, x + 2.2, y + 2.9), 0.6)
               for x, (at, count) in zip(xs, one, strict=True) for y in (_steps(count, 6.5, 17.5)[at],)]
              for one in places]
    return picture(name, base, moving)


def toggle(name: str, count: int) -> Sheet:
    """A bat out of a nut, the first position at the top."""
    nut = polyline([MIDDLE.towards(math.radians(60 * i), 5.6) for i in range(6)], closed=True)
    base: Base = [Shape((circle(MIDDLE, 7.6),), Role.SHAFT), Shape((nut,), Role.BODY),
                  Shape((circle(MIDDLE, 3.4),), Role.BODY_DETAIL)]
    moving: list[list[Mark]] = []
    for y in _steps(count, -7.6, 7.6):
        end = Point(MIDDLE.x, MIDDLE.y + y)
        bat = [Shape((_taper(MIDDLE, 1.0, end, 1.9),), Role.SOLID)] if abs(y) > 1 else []
        moving.append([*bat, Shape((circle(end, 2.5),), Role.SOLID),
                       Shape((circle(Point(end.x - 0.7, end.y - 0.7), 0.7),), Role.HOLE)])
    return picture(name, base, moving)


def pull(name: str, raised: Sequence[bool]) -> Sheet:
    """A knob from the side, pushed down or pulled up."""
    base: Base = [Shape((rounded_box(Box(1.5, 18.0, 22.5, 21.0), 0.4),), Role.WOOD)]
    return picture(name, base, [_cap(9.6 if up else 14.6, up) for up in raised])


def button(name: str, count: int) -> Sheet:
    """A button at rest, then pressed."""
    base: Base = [Shape((rounded_box(Box(1.5, 18.0, 22.5, 21.0), 0.4),), Role.WOOD),
                  Shape((rounded_box(Box(6.0, 15.0, 18.0, 18.0), 0.6),), Role.SHAFT)]
    tops = [9.5 if not i else 13.2 for i in range(count)]
    return picture(name, base, [[_tip(Box(8.5, top, 15.5, 15.0), 0.8)] for top in tops])


def plug(name: str, words: Sequence[str]) -> Sheet:
    """A jack and its plug: in (with a ring where it is a stereo plug) or out."""
    base: Base = [Shape((rounded_box(Box(14.0, 5.0, 17.0, 19.0), 0.6),), Role.SHAFT)]
    return picture(name, base, [_plug(word) for word in words])


DRAWN: dict[str, Callable[[str, int], Sheet]] = {
    "toggles": toggle, "lever switches": lever, "rotaries": rotary,
    "slides": lambda name, count: slide(name, [[(i, count)] for i in range(count)]),
}
"""By family of symbols; what is none of these is drawn as a rotary switch."""


def switch(name: str, family: str, count: int) -> Sheet:
    """A switch of a family with so many positions."""
    return DRAWN.get(family, rotary)(name, count)


def _steps(count: int, first: float, last: float) -> list[float]:
    if count < 2:
        return [(first + last) / 2]
    return [first + (last - first) * i / (count - 1) for i in range(count)]


def _tick(angle: float, inner: float, outer: float) -> Shape:
    return Shape((polyline([MIDDLE.towards(angle, inner), MIDDLE.towards(angle, outer)]),), Role.BODY_DETAIL,
                 emphasis=Emphasis.STRONG)


def _pointer(angle: float) -> Shape:
    return Shape((_taper(MIDDLE.towards(angle, 2.2), 0.7, MIDDLE.towards(angle, 8.0), 0.7),), Role.SOLID)


def _taper(start: Point, half: float, end: Point, other: float) -> Path:
    side = start.angle_to(end) + math.pi / 2
    return polyline([start.towards(side, half), end.towards(side, other), end.towards(side, -other),
                     start.towards(side, -half)], closed=True)


def _tip(box: Box, corner: float) -> Shape:
    return Shape((rounded_box(box, corner),), Role.SOLID)


def _cap(bottom: float, up: bool) -> list[Mark]:
    """The knob with its lower edge at ``bottom``; the shaft shows beneath it where it is pulled."""
    cap = rounded_box(Box(4.5, bottom - 6.6, 19.5, bottom + 1.4), 1.0)
    shaft: list[Mark] = [Shape((rounded_box(Box(10.6, bottom, 13.4, 18.0), 0),), Role.SHAFT)]
    if up:
        tip = Point(MIDDLE.x, bottom - 9.2)
        shaft.append(Shape((polyline([tip, Point(tip.x - 1.6, tip.y + 1.9), Point(tip.x + 1.6, tip.y + 1.9)],
                                     closed=True),), Role.ARROW))
    lines = [Shape((polyline([Point(x, bottom - 5.2), Point(x, bottom)]),), Role.BODY_DETAIL)
             for x in (7.0, 9.5, 12.0, 14.5, 17.0)]
    return [*shaft, Shape((cap,), Role.BODY), *lines]


def _plug(word: str) -> list[Mark]:
    out = word.startswith("plug out") or word == "out"
    shift = -6.0 if out else 0.0
    marks: list[Mark] = [
        Shape((rounded_box(Box(1.0 + shift * 0.1, 8.0, 9.0 + shift * 0.9, 16.0), 1.0),), Role.SOLID),
        Shape((rounded_box(Box(9.0 + shift * 0.9, 10.4, 20.5 + shift * 1.35, 13.6), 1.2),), Role.BODY),
    ]
    for x in (18.2, 16.0) if word.startswith("stereo") else (18.2,):
        at = x + shift * 1.35
        marks.append(Shape((polyline([Point(at, 10.4), Point(at, 13.6)]),), Role.SOLID, emphasis=Emphasis.STRONG))
        marks.append(Shape((polyline([Point(at, 10.4), Point(at, 13.6)]),), Role.AXIS))
    return marks
