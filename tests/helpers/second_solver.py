"""A second way of solving a netlist, for tests: the currents of coils as unknowns, and each source driven in turn."""

from __future__ import annotations

import numpy as np

from diagramgen.circuit.elements.coil import Coil
from diagramgen.circuit.elements.gain_stage import GainStage
from diagramgen.circuit.elements.piezo_source import PiezoSource
from diagramgen.circuit.elements.two_terminal import Resistor
from diagramgen.circuit.netlist import Netlist

ACROSS = np.array([[1, -1], [-1, 1]])


def by_currents(net: Netlist, hertz: float) -> tuple[dict[str, complex], complex]:
    """What each source brings to the output, and the impedance there: modified nodal analysis, without adjoint."""
    s = 2j * np.pi * hertz
    coils = [e for e in net.elements if isinstance(e, Coil)]
    size = net.size + len(coils)
    y = np.zeros((size, size), dtype=complex)
    driven: dict[str, np.ndarray] = {}
    for e in net.elements:
        if isinstance(e, GainStage):
            for a, b, ohm in ((e.into, e.ground, e.input), (e.out, e.ground, e.output)):
                y[np.ix_([a, b], [a, b])] += ACROSS / ohm
            y[np.ix_([e.out, e.ground], [e.into, e.ground])] -= ACROSS * e.gain / e.output
            continue
        a, b = e.paths()[0]
        right = np.zeros(size, dtype=complex)
        if isinstance(e, Coil):
            row = net.size + coils.index(e)
            y[[a, row], [row, a]] += 1
            y[[b, row], [row, b]] -= 1
            y[row, row] -= e.resistance + s * e.inductance
            right[row] = -1
        else:
            own = 1 / e.value if isinstance(e, Resistor) else s * getattr(e, "capacitance", getattr(e, "value", 0.0))
            y[np.ix_([a, b], [a, b])] += ACROSS * own
            right[[b, a]] = own, -own
        if isinstance(e, Coil | PiezoSource):
            driven[e.name] = right
    unit = np.eye(size, dtype=complex)[net.tip]
    solved = np.linalg.solve(y[1:, 1:], np.column_stack([*driven.values(), unit])[1:])[net.tip - 1]
    return dict(zip(driven, solved[:-1], strict=True)), solved[-1]
