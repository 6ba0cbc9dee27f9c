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

from diagramgen.circuit.network import Network

Floats = NDArray[np.float64]
Complexes = NDArray[np.complex128]

S0 = 2 * math.pi * 1000.0
"""The real frequency (rad/s) at which the system is factored; well inside the band."""
AGREE = 1e-8
"""Largest relative difference from the direct solve that is accepted."""
CHUNK = 64
"""Networks solved at a time: bounds the memory."""


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
    """(G + s P D P') x = b of one network, and where output and sources stand."""

    g: Floats
    p: Floats
    d: Floats
    output: Floats
    coils: Floats
    """Columns of right-hand sides, one a coil."""
    strips: Floats
    """Columns, one a transducer; to be multiplied by s C."""
    strip_c: Floats


def system(net: Network) -> System:
    """The matrices of a network.

    Raises ``Floating`` for points that nothing ties to ground, ``ValueError`` for a value that is not finite.
    """
    _check(net)
    e = net.elements
    nodes, coils = net.size - 1, len(e.windings)
    n = nodes + coils
    g = np.zeros((n + 1, n + 1))
    # Ground is the last row and column, dropped at the end.
    at = [n, *range(nodes)]
    for r in e.resistors:
        _stamp(g, at[r.a], at[r.b], 1.0 / r.value)
    p: list[Floats] = []
    d: list[float] = []
    pairs: dict[tuple[int, int], int] = {}
    for a, b, c in [(c.a, c.b, c.value) for c in e.capacitors] + [(t.ground, t.hot, t.capacitance) for t in e.strips]:
        pair = (min(a, b), max(a, b))
        if pair in pairs:
            d[pairs[pair]] += c
            continue
        pairs[pair] = len(d)
        p.append(_column(n + 1, at[a], at[b]))
        d.append(c)
    drive = np.zeros((n + 1, coils))
    for i, w in enumerate(e.windings):
        row = nodes + i
        # Current i runs from start to finish inside; v(start) - v(finish) - (R + sL) i = -e keeps G symmetric.
        g[at[w.start], row] += 1.0
        g[at[w.finish], row] -= 1.0
        g[row, at[w.start]] += 1.0
        g[row, at[w.finish]] -= 1.0
        g[row, row] -= w.resistance
        drive[row, i] = -1.0
        if w.inductance:
            column = np.zeros(n + 1)
            column[row] = 1.0
            p.append(column)
            d.append(-w.inductance)
    for s in e.stages:
        _stamp(g, at[s.into], at[s.ground], 1.0 / s.input)
        _stamp(g, at[s.out], at[s.ground], 1.0 / s.output)
        for row, sign in ((at[s.out], -1.0), (at[s.ground], 1.0)):
            g[row, at[s.into]] += sign * s.gain / s.output
            g[row, at[s.ground]] -= sign * s.gain / s.output
    strips = np.zeros((n + 1, len(e.strips)))
    for i, t in enumerate(e.strips):
        strips[at[t.hot], i], strips[at[t.ground], i] = 1.0, -1.0
    output = np.zeros(n + 1)
    output[at[net.tip]] = 1.0
    columns = np.array(p).T if p else np.zeros((n + 1, 0))
    return System(g[:n, :n], columns[:n], np.array(d), output[:n], drive[:n], strips[:n],
                  np.array([t.capacitance for t in e.strips]))


def _stamp(g: Floats, a: int, b: int, y: float) -> None:
    g[a, a] += y
    g[b, b] += y
    g[a, b] -= y
    g[b, a] -= y


def _column(n: int, a: int, b: int) -> Floats:
    column = np.zeros(n)
    column[a], column[b] = 1.0, -1.0
    return column


def _check(net: Network) -> None:
    e = net.elements
    numbers = [r.value for r in e.resistors] + [c.value for c in e.capacitors]
    numbers += [w.resistance for w in e.windings] + [t.capacitance for t in e.strips]
    numbers += [x for s in e.stages for x in (s.input, s.output)]
    if not all(math.isfinite(x) and x > 0 for x in numbers):
        raise ValueError("a value of the network is zero, negative or no finite number")
    if not all(math.isfinite(w.inductance) and w.inductance >= 0 for w in e.windings):
        raise ValueError("an inductance of the network is negative or no finite number")
    tied = {0}
    more = True
    edges = e.edges()
    while more:
        more = False
        for a, b in edges:
            if (a in tied) != (b in tied):
                tied |= {a, b}
                more = True
    loose = [i for i in range(net.size) if i not in tied]
    if loose:
        raise Floating([net.names[i] if i < len(net.names) else f"point {i}" for i in loose])


def direct(net: Network, frequencies: Floats) -> Response:
    """Transfers and impedance, each frequency solved on its own."""
    if net.tip == 0:
        return _nothing(net, frequencies)
    return _direct(net, system(net), frequencies)


def _nothing(net: Network, frequencies: Floats) -> Response:
    zero = np.zeros(len(frequencies), dtype=complex)
    return Response(net.sources, np.zeros((len(frequencies), len(net.sources)), dtype=complex), zero, True)


def _direct(net: Network, sys: System, frequencies: Floats) -> Response:
    s = 2j * math.pi * frequencies
    a = (sys.g + s[:, None, None] * ((sys.p * sys.d) @ sys.p.T)).transpose(0, 2, 1)
    y: Any = np.linalg.solve(a, np.broadcast_to(sys.output[:, None], (len(s), len(sys.output), 1)))[..., 0]
    return Response(net.sources, _transfers(y @ sys.coils, y @ sys.strips, s, sys),
                    np.asarray(y @ sys.output, dtype=complex), False)


def _transfers(coils: Any, strips: Any, s: Any, sys: System) -> Complexes:
    return np.concatenate([coils, strips * (s[:, None] * sys.strip_c)], axis=1, dtype=complex)


def sweep(net: Network, frequencies: Floats) -> Response:
    """Transfers and impedance of one network over frequencies in Hz."""
    return sweep_many([net], frequencies)[0]


def sweep_many(nets: Sequence[Network], frequencies: Floats) -> list[Response]:
    """Transfers and impedance of many networks; those of one shape are solved together.

    Raises ``Floating`` or ``ValueError`` as ``system`` does.
    """
    found: list[Response | None] = [None] * len(nets)
    shapes: dict[tuple[int, ...], list[int]] = {}
    systems: list[System | None] = []
    for i, net in enumerate(nets):
        if net.tip == 0:
            found[i] = _nothing(net, frequencies)
            systems.append(None)
            continue
        sys = system(net)
        systems.append(sys)
        shapes.setdefault((*sys.p.shape, sys.coils.shape[1], sys.strips.shape[1]), []).append(i)
    for members in shapes.values():
        for first in range(0, len(members), CHUNK):
            chunk = members[first : first + CHUNK]
            group = [s for i in chunk if (s := systems[i]) is not None]
            for i, response in zip(chunk, _modal([nets[i] for i in chunk], group, frequencies), strict=True):
                found[i] = response
    return [r for r in found if r is not None]


def _modal(nets: Sequence[Network], group: Sequence[System], frequencies: Floats) -> list[Response]:
    """All frequencies of networks of one shape from one decomposition each."""
    s = 2j * math.pi * frequencies
    p, d = np.array([x.p for x in group]), np.array([x.d for x in group])
    out = np.array([x.output for x in group])
    rhs = np.concatenate([np.array([np.column_stack([x.coils, x.strips]) for x in group]), out[..., None]], axis=2)
    try:
        a0 = np.array([x.g for x in group]) + S0 * (p * d[:, None, :]) @ p.transpose(0, 2, 1)
        solved = np.linalg.solve(a0, np.concatenate([p, rhs], axis=2))
        stores = p.shape[2]
        root = np.sqrt(d.astype(complex))
        small = root[:, :, None] * (p.transpose(0, 2, 1) @ solved[..., :stores]) * root[:, None, :]
        values, vectors = np.linalg.eig(small)
        # output' A^-1 b = output' A0^-1 b - (s - s0) output' A0^-1 P R (I + (s - s0) R P' A0^-1 P R)^-1 R P' A0^-1 b
        left = ((out[:, None, :] @ solved[..., :stores]) * root[:, None, :]) @ vectors
        right = np.linalg.solve(vectors, root[:, :, None] * (p.transpose(0, 2, 1) @ solved[..., stores:]))
    except np.linalg.LinAlgError:
        return [_direct(net, sys, frequencies) for net, sys in zip(nets, group, strict=True)]
    residues = left[:, 0, :, None] * right
    still = (out[:, None, :] @ solved[..., stores:])[:, 0, :]
    shift = s - S0
    modes = shift[None, :, None] / (1.0 + shift[None, :, None] * values[:, None, :])
    answers = still[:, None, :] - modes @ residues
    return [_settled(net, sys, answer, frequencies) for net, sys, answer in zip(nets, group, answers, strict=True)]


def _settled(net: Network, sys: System, answer: Complexes, frequencies: Floats) -> Response:
    """The modal answer where it agrees with the direct solve at two frequencies, else the direct one."""
    coils, strips = sys.coils.shape[1], sys.strips.shape[1]
    s = 2j * math.pi * frequencies
    transfers = _transfers(answer[:, :coils], answer[:, coils : coils + strips], s, sys)
    response = Response(net.sources, transfers, answer[:, -1], True)
    at = [len(frequencies) // 3, len(frequencies) - 1]
    check = _direct(net, sys, frequencies[at])
    scale = np.abs(check.transfers).max(axis=1, keepdims=True, initial=0.0)
    fine = np.abs(transfers[at] - check.transfers) <= AGREE * np.maximum(np.abs(check.transfers), 1e-3 * scale)
    whole = np.abs(answer[at, -1] - check.impedance) <= AGREE * np.abs(check.impedance)
    if fine.all() and whole.all() and np.isfinite(answer).all():
        return response
    return _direct(net, sys, frequencies)
