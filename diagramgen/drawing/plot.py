"""A chart of curves over a log frequency axis: dB upward, each curve labelled where it ends at the right.

Every curve bears its number in a small disc as well, so that a black-and-white print loses nothing.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from diagramgen.drawing.scene import Emphasis, Group, Kind, Mark, Role, Shape, Text
from diagramgen.kernel.geometry import Box, Path, Point, circle, polyline
from diagramgen.kernel.tokens import SERIES
from diagramgen.kernel.units import FREQUENCY, quantity
from diagramgen.lettering import fit, line_pitch, wrap

LOWEST, HIGHEST = 80.0, 20_000.0
"""Hz at both ends of the axis."""
TICKS = ((100.0, "100"), (200.0, "200"), (500.0, "500"), (1e3, "1 k"), (2e3, "2 k"), (5e3, "5 k"), (10e3, "10 k"),
         (20e3, "20 k"))
LINES = tuple(n * d for d in (10.0, 100.0, 1e3, 1e4) for n in range(1, 10) if LOWEST <= n * d <= HIGHEST)
STEP, SPAN_MOST = 10.0, 50.0
"""dB between lines, and the most a chart shows: what lies lower runs out at its foot."""
LETTERING = 2.0
GAP = 1.2
"""White between two labels, mm."""
AXIS_ROOM, FOOT_ROOM, HEAD_ROOM = 13.0, 6.5, 10.0
LEADER = 9.0
"""From the end of the axis to the labels, mm."""
DISC = 1.7
"""Radius of the disc that holds a curve's number, mm."""


@dataclass(frozen=True)
class Curve:
    """One curve: what it is called, what is added in small print, and (Hz, dB) points rising in frequency."""

    label: str
    points: tuple[tuple[float, float], ...]
    remark: str = ""


@dataclass(frozen=True)
class Scale:
    """Where a frequency and a level fall on the sheet."""

    area: Box
    low: float
    high: float

    def x(self, hertz: float) -> float:
        """mm."""
        share = math.log(hertz / LOWEST) / math.log(HIGHEST / LOWEST)
        return self.area.left + share * (self.area.right - self.area.left)

    def y(self, decibel: float) -> float:
        """mm."""
        share = (decibel - self.low) / (self.high - self.low)
        return self.area.bottom - share * (self.area.bottom - self.area.top)


def plot(curves: Sequence[Curve], box: Box, title: str, label_width: float, subject: str = "") -> Group:
    """The chart in ``box`` (mm); ``label_width`` mm at the right hold the labels. At most eight curves.

    Raises ``ValueError`` for more curves than there are shades.
    """
    if len(curves) > len(SERIES):
        raise ValueError(f"a chart holds {len(SERIES)} curves, not {len(curves)}")
    area = Box(box.left + AXIS_ROOM, box.top + HEAD_ROOM, box.right - label_width - LEADER, box.bottom - FOOT_ROOM)
    scale = Scale(area, *_range(curves))
    said = fit(title, 2.5, box.width, True)
    marks: list[Mark] = [Text(said, Point(box.left, box.top + 3.0), 2.5, bold=True, role=Role.NAME_TEXT)]
    marks += axes(scale)
    runs = [_visible(c, scale) for c in curves]
    for number, run in enumerate(runs):
        marks += [Shape((_line(piece, scale),), Role.CURVE, colour=SERIES[number]) for piece in run]
    for number, run in enumerate(runs):
        marks += _disc(number, run, scale, len(curves))
    marks += _labels(curves, runs, scale, box.right - label_width, label_width)
    names = "; ".join(f"{n}: {c.label}" for n, c in enumerate(curves, 1))
    return Group(tuple(marks), subject, f"{title}. Level in dB over frequency from 80 Hz to 20 kHz. Curves: {names}.",
                 Kind.FIGURE)


def _range(curves: Sequence[Curve]) -> tuple[float, float]:
    levels = [db for c in curves for _, db in c.points]
    top = max(levels, default=0.0)
    high = STEP * math.ceil((top + 1.0) / STEP)
    low = STEP * math.floor(min(levels, default=-STEP) / STEP)
    return max(high - SPAN_MOST, min(low, high - 3 * STEP)), high


def axes(scale: Scale) -> list[Mark]:
    """Grid, axes and their lettering."""
    area = scale.area
    marks: list[Mark] = []
    for hertz in LINES:
        x = scale.x(hertz)
        strong = Emphasis.STRONG if hertz in (100.0, 1e3, 1e4) else Emphasis.NORMAL
        marks.append(Shape((polyline([Point(x, area.top), Point(x, area.bottom)]),), Role.GRID, emphasis=strong))
    level = scale.low
    while level <= scale.high + 1e-9:
        y = scale.y(level)
        strong = Emphasis.STRONG if level == 0 else Emphasis.NORMAL
        marks.append(Shape((polyline([Point(area.left, y), Point(area.right, y)]),), Role.GRID, emphasis=strong))
        word = f"{'+' if level > 0 else '−' if level < 0 else ''}{abs(level):.0f}"
        marks.append(Text(word, Point(area.left - 1.5, y + LETTERING / 2), LETTERING, "end"))
        level += STEP
    for hertz, word in TICKS:
        x = scale.x(hertz)
        marks.append(Shape((polyline([Point(x, area.bottom), Point(x, area.bottom + 1)]),), Role.AXIS))
        marks.append(Text(word, Point(x, area.bottom + 2 + LETTERING), LETTERING, "middle"))
    corners = [Point(area.left, area.top), Point(area.left, area.bottom), Point(area.right, area.bottom)]
    marks.append(Shape((polyline(corners),), Role.AXIS))
    marks.append(Text("Hz", Point(area.right + 5.0, area.bottom + 2 + LETTERING), LETTERING))
    marks.append(Text("dB", Point(area.left - 1.5, area.top - 2.6), LETTERING, "end"))
    return marks


Run = list[tuple[float, float]]


def _visible(curve: Curve, scale: Scale) -> list[Run]:
    """The pieces of a curve within the chart; a piece ends where the curve crosses the foot."""
    runs: list[Run] = [[]]
    before: tuple[float, float] | None = None
    for point in curve.points:
        if not LOWEST <= point[0] <= HIGHEST * (1 + 1e-9):
            continue
        if before is not None and (before[1] < scale.low) != (point[1] < scale.low):
            share = (scale.low - before[1]) / (point[1] - before[1])
            runs[-1].append((before[0] * (point[0] / before[0]) ** share, scale.low))
            if point[1] < scale.low:
                runs.append([])
        if point[1] >= scale.low:
            runs[-1].append(point)
        before = point
    return [run for run in runs if len(run) > 1]


def _line(run: Run, scale: Scale) -> Path:
    return polyline([Point(scale.x(hertz), scale.y(db)) for hertz, db in run])


def _disc(number: int, runs: Sequence[Run], scale: Scale, count: int) -> list[Mark]:
    """The number of a curve on the curve; discs of neighbours stand at other frequencies."""
    points = [p for run in runs for p in run]
    if not points:
        return []
    share = 0.06 + 0.5 * number / max(1, count)
    wanted = LOWEST * (HIGHEST / LOWEST) ** share
    hertz, db = min(points, key=lambda p: abs(math.log(p[0] / wanted)))
    at = Point(scale.x(hertz), scale.y(db))
    return [
        Shape((circle(at, DISC),), Role.TAG, colour=SERIES[number]),
        Text(str(number + 1), Point(at.x, at.y + 0.9), 1.8, "middle", bold=True, role=Role.TAG_TEXT),
    ]


def _labels(
    curves: Sequence[Curve], runs: Sequence[Sequence[Run]], scale: Scale, left: float, width: float
) -> list[Mark]:
    """Labels beside the ends of their curves, moved apart, each with its leader line."""
    area, pitch = scale.area, line_pitch(LETTERING)
    texts = [_lines(number, c, _fate(runs[number]), width) for number, c in enumerate(curves)]
    tall = [pitch * len(lines) + GAP for lines in texts]
    ends = [_end(run, scale) for run in runs]
    order = sorted(range(len(curves)), key=lambda i: (ends[i].y, i))
    middles = spread([ends[i].y for i in order], [tall[i] for i in order], area.top - HEAD_ROOM + 4.0, area.bottom)
    marks: list[Mark] = []
    for i, middle in zip(order, middles, strict=True):
        if not _fate(runs[i]):
            way = [ends[i], Point(area.right + 3.0, ends[i].y), Point(left - 1.0, middle)]
            marks.append(Shape((polyline(way),), Role.LEADER, colour=SERIES[i]))
        base = middle - (tall[i] - GAP) / 2 + LETTERING + (pitch - LETTERING) / 2
        for k, (line, bold) in enumerate(texts[i]):
            marks.append(Text(line, Point(left, base + k * pitch), LETTERING, bold=bold,
                              role=Role.NAME_TEXT if bold else Role.VALUE_TEXT))
    return marks


def _fate(runs: Sequence[Run]) -> str:
    """What becomes of a curve that does not reach the right edge of the chart; '' where it does."""
    if not runs:
        return "below the chart"
    last = runs[-1][-1][0]
    return "" if last >= HIGHEST * 0.999 else f"leaves the chart at {quantity(last, FREQUENCY, 2)}"


def _lines(number: int, curve: Curve, fate: str, width: float) -> list[tuple[str, bool]]:
    """The lines of a label, and whether each is bold."""
    lines = [(line, True) for line in wrap(f"{number + 1}: {curve.label}", LETTERING, width, True)]
    remark = "; ".join(t for t in (curve.remark, fate) if t)
    return lines + [(line, False) for line in (wrap(remark, LETTERING, width) if remark else [])]


def _end(runs: Sequence[Run], scale: Scale) -> Point:
    """Where a curve ends; one that is nowhere ends at the foot."""
    if not runs:
        return Point(scale.area.right, scale.area.bottom)
    hertz, db = runs[-1][-1]
    return Point(scale.x(hertz), scale.y(db))


def spread(wanted: Sequence[float], tall: Sequence[float], top: float, bottom: float) -> list[float]:
    """Middles of labels of these heights, in this order, as near to where they are wanted as may be (mm).

    Neighbours that would overlap become one block about the mean of what they want (pooling of adjacent
    violators, the exact least squares answer); then the column is pushed into top to bottom, where it fits.
    """
    offsets = [sum(tall[:i]) + tall[i] / 2 for i in range(len(tall))]
    blocks: list[tuple[float, int]] = []
    for want, offset in zip(wanted, offsets, strict=True):
        mean, count = want - offset, 1
        while blocks and blocks[-1][0] > mean:
            other, n = blocks.pop()
            mean, count = (mean * count + other * n) / (count + n), count + n
        blocks.append((mean, count))
    starts = [mean for mean, count in blocks for _ in range(count)]
    most = bottom - sum(tall)
    return [max(top, min(start, max(top, most))) + offset for start, offset in zip(starts, offsets, strict=True)]
