"""Volumes that do not lower a coil on the way down: it reaches the output past their track and is only shorted at 0."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

import numpy as np

from diagramgen.circuit.check_wanted import words
from diagramgen.circuit.knob_sweep import Turned, knob_word, turned_in
from diagramgen.circuit.rules.codes import CIR_253
from diagramgen.circuit.state_table import StateTable
from diagramgen.circuit.values import knobs_of, law_of
from diagramgen.kernel.diagnostics import Diagnostics
from diagramgen.library.model import Element
from diagramgen.model.build import Part

SILENCED_DB = 20.0
"""What a volume at 0 takes away at least."""
WELL_DB = 20.0
"""A coil further below the loudest one is not judged."""
RAISED_DB = 0.5
"""What half a turn down may add at 80 Hz by the load alone."""
HARDLY_DB = 2.0
"""What a log track takes on its first half at least; one that lies across the output takes about 1 dB, as a load."""

Past = tuple[float, int, str]
"""How much louder a coil is at 5 than at 10 in dB, the state, and the coil."""


def check_halfway(found: StateTable, knob: str, gangs: Sequence[tuple[Part, Element]], turned: Sequence[Turned],
                  say: Diagnostics) -> bool:
    """Say where a volume silences a coil at 0 but does not lower it on the way (CIR-253); whether something was
    said."""
    if gangs[0][0].meant:
        return False
    least = -HARDLY_DB if all(law_of(part, element).name == "log" for part, element in gangs) else RAISED_DB
    past = sorted((one for one in _past(turned) if one[0] >= least), reverse=True)
    worst = next((one for one in past if not _lowered(found, knob, one, turned[0])), None)
    if worst is None:
        return False
    rise, state, coil = worst
    does = f"makes {coil} {rise:.1f} dB louder at 80 Hz" if rise >= RAISED_DB else \
        f"takes {max(-rise, 0.0):.1f} dB from it at 80 Hz"
    say.add(CIR_253, gangs[0][0].place,
            f"{knob_word(knob)} does not lower {coil} on the way down: from 10 to 5 it {does}, and only at 0 is it "
            f"silenced, in {words(found.space.state(state), found.space)}",
            f"{coil} seems to reach the output past its track: look at what is on its wiper and its 10 end. "
            f"If it is meant, say so at {gangs[0][0].name}: meant, and in what way.")
    return True


def _past(turned: Sequence[Turned]) -> Iterator[Past]:
    """Coils well heard at 10 that are silenced at 0, with what half a turn down adds to them."""
    for t in turned:
        if not t.sources:
            continue
        low, half, full = (np.maximum(t.curves[turn][0], -100.0) for turn in (0.0, 5.0, 10.0))
        well = (full > full.max() - WELL_DB) & (full > -60.0) & (full - low >= SILENCED_DB)
        for i in np.flatnonzero(well):
            yield float(half[i] - full[i]), t.state, t.sources[i]


def _lowered(found: StateTable, knob: str, past: Past, at: Turned) -> bool:
    """Whether another knob is the volume of this coil: one that lowers it on its own first half."""
    _, state, coil = past
    for other, rest in knobs_of(found.build).items():
        if other == knob or rest != 10.0:
            continue
        for t in turned_in(found, other, [state], None, at.output):
            if coil in t.sources:
                i = t.sources.index(coil)
                if t.curves[10.0][0][i] - t.curves[5.0][0][i] >= HARDLY_DB:
                    return True
    return False
