"""The netlist of a state as it is asked for: an output, where the switches and knobs stand."""

from __future__ import annotations

from collections.abc import Mapping

from diagramgen.circuit.outputs import Output
from diagramgen.circuit.states import state_space
from diagramgen.features.netlist.spice import netlist
from diagramgen.model.build import Build


def netlist_of(build: Build, held: Mapping[str, str], knobs: Mapping[str, float], output: Output | None = None) -> str:
    """The circuit of a build in one state as text for ngspice.

    Parameters: held - positions by full names, as ``positions_named`` gives them, every other control at its first;
    knobs - ``part.control`` -> 0..10, every other at rest; output - the tip of the first jack where there is none.
    Raises ``NotAvailable`` for a build without an output jack, ``ValueError`` where the output is not plugged in.
    """
    first = state_space(build, all_plugs=True)
    # The ring is heard by a stereo plug; what is held may say otherwise.
    ring = {output.jack: output.plug} if output is not None else {}
    state = first.state(first.index(first.plugged([0] * len(first.switches), ring))) | dict(held)
    return netlist(build, state, knobs, output=output.lug if output is not None else "")
