"""Direct current from the battery: how much flows in a state, and which buffers have their supply."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from diagramgen.circuit.blocks import reached
from diagramgen.circuit.elements import CELL_RESISTANCE, NOMINAL, Elements, Frame

ENOUGH = 0.5
"""Share of the battery's voltage at which a buffer counts as supplied."""


@dataclass(frozen=True)
class Supply:
    """Current out of all batteries in A, and the buffers that have their supply."""

    current: float
    powered: frozenset[str]
    reversed: tuple[str, ...]
    """Buffers whose supply is the wrong way round."""


NONE = Supply(0.0, frozenset(), ())


def supply(frame: Frame, classes: Sequence[int]) -> Supply:
    """What the batteries give in a state; buffers draw as resistors (their current at 9 V)."""
    if not frame.elements.cells:
        return NONE
    e = frame.elements.mapped(classes)
    edges = _edges(e)
    current, volts = 0.0, {}
    for cell in e.cells:
        if cell.plus not in volts:
            volts.update(_solve(e, edges, cell.minus))
    for cell in e.cells:
        current += (cell.voltage - volts[cell.plus] + volts[cell.minus]) / CELL_RESISTANCE
    for cell in frame.elements.cells:
        if classes[cell.plus] == classes[cell.minus]:
            current += cell.voltage / CELL_RESISTANCE
    enough = ENOUGH * max(c.voltage for c in frame.elements.cells)
    across = {s.name: volts[s.plus] - volts[s.ground] if s.plus in volts and s.ground in volts else 0.0
              for s in e.stages}
    return Supply(max(0.0, current) if current > 1e-12 else 0.0,
                  frozenset(name for name, v in across.items() if v >= enough),
                  tuple(name for name, v in across.items() if v <= -enough))


def _edges(e: Elements) -> list[tuple[int, int, float]]:
    """(point, point, siemens) of everything that direct current flows through, cells apart."""
    found = [(r.a, r.b, 1 / r.value) for r in e.resistors if r.what != "loss"]
    found += [(w.start, w.finish, 1 / w.resistance) for w in e.windings]
    for s in e.stages:
        found += [(s.into, s.ground, 1 / s.input), (s.out, s.ground, 1 / s.output),
                  (s.plus, s.ground, s.current / NOMINAL)]
    return [edge for edge in found if edge[0] != edge[1]]


def _solve(e: Elements, edges: list[tuple[int, int, float]], ground: int) -> dict[int, float]:
    """Voltages of everything connected to ``ground`` through resistors and cells."""
    pairs = [(a, b) for a, b, y in edges if y > 0] + [(c.plus, c.minus) for c in e.cells]
    points = sorted(reached(pairs, [ground]) - {ground})
    at = {point: i for i, point in enumerate(points)}
    at[ground] = len(points)
    n = len(points)
    g, right = np.zeros((n + 1, n + 1)), np.zeros(n + 1)
    stamps = [(a, b, y) for a, b, y in edges if a in at and b in at]
    stamps += [(c.plus, c.minus, 1 / CELL_RESISTANCE) for c in e.cells if c.plus in at]
    for a, b, y in stamps:
        i, j = at[a], at[b]
        g[i, i] += y
        g[j, j] += y
        g[i, j] -= y
        g[j, i] -= y
    for c in e.cells:
        if c.plus in at:
            right[at[c.plus]] += c.voltage / CELL_RESISTANCE
            right[at[c.minus]] -= c.voltage / CELL_RESISTANCE
    solved = np.linalg.solve(g[:n, :n], right[:n]) if n else np.zeros(0)
    return {point: 0.0 if point == ground else float(solved[at[point]]) for point in at}
