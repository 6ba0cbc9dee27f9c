"""The response of a state at an output, as figures for other programs."""

from __future__ import annotations

import math

import numpy as np

from diagramgen.circuit.outputs import Output
from diagramgen.circuit.sounds import GRID, Sound
from diagramgen.circuit.state_table import StateResult, StateTable, response_of

EVERY = 5
"""Of the frequencies that are solved, each of so many is given."""


def response_curve(found: StateTable, result: StateResult, sound: Sound, output: Output) -> dict[str, list[float]]:
    """The power sum of a state's coils at an output.

    Parameters: result, sound - of the state, and what it gives at the output.
    Returns: ``hz``, and ``db`` over the EMF, as many; no ``db`` in silence.
    """
    hz = GRID[::EVERY]
    if sound.silent:
        return {"hz": [round(float(f), 1) for f in hz], "db": []}
    _, response = response_of(found.build, found.space.state(result.first), found.knobs, hz, output)
    power = np.sqrt((np.abs(response.transfers) ** 2).sum(axis=1))
    return {"hz": [round(float(f), 1) for f in hz], "db": [round(20 * math.log10(max(p, 1e-12)), 2) for p in power]}
