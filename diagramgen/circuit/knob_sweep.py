"""Knobs turned one at a time: what each coil gives at an output with a knob at 0, 5 and 10, state by state."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from diagramgen.circuit.dc_supply import supply
from diagramgen.circuit.netlist import Netlist, NetlistTemplate, netlist_of, template_of
from diagramgen.circuit.nodal import Response, sweep_many
from diagramgen.circuit.outputs import Output
from diagramgen.circuit.state_table import Circuit, StateTable, circuit_of
from diagramgen.circuit.states import StateSpace, classes_of

GRID = 80.0 * (8_000.0 / 80.0) ** (np.arange(41) / 40)
"""Hz."""
TURNS = (0.0, 5.0, 10.0)
TREBLE = GRID >= 2_000.0
SILENT_DB = -60.0
"""A coil's treble against its EMF below which it is not heard."""
MOST = 100
"""Networks of a build that are looked at."""


@dataclass(frozen=True)
class Turned:
    """What a knob at 0, 5 and 10 gives in one state: curves in dB (frequencies x coils) by turn."""

    state: int
    sources: tuple[str, ...]
    curves: Mapping[float, NDArray[np.float64]]
    output: Output
    """Where it is heard."""

    def treble(self, turn: float) -> NDArray[np.float64]:
        """Treble of each coil in dB."""
        band = 10 ** (self.curves[turn][TREBLE] / 10)
        return np.asarray(np.maximum(10 * np.log10(band.mean(axis=0)), -200.0), dtype=np.float64)


def turned_in(
    found: StateTable, knob: str, states: Sequence[int], others: Mapping[str, float] | None = None,
    output: Output | None = None,
) -> Iterator[Turned]:
    """A knob at 0, 5 and 10 in every state, heard at ``output`` or the main one; the others as said, else at rest."""
    frames = [template_of(found.build, {**(others or {}), knob: turn}) for turn in TURNS]
    circuits = tuple(circuit_of(here, found.space) for here in frames)
    return iter(_curves_of(circuits, tuple(states), output or found.outputs[0]))


@lru_cache(maxsize=32)
def _curves_of(circuits: Sequence[Circuit], states: Sequence[int], output: Output) -> tuple[Turned, ...]:
    """The circuits of ``TURNS`` in every state; kept for the next drawing of a build."""
    nets = [net_of(circuit.template, StateSpace(circuit.switches), state, output)
            for state in states for circuit in circuits]
    answers = iter(sweep_many(nets, GRID))
    found = []
    for state in states:
        three = [next(answers) for _ in TURNS]
        sources = tuple(dict.fromkeys(name for r in three for name in r.sources))
        curves = {t: _curves(r, sources) for t, r in zip(TURNS, three, strict=True)}
        found.append(Turned(state, sources, curves, output))
    return tuple(found)


def net_of(here: NetlistTemplate, states: StateSpace, state: int, output: Output | None = None) -> Netlist:
    """The network of a template in a state at an output, the main one where none is named."""
    classes = classes_of(here, states.switches, states.numbers(state))
    return netlist_of(here, classes, states.plugs(state), supply(here, classes).powered, output=output)


def _curves(response: Response, sources: Sequence[str]) -> NDArray[np.float64]:
    """dB of each source; one the network does not hold is silent."""
    curves = np.full((len(GRID), len(sources)), -200.0)
    for i, name in enumerate(response.sources):
        size = np.abs(response.transfers[:, i])
        curves[:, sources.index(name)] = 20 * np.log10(np.maximum(size, 1e-10))
    curves.setflags(write=False)
    return curves


def knob_word(knob: str) -> str:
    """A knob as it is called: without the name of its control where that is the usual one."""
    return knob.removesuffix(".turn")
