"""Direct current from the battery: how much flows in a state, and which buffers have their supply."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from diagramgen.circuit.blocks import reached
from diagramgen.circuit.elements.element import Supplying
from diagramgen.circuit.netlist import NetlistTemplate
from diagramgen.circuit.nodal import potentials

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


def supply(template: NetlistTemplate, classes: Sequence[int]) -> Supply:
    """Work out what the batteries give in a state, and which boards they feed.

    A board draws as a resistor, its stated current at 9 V; it counts as fed from ``ENOUGH`` of the highest battery's
    voltage on, the right way round.

    Parameters: classes - the class of each net of the template (``blocks.merged``).
    """
    if not template.elements.batteries:
        return NONE
    every = [cell._replace(plus=classes[cell.plus], minus=classes[cell.minus]) for cell in template.elements.batteries]
    cells = [cell for cell in every if cell.plus != cell.minus]
    edges = [(classes[a], classes[b], y) for a, b, y in template.elements.fed if classes[a] != classes[b]]
    current, volts = 0.0, {}
    for cell in cells:
        if cell.plus not in volts:
            volts.update(_solve(cells, edges, cell.minus))
    for cell in cells:
        current += (cell.volt - volts[cell.plus] + volts[cell.minus]) / cell.ohm
    for cell in every:
        if cell.plus == cell.minus:
            current += cell.volt / cell.ohm
    enough = ENOUGH * max(cell.volt for cell in every)
    pins = {one.name: [classes[net] for net in at] for one in template.elements if (at := one.fed_at()) is not None}
    across = {name: volts[plus] - volts[ground] if plus in volts and ground in volts else 0.0
              for name, (plus, ground) in pins.items()}
    return Supply(max(0.0, current) if current > 1e-12 else 0.0,
                  frozenset(name for name, v in across.items() if v >= enough),
                  tuple(name for name, v in across.items() if v <= -enough))


def _solve(cells: Sequence[Supplying], edges: Sequence[tuple[int, int, float]], ground: int) -> dict[int, float]:
    """Voltages of everything connected to ``ground`` through what conducts and batteries."""
    pairs = [(a, b) for a, b, y in edges if y > 0] + [(c.plus, c.minus) for c in cells]
    points = sorted(reached(pairs, [ground]) - {ground})
    if not points:
        return {ground: 0.0}
    at = {point: i for i, point in enumerate([*points, ground])}
    here = [c for c in cells if c.plus in at]
    branches = [(at[a], at[b], (y,)) for a, b, y in edges if a in at and b in at]
    branches += [(at[c.plus], at[c.minus], (1 / c.ohm,)) for c in here]
    currents = [(at[c.plus], at[c.minus], c.volt / c.ohm) for c in here]
    solved = potentials(len(at), branches, currents)[0]
    return {point: 0.0 if point == ground else float(solved[i]) for point, i in at.items()}
