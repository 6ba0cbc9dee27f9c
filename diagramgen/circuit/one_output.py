"""The state table of a build as one of its outputs gives it, for whatever meters or plays one output at a time."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

import numpy as np

from diagramgen.circuit.outputs import Output
from diagramgen.circuit.state_table import AtOutput, StateResult, StateTable


def heard_at(found: StateTable, output: Output) -> StateTable:
    """The state table of an output as it is played: its own plug in, a mono plug in every other jack.

    Its sound and reading are the main ones, and every state counts as one with a mono plug, also that of a ring, which
    takes a stereo plug. The chart itself where the output is the only one. Raises ``ValueError`` where no state of the
    chart has these plugs.
    """
    if found.outputs == (output,):
        return found
    plugs = {d.plug_key: output.plug if d.jack == output.jack else "mono"
             for d in found.space.switches if d.kind == "plug"}
    space = found.space.select(plugs)
    grid = found.of_state.reshape([len(d.positions) for d in found.space.switches])
    at = tuple([d.positions.index(p) for p in narrow.positions]
               for d, narrow in zip(found.space.switches, space.switches, strict=True))
    numbers: dict[tuple[AtOutput, float], int] = {}
    likes: dict[int, int] = {}
    results: list[StateResult] = []
    of_state = []
    for index, old in enumerate(grid[np.ix_(*at)].ravel() if at else grid.ravel()):
        result = found.results[int(old)]
        one = result.at(output)
        number = numbers.setdefault((one, result.current), len(results))
        if number == len(results):
            like = likes.setdefault(one.like, number)
            results.append(StateResult(one.sound, one.reading, result.current, result.powered, index, like, "mono",
                                       (one,)))
        of_state.append(number)
    return replace(found, space=space, of_state=np.array(of_state, dtype=np.int32), results=tuple(results),
                   networks=len({one.like for one, _ in numbers}), outputs=(output,))


def each_output(found: StateTable) -> Iterator[StateTable]:
    """The state table of every output that some state plays, the main one first."""
    for output in found.outputs:
        if any(True for _ in found.played(output)):
            yield heard_at(found, output)
