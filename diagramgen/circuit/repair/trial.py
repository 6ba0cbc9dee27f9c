"""Judges changed leads quickly: nets by joining points, and only the states that promises speak of."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace

from diagramgen.circuit.blocks import merged
from diagramgen.circuit.check_wanted import coil_parts, judged, mismatches, sections_of, states_of
from diagramgen.circuit.dc_supply import supply
from diagramgen.circuit.netlist import NetlistTemplate, netlist_of, template_of
from diagramgen.circuit.nets import connect
from diagramgen.circuit.nodal import sweep
from diagramgen.circuit.outputs import Plugs, contacts, named
from diagramgen.circuit.sounds import FREQUENCIES, Sound, listen
from diagramgen.circuit.state_table import coils_of, state_table
from diagramgen.circuit.states import StateSpace, state_space
from diagramgen.model.build import Build, Lead, Wanted
from diagramgen.model.coil_expression import BadNetwork, coils, read_network

HUNDRED = 100
"""States of a promise looked at before a change is proved in all of them."""
FEW = 2
"""States of a promise looked at for its grade."""
MISSING, BROKEN, KEPT = 0, 1, 2
"""Grades of a promise in a state: a coil it names is not in the circuit, it is not kept, it is kept."""


class Trial:
    """Judges changes quickly: nets by joining points, and only the states that promises speak of."""

    def __init__(self, build: Build):
        graph = connect(build)
        self.nodes = {node: i for i, node in enumerate(graph.nodes)}
        own = template_of(replace(build, leads=()), made=())
        to = [self.nodes.get(net[0], 0) for net in own.nets]
        points = tuple((node,) for node in graph.nodes)
        self.template = NetlistTemplate(build, points, self.nodes, own.elements.mapped(to), (), own.jack,
                                        contacts(build))
        self.fixed = [(self.nodes[net[0]], self.nodes[n]) for net in own.nets for n in net[1:] if n in self.nodes]
        self.fixed += [(to[a], to[b]) for a, b in own.joined]
        written = {frozenset((str(x.start), str(x.end))) for x in build.leads}
        self.fixed += [(self.nodes[e.a], self.nodes[e.b]) for e in graph.edges
                       if e.kind == "braid" or (e.kind == "leg" and frozenset((e.a, e.b)) not in written)]
        self.space: StateSpace = state_space(build, all_plugs=True)
        self.names = coil_parts(build)
        self.coils = coils_of(build)
        self.sounds: dict[object, Sound] = {}
        broken = [m.wanted for m in mismatches(state_table(build)) if m.kind != "unknown"]
        self.promises = sorted(_promises(build, self.space), key=lambda p: p[0] not in broken)

    def looked_at(self) -> tuple[int, ...]:
        """The first states of every promise, to be looked at closely."""
        return tuple(dict.fromkeys(index for _, indices in self.promises for index in indices[:FEW]))

    def may(self, leads: Sequence[Lead]) -> bool:
        """Whether every promise is kept with these leads in the states looked at."""
        start = self._joined(leads)
        return all(self._grade(start, wanted, index) == KEPT for wanted, indices in self.promises for index in indices)

    def grade(self, leads: Sequence[Lead]) -> int:
        """How near these leads come to keeping every promise: the sum of their grades, more is nearer."""
        start = self._joined(leads)
        return sum(self._grade(start, wanted, index) for wanted, indices in self.promises for index in indices[:FEW])

    def _joined(self, leads: Sequence[Lead]) -> list[int]:
        pairs = [*self.fixed, *((self.nodes[str(x.start)], self.nodes[str(x.end)]) for x in leads
                                if x.start.known and x.end.known)]
        return merged(self.template.size, pairs)

    def _grade(self, start: list[int], wanted: Wanted, index: int) -> int:
        numbers = self.space.numbers(index)
        closes = [(self.nodes[a], self.nodes[b]) for switch, at in zip(self.space.switches, numbers, strict=True)
                  for a, b in switch.closes[at]]
        classes = merged(self.template.size, closes, start)
        plugs: Plugs = self.space.plugs_at(numbers)
        output = named(self.template.build, wanted.at)
        if output is None or not output.heard_by(dict(plugs)):
            return KEPT
        net = netlist_of(self.template, classes, plugs, supply(self.template, classes).powered, output=output)
        asked = _asked(wanted, self.names)
        if asked is not None and not asked <= {self.names[s] for s in net.sources}:
            return MISSING
        # Most changes give a network that another one gave before.
        sound = self.sounds.get(net.key)
        if sound is None:
            sound = self.sounds[net.key] = listen(net, sweep(net, FREQUENCIES), self.coils)
        return BROKEN if any(m.kind != "unknown" for m in judged(wanted, {}, sound, self.names)) else KEPT


def _promises(build: Build, states: StateSpace) -> Iterator[tuple[Wanted, list[int]]]:
    for wanted in build.wanted:
        indices = [i for i, _ in zip(states_of(states, wanted), range(HUNDRED), strict=False)]
        yield wanted, indices


def _asked(wanted: Wanted, names: dict[str, str]) -> set[str] | None:
    """The coils a promise names; None where it names none."""
    try:
        found = read_network(wanted.sounds) if wanted.sounds else None
    except BadNetwork:
        return None
    named = (names.get(f"{c.part}.{c.coil}" if c.coil else c.part, "") for c in coils(found)) if found else ()
    return {section for name in named for section in sections_of(name, names)} if found else None
