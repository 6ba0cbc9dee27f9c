"""Whether a knob does what its kind is for: a volume silences at 0, a blend changes the balance, and so on.

The kind of a knob is known by what it does in the solved circuit, never by its name. One that takes level away at the
low end, where a tone takes none, is a volume; one with a detent is a blend. What a file says is meant (``meant``) is
not said.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from diagramgen.circuit.blocks import reached
from diagramgen.circuit.check_wanted import words
from diagramgen.circuit.elements.piezo_source import PiezoSource
from diagramgen.circuit.knob_sweep import Turned, knob_word, net_of, turned_in
from diagramgen.circuit.netlist import Elements, NetlistTemplate, template_of
from diagramgen.circuit.nodal import sweep
from diagramgen.circuit.outputs import Output
from diagramgen.circuit.rules.codes import CIR_253
from diagramgen.circuit.rules.connections import touched
from diagramgen.circuit.sounds import FREQUENCIES, levels_of
from diagramgen.circuit.state_table import StateTable
from diagramgen.circuit.states import classes_of
from diagramgen.circuit.values import knobs_of, lug_of
from diagramgen.kernel.codes import Code, Severity
from diagramgen.kernel.diagnostics import Diagnostics
from diagramgen.library.model import Element
from diagramgen.model.build import Build, Part

CIR_254 = Code(
    "CIR-254", Severity.WARNING, "A knob does hardly anything: no curve of a well heard coil changes by 3 dB from 80 "
    "Hz to 8 kHz",
    text="CIR-245 is the knob that does nothing at all.", was="C254")
CIR_255 = Code(
    "CIR-255", Severity.WARNING, "A volume has its source on the wiper and its output on the 10 end, and in no state "
    "another source is on the output",
    text="Two volumes are wired so that one turned down does not mute the other; with nothing to keep it only puts "
         "less and less of the track across the pickup, which dulls it.",
    advice="Exchange the two.", was="C255")

SILENCED_DB = 20.0
"""What a volume at 0 takes away at least: a tenth of the voltage is left, by any measure not silence."""
LOWERS_DB = 0.3
"""What a knob takes away at 80 Hz, and still at ``LOWEST``, at least to be a volume: a tone takes nothing there."""
HARDLY_DB = 3.0
"""A knob that changes no curve by so much does hardly anything."""
WELL_DB = 20.0
"""A coil further below the loudest one is not judged."""
LOWEST = np.array([5.0])
"""Hz at which the capacitor of a tone is as good as open, so that a tone takes nothing away."""

FED = 1e-3
"""F of a transducer that feeds what it is on like a coil at ``LOWEST``."""

Gangs = Sequence[tuple[Part, Element]]


def check_kind(found: StateTable, knob: str, gangs: Gangs, turned: Sequence[Turned], say: Diagnostics) -> bool:
    """Say what a knob that turns the right way does not do of what its kind is for; whether something was said."""
    if gangs[0][0].meant:
        return False
    leak = min(_leaks(found, knob, turned), default=None)
    if leak is None and _bare(found.build, gangs) and any(_silences(t) for t in turned):
        # Beside a pickup that sounds along even a resistor in series seems to silence: the others turned down as well.
        leak = min(_leaks(found, knob, turned_in(found, knob, [t.state for t in turned], _down(found.build),
                                                  turned[0].output)), default=None)
    if leak is not None:
        _say_leak(found, knob, gangs, leak, turned[0].output, say)
        return True
    most = max((_change(t) for t in turned), default=0.0)
    if most < HARDLY_DB:
        say.add(CIR_254, gangs[0][0].place,
                f"turning {knob_word(knob)} does hardly anything: {most:.1f} dB at most, at any pitch",
                f"Its value does not fit what it works on, or one of its leads is missing. {_meant(gangs)}")
        return True
    if _exchanged(found, gangs, turned):
        part, element = gangs[0]
        say.add(CIR_255, part.place,
                f"{knob_word(knob)} has its pickup on the wiper and its output on the 10 end, with no other pickup "
                "to keep: turned down it shorts the pickup and dulls it",
                f"Exchange what is on {lug_of(part, element, 'wiper')} and {lug_of(part, element, 'ten')}. "
                f"{_meant(gangs)}")
        return True
    return False


def check_blend(found: StateTable, knob: str, gangs: Gangs, turned: Sequence[Turned], say: Diagnostics) -> None:
    """Say where a knob with a detent that two sources pass does not change their balance (CIR-253)."""
    control = gangs[0][0].symbol.control(gangs[0][1].by)
    if gangs[0][0].meant or control is None or not control.detent:
        return
    shifts = []
    for t in turned:
        level = t.treble(5.0)
        well = [i for i in range(len(t.sources)) if level[i] > level.max() - WELL_DB]
        if len(well) > 1:
            swing = np.maximum(t.treble(10.0), -80.0) - np.maximum(t.treble(0.0), -80.0)
            shifts.append(float(np.ptp(swing[well])))
    if shifts and max(shifts) < SILENCED_DB:
        say.add(CIR_253, gangs[0][0].place,
                f"turning {knob_word(knob)} from end to end changes the balance by {max(shifts):.0f} dB only",
                f"Each end keeps one side and takes the other away: look at both its gangs. {_meant(gangs)}")


def _meant(gangs: Gangs) -> str:
    return f"If it is meant, say so at {gangs[0][0].name}: meant, and in what way."


def _well(t: Turned) -> NDArray[np.bool_]:
    """The coils that are well heard with the knob at 10."""
    loud = t.curves[10.0].max(axis=0)
    return np.asarray((loud > loud.max() - WELL_DB) & (loud > -60.0))


def _change(t: Turned) -> float:
    """The most a knob changes of a coil that is well heard at 10, in dB at any frequency."""
    if not t.sources or not _well(t).any():
        return 0.0
    curves = np.stack([t.curves[turn] for turn in (0.0, 5.0, 10.0)])[:, :, _well(t)]
    return float(np.ptp(np.maximum(curves, -100.0), axis=0).max())


Leak = tuple[float, int, str]
"""How much quieter a coil is at 0, the state, and the coil."""


def _leaks(found: StateTable, knob: str, turned: Iterable[Turned]) -> Iterator[Leak]:
    """Coils whose level a knob at 0 lowers without silencing them."""
    for t in turned:
        if not t.sources:
            continue
        fall = np.maximum(t.curves[10.0][0], -100.0) - np.maximum(t.curves[0.0][0], -100.0)
        if (fall <= -SILENCED_DB).any():
            continue  # what lets another source in instead is no volume
        bright = t.treble(10.0) - t.treble(0.0)
        for i in np.flatnonzero(_well(t) & (fall >= LOWERS_DB) & (fall < SILENCED_DB)):
            thins = fall[i] >= HARDLY_DB > bright[i]
            if not thins and _lowers_at_dc(found, knob, t, t.sources[i]):
                yield float(fall[i]), t.state, t.sources[i]


def _silences(t: Turned) -> bool:
    """Whether a knob at 0 silences some coil that is well heard at 10."""
    return bool(t.sources) and bool((_well(t) & (t.curves[10.0][0] - t.curves[0.0][0] >= SILENCED_DB)).any())


def _down(build: Build) -> dict[str, float]:
    """All knobs at 0; what has a detent, and trimmers, at rest."""
    return {knob: 0.0 for knob, rest in knobs_of(build).items() if rest == 10.0}


def _lowers_at_dc(found: StateTable, knob: str, at: Turned, coil: str) -> bool:
    """Whether a knob at 0 lowers a coil where a tone's capacitor is as good as open."""
    sizes = []
    for turn in (0.0, 10.0):
        net = net_of(template_of(found.build, {knob: turn}), found.space, at.state, at.output)
        # Nor may the capacitance of a transducer hide what a resistor does.
        fed = Elements(tuple(e._replace(capacitance=FED) if isinstance(e, PiezoSource) else e for e in net.elements))
        response = sweep(replace(net, elements=fed), LOWEST)
        sizes.append(abs(response.transfers[0, response.sources.index(coil)]) if coil in response.sources else 0.0)
    return 20 * float(np.log10(max(sizes[1], 1e-9) / max(sizes[0], 1e-9))) >= LOWERS_DB


def _say_leak(found: StateTable, knob: str, gangs: Gangs, leak: Leak, output: Output, say: Diagnostics) -> None:
    fall, state, coil = leak
    bare = _bare(found.build, gangs)
    why = f"No lead ends on {bare[0]}: wire it, most often to ground." if bare else \
        "Its 0 end belongs on ground by a plain wire."
    say.add(CIR_253, gangs[0][0].place,
            f"{knob_word(knob)} at 0 takes only {_level_fall(found, knob, state, coil, output):.1f} dB from {coil} "
            f"({fall:.1f} dB at 80 Hz) and does not silence it, in "
            f"{words(found.space.state(state), found.space)}", f"{why} {_meant(gangs)}")


def _level_fall(found: StateTable, knob: str, state: int, coil: str, output: Output) -> float:
    """By how much a knob at 0 lowers the level of a coil, as the list of sounds counts it, with cable and amplifier."""
    levels = []
    for turn in (0.0, 10.0):
        response = sweep(net_of(template_of(found.build, {knob: turn}), found.space, state, output), FREQUENCIES)
        levels.append(dict(zip(response.sources, levels_of(response), strict=True)).get(coil, -100.0))
    return levels[1] - levels[0]


def _bare(build: Build, gangs: Gangs) -> list[str]:
    used = touched(build)
    return [lug for part, element in gangs for end in ("zero", "ten", "wiper")
            if (lug := lug_of(part, element, end)) not in used]


def _exchanged(found: StateTable, gangs: Gangs, turned: Sequence[Turned]) -> bool:
    """Whether a volume's source is on its wiper and its output on the 10 end, and no other source is on the output."""
    here = template_of(found.build, dict.fromkeys(knobs_of(found.build), 5.0))
    seen = False
    for part, element in gangs:
        zero, wiper, ten = (here.lug(lug_of(part, element, end)) for end in ("zero", "wiper", "ten"))
        name = f"{part.name}.{element.name}" if len(part.symbol.elements) > 1 else part.name
        for t in turned:
            classes = classes_of(here, found.space.switches, found.space.numbers(t.state))
            ends = Ends(here.elements.mapped(classes), name, classes, here, t.output)
            if classes[zero] != ends.sleeve or classes[wiper] == classes[ten]:
                continue
            at, far = ends.beyond(classes[wiper], classes[ten]), ends.beyond(classes[ten], classes[wiper])
            if ends.has_sink(at) or ends.has_source(far):
                return False
            seen = seen or (ends.has_source(at) and ends.has_sink(far))
    return seen


class Ends:
    """What lies beyond the lugs of a pot in one state, its own track and ground taken away."""

    def __init__(self, elements: Elements, track: str, classes: Sequence[int], here: NetlistTemplate, output: Output):
        self.sleeve = classes[here.lug(output.sleeve)]
        heard = [at[0] for e in elements if (at := e.hears()) is not None]
        passing = [pair for e in elements if e.hears() is None and e.name != track for pair in e.paths()]
        self.edges = [pair for pair in passing if self.sleeve not in pair]
        self.sinks = {classes[here.lug(output.lug)], *heard}
        self.sources = {net for e in elements for net in e.drives()} - {self.sleeve}

    def beyond(self, lug: int, other: int) -> set[int]:
        """The points that are reached from one lug without passing ground or what lies between the two."""
        return set(reached([pair for pair in self.edges if set(pair) != {lug, other}], [lug])) - {self.sleeve}

    def has_source(self, points: set[int]) -> bool:
        """Whether a coil, transducer or board feeds one of these points."""
        return not self.sources.isdisjoint(points)

    def has_sink(self, points: set[int]) -> bool:
        """Whether one of these points is the output or the input of a board."""
        return not self.sinks.isdisjoint(points)
