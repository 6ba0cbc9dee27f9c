"""Solves networks: what each coil's EMF gives at the output, and the impedance there, over frequency.

Nodal analysis with the current of every coil as a further unknown: (G + sC) x = b, s = j 2 pi f. One solve of
the transposed system with a unit current at the output gives the transfer of every source and the impedance
(reciprocity of the adjoint network). C is a sum of few terms, one for each store of energy (capacitors and
coils), so after one factoring at a real s0 the system shrinks to that many unknowns; its eigenvalues give all
frequencies at once. With s0 > 0 no path for direct current is needed. Each result is held against the direct
solve at two frequencies; where they part, all frequencies are solved directly.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from diagramgen.circuit.elements import Network

Floats = NDArray[np.float64]
Complexes = NDArray[np.complex128]

S0 = 2 * math.pi * 1000.0
"""The real frequency (rad/s) at which the system is factored; well inside the band."""
AGREE = 1e-8
"""Largest relative difference from the direct solve that is accepted."""
CHUNK = 128
"""Networks solved at a time: bounds the memory."""
BLOCK = 8
"""Networks whose modes are summed at a time: what they need stays near the processor."""


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
    modal: bool
    """Whether the modal method was good enough."""


@dataclass(frozen=True, eq=False)
class System:
    """(G + s P D P') x = b of networks of one shape; the first axis of every array counts networks."""

    g: Floats
    p: Floats
    """Columns, one a store of energy."""
    d: Floats
    """F of a capacitor, -H of a coil."""
    output: Floats
    coils: Floats
    """Columns of right-hand sides, one a coil."""
    strips: Floats
    """Columns, one a transducer; to be multiplied by s C."""
    strip_c: Floats

    def some(self, at: list[int]) -> System:
        """The systems at these places."""
        return System(self.g[at], self.p[at], self.d[at], self.output[at], self.coils[at], self.strips[at],
                      self.strip_c[at])


Store = dict[tuple[int, int], float]
Shape = tuple[int, int, int, int]


def stores(net: Network) -> Store:
    """Capacitance in F between pairs of points, parallel ones added up."""
    found: Store = {}
    e = net.elements
    for c in e.capacitors:
        pair = (c.a, c.b) if c.a < c.b else (c.b, c.a)
        found[pair] = found.get(pair, 0.0) + c.value
    for t in e.strips:
        pair = (t.ground, t.hot) if t.ground < t.hot else (t.hot, t.ground)
        found[pair] = found.get(pair, 0.0) + t.capacitance
    return found


def system(nets: Sequence[Network], held: Sequence[Store]) -> System:
    """The matrices of checked networks of one shape with their ``stores``.

    Unknowns are the points but ground, then the currents of the coils. Raises ``ValueError`` for networks of
    different shapes.
    """
    if len({shape(net, store) for net, store in zip(nets, held, strict=True)}) > 1:
        raise ValueError("networks of different shapes have no common system")
    count, (size, coils, strips, caps) = len(nets), shape(nets[0], held[0])
    n = size - 1 + coils
    # Ground is the last row and column of work, dropped at the end: point a stands at a - 1, ground at -1.
    g = np.zeros((count, n + 1, n + 1))
    rows = [(k, r.a - 1, r.b - 1, 1.0 / r.value) for k, net in enumerate(nets) for r in net.elements.resistors]
    rows += [(k, a - 1, b - 1, 1.0 / ohm) for k, net in enumerate(nets) for s in net.elements.stages
             for a, b, ohm in ((s.into, s.ground, s.input), (s.out, s.ground, s.output))]
    _stamp(g, rows)
    p, d = np.zeros((count, n + 1, caps + coils)), np.zeros((count, caps + coils))
    drive = np.zeros((count, n + 1, coils))
    hot, strip_c = np.zeros((count, n + 1, strips)), np.zeros((count, strips))
    output = np.zeros((count, n + 1))
    for k, (net, store) in enumerate(zip(nets, held, strict=True)):
        output[k, net.tip - 1] = 1.0
        for i, ((a, b), c) in enumerate(store.items()):
            p[k, a - 1, i], p[k, b - 1, i], d[k, i] = 1.0, -1.0, c
        for i, t in enumerate(net.elements.strips):
            hot[k, t.hot - 1, i], hot[k, t.ground - 1, i], strip_c[k, i] = 1.0, -1.0, t.capacitance
        for s in net.elements.stages:
            for row, sign in ((s.out - 1, -1.0), (s.ground - 1, 1.0)):
                g[k, row, s.into - 1] += sign * s.gain / s.output
                g[k, row, s.ground - 1] -= sign * s.gain / s.output
    if coils:
        _windings(nets, size - 1, g, p, d, drive)
    return System(g[:, :n, :n], p[:, :n], d, output[:, :n], drive[:, :n], hot[:, :n], strip_c)


def shape(net: Network, store: Store) -> Shape:
    """Networks of one shape are solved together: points, coils, transducers, pairs with a capacitance."""
    return net.size, len(net.elements.windings), len(net.elements.strips), len(store)


def _stamp(g: Floats, rows: list[tuple[int, int, int, float]]) -> None:
    """Conductances between points added to the matrices: (network, point, point, siemens)."""
    if not rows:
        return
    k, a, b = (np.array([row[i] for row in rows]) for i in range(3))
    y = np.array([row[3] for row in rows])
    for i, j, sign in ((a, a, 1.0), (b, b, 1.0), (a, b, -1.0), (b, a, -1.0)):
        np.add.at(g, (k, i, j), sign * y)


def _windings(nets: Sequence[Network], first: int, g: Floats, p: Floats, d: Floats, drive: Floats) -> None:
    """The rows of the coils' currents, which stand from ``first`` on.

    Current i runs from start to finish inside; v(start) - v(finish) - (R + sL) i = -e keeps G symmetric.
    """
    every = [net.elements.windings for net in nets]
    start = np.array([[w.start - 1 for w in ws] for ws in every])
    finish = np.array([[w.finish - 1 for w in ws] for ws in every])
    k = np.arange(len(nets))[:, None]
    row = first + np.arange(start.shape[1])[None, :]
    g[k, start, row] += 1.0
    g[k, finish, row] -= 1.0
    g[k, row, start] += 1.0
    g[k, row, finish] -= 1.0
    g[k, row, row] -= np.array([[w.resistance for w in ws] for ws in every])
    drive[k, row, row - first] = -1.0
    at = p.shape[2] - start.shape[1] + row - first
    p[k, row, at] = 1.0
    d[k, at] = -np.array([[w.inductance for w in ws] for ws in every])


def check(net: Network) -> None:
    """Raise ``Floating`` for points that nothing ties to ground, ``ValueError`` for values no circuit can have."""
    e = net.elements
    numbers = [r.value for r in e.resistors] + [c.value for c in e.capacitors]
    numbers += [w.resistance for w in e.windings] + [t.capacitance for t in e.strips]
    for s in e.stages:
        numbers += (s.input, s.output)
    # One sum finds every value that is no finite number.
    if not (min(numbers, default=1.0) > 0 and math.isfinite(sum(numbers))):
        raise ValueError("a value of the network is zero, negative or no finite number")
    inductances = [w.inductance for w in e.windings]
    if not (min(inductances, default=0.0) >= 0 and math.isfinite(sum(inductances))):
        raise ValueError("an inductance of the network is negative or no finite number")
    if net.tied:
        return
    edges, tied, before = e.edges(), {0}, 0
    while before < len(tied) < net.size:
        before = len(tied)
        for a, b in edges:
            if a in tied or b in tied:
                tied.update((a, b))
    if len(tied) < net.size:
        loose = [i for i in range(net.size) if i not in tied]
        raise Floating([net.names[i] if i < len(net.names) else f"point {i}" for i in loose])


def direct(net: Network, frequencies: Floats) -> Response:
    """Transfers and impedance, each frequency solved on its own. Raises as ``check`` does."""
    check(net)
    if net.tip == 0:
        return _nothing(net, frequencies)
    sys = system([net], [stores(net)])
    transfers, impedance = _direct(sys, frequencies)
    return Response(net.sources, transfers[0], impedance[0], False)


def _nothing(net: Network, frequencies: Floats) -> Response:
    zero = np.zeros(len(frequencies), dtype=complex)
    return Response(net.sources, np.zeros((len(frequencies), len(net.sources)), dtype=complex), zero, True)


def _direct(sys: System, frequencies: Floats) -> tuple[Complexes, Complexes]:
    """Transfers (networks x frequencies x sources) and impedances by a solve at each frequency.

    Raises ``ValueError`` where a network has no single answer.
    """
    s = 2j * math.pi * frequencies
    c = (sys.p * sys.d[:, None, :]) @ sys.p.transpose(0, 2, 1)
    a = (sys.g[:, None] + s[None, :, None, None] * c[:, None]).transpose(0, 1, 3, 2)
    unit = np.broadcast_to(sys.output[:, None, :, None], (*a.shape[:3], 1))
    try:
        y: Any = np.linalg.solve(a, unit)[..., 0]
    except np.linalg.LinAlgError as fault:
        raise ValueError("the network has no single answer (a buffer that feeds itself?)") from fault
    transfers = _transfers(y @ sys.coils, y @ sys.strips, s, sys)
    return transfers, np.asarray((y @ sys.output[..., None])[..., 0], dtype=complex)


def _transfers(coils: Any, strips: Any, s: Any, sys: System) -> Complexes:
    if not strips.shape[2]:
        return np.asarray(coils, dtype=complex)
    driven = strips * (s[None, :, None] * sys.strip_c[:, None, :])
    return np.concatenate([coils, driven], axis=2, dtype=complex)


def sweep(net: Network, frequencies: Floats) -> Response:
    """Transfers and impedance of one network over frequencies in Hz."""
    return sweep_many([net], frequencies)[0]


def sweep_many(nets: Sequence[Network], frequencies: Floats) -> list[Response]:
    """Transfers and impedance of many networks; those of one shape are solved together. Raises as ``check`` does."""
    found: list[Response | None] = [None] * len(nets)
    groups: dict[Shape, list[tuple[int, Store]]] = {}
    for i, net in enumerate(nets):
        check(net)
        if net.tip == 0:
            found[i] = _nothing(net, frequencies)
            continue
        store = stores(net)
        groups.setdefault(shape(net, store), []).append((i, store))
    for members in groups.values():
        for first in range(0, len(members), CHUNK):
            chunk = members[first : first + CHUNK]
            own = [nets[i] for i, _ in chunk]
            answers = _chunk(system(own, [store for _, store in chunk]), frequencies)
            for (i, _), net, (transfers, impedance, modal) in zip(chunk, own, answers, strict=True):
                found[i] = Response(net.sources, transfers, impedance, modal)
    return [r for r in found if r is not None]


def _chunk(sys: System, frequencies: Floats) -> list[tuple[Complexes, Complexes, bool]]:
    """(transfers, impedance, whether by modes) of each network: by modes where they hold, else directly."""
    count = len(sys.g)
    try:
        transfers, impedance = _modal(sys, frequencies)
        fine = _agrees(sys, transfers, impedance, frequencies)
    except (np.linalg.LinAlgError, ValueError):
        fine = [False] * count
    again = [k for k in range(count) if not fine[k]]
    plain = dict(zip(again, zip(*_direct(sys.some(again), frequencies), strict=True), strict=True)) if again else {}
    return [(*plain[k], False) if k in plain else (transfers[k], impedance[k], True) for k in range(count)]


def _modal(sys: System, frequencies: Floats) -> tuple[Complexes, Complexes]:
    """All frequencies from one decomposition of each network.

    With A0 = G + s0 P D P', K = P' A0^-1 P and R = sqrt|D|:
    o' A^-1 b = o' A0^-1 b - (s - s0) o' A0^-1 P R' (1 + (s - s0) S)^-1 R P' A0^-1 b, S = R K R', R' = R sign D.
    """
    s = 2j * math.pi * frequencies
    across = sys.p.transpose(0, 2, 1)
    rhs = np.concatenate([sys.coils, sys.strips, sys.output[..., None]], axis=2)
    solved = np.linalg.solve(sys.g + S0 * (sys.p * sys.d[:, None, :]) @ across, np.concatenate([sys.p, rhs], axis=2))
    count = sys.p.shape[2]
    size = np.sqrt(np.abs(sys.d))
    signed = size * np.sign(sys.d)
    values, vectors = np.linalg.eig(size[:, :, None] * (across @ solved[..., :count]) * signed[:, None, :])
    out = sys.output[:, None, :]
    left = ((out @ solved[..., :count]) * signed[:, None, :]) @ vectors
    right = np.linalg.solve(vectors, size[:, :, None] * (across @ solved[..., count:]))
    residues = left[:, 0, :, None] * right
    still = (out @ solved[..., count:])[:, 0, :]
    # (s - s0) / (1 + (s - s0) v) with one division an element; s has an imaginary part, so s - s0 is never 0.
    answers = _summed(1.0 / (s - S0), values, residues, still)
    coils = sys.coils.shape[2]
    return _transfers(answers[..., :coils], answers[..., coils:-1], s, sys), np.asarray(answers[..., -1], dtype=complex)


def _summed(w: Any, values: Any, residues: Any, still: Any) -> Complexes:
    """still - sum of residues / (w + value) over the modes: networks x frequencies x right-hand sides.

    Worked a few networks at a time in arrays that are used again: most of the time would go into new memory.
    """
    nets, modes, sides = residues.shape
    answers = np.empty((nets, len(w), sides), dtype=complex)
    parts = answers.view(float)
    room = np.ones((BLOCK, 2 * modes + 1, len(w)))
    spare = np.empty((2, BLOCK, modes, len(w)))
    # 1 / (x + jy) is (x - jy) / (x^2 + y^2). Real and imaginary parts stand in turn, as complex numbers are kept.
    right = np.empty((nets, 2 * modes + 1, 2 * sides))
    right[:, :modes, 0::2], right[:, modes:-1, 0::2] = -residues.real, -residues.imag
    right[:, :modes, 1::2], right[:, modes:-1, 1::2] = -residues.imag, residues.real
    right[:, -1, 0::2], right[:, -1, 1::2] = still.real, still.imag
    for first in range(0, nets, BLOCK):
        last = min(first + BLOCK, nets)
        n = last - first
        x, y, square, other = room[:n, :modes], room[:n, modes:-1], spare[0, :n], spare[1, :n]
        np.add(w.real, values.real[first:last, :, None], out=x)
        np.add(w.imag, values.imag[first:last, :, None], out=y)
        np.multiply(x, x, out=square)
        np.multiply(y, y, out=other)
        square += other
        np.reciprocal(square, out=square)
        x *= square
        y *= square
        np.matmul(room[:n].transpose(0, 2, 1), right[first:last], out=parts[first:last])
    return answers


def _agrees(sys: System, transfers: Complexes, impedance: Complexes, frequencies: Floats) -> list[bool]:
    """For each network whether the modal answer is the direct one at two frequencies."""
    at = [len(frequencies) // 3, len(frequencies) - 1]
    exact, exact_z = _direct(sys, frequencies[at])
    scale = 1e-3 * np.abs(exact).max(axis=2, keepdims=True, initial=0.0)
    fine = (np.abs(transfers[:, at] - exact) <= AGREE * np.maximum(np.abs(exact), scale)).all(axis=(1, 2))
    fine &= (np.abs(impedance[:, at] - exact_z) <= AGREE * np.abs(exact_z)).all(axis=1)
    fine &= np.isfinite(transfers).all(axis=(1, 2)) & np.isfinite(impedance).all(axis=1)
    return [bool(x) for x in fine]
