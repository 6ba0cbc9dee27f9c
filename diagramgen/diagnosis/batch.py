"""The nodal core for thousands of netlists at once: the same stamps, the points of each netlist as labels in arrays.

Every netlist is a row of an array of labels, 0 is ground. Elements write themselves into ``BatchEquations`` as they
do into ``circuit.nodal.Equations``; at one frequency the current of a winding is eliminated, which leaves its
admittance (R + sL)^-1 between its points (Schur complement of its row).
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]
Complexes = NDArray[np.complex128]
Ints = NDArray[np.int64]


class BatchEquations:
    """The matrices G + sC of many netlists at one s: the ``Stamps`` of the fault finder.

    Nets are arrays of labels, one a row of ``rows``; values are numbers. EMFs are worked out from what flows in a
    branch, so ``source`` is not asked for.
    """

    def __init__(self, matrices: Complexes, s: complex, rows: Ints):
        self.matrices, self.s, self.rows = matrices, s, rows

    def conductance(self, a: Ints, b: Ints, siemens: complex) -> None:
        """Add ``siemens`` between two labels of every row; what joins a label to itself adds nothing."""
        y = np.where(a == b, 0.0, siemens)
        for p, q, sign in ((a, a, 1), (b, b, 1), (a, b, -1), (b, a, -1)):
            self.matrices[self.rows, p, q] += sign * y

    def capacitance(self, a: Ints, b: Ints, farad: float, source: str | None = None) -> None:
        """Add s ``farad`` between two labels of every row."""
        self.conductance(a, b, self.s * farad)

    def transconductance(self, out: Ints, back: Ints, plus: Ints, minus: Ints, siemens: float) -> None:
        """As ``Stamps.transconductance`` in every row."""
        for row, sign in ((out, -1.0), (back, 1.0)):
            self.matrices[self.rows, row, plus] += sign * siemens
            self.matrices[self.rows, row, minus] -= sign * siemens

    def windings(self, pairs: Sequence[tuple[Any, Any]], ohms: Sequence[float], henries: Sequence[Sequence[float]],
                 sources: Sequence[str | None]) -> None:
        """Add windings on one core, their currents eliminated."""
        admittance = np.linalg.inv(np.diag(ohms) + self.s * np.array(henries))
        for i, (a, b) in enumerate(pairs):
            for j, (c, d) in enumerate(pairs):
                self.transconductance(b, a, c, d, admittance[i, j])


def add_admittances(g: Floats | Complexes, a: Ints, b: Ints, y: Floats | Complexes) -> None:
    """Add two-terminal pieces to the matrices of many netlists.

    Parameters: g - rows x labels x labels, changed in place; a, b - rows x pieces, labels; y - rows x pieces, S. What
    joins a label to itself adds nothing.
    """
    inside = np.where(a == b, 0.0, y)
    every = np.arange(len(a))
    for column in range(a.shape[1]):
        own = inside[:, column]
        one, other = a[:, column], b[:, column]
        g[every, one, one] += own
        g[every, other, other] += own
        g[every, one, other] -= own
        g[every, other, one] -= own


def reached(g: Floats) -> NDArray[np.bool_]:
    """Find what elements tie to ground: rows x labels."""
    linked = (g != 0).astype(np.float32)
    found = np.zeros(g.shape[:2], dtype=np.float32)
    found[:, 0] = 1.0
    while True:
        more = np.minimum(1.0, found + (linked @ found[..., None])[..., 0])
        if (more > 0).sum() == (found > 0).sum():
            return np.asarray(found > 0)
        found = more


def tie(g: Floats | Complexes, free: NDArray[np.bool_]) -> None:
    """Put 1 S from each free label to ground, so that what floats keeps no matrix from being solved. In place."""
    size = g.shape[1]
    g[:, np.arange(size), np.arange(size)] += np.where(free, 1.0, 0.0)


def driving_point(g: Floats, at: Ints) -> Floats:
    """Solve for the voltages of every label with 1 A into one label of each row: rows x labels."""
    count, size = g.shape[:2]
    unit = np.zeros((count, size, 1))
    unit[np.arange(count), at, 0] = 1.0
    solved = np.linalg.solve(g[:, 1:, 1:], unit[:, 1:])[:, :, 0]
    return np.concatenate([np.zeros((count, 1)), solved], axis=1)
