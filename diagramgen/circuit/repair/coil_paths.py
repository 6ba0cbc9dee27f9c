"""Which knobs the signal of each coil passes, and whether it must pass the carbon of a track with the knobs at rest."""

from __future__ import annotations

from collections.abc import Collection, Iterator, Sequence
from dataclasses import dataclass, replace

import numpy as np

from diagramgen.circuit.dc_supply import supply
from diagramgen.circuit.net_roles import ground_nodes
from diagramgen.circuit.netlist import NetlistTemplate, netlist_of, template_of
from diagramgen.circuit.nets import connect
from diagramgen.circuit.nodal import sweep
from diagramgen.circuit.states import StateSpace, classes_of
from diagramgen.circuit.values import elements_of, law_of, lug_of, rest_turn
from diagramgen.model.build import Build

QUIET_DB = 20.0
"""What a volume takes of a coil at least."""
FACTOR = 10 ** (QUIET_DB / 20)
LOW = np.array([80.0])
"""Hz."""
Heard = tuple[int, str]
"""A state and a coil or transducer that lies between tip and sleeve in it."""


@dataclass(frozen=True)
class Ways:
    """How the coils of some states reach the plug."""

    knobs: dict[Heard, frozenset[str]]
    """The knobs (``part.control``) without whose track the coil is not heard: its volumes."""
    through: frozenset[Heard]
    """Coils that with the knobs at rest are heard only through the resistance of a track, or a resistor or capacitor; a
    blend's track does not count."""

    @property
    def volumes(self) -> frozenset[str]:
        """Every knob in the way of some coil."""
        return frozenset(knob for knobs in self.knobs.values() for knob in knobs)


def ways(build: Build, states: StateSpace, indices: Collection[int]) -> Ways:
    """How each coil reaches the plug in these states, knobs at rest.

    Raises ``ValueError`` for a build without an output jack.
    """
    here = template_of(build)
    tracks = dict(_tracks(build))
    solid = _without(here, [name for name, (_, blend) in tracks.items() if not blend])
    # A treble bleed leads past a volume all the same: what is heard without such parts is judged without them.
    bare = _bare(here)
    opened = {knob: _without(_off_end(build, knob), [name for name, (k, _) in tracks.items() if k == knob])
              for knob, _ in tracks.values()}
    found: dict[Heard, frozenset[str]] = {}
    through: set[Heard] = set()
    for index in indices:
        numbers = states.numbers(index)
        if states.plug_at(numbers) == "out":
            continue
        whole, direct = _sources(here, states, numbers), _sources(bare, states, numbers)
        through |= {(index, coil) for coil in whole - (_sources(solid, states, numbers) & direct)}
        left = {knob: (_sources(_bare(own), states, numbers), _sources(own, states, numbers))
                for knob, own in opened.items()}
        found |= {(index, coil): frozenset(knob for knob, (without, rest) in left.items()
                                           if coil not in (without if coil in direct else rest)) for coil in whole}
    return Ways(found, frozenset(through))


def loud(build: Build, states: StateSpace, here: Ways) -> frozenset[tuple[str, int, str]]:
    """Every volume, a state and a coil in whose way it lies that it does not mute at 0 there (a blend: at an end)."""
    blends = {knob for _, (knob, blend) in _tracks(build) if blend}
    rest = template_of(build)
    found = set()
    levels: dict[int, dict[str, float]] = {}
    for knob in sorted(here.volumes):
        ends = [template_of(build, {knob: turn}) for turn in ((0.0, 10.0) if knob in blends else (0.0,))]
        for index in sorted({index for (index, _), knobs in here.knobs.items() if knob in knobs}):
            full = levels.setdefault(index, _level(rest, states, index))
            low = [_level(end, states, index) for end in ends]
            found |= {(knob, index, coil) for coil in full if knob in here.knobs.get((index, coil), ())
                      and max(one.get(coil, 0.0) for one in (full, *low)) < FACTOR * min(x.get(coil, 0.0) for x in low)}
    return frozenset(found)


def _level(here: NetlistTemplate, states: StateSpace, index: int) -> dict[str, float]:
    """What of each coil's EMF comes out at low frequency in a state."""
    numbers = states.numbers(index)
    classes = classes_of(here, states.switches, numbers)
    net = netlist_of(here, classes, states.plug_at(numbers), supply(here, classes).powered)
    response = sweep(net, LOW)
    return {coil: float(abs(response.transfers[0, i])) for i, coil in enumerate(response.sources)}


def _tracks(build: Build) -> Iterator[tuple[str, tuple[str, bool]]]:
    """Name of every track as its network calls it -> the knob that moves it, and whether that is a blend or trimmer."""
    ground = ground_nodes(build, connect(build))
    for part, element in elements_of(build, "track"):
        name = f"{part.name}.{element.name}" if len(part.symbol.elements) > 1 else part.name
        # A linear track with neither end on ground mixes what is on its two ends.
        mixes = law_of(part, element).name == "linear" and not ground.intersection(
            lug_of(part, element, end) for end in element.ends)
        yield name, (f"{part.name}.{element.by}", mixes or rest_turn(part, element.by) != 10.0)


def _off_end(build: Build, knob: str) -> NetlistTemplate:
    """The template with one knob between the ends of its track, so that its wiper stands on neither.

    A quarter of the turn: a blend's half-dead gangs each rest on an end on one side of the middle only, and what
    they rest on is put right by leaving out both ends' joints of this knob.
    """
    here, rest = template_of(build, {knob: 2.5}), template_of(build, {knob: 7.5})
    both = tuple(pair for pair in here.joined if pair in rest.joined)
    return replace(here, joined=both, kept={})


def _without(here: NetlistTemplate, tracks: Collection[str]) -> NetlistTemplate:
    """The template without the resistance of some tracks."""
    gone = set(tracks)
    kept = here.elements.only(lambda e: not (e.name in gone and any(piece.what == "track" for piece in e.branches())))
    return replace(here, elements=kept, kept={})


def _bare(here: NetlistTemplate) -> NetlistTemplate:
    """The template without resistors and capacitors that are parts of their own."""
    own = ("resistor", "capacitor")
    kept = here.elements.only(lambda e: not any(piece.what in own for piece in e.branches()))
    return replace(here, elements=kept, kept={})


def _sources(here: NetlistTemplate, states: StateSpace, numbers: Sequence[int]) -> frozenset[str]:
    """Coils and transducers that lie between tip and sleeve."""
    classes = classes_of(here, states.switches, numbers)
    net = netlist_of(here, classes, states.plug_at(numbers), supply(here, classes).powered)
    return frozenset(net.sources) if net.tip else frozenset()
