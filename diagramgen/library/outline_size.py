"""Works out a symbol in millimetres: where every lug lies follows from the part's dimensions."""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping

from diagramgen.kernel.geometry import Box, Path, Point, Transform, circle, moved, polyline, rounded_box, turned
from diagramgen.library.expressions import Sum
from diagramgen.library.model import Drawing, Figure, Lug, LugPattern, Shape, Symbol, Zone

TIP = 1.3
"""How far a tongue reaches past the centre of its eyelet, mm (common practice, no source)."""


def shape_of(symbol: Symbol, measured: Mapping[str, float] | None = None, outside: bool = False) -> Shape:
    """The symbol in mm, with the measures of the real part in place of the typical ones.

    ``outside`` asks for the drawing used where the part stands outside the cavity, if there is one.
    Raises ``BadSum`` when a sum uses an unknown dimension.
    """
    sizes = {name: d.value for name, d in symbol.dimensions.items()} | dict(measured or {})
    drawing: Drawing = symbol.outside if outside and symbol.outside else symbol.drawing
    m = symbol.mounting

    def mm(of: Sum) -> float:
        return of.value(sizes)

    def place(pair: tuple[Sum, Sum]) -> Point:
        return Point(mm(pair[0]), mm(pair[1]))

    return Shape(
        body=tuple(_zone(f, sizes) for f in drawing.body),
        details=tuple(_zone(f, sizes) for f in drawing.details),
        keep_clear=tuple(_zone(f, sizes) for f in drawing.keep_clear),
        lugs={lug.name: lug for p in drawing.lugs for lug in _lugs(p, sizes)},
        hole=mm(m.hole),
        bushing=mm(m.bushing),
        thread=mm(m.thread),
        washers=mm(m.washers),
        nut=mm(m.nut),
        shaft=mm(m.shaft),
        shaft_length=mm(m.shaft_length),
        slot=(mm(m.slot[0]), mm(m.slot[1])) if m.slot else None,
        screws=tuple(place(s) for s in m.screws),
        screw_hole=mm(m.screw_hole),
        pin=place(m.pin) if m.pin else None,
        pin_hole=mm(m.pin_hole),
    )


def _zone(figure: Figure, sizes: Mapping[str, float]) -> Zone:
    return Zone(_outline(figure, sizes), figure.low.value(sizes), figure.high.value(sizes), figure.draw)


def _outline(figure: Figure, sizes: Mapping[str, float]) -> Path:
    x, y = (s.value(sizes) for s in figure.at)
    numbers = [s.value(sizes) for s in figure.sizes]
    if figure.form == "disc":
        return circle(Point(x, y), numbers[0] / 2)
    if figure.form == "box":
        w, h = numbers
        return rounded_box(Box(x - w / 2, y - h / 2, x + w / 2, y + h / 2), figure.corner.value(sizes))
    points = [Point(x + a, y + b) for a, b in zip(numbers[::2], numbers[1::2], strict=True)]
    return polyline(points, closed=figure.form == "polygon")


def _lugs(pattern: LugPattern, sizes: Mapping[str, float]) -> Iterable[Lug]:
    centre = Point(*(s.value(sizes) for s in pattern.at))
    whole = turned(pattern.turned).then(moved(centre))
    rows = len(pattern.names)
    for r, row in enumerate(pattern.names):
        for c, name in enumerate(row):
            if not name:
                continue
            local, outward = _local(pattern, sizes, r, c, rows, len(row))
            away = outward if pattern.outward else pattern.away
            turned_away = None if away is None else math.remainder(away + pattern.turned, math.tau)
            at = whole(local)
            yield Lug(
                name,
                at,
                pattern.depth.value(sizes) + r * pattern.depth_pitch.value(sizes),
                turned_away,
                pattern.kind,
                _tongue(pattern, sizes, at, turned_away),
                pattern.hole.value(sizes),
                pattern.takes,
            )


def _local(
    pattern: LugPattern, sizes: Mapping[str, float], r: int, c: int, rows: int, columns: int
) -> tuple[Point, float]:
    """Position of one lug about the pattern's centre, and its direction from that centre."""
    if pattern.form == "arc":
        angle = pattern.first + pattern.step * c
        return Point(0, 0).towards(angle, pattern.radius.value(sizes)), angle
    px, py = (s.value(sizes) for s in pattern.pitch)
    at = Point((c - (columns - 1) / 2) * px, (r - (rows - 1) / 2) * py)
    return at, math.atan2(at.y, at.x)


def _tongue(pattern: LugPattern, sizes: Mapping[str, float], at: Point, away: float | None) -> Path | None:
    """The metal strip from the body to just past the eyelet, rounded at its tip."""
    if pattern.tongue is None or away is None:
        return None
    width, length = (s.value(sizes) for s in pattern.tongue)
    strip = rounded_box(Box(-length, -width / 2, TIP, width / 2), width * 0.35)
    along = Transform(math.cos(away), math.sin(away), -math.sin(away), math.cos(away), at.x, at.y)
    return strip.mapped(along)
