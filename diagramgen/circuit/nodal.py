"""The nodal core: one way of writing elements into equations, and of solving them, for every analysis.

Nodal analysis: the unknowns are the voltages of the points against ground, and each element writes its stamp into
A(s) = G + sC + admittances of windings. The current of a winding, an unknown of its own in the modified nodal analysis
(Ho, Ruehli and Brennan 1975, The modified nodal approach to network analysis), is eliminated at each s: (R + sL)^-1
stays between its points, the Schur complement of its row. What differs is only s and what is asked:

- sound (``sweep``): s = j 2 pi f, one solve a frequency of the transposed system with a unit current at the output. By
  reciprocity of the adjoint network (Director and Rohrer 1969) that one solve gives the transfer of every source and
  the impedance at the output.
- direct current (``potentials``): s = 0, where windings are resistances and capacitors nothing: the meter's reading,
  the battery's supply.
- faults (``diagnosis.batch``): the same stamps for thousands of netlists at once.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from diagramgen.circuit.netlist import Netlist

Floats = NDArray[np.float64]
Complexes = NDArray[np.complex128]
Ints = NDArray[np.int64]


class Floating(ValueError):  # noqa: N818 - a property of the wiring
    """A part of the network that nothing ties to ground; ``points`` names lugs on it."""

    def __init__(self, points: Sequence[str]):
        self.points = tuple(points)
        super().__init__("nothing ties this to ground: " + ", ".join(self.points))


@dataclass(frozen=True, eq=False)
class Response:
    """Transfers (frequencies x sources, V at the output per V of EMF) and impedance (ohm) at the output."""

    sources: tuple[str, ...]
    transfers: Complexes
    impedance: Complexes


class Equations:
    """The equations of one netlist over frequency, A(s) x = b: the ``Stamps`` of a sweep.

    Row and column of point p are p - 1; ground stands in the last ones, which no solve looks at.
    """

    def __init__(self, points: int, s: Complexes):
        self.s = s
        self.g = np.zeros((points, points))
        self.c = np.zeros((points, points))
        self.coils: list[tuple[int, int, int, int, Complexes]] = []
        """(row, row, column, column, siemens at each s): current from row to row, driven by the columns' voltage."""
        self.sources: list[tuple[str, list[tuple[int, int, Complexes]]]] = []
        """Name, and what its EMF of 1 V drives: (row where current enters, row where it leaves, ampere at each s)."""

    def conductance(self, a: int, b: int, siemens: float) -> None:
        """Add ``siemens`` between two points."""
        _add_between(self.g, a - 1, b - 1, siemens)

    def capacitance(self, a: int, b: int, farad: float, source: str | None = None) -> None:
        """Add ``farad`` between two points, with an EMF behind it where ``source`` names one."""
        _add_between(self.c, a - 1, b - 1, farad)
        if source is not None:
            self.sources.append((source, [(b - 1, a - 1, self.s * farad)]))

    def transconductance(self, out: int, back: int, plus: int, minus: int, siemens: float) -> None:
        """Let ``siemens`` times the voltage from ``minus`` to ``plus`` flow in at ``out`` and away at ``back``."""
        for row, sign in ((out - 1, -1.0), (back - 1, 1.0)):
            self.g[row, plus - 1] += sign * siemens
            self.g[row, minus - 1] -= sign * siemens

    def windings(self, pairs: Sequence[tuple[int, int]], ohms: Sequence[float], henries: Sequence[Sequence[float]],
                 sources: Sequence[str | None]) -> None:
        """Add windings on one core, their currents eliminated."""
        if len(pairs) == 1:
            admittance = (1 / (ohms[0] + self.s * henries[0][0]))[:, None, None]
        else:
            admittance = np.linalg.inv(np.diag(ohms) + self.s[:, None, None] * np.array(henries))
        for j, (c, d) in enumerate(pairs):
            self.coils += [(a - 1, b - 1, c - 1, d - 1, admittance[:, i, j]) for i, (a, b) in enumerate(pairs)]
            source = sources[j]
            if source is not None:
                driven = [(b - 1, a - 1, admittance[:, i, j]) for i, (a, b) in enumerate(pairs)]
                self.sources.append((source, driven))

    def matrices(self) -> Complexes:
        """A at each s, without ground: frequencies x points x points."""
        # One product for all that depends on s: its amounts at each s, times where each stands.
        places = np.zeros((1 + len(self.coils), *self.g.shape))
        places[0] = self.c
        for k, (a, b, c, d, _) in enumerate(self.coils, start=1):
            places[k, a, c] += 1.0
            places[k, b, d] += 1.0
            places[k, a, d] -= 1.0
            places[k, b, c] -= 1.0
        amounts = np.array([self.s, *(siemens for *_, siemens in self.coils)])
        moving = amounts.T @ places[:, :-1, :-1].reshape(len(amounts), -1).astype(complex)
        size = len(self.g) - 1
        return np.asarray(self.g[:-1, :-1] + moving.reshape(len(self.s), size, size), dtype=complex)


def _add_between(m: Floats, a: int, b: int, value: float) -> None:
    m[a, a] += value
    m[b, b] += value
    m[a, b] -= value
    m[b, a] -= value


def equations(net: Netlist, s: Complexes) -> Equations:
    """Let every element of a netlist write its stamp, for these s (rad/s)."""
    found = Equations(net.size, s)
    for element in net.elements:
        element.stamp(found, element.nodes())
    return found


def check(net: Netlist) -> None:
    """Raise ``Floating`` for points that nothing ties to ground, ``ValueError`` for values no circuit can have."""
    for element in net.elements:
        element.check()
    if net.tied:
        return
    edges, tied, before = net.elements.edges, {0}, 0
    while before < len(tied) < net.size:
        before = len(tied)
        for a, b in edges:
            if a in tied or b in tied:
                tied.update((a, b))
    if len(tied) < net.size:
        loose = [i for i in range(net.size) if i not in tied]
        raise Floating([net.names[i] if i < len(net.names) else f"point {i}" for i in loose])


def sweep(net: Netlist, frequencies: Floats) -> Response:
    """Solve a netlist over frequencies in Hz.

    Raises ``Floating`` and ``ValueError`` as ``check`` does, and ``ValueError`` where there is no single answer.
    """
    check(net)
    if net.tip == 0:
        zero = np.zeros(len(frequencies), dtype=complex)
        return Response(net.sources, np.zeros((len(frequencies), len(net.sources)), dtype=complex), zero)
    made = equations(net, np.asarray(2j * math.pi * frequencies, dtype=complex))
    unit = np.zeros((len(frequencies), net.size - 1, 1))
    unit[:, net.tip - 1] = 1.0
    # Ground stands last, at no voltage.
    adjoint = np.zeros((len(frequencies), net.size), dtype=complex)
    try:
        adjoint[:, :-1] = np.linalg.solve(made.matrices().transpose(0, 2, 1), unit)[..., 0]
    except np.linalg.LinAlgError as fault:
        raise ValueError("the network has no single answer (a buffer that feeds itself?)") from fault
    transfers = np.empty((len(frequencies), len(made.sources)), dtype=complex)
    for k, (_, terms) in enumerate(made.sources):
        transfers[:, k] = sum((adjoint[:, enters] - adjoint[:, leaves]) * ampere for enters, leaves, ampere in terms)
    return Response(tuple(name for name, _ in made.sources), transfers, adjoint[:, net.tip - 1].copy())


def sweep_many(nets: Iterable[Netlist], frequencies: Floats) -> list[Response]:
    """Solve many netlists. Raises as ``sweep`` does."""
    return [sweep(net, frequencies) for net in nets]


def potentials(
    size: int, branches: Iterable[tuple[int, int, tuple[float, ...]]], currents: Iterable[tuple[int, int, float]]
) -> Floats:
    """Solve a resistive circuit at s = 0, or k of one shape at once.

    Parameters: size - number of points, the last one ground; branches - (point, point, k times siemens), one at least;
    currents - (point it enters at, point it leaves at, ampere).
    Returns: k x (size - 1) voltages against ground.
    Raises: numpy's ``LinAlgError`` where a point is not tied to ground.
    """
    kept = list(branches)
    # So few numbers are added up faster in lists than in arrays.
    g = [[[0.0] * size for _ in range(size)] for _ in (kept[0][2] if kept else ())]
    right = [0.0] * size
    for a, b, siemens in kept:
        for m, y in zip(g, siemens, strict=True):
            m[a][a] += y
            m[b][b] += y
            m[a][b] -= y
            m[b][a] -= y
    for enters, leaves, ampere in currents:
        right[enters] += ampere
        right[leaves] -= ampere
    vectors = np.broadcast_to(np.array(right[:-1])[:, None], (len(g), size - 1, 1))
    return np.asarray(np.linalg.solve(np.array(g)[:, :-1, :-1], vectors)[:, :, 0])
