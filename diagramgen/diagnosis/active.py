"""Boards and batteries in a fault simulation: which boards are supplied, and where no ohm figure means anything."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from diagramgen.circuit.dc_supply import ENOUGH
from diagramgen.circuit.elements.battery import INSIDE, Battery
from diagramgen.circuit.elements.gain_stage import NOMINAL, GainStage
from diagramgen.circuit.netlist import Elements
from diagramgen.diagnosis.edits import Complexes, Floats, Ints, Slot
from diagramgen.diagnosis.model import Edit
from diagramgen.diagnosis.wiring import Wiring

SHORT = 1e3
"""S of a battery for alternating current."""


def stages_of(elements: Elements) -> list[GainStage]:
    """The boards."""
    return [e for e in elements if isinstance(e, GainStage)]


def cells_of(elements: Elements) -> list[Battery]:
    """The batteries."""
    return [e for e in elements if isinstance(e, Battery)]


@dataclass(frozen=True, eq=False)
class Powered:
    """The boards of each network: input and output admittance, and the gain of those that have their supply."""

    stages: tuple[tuple[float, float, float], ...]
    """(input ohm, output ohm, gain)."""
    on: Floats
    """Networks x boards: 1 where it has its supply, else 0."""
    ends: Ints
    """Networks x boards x (into, out, ground, plus): labels."""
    cells: Ints
    """Networks x batteries x (plus, minus): labels; a short to alternating current."""

    def stamp(self, g: Complexes) -> None:
        """Add the boards to the matrices."""
        row = np.arange(len(g))
        for i, (inside, out, gain) in enumerate(self.stages):
            into, to, ground = (self.ends[:, i, n] for n in range(3))
            for a, b, ohm in ((into, ground, inside), (to, ground, out)):
                y = np.where(a == b, 0.0, 1 / ohm)
                for p, q, way in ((a, a, 1), (b, b, 1), (a, b, -1), (b, a, -1)):
                    np.add.at(g, (row, p, q), way * y)
            drive = self.on[:, i] * gain / out
            for p, sign in ((to, -1.0), (ground, 1.0)):
                np.add.at(g, (row, p, into), sign * drive)
                np.add.at(g, (row, p, ground), -sign * drive)
        for i in range(self.cells.shape[1]):
            plus, minus = self.cells[:, i, 0], self.cells[:, i, 1]
            y = np.where(plus == minus, 0.0, SHORT)
            for p, q, way in ((plus, plus, 1), (minus, minus, 1), (plus, minus, -1), (minus, plus, -1)):
                np.add.at(g, (row, p, q), way * y)


def powered_rows(
    wiring: Wiring, elements: Elements, still: tuple[Ints, Ints, Floats], extra: Ints, edits: Sequence[Edit | None],
    size: int,
) -> Powered:
    """Which boards have at least half the battery's voltage the right way round in each network.

    ``extra``: labels of each board's (into, out, ground, plus), then of each cell's (plus, minus).
    """
    from diagramgen.diagnosis.simulate import reached, stamp

    a, b, y = still
    count, boards = len(a), len(stages_of(elements))
    ends = extra[:, : 4 * boards].reshape(count, boards, 4)
    cells = extra[:, 4 * boards :].reshape(count, len(cells_of(elements)), 2)
    g = np.zeros((count, size, size))
    stamp(g, a, b, y)
    right = np.zeros((count, size))
    one = np.arange(count)
    dead = {wiring.names[e.element] for e in edits if e is not None and e.what == "dead"}
    for i, stage in enumerate(stages_of(elements)):
        into, out, ground, plus = (ends[:, i, n] for n in range(4))
        for p, q, siemens in ((into, ground, 1 / stage.input), (out, ground, 1 / stage.output),
                              (plus, ground, stage.current / NOMINAL)):
            stamp(g, p[:, None], q[:, None], np.full((count, 1), siemens))
    for i, cell in enumerate(cells_of(elements)):
        plus, minus = cells[:, i, 0], cells[:, i, 1]
        volts = np.full(count, cell.voltage)
        if cell.name in dead:
            volts = np.array([0.0 if _is(wiring, e, cell.name) else cell.voltage for e in edits])
        stamp(g, plus[:, None], minus[:, None], np.full((count, 1), 1 / INSIDE))
        np.add.at(right, (one, plus), volts / INSIDE)
        np.add.at(right, (one, minus), -volts / INSIDE)
    volts = _voltages(g, right, reached(g))
    enough = ENOUGH * max((c.voltage for c in cells_of(elements)), default=np.inf)
    on = np.zeros((count, boards))
    for i, stage in enumerate(stages_of(elements)):
        across = volts[one, ends[:, i, 3]] - volts[one, ends[:, i, 2]]
        alive = np.array([not _is(wiring, e, stage.name) for e in edits])
        on[:, i] = (across >= enough) & alive
    return Powered(tuple((s.input, s.output, s.gain) for s in stages_of(elements)), on, ends, cells)


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
    roots = free & (part == np.arange(size)[None, :])
    g = g.copy()
    g[:, np.arange(size), np.arange(size)] += np.where(roots, 1.0, 0.0)
    solved = np.linalg.solve(g[:, 1:, 1:], right[:, 1:, None])[:, :, 0]
    return np.concatenate([np.zeros((count, 1)), solved], axis=1)


def _is(wiring: Wiring, edit: Edit | None, name: str) -> bool:
    return edit is not None and edit.what == "dead" and wiring.names[edit.element] == name


def meaningless_rows(
    elements: Elements, slots: Sequence[Slot], a: Ints, b: Ints, on: NDArray[np.bool_], extra: Ints, tip: Ints,
    size: int,
) -> NDArray[np.bool_]:
    """Networks in which a board, a battery or only a transducer lies between tip and sleeve.

    What lies on some way from tip to sleeve carries current when every element is given a conductance that fits
    no other; what hangs on by one point carries none.
    """
    from diagramgen.diagnosis.simulate import reached, stamp

    count, boards = len(a), len(stages_of(elements))
    passing = on | np.array([s.kind in ("capacitor", "winding", "transducer", "loss") for s in slots])[None, :]
    pins = extra[:, : 4 * boards].reshape(count, boards, 4)
    cells = extra[:, 4 * boards :].reshape(count, len(cells_of(elements)), 2)
    from_ = np.concatenate([a, *(pins[:, :, n] for n in (0, 1, 3)), cells[:, :, 0]], axis=1)
    to = np.concatenate([b, *(pins[:, :, 2] for _ in range(3)), cells[:, :, 1]], axis=1)
    odd = 1.0 + np.sqrt(np.arange(2, from_.shape[1] + 2)) % 1.0
    y = np.concatenate([np.where(passing, odd[: a.shape[1]], 0.0),
                        np.broadcast_to(odd[a.shape[1] :], (count, from_.shape[1] - a.shape[1]))], axis=1)
    g = np.zeros((count, size, size))
    stamp(g, from_, to, y)
    free = ~reached(g)
    g[:, np.arange(size), np.arange(size)] += np.where(free, 1.0, 0.0)
    unit = np.zeros((count, size, 1))
    unit[np.arange(count), tip, 0] = 1.0
    volts = np.zeros((count, size))
    volts[:, 1:] = np.linalg.solve(g[:, 1:, 1:], unit[:, 1:])[:, :, 0]
    row = np.arange(count)[:, None]
    lies = (np.abs(volts[row, from_] - volts[row, to]) > 1e-9) & (y > 0)
    kinds = np.array([s.kind for s in slots])
    own, others = lies[:, : a.shape[1]], lies[:, a.shape[1] :].any(axis=1)
    only_strip = own[:, kinds == "transducer"].any(axis=1) & ~own[:, kinds == "coil"].any(axis=1)
    tied = (tip > 0) & ~free[np.arange(count), tip]
    return np.asarray(tied & (others | only_strip))
