"""Boards, batteries and whatever is more than one piece between two points, in a fault simulation.

Which of them are supplied, what they add to the equations, and where no ohm figure means anything.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from diagramgen.circuit.dc_supply import ENOUGH
from diagramgen.circuit.elements.element import Element
from diagramgen.diagnosis.batch import (
    BatchEquations,
    Complexes,
    Floats,
    Ints,
    add_admittances,
    driving_point,
    reached,
    tie,
)
from diagramgen.diagnosis.edits import EditableBranch, is_block
from diagramgen.diagnosis.fault_model import FaultModel
from diagramgen.diagnosis.model import NetlistEdit

SHORT = 1e3
"""S of a battery for alternating current."""


@dataclass(frozen=True, eq=False)
class Block:
    """An element of more than one piece in every netlist."""

    element: Element
    ends: Ints
    """Netlists x nodes of the element: labels."""

    def at(self, nets: Sequence[int]) -> Iterator[Ints]:
        """The labels of some of its nets, as the element numbers them."""
        columns = {net: i for i, net in enumerate(self.element.nodes())}
        return (self.ends[:, columns[net]] for net in nets)


def block_ends(elements: Sequence[Element]) -> list[int]:
    """The points that blocks stand on, in order: what ``blocks_of`` is given the labels of."""
    return [point for e in elements if is_block(e) for point in e.nodes()]


def blocks_of(elements: Sequence[Element], labels: Ints) -> tuple[Block, ...]:
    """The blocks of a setting; ``labels``: netlists x ``block_ends``."""
    found, first = [], 0
    for e in elements:
        if is_block(e):
            last = first + len(e.nodes())
            found.append(Block(e, labels[:, first:last]))
            first = last
    return tuple(found)


def stamp_blocks(blocks: Sequence[Block], on: NDArray[np.bool_], g: Complexes, s: complex) -> None:
    """Add blocks to the matrices; ``on``: netlists x blocks that work."""
    for i, block in enumerate(blocks):
        e = block.element
        if e.battery() is not None:
            every = BatchEquations(g, s, np.arange(len(g)))
            every.conductance(block.ends[:, 0], block.ends[:, 1], SHORT)
            continue
        same = range(max(e.nodes()) + 1)
        for works in (True, False):
            rows = np.flatnonzero(on[:, i] == works)
            if len(rows) and (works or e.fed_at() is not None):
                own = e.in_signal(same, (e.name,) if works else ())
                own.stamp(BatchEquations(g, s, rows), list(block.ends[rows].T))


def working(
    wiring: FaultModel, blocks: Sequence[Block], still: tuple[Ints, Ints, Floats], edits: Sequence[NetlistEdit | None],
    size: int,
) -> NDArray[np.bool_]:
    """Find which blocks work: not dead or open, and with half the battery's voltage the right way round.

    Parameters: still - labels and S of every piece that direct current passes; edits - one a netlist; size - labels.
    Returns: netlists x blocks.
    """
    a, b, y = still
    count = len(a)
    g, right = np.zeros((count, size, size)), np.zeros((count, size))
    row = np.arange(count)
    stopped = [wiring.names[e.element] if e is not None and e.what in ("dead", "open") else "" for e in edits]
    alive = np.array([[name != block.element.name for block in blocks] for name in stopped]).reshape(count, -1)
    add_admittances(g, a, b, y)
    highest = 0.0
    for i, block in enumerate(blocks):
        for x, z, siemens in block.element.fed() if block.element.active else ():
            p, q = block.at((x, z))
            add_admittances(g, p[:, None], q[:, None], np.full((count, 1), siemens))
        cell = block.element.battery()
        if cell is not None:
            plus, minus = block.at((cell.plus, cell.minus))
            add_admittances(g, plus[:, None], minus[:, None], np.full((count, 1), 1 / cell.ohm))
            volts = np.where(alive[:, i], cell.volt, 0.0)
            np.add.at(right, (row, plus), volts / cell.ohm)
            np.add.at(right, (row, minus), -volts / cell.ohm)
            highest = max(highest, cell.volt)
    volts = _voltages(g, right, reached(g))
    enough = ENOUGH * highest if highest else np.inf
    found = alive.copy()
    for i, block in enumerate(blocks):
        pins = block.element.fed_at()
        if pins is not None:
            plus, minus = block.at(pins)
            found[:, i] &= volts[row, plus] - volts[row, minus] >= enough
    return found


def _voltages(g: Floats, right: Floats, tied: NDArray[np.bool_]) -> Floats:
    """Voltage of every label against the sleeve; a floating part is tied at its lowest label.

    A battery that hangs together only with its board still feeds it, so each floating part needs one reference.
    """
    count, size = right.shape
    free = ~tied
    # The lowest label of each floating part: tied where no lower free label reaches it.
    part = np.where(free, np.arange(size)[None, :], -1)
    linked = (g != 0) | np.eye(size, dtype=bool)[None]
    for _ in range(size):
        lowest = np.where(linked & free[:, None, :], part[:, None, :], size).min(axis=2)
        new = np.where(free, np.minimum(part, lowest), -1)
        if (new == part).all():
            break
        part = new
    g = g.copy()
    tie(g, free & (part == np.arange(size)[None, :]))
    solved = np.linalg.solve(g[:, 1:, 1:], right[:, 1:, None])[:, :, 0]
    return np.concatenate([np.zeros((count, 1)), solved], axis=1)


def meaningless_rows(
    blocks: Sequence[Block], branches: Sequence[EditableBranch], a: Ints, b: Ints, on: NDArray[np.bool_], tip: Ints,
    size: int,
) -> NDArray[np.bool_]:
    """Find netlists in which a board, a battery or only a transducer lies between tip and sleeve.

    What lies on some way from tip to sleeve carries current when every element is given a conductance that fits
    no other; what hangs on by one point carries none.

    Parameters: a, b - netlists x branches, labels; on - netlists x branches that direct current passes; tip - its
    label.
    """
    count = len(a)
    passing = on | np.array([s.passes for s in branches])[None, :]
    pairs = [tuple(block.at(pair)) for block in blocks if block.element.active for pair in _across(block.element)]
    from_ = np.column_stack([a, *(p for p, _ in pairs)])
    to = np.column_stack([b, *(q for _, q in pairs)])
    odd = 1.0 + np.sqrt(np.arange(2, from_.shape[1] + 2)) % 1.0
    y = np.concatenate([np.where(passing, odd[: a.shape[1]], 0.0),
                        np.broadcast_to(odd[a.shape[1] :], (count, from_.shape[1] - a.shape[1]))], axis=1)
    g = np.zeros((count, size, size))
    add_admittances(g, from_, to, y)
    free = ~reached(g)
    tie(g, free)
    volts = driving_point(g, tip)
    row = np.arange(count)[:, None]
    lies = (np.abs(volts[row, from_] - volts[row, to]) > 1e-9) & (y > 0)
    sources, conduct = (np.array([getattr(s, what) for s in branches]) for what in ("source", "conducts"))
    own, others = lies[:, : a.shape[1]], lies[:, a.shape[1] :].any(axis=1)
    only_still = own[:, sources & ~conduct].any(axis=1) & ~own[:, sources & conduct].any(axis=1)
    tied = (tip > 0) & ~free[np.arange(count), tip]
    return np.asarray(tied & (others | only_still))


def _across(element: Element) -> Iterator[tuple[int, int]]:
    """Pairs of nets across which a board or a battery spoils a reading."""
    yield from element.paths()
    for pair in (element.fed_at(), element.battery()):
        if pair is not None:
            yield pair[0], pair[1]
