"""A second way of solving a netlist, for tests: admittances alone, and each source driven in turn."""

from __future__ import annotations

import numpy as np

from diagramgen.circuit.elements.coil import Coil
from diagramgen.circuit.elements.gain_stage import GainStage
from diagramgen.circuit.elements.piezo_source import PiezoSource
from diagramgen.circuit.elements.two_terminal import Resistor
from diagramgen.circuit.netlist import Netlist


def by_admittances(net: Netlist, hertz: float) -> tuple[dict[str, complex], complex]:
    """What each source brings to the output, driven one after the other, and the impedance there: no adjoint."""
    s = 2j * np.pi * hertz
    y = np.zeros((net.size, net.size), dtype=complex)
    driven: dict[str, tuple[int, int, complex]] = {}
    for e in net.elements:
        if isinstance(e, GainStage):
            for a, b, ohm in ((e.into, e.ground, e.input), (e.out, e.ground, e.output)):
                y[np.ix_([a, b], [a, b])] += np.array([[1, -1], [-1, 1]]) / ohm
            y[np.ix_([e.out, e.ground], [e.into, e.ground])] -= np.array([[1, -1], [-1, 1]]) * e.gain / e.output
            continue
        a, b = e.paths()[0]
        if isinstance(e, Coil):
            own = 1 / (e.resistance + s * e.inductance)
        elif isinstance(e, Resistor):
            own = 1 / e.value
        else:
            own = s * (e.capacitance if isinstance(e, PiezoSource) else e.value)
        y[np.ix_([a, b], [a, b])] += np.array([[1, -1], [-1, 1]]) * own
        if e.sounds:
            driven[e.name] = (b, a, own)
    inverse = np.linalg.inv(y[1:, 1:])
    found = {}
    for name, (enters, leaves, current) in driven.items():
        right = np.zeros(net.size, dtype=complex)
        right[enters] += current
        right[leaves] -= current
        found[name] = (inverse @ right[1:])[net.tip - 1]
    return found, inverse[net.tip - 1, net.tip - 1]
